"""Several sheets: what runs off one is on the next, each true, each saying where the others lie."""

import re
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from math import cos, radians, sin

import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import given, settings
from hypothesis import strategies as st

from middlewatch.plotting.conventions import CONVENTIONS, Symbols
from middlewatch.plotting.drawing import drawn_sheet
from middlewatch.plotting.labels import Box
from middlewatch.plotting.palette import DAY
from middlewatch.plotting.paper import PAPERS_MM, DoesNotFitError, Look, PaperName, Sheet
from middlewatch.plotting.plot import Charted, Dr, Plot
from middlewatch.plotting.series import MOST_SHEETS, screen_series, series_for
from middlewatch.quantities.positions import Position
from plotting.by_hand import HandMercator, parallel_m
from plotting.conftest import Sailed
from plotting.everything import CHARTED, PLOT, origin
from plotting.paperwork import THREE_TENTHS_MM, Drawing, circle_of, corners, mm, path_of

Sheets = list[tuple[Sheet, Drawing]]
BARE = Charted("kittiwake")


def by_hand(sheet: Sheet) -> HandMercator:
    """Return an independent sheet with the same scale and the same middle."""
    flat = sheet.projection
    middle = flat.centre.latitude_deg, flat.centre.longitude_deg
    return HandMercator(flat.scale, flat.true_at_deg, middle, (flat.x_mm, flat.y_mm))


def run(start: Position, *legs: tuple[float, float]) -> Plot:
    """Return a plot of one DR: legs of (course true, miles), a place about each tenth of a mile."""
    path = [start]
    for course_deg, miles in legs:
        step = miles * 1852.0 / max(1, round(miles * 10))
        north, east = step * cos(radians(course_deg)), step * sin(radians(course_deg))
        for _ in range(max(1, round(miles * 10))):
            path.append(path[-1].moved(north, east))
    return Plot(drs=(Dr(origin("departure", "d1", "2100", start), tuple(path), ()),))


@pytest.fixture(scope="module")
def demo_sheets(sailed: Sailed) -> Sheets:
    """Draw the demo's passage on A4 at 1:40 000, which takes several sheets."""
    sheets = series_for(sailed.plot, sailed.charted, scale=40_000.0)
    assert len(sheets) > 3
    return [(sheet, Drawing.of(drawn_sheet(sailed.plot, sailed.charted, sheet))) for sheet in sheets]


LEGS = st.lists(st.tuples(st.floats(0, 359), st.floats(0.5, 12)), min_size=1, max_size=4)


@settings(max_examples=40, deadline=None)
@given(st.floats(-70, 70), st.sampled_from([-5.0, 179.95, -179.9]), LEGS, st.sampled_from(["a4", "a3"]))
def test_every_stretch_of_the_passage_is_whole_on_a_sheet(
    north: float, east: float, legs: list[tuple[float, float]], paper: PaperName
) -> None:
    """Any two neighbouring places of the path, wherever on earth, are together in the window of one sheet."""
    plot = run(Position(north, east), *legs)
    sheets = series_for(plot, BARE, paper=paper, scale=60_000.0)
    for pair in pairwise(plot.drs[0].path):
        assert any(all(_inside(sheet, place) for place in pair) for sheet in sheets)


def _inside(sheet: Sheet, place: Position) -> bool:
    return Box(*(dot := sheet.projection.at(place)), *dot).within(sheet.window)


@pytest.mark.parametrize("paper", ["a4", "a3"])
def test_sheets_overlap_where_the_passage_crosses(paper: PaperName) -> None:
    """Of two sheets in a row 20 mm or more are the same water: two laps of 12 mm, less a step of 4."""
    plot = run(Position(50.0, -5.0), (90.0, 60.0))
    sheets = series_for(plot, BARE, paper=paper, scale=75_000.0)

    assert len(sheets) > 2
    for one, other in pairwise(sheets):
        left = other.projection.place(other.window.left, 0.0)
        assert one.window.right - one.projection.at(left)[0] > 20.0
        assert {one.width_mm, one.height_mm} == set(PAPERS_MM[paper])


def test_sheets_are_numbered_as_the_boat_came_to_them() -> None:
    """The first is where she departed, and each goes on from the one before it."""
    sheets = series_for(run(Position(50.0, -5.0), (240.0, 40.0)), BARE, scale=75_000.0)
    leaves = [sheet.leaf for sheet in sheets]

    assert [leaf and leaf.number for leaf in leaves] == list(range(1, len(sheets) + 1))
    assert _inside(sheets[0], Position(50.0, -5.0))
    middles = [sheet.projection.centre.longitude_deg for sheet in sheets]
    assert middles == sorted(middles, reverse=True)


def test_a_plot_that_fits_has_one_sheet_without_a_number() -> None:
    """Without a scale, or at one it fits, nothing changes: one sheet, no number, no key."""
    for scale in (None, 200_000.0):
        (sheet,) = series_for(PLOT, CHARTED, scale=scale)
        drawing = Drawing.of(drawn_sheet(PLOT, CHARTED, sheet))

        assert sheet.leaf is None
        assert drawing.groups("adjoining") == drawing.groups("key") == []


def test_too_many_sheets_are_refused_with_the_scales_that_do() -> None:
    """The refusal names the scale for one sheet, and the largest for at most so many, and both do."""
    with pytest.raises(DoesNotFitError) as refusal:
        series_for(PLOT, CHARTED, scale=1_000.0)
    one, several = re.findall(r"1:(\d+) ", str(refusal.value))
    count = int(str(refusal.value).split(" on ")[1].split()[0])

    assert len(series_for(PLOT, CHARTED, scale=float(one))) == 1
    assert len(series_for(PLOT, CHARTED, scale=float(several))) == count <= MOST_SHEETS


# --- each sheet is true -----------------------------------------------------------------------------


@pytest.mark.parametrize("north", [-45.0, 0.0, 17.0, 50.0, 65.0])
@pytest.mark.parametrize("scale", [25_000.0, 75_000.0])
def test_a_mile_is_the_right_number_of_mm(north: float, scale: float) -> None:
    """On each sheet's own coordinates a geodesic mile is 1852 m over the scale at the latitude printed on it.

    In the middle of the sheet it is what Mercator stretches it to from there; both to 0.1 %, each way.
    """
    plot = run(Position(north, 10.0), (80.0, 14.0))
    for sheet in series_for(plot, BARE, scale=scale):
        flat, hand = sheet.projection, by_hand(sheet)
        for latitude in (flat.true_at_deg, flat.centre.latitude_deg):
            wanted = 1852_000.0 / scale * parallel_m(flat.true_at_deg) / parallel_m(latitude)
            here = Position(latitude, flat.centre.longitude_deg)
            for heading in (0.0, 90.0, 180.0, 270.0):
                way = Geodesic.WGS84.Direct(latitude, here.longitude_deg, heading, 1852.0)
                drawn = flat.at(Position(way["lat2"], way["lon2"]))

                assert mm(drawn, flat.at(here)) == pytest.approx(wanted, rel=0.001)
                assert mm(drawn, hand.at(way["lat2"], way["lon2"])) < 0.001


def test_the_latitude_scale_and_the_bar_are_true_on_each_sheet(demo_sheets: Sheets) -> None:
    """A minute of the drawn latitude scale, and the scale bar's miles, are as long as they say to 0.1 %.

    The minute of latitude by the meridian's own length from geographiclib; both at the sheet's own latitude.
    """
    for sheet, drawing in demo_sheets:
        hand, flat = by_hand(sheet), sheet.projection
        ticks = [corners(path)[0][1] for path in drawing.groups("latitude-scale")[0].iter() if path.get("d")]
        top, bottom = min(ticks), max(ticks)
        (north, _), (south, _) = hand.place(0.0, top), hand.place(0.0, bottom)
        metres = Geodesic.WGS84.Inverse(south, 0.0, north, 0.0)["s12"]
        assert (bottom - top) * flat.scale / 1000.0 == pytest.approx(metres, rel=0.001)

        (bar,) = drawing.groups("scale-bar")
        line = next(corners(path) for path in bar if path.get("class") == "bar")
        assert mm(*line) * flat.scale / 1000.0 == pytest.approx(
            float(bar.get("data-nm", "")) * 1852.0, rel=0.001
        )


def test_width_and_height_are_in_mm_and_a_bar_of_100_mm_shows_it(demo_sheets: Sheets) -> None:
    """The document is as large as the paper, its unit a mm, and the bar to lay a ruler on is 100 mm long."""
    for sheet, drawing in demo_sheets:
        sides = f"{sheet.width_mm:g}", f"{sheet.height_mm:g}"
        assert (drawing.root.get("width"), drawing.root.get("height")) == tuple(f"{side}mm" for side in sides)
        assert drawing.root.get("viewBox") == f"0 0 {sides[0]} {sides[1]}"
        (bar,) = drawing.groups("ruler-bar")
        assert mm(*next(corners(path) for path in bar if path.get("class") == "bar")) == 100.0
        assert any("This bar is 100 mm if printed true" in each for each in drawing.words())


def test_fixes_lie_right_on_every_sheet_that_shows_them(sailed: Sailed, demo_sheets: Sheets) -> None:
    """Each fix is drawn within 0.3 mm of an independent construction, on each sheet; none is on no sheet."""
    for fix in sailed.plot.fixes:
        place = Position(fix.latitude_deg, fix.longitude_deg)
        shown = [(sheet, drawing) for sheet, drawing in demo_sheets if _inside(sheet, place)]

        assert shown
        for sheet, drawing in shown:
            drawn = circle_of(drawing.group(f"fix-{fix.id}"))
            assert mm(drawn, by_hand(sheet).at(place.latitude_deg, place.longitude_deg)) < THREE_TENTHS_MM


def test_the_track_lies_right_on_every_sheet(sailed: Sailed, demo_sheets: Sheets) -> None:
    """The DR's path in every window is within 0.3 mm of an independent Mercator's."""
    for sheet, drawing in demo_sheets:
        for n, dr in enumerate(sailed.plot.drs, 1):
            track = path_of(drawing.group(f"dr-{n}-{dr.origin.id}"), "track")
            hand = [by_hand(sheet).at(place.latitude_deg, place.longitude_deg) for place in dr.path]
            inside = [dot for dot in hand if Box(*dot, *dot).within(sheet.window)]
            for dot in inside:
                assert min(mm(dot, drawn) for drawn in track) < THREE_TENTHS_MM


# --- how they hang together -------------------------------------------------------------------------


def test_each_sheet_says_which_of_how_many_it_is_and_which_adjoin(demo_sheets: Sheets) -> None:
    """Title, key, graticule, rose, scales and bars on each; if one joins another that one joins it."""
    joins = [set(_joined(drawing)) for _, drawing in demo_sheets]
    for number, (_, drawing) in enumerate(demo_sheets, 1):
        assert any(f"plotting sheet {number} of {len(demo_sheets)}," in each for each in drawing.words())
        for kinds in (("key",), ("graticule",), ("rose", "true"), ("latitude-scale",), ("scale-bar",)):
            assert len(drawing.groups(*kinds)) == 1
        assert joins[number - 1]
        assert all(number in joins[other - 1] for other in joins[number - 1])


def _joined(drawing: Drawing) -> Iterator[int]:
    for words in drawing.words():
        if words.startswith("joins sheet"):
            yield from (int(number) for number in re.findall(r"\d+", words))


def test_what_adjoins_lies_on_that_side() -> None:
    """On a run due east sheet 2 is at the right of sheet 1, and 1 at the left of 2."""
    first, second, *_ = series_for(run(Position(50.0, -5.0), (90.0, 40.0)), BARE, scale=75_000.0)
    sides = {
        sheet.leaf.number: [
            (each.number, each.side) for each in sheet.leaf.adjoining(sheet.projection, sheet.window)
        ]
        for sheet in (first, second)
        if sheet.leaf is not None
    }

    assert sides[1] == [(2, "right")]
    assert sides[2] == [(1, "left"), (3, "right")]


@pytest.mark.parametrize("symbols", ["us", "uk", "imo"])
def test_a_long_leg_has_its_course_on_each_sheet(symbols: Symbols) -> None:
    """Course and speed of a leg that runs over three sheets and more stand on every one of them."""
    plot = run(Position(50.0, -5.0), (75.0, 45.0))
    dr = plot.drs[0]
    start = replace(PLOT.drs[0].points[0], place=dr.path[0])
    steered = Plot(at=PLOT.at, drs=(replace(dr, points=(start,)),))
    look = Look(DAY, CONVENTIONS[symbols])
    for sheet in series_for(steered, BARE, look, scale=75_000.0):
        assert len(Drawing.of(drawn_sheet(steered, BARE, sheet)).groups("course-label")) == 1


def test_the_same_plot_gives_the_same_sheets() -> None:
    """Worked twice, the same bytes."""
    plot = run(Position(50.0, -5.0), (75.0, 30.0))
    twice = [
        [drawn_sheet(plot, BARE, sheet) for sheet in series_for(plot, BARE, scale=75_000.0)] for _ in "ab"
    ]

    assert twice[0] == twice[1]


def test_a_screen_steps_through_as_many_as_it_takes() -> None:
    """A small screen has more sheets than a paper, and any number of them."""
    plot = run(Position(50.0, 179.9), (75.0, 30.0))
    sheets = screen_series(plot, 20_000.0, 90.0, 120.0, Look())

    assert len(sheets) > MOST_SHEETS
    assert all(any(_inside(sheet, place) for sheet in sheets) for place in plot.drs[0].path)
    assert all(sheet.on_screen for sheet in sheets)
