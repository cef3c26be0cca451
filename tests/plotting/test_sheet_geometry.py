"""Everything drawn lies within 0.3 mm of an independent construction, at the printed scale."""

from itertools import pairwise
from math import atan2, cos, degrees, hypot, radians, sin
from xml.etree import ElementTree as ET

import pytest
from geographiclib.geodesic import Geodesic

from middlewatch.plotting.drawing import drawn_sheet
from middlewatch.plotting.paper import Sheet, laid_out, sheet_about
from middlewatch.quantities.positions import Position
from middlewatch.reports.fix import FixReport, LineReport
from plotting.by_hand import HandMercator
from plotting.conftest import Sailed
from plotting.everything import BOAT, CHARTED, PLOT
from plotting.paperwork import (
    THREE_TENTHS_MM,
    Dot,
    Drawing,
    circle_of,
    corners,
    meeting,
    mm,
    off_line,
    path_of,
)
from reference.rhumb import rhumb_arrival

A3 = {"paper": "a3", "scale": 75_000.0}


def by_hand(sheet: Sheet) -> HandMercator:
    """Return an independent sheet with the same scale and the same middle."""
    flat = sheet.projection
    middle = flat.centre.latitude_deg, flat.centre.longitude_deg
    return HandMercator(flat.scale, flat.true_at_deg, middle, (flat.x_mm, flat.y_mm))


@pytest.fixture(scope="module")
def demo_sheet(sailed: Sailed) -> tuple[Sheet, Drawing]:
    """Draw the demo's passage on A3 at 1:75 000."""
    sheet = laid_out(sailed.plot, sailed.charted, paper="a3", scale=75_000.0)
    return sheet, Drawing.of(drawn_sheet(sailed.plot, sailed.charted, sheet))


@pytest.fixture(scope="module")
def full_sheet() -> tuple[Sheet, Drawing]:
    """Draw the plot with everything on it."""
    sheet = sheet_about(Position(46.97, -34.0), 75_000.0, 297.0, 210.0)
    return sheet, Drawing.of(drawn_sheet(PLOT, CHARTED, sheet))


def test_fixes_lie_where_their_lines_cross(sailed: Sailed, demo_sheet: tuple[Sheet, Drawing]) -> None:
    """Each of the demo's fixes is drawn where its two drawn lines cross, and where its figures have it."""
    sheet, drawing = demo_sheet
    hand = by_hand(sheet)
    for fix in sailed.plot.fixes:
        drawn = circle_of(drawing.group(f"fix-{fix.id}"))
        crossing = meeting(*(_line_of(drawing, fix, n) for n in (0, 1)))

        assert mm(drawn, hand.at(fix.latitude_deg, fix.longitude_deg)) < THREE_TENTHS_MM
        assert mm(drawn, crossing) < THREE_TENTHS_MM
    assert len(sailed.plot.fixes) == 7


def _line_of(drawing: Drawing, fix: FixReport, n: int) -> list[Dot]:
    """Return the n-th line of a fix as drawn, transferred or not."""
    transferred = fix.lines[n].transferred_to is not None
    id_ = fix.sightings[n]
    group = drawing.group(f"transferred-{fix.id}-{id_}" if transferred else f"lop-{id_}")
    return path_of(group)


def test_every_dot_of_a_line_bears_as_seen(sailed: Sailed, demo_sheet: tuple[Sheet, Drawing]) -> None:
    """From each corner of each line drawn, the mark (carried along where it was) bears as it was seen."""
    sheet, drawing = demo_sheet
    checked = 0
    for fix in sailed.plot.fixes:
        for n, line in enumerate(fix.lines):
            for dot in _line_of(drawing, fix, n):
                assert _off_bearing_mm(by_hand(sheet), dot, line) < THREE_TENTHS_MM
                checked += 1
    assert checked > 40


def _off_bearing_mm(hand: HandMercator, dot: Dot, line: LineReport) -> float:
    latitude, longitude = hand.place(*dot)
    way = Geodesic.WGS84.Inverse(latitude, longitude, line.latitude_deg, line.longitude_deg)
    assert line.bearing_deg is not None
    off_m = way["s12"] * sin(radians(way["azi1"] - line.bearing_deg))
    return abs(float(off_m)) * 1000 / hand.scale


def test_a_transferred_line_is_the_line_moved_by_the_run(
    sailed: Sailed, demo_sheet: tuple[Sheet, Drawing]
) -> None:
    """From each corner of the line of 2200 carried to 2231, the run back leads onto the bearing of 2200.

    The run is summed from the EPs that were reported, and taken off as a rhumb line by an independent hand.
    """
    sheet, drawing = demo_sheet
    hand = by_hand(sheet)
    north_m, east_m = _run_of_the_ep(sailed, 22 * 60, 22 * 60 + 31)
    course, run_nm = degrees(atan2(east_m, north_m)), hypot(north_m, east_m) / 1852
    (taken,) = [sight.line for sight in sailed.plot.sights if sight.id == "carrow-2200"]
    carried = path_of(drawing.group("transferred-f-carrow-2231-carrow-2200"))

    assert run_nm > 2.0
    for dot in carried:
        back = rhumb_arrival(*hand.place(*dot), course + 180.0, run_nm)
        assert _off_bearing_mm(hand, hand.at(*back), taken) < THREE_TENTHS_MM


def _run_of_the_ep(sailed: Sailed, since_min: int, until_min: int) -> tuple[float, float]:
    """Return the run (north, east) in metres, summed from the EPs that were reported between two times.

    The EP as ordered at 2205 goes back to no earlier time, so the reports hold the run.
    """
    eps = [
        Position(each.ep.latitude_deg, each.ep.longitude_deg)
        for each in sailed.positions
        if each.ep is not None and since_min * 60 <= each.at.ms // 1000 % 86_400 <= until_min * 60
    ]
    steps = [one.offset_to(other) for one, other in pairwise(eps)]
    return sum(step[0] for step in steps), sum(step[1] for step in steps)


def test_dr_points_lie_where_heading_and_log_lead(sailed: Sailed, demo_sheet: tuple[Sheet, Drawing]) -> None:
    """Each DR point lies where the headings and speeds reported second by second lead, by a rhumb line."""
    sheet, drawing = demo_sheet
    hand = by_hand(sheet)
    origin, expected = sailed.plot.drs[0].origin, dict[int, tuple[float, float]]()
    place = origin.latitude_deg, origin.longitude_deg
    for report in sailed.positions:
        if report.at > origin.at and report.heading_true_deg is not None and report.speed_kn is not None:
            place = rhumb_arrival(*place, report.heading_true_deg, report.speed_kn / 3600)
            expected[report.at.ms] = place
    points = [point for point in sailed.plot.drs[0].points if point.due != "departure"]
    first = drawing.group("dr-1-departure-2100")

    assert [(point.due, point.at.clock) for point in points] == [("course", "2148"), ("hour", "2200")]
    for point in points:
        (group,) = [each for each in first.iter() if each.get("data-at") == str(point.at)]
        drawn = _middle(group)
        assert mm(drawn, hand.at(*expected[point.at.ms])) < THREE_TENTHS_MM


def _middle(group: ET.Element) -> Dot:
    """Return the middle of a tick across the course."""
    path = next(each for each in group if each.tag.endswith("path"))
    (x, y), (x2, y2) = corners(path)
    return (x + x2) / 2, (y + y2) / 2


def test_lines_without_error_meet_in_the_boat(full_sheet: tuple[Sheet, Drawing]) -> None:
    """Bearings and a range worked from a place by the geodesic, and a line carried to it, all pass it."""
    sheet, drawing = full_sheet
    boat = by_hand(sheet).at(BOAT.latitude_deg, BOAT.longitude_deg)
    for id_ in ("lop-late", "lop-second", "lop-range", "transferred-f-late-early"):
        assert off_line(boat, path_of(drawing.group(id_))) < THREE_TENTHS_MM


def test_the_graticule_is_where_it_says(full_sheet: tuple[Sheet, Drawing]) -> None:
    """Each parallel and meridian lies at a whole step of the graticule, by an independent Mercator."""
    sheet, drawing = full_sheet
    hand = by_hand(sheet)
    (graticule,) = drawing.groups("graticule")
    kinds = {"parallel": 0, "meridian": 0}
    for path in graticule:
        latitude, longitude = hand.place(*corners(path)[0])
        kind = path.get("class", "")
        minutes = (latitude if kind == "parallel" else longitude) * 60
        # 0.3 mm at this scale are 0.012 minutes.
        assert abs(minutes - round(minutes)) < 0.012
        kinds[kind] += 1
    assert min(kinds.values()) >= 3


def test_the_area_is_drawn_where_it_is(full_sheet: tuple[Sheet, Drawing]) -> None:
    """The corners of the outline lie where the report has them."""
    sheet, drawing = full_sheet
    hand = by_hand(sheet)
    (group,) = drawing.groups("area-outline")
    assert PLOT.position is not None
    assert PLOT.position.area is not None
    (outline,) = PLOT.position.area.outline.corners_deg()
    path = next(each for each in group if each.tag.endswith("path"))

    for drawn, corner in zip(corners(path), outline, strict=True):
        assert mm(drawn, hand.at(*corner)) < THREE_TENTHS_MM


def test_a_rock_is_ringed_at_its_clearance(full_sheet: tuple[Sheet, Drawing]) -> None:
    """The ring to keep off a rock has the clearance for its radius, to scale."""
    sheet, drawing = full_sheet
    (ring,) = [each for each in drawing.group("danger-1") if each.get("class") == "clearance"]
    stretch = cos(radians(sheet.projection.true_at_deg)) / cos(radians(46.975))

    assert float(ring.get("r", "nan")) == pytest.approx(300.0 / 75.0 * stretch, abs=0.05)
