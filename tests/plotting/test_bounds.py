"""What bounds the boat, drawn: limits, their ticks and bands against geographiclib, in every convention."""

from dataclasses import replace
from xml.etree import ElementTree as ET

import pytest
from geographiclib.geodesic import Geodesic

from middlewatch.plotting.bounds import NINETY_FIVE
from middlewatch.plotting.conventions import CONVENTIONS, Symbols
from middlewatch.plotting.drawing import drawn_sheet
from middlewatch.plotting.palette import DAY
from middlewatch.plotting.paper import Look, Sheet, sheet_about
from middlewatch.plotting.plot import Plot
from middlewatch.quantities.positions import Position
from plotting.bounded import BOUNDED, DARK, DIPPED, RAISED, SECTOR, SOUNDED
from plotting.everything import BEACON, BOAT, CHARTED, LIGHT
from plotting.paperwork import THREE_TENTHS_MM, Dot, Drawing, corners, mm, off_line
from plotting.test_sheet_series import by_hand

SYMBOLS: tuple[Symbols, ...] = ("us", "uk", "imo")
LAID = sheet_about(Position(46.97, -34.0), 60_000.0, 297.0, 210.0)


def drawn(plot: Plot = BOUNDED, symbols: Symbols = "uk") -> tuple[Sheet, Drawing]:
    """Draw a plot on A4 lengthwise at 1:60 000."""
    sheet = replace(LAID, look=Look(DAY, CONVENTIONS[symbols]))
    return sheet, Drawing.of(drawn_sheet(plot, CHARTED, sheet))


def paths(group: ET.Element, kind: str) -> list[list[Dot]]:
    """Return the paths of a class in a group."""
    return [corners(path) for path in group.iter() if path.get("class") == kind]


def way(sheet: Sheet, dot: Dot, to: Position) -> tuple[float, float]:
    """Return what a place bears from a dot, and how many miles off it is, by geographiclib."""
    latitude, longitude = by_hand(sheet).place(*dot)
    found = Geodesic.WGS84.Inverse(latitude, longitude, to.latitude_deg, to.longitude_deg)
    return found["azi1"] % 360.0, found["s12"] / 1852.0


def off_mm(sheet: Sheet, degrees: float, miles: float) -> float:
    """Return how far on the paper so many degrees are at so many miles."""
    return abs((degrees + 180.0) % 360.0 - 180.0) / 57.3 * miles * 1852_000.0 / sheet.projection.scale


@pytest.mark.parametrize("symbols", SYMBOLS)
def test_a_sector_is_bounded_where_the_light_bears_its_limits(symbols: Symbols) -> None:
    """From each dot of the two limits the light bears 340 and 020, to 0.3 mm; her side is between them."""
    sheet, drawing = drawn(symbols=symbols)
    group = drawing.group("lop-sector")
    for line, limit, outside in zip(paths(group, "line"), (340.0, 20.0), (-1.96, 1.96), strict=True):
        for dot in line:
            bears, off = way(sheet, dot, LIGHT.position)
            assert off_mm(sheet, bears - limit, off) < THREE_TENTHS_MM
        band = paths(group, "band")[0 if outside < 0 else 1]
        for dot in band:
            bears, off = way(sheet, dot, LIGHT.position)
            assert off_mm(sheet, bears - limit - outside * (SECTOR.sd_deg or 0.0), off) < THREE_TENTHS_MM


@pytest.mark.parametrize("id_", ["sector", "raised"])
def test_ticks_stand_on_the_side_where_the_boat_is(id_: str) -> None:
    """The free end of every tick is where the light bears within the limits, or nearer than it shows."""
    sheet, drawing = drawn()
    for ticks in paths(drawing.group(f"lop-{id_}"), "ticks"):
        assert len(ticks) > 10
        for foot, tip in zip(ticks[::2], ticks[1::2], strict=True):
            bears, off = way(sheet, tip, LIGHT.position)
            if id_ == "raised":
                assert off < way(sheet, foot, LIGHT.position)[1]
            else:
                assert (bears - 340.0) % 360.0 < 40.0


def test_a_light_raised_and_one_dipped_are_arcs_with_their_doubt() -> None:
    """Each dot is as far off as the light shows; the bands are 1.96 deviations farther, or nearer."""
    sheet, drawing = drawn()
    for line, mark, id_, ways in ((RAISED, LIGHT, "raised", (1,)), (DIPPED, BEACON, "dipped", (-1, 1))):
        group = drawing.group(f"lop-{id_}")
        arcs = [*paths(group, "line"), *paths(group, "band")]
        assert len(arcs) == 1 + len(ways)
        for arc, by in zip(arcs, (0, *ways), strict=True):
            radius = (line.radius_nm or 0.0) + by * NINETY_FIVE * (line.sd_nm or 0.0)
            for dot in arc:
                off = way(sheet, dot, mark.position)[1]
                assert abs(off - radius) * 1852_000.0 / sheet.projection.scale < THREE_TENTHS_MM
    assert not paths(drawing.group("lop-dipped"), "ticks")


def test_a_sounding_is_on_its_contour_with_a_band_on_both_sides() -> None:
    """The stretch drawn lies on the charted line about the boat; the band is 1.96 deviations to each side."""
    sheet, drawing = drawn()
    group = drawing.group("lop-sounded")
    hand = by_hand(sheet)
    charted = [hand.at(point.latitude_deg, point.longitude_deg) for point in SOUNDED.points or ()]
    (line,) = paths(group, "line")
    bands = paths(group, "band")
    wide = NINETY_FIVE * (SOUNDED.sd_nm or 0.0) * 1852_000.0 / sheet.projection.scale

    assert mm(line[0], line[-1]) == pytest.approx(50.0, abs=0.1)
    assert all(off_line(dot, charted) < THREE_TENTHS_MM for dot in line)
    assert len(bands) == 2
    for band in bands:
        assert all(off_line(dot, line) == pytest.approx(wide, abs=THREE_TENTHS_MM) for dot in band)
    assert (bands[0][0][1] - line[0][1]) * (bands[1][0][1] - line[0][1]) < 0.0


def test_of_several_sectors_all_limits_are_drawn() -> None:
    """A light that was dark has two gaps here: four limits."""
    sight = replace(BOUNDED.sights[0], line=DARK)
    _, drawing = drawn(replace(BOUNDED, sights=(sight,)))

    assert len(paths(drawing.group("lop-sector"), "line")) == 4


@pytest.mark.parametrize("symbols", SYMBOLS)
def test_each_is_labelled(symbols: Symbols) -> None:
    """Time, what was seen, and its figure, in every convention."""
    words = drawn(symbols=symbols)[1].words()

    assert {"2205 sector 340-020 T", "2209 sounded 10 m"} <= set(words)
    assert f"2207 raised inside {RAISED.radius_nm:.2f} nm" in words
    assert f"2208 dipped {DIPPED.radius_nm:.2f} nm" in words


def test_withdrawn_and_open_bounds_are_seen_to_be_so() -> None:
    """Struck through and labelled so; dashed while doubtful."""
    sector, raised, *_ = BOUNDED.sights
    plot = replace(BOUNDED, sights=(replace(sector, withdrawn=True), replace(raised, open=True)))
    _, drawing = drawn(plot)

    assert len(paths(drawing.group("lop-sector"), "struck")) == 2
    line = next(path for path in drawing.group("lop-raised") if path.get("class") == "line")
    assert line.get("stroke-dasharray") == "3 1.5"
    assert {"withdrawn", "open: doubtful"} <= set(drawing.words())


def test_a_bound_without_doubt_or_limits_is_drawn_as_far_as_it_goes() -> None:
    """Without a spread no band; a light that shows so all round has no limits; a bare contour nothing."""
    all_round = replace(SECTOR, from_deg=0.0, to_deg=0.0)
    sure = replace(RAISED, sd_nm=None)
    bare = replace(SOUNDED, points=None)
    sector, raised, _, sounded = BOUNDED.sights
    plot = replace(
        BOUNDED,
        sights=(replace(sector, line=all_round), replace(raised, line=sure), replace(sounded, line=bare)),
    )
    _, drawing = drawn(plot)

    assert not paths(drawing.group("lop-sector"), "line")
    assert len(paths(drawing.group("lop-raised"), "line")) == 1
    assert not paths(drawing.group("lop-raised"), "band")
    assert not paths(drawing.group("lop-sounded"), "line")


def test_the_boat_of_the_plot_is_where_the_ticks_point() -> None:
    """The made-up boat is in the sector and inside the light's reach: the pictures are of one story."""
    bears, off = BOAT.to(LIGHT.position)

    assert (bears - 340.0) % 360.0 < 40.0
    assert off < (RAISED.radius_nm or 0.0)
