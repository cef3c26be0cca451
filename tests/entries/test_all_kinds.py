"""Sightings by sextant, by lights and by lead: what each makes, what it says, and what it makes no fix of."""

import json
from dataclasses import replace
from math import atan, degrees, hypot, radians
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from entries.entering import FIVE_WEST, MARKS, START, Aboard, utc
from entries.history import Told, deck_log, plotted
from middlewatch.navigator.navigator import Navigator
from middlewatch.navigator.position.arcs import AngleArc
from middlewatch.navigator.position.lines import Circle
from middlewatch.navigator.position.regions import ContourBand, InSight, Wedge
from middlewatch.navigator.tuning import Tuning
from middlewatch.quantities.positions import Position
from middlewatch.readings.marks import Contour, Mark, Sector
from middlewatch.reports.answer import Answer, SightingAnswer
from middlewatch.wire import entries
from middlewatch.wire.payloads import payload

TOWER = Mark(
    "Tower", START.along(20.0, 2.5), height_m=40.0, range_nm=15.0, datum="MHWS",
    sectors=(Sector("red", 0.0, 60.0), Sector("white", 60.0, 100.0)),
)  # fmt: skip
PERCH = Mark("Perch", START.along(300.0, 4.0))
TEN_METRES = Contour("ten metres", 10.0, (START.along(0, 1.0), START.along(90.0, 1.0)), 100.0, 100.0)
SET = Tuning(
    variation=FIVE_WEST, contours=(TEN_METRES,), heights_datum_m=5.0, keel_depth_m=1.5, samples=4_000
)


class _Aboard(Aboard):
    """A boat with a sectored light in her marks file too."""

    def __init__(self, tuning: Tuning | None = None) -> None:
        super().__init__(tuning)
        marks = {**MARKS, "Tower": TOWER, "Perch": PERCH}
        self.navigator = Navigator(tuning or SET, marks, entries)


def afloat(tuning: Tuning | None = None) -> Aboard:
    """Return a boat that departed a minute ago."""
    boat = _Aboard(tuning or SET)
    boat.run(10)
    boat.depart()
    boat.run(50)
    return boat


def seen(answer: Answer) -> SightingAnswer:
    """Return what a sighting's answer says of it."""
    assert answer.sighting is not None, answer.refusal
    return answer.sighting


def pencil(answer: Answer) -> str:
    """Return what a sighting says to pencil."""
    said = seen(answer).pencil
    assert said is not None
    return said


def shape(boat: Aboard, id_: str) -> object:
    """Return the shape of a sighting's line."""
    return boat.navigator.room.plot.lines[id_].shape


def refused(answer: Answer) -> tuple[str, str, str]:
    """Return which field was refused, what was found and what is wanted."""
    assert answer.refusal is not None
    return answer.refusal.field, answer.refusal.found, answer.refusal.wanted


# --- vertical angles --------------------------------------------------------------------------------------


def test_vertical_angle_is_a_circle_by_height_and_tide() -> None:
    """40 m over a datum of 5.0, with 3.0 of tide: 42 m over the sea; at 33' that is 2.36 nm (1.8562 H/a)."""
    boat = afloat()
    answer = boat.sighting(
        id="v", kind="vertical_angle", mark="Tower", angle_min=34, index_error_min=1, tide_m=3.0
    )

    circle = shape(boat, "v")
    assert isinstance(circle, Circle)
    assert circle.radius_nm == pytest.approx(1.8562 * 42 / 33, abs=1e-3)
    # Half a minute of 33, and 0.3 m of 42: what either is of the distance.
    assert circle.sd_nm == pytest.approx(circle.radius_nm * hypot(0.5 / 33, 0.3 / 42), rel=0.01)
    assert pencil(answer).startswith("0101: round Tower draw an arc of 2.36 nm; label 0101")
    assert seen(answer).expected_nm is not None


def test_vertical_angle_without_tide_is_as_wide_as_its_range_and_says_so() -> None:
    """Anywhere within 4 m of tide: a standard deviation of 4 / root 12, 1.15 m of 43."""
    boat = afloat()
    answer = boat.sighting(id="v", kind="vertical_angle", mark="Tower", angle_min=34, index_error_min=1)

    circle = shape(boat, "v")
    assert isinstance(circle, Circle)
    assert circle.sd_nm == pytest.approx(circle.radius_nm * hypot(0.5 / 33, 4 / 12**0.5 / 43), rel=0.02)
    assert "the tide is not given: the line is as wide as a range of 4 m makes it" in pencil(answer)


def test_vertical_angle_over_a_datum_of_unknown_height_says_so() -> None:
    """With the tide given, the height of its datum over chart datum still matters."""
    boat = afloat(Tuning(variation=FIVE_WEST))
    answer = boat.sighting(kind="vertical_angle", mark="Tower", angle_min=34, tide_m=3.0)

    assert "heights_datum_m in [waters] is not given: the line is as wide as" in pencil(answer)
    assert "the index error is not given: 1' either way" in pencil(answer)


def test_vertical_angle_of_a_mark_without_height_is_refused() -> None:
    """A circle needs a height, of the mark or of the entry."""
    boat = afloat()

    answer = boat.sighting(kind="vertical_angle", mark="Perch", angle_min=20)
    assert refused(answer) == ("height_m", "nothing", "height_m, here or in the marks file")
    assert boat.sighting(kind="vertical_angle", mark="Perch", angle_min=20, height_m=12).accepted


def test_vertical_angle_and_bearing_of_one_mark_make_a_fix() -> None:
    """A distance off crosses a bearing."""
    boat = afloat()
    boat.sighting(id="a", kind="vertical_angle", mark="Tower", angle_min=34, index_error_min=1, tide_m=3.0)
    answer = boat.sighting(id="b", kind="bearing", mark="Tower", bearing_deg=20, reference="true")

    assert seen(answer).fix == "f-b"


# --- horizontal angles ------------------------------------------------------------------------------------


def test_horizontal_angle_makes_a_fix_with_a_bearing() -> None:
    """The arc through both marks, crossed with a bearing, is where she is: by construction at the start."""
    boat = afloat(Tuning(variation=FIVE_WEST))
    place = boat.navigator.room.reckoning.ep(boat.navigator.room.track.last_second or 0)
    assert place is not None
    left, right = place.to(PERCH.position)[0], place.to(TOWER.position)[0]
    answer = boat.sighting(
        id="a", kind="horizontal_angle", mark="Perch", second_mark="Tower", angle_deg=right - left + 360
    )
    assert isinstance(shape(boat, "a"), AngleArc)
    assert seen(answer).residual_deg == pytest.approx(0.0, abs=0.1)
    boat.sighting(id="b", kind="bearing", mark="Tower", bearing_deg=right, reference="true")

    fix = boat.navigator.room.plot.published["b"].report
    assert Position(fix.latitude_deg, fix.longitude_deg).to(place)[1] * 1852 < 5.0


def test_horizontal_angle_with_the_marks_swapped_is_suspected() -> None:
    """Left for right: from nowhere near the reckoning can it have been seen so, and the entry stays open."""
    boat = afloat()
    answer = boat.sighting(kind="horizontal_angle", mark="Tower", second_mark="Perch", angle_deg=80)

    assert (seen(answer).unusual_sigma or 0.0) > 3.0
    assert answer.open


# --- lights -----------------------------------------------------------------------------------------------


def test_raised_is_inside_and_makes_no_fix() -> None:
    """A light in sight is no line to cross; seen far enough, the horizon governs: 2.03 (root 43 + root 2)."""
    boat = afloat()
    answer = boat.sighting(id="r", kind="raised", mark="Tower", visibility_nm=30)

    light = shape(boat, "r")
    assert isinstance(light, InSight)
    assert light.radius_nm == pytest.approx(2.03 * (43**0.5 + 2**0.5), abs=0.01)
    assert "is no line to cross: it is weighed in the area only" in pencil(answer)
    assert answer.used
    assert seen(answer).fix is None


def test_raised_in_poor_visibility_is_by_brightness() -> None:
    """15 nm nominal in 1 nm: between what 0.67 and 1.5 nm of visibility make of it, by Allard's law."""
    boat = afloat()
    boat.sighting(id="r", kind="raised", mark="Tower", visibility_nm=1)

    light = shape(boat, "r")
    assert isinstance(light, InSight)
    for edge_nm, visibility_nm in (
        (light.radius_nm - light.sd_nm, 2 / 3),
        (light.radius_nm + light.sd_nm, 1.5),
    ):
        assert edge_nm**2 * 0.05 ** (-edge_nm / visibility_nm) == pytest.approx(225 * 0.05**-1.5, rel=1e-3)


def test_unknown_visibility_is_wide_and_says_so() -> None:
    """Nobody said how far one sees."""
    boat = afloat()
    answer = boat.sighting(id="r", kind="raised", mark="Tower")
    known = boat.sighting(id="k", kind="raised", mark="Tower", visibility_nm=30)

    wide, narrow = shape(boat, "r"), shape(boat, "k")
    assert isinstance(wide, InSight)
    assert isinstance(narrow, InSight)
    assert wide.sd_nm > 2 * narrow.sd_nm
    assert "the visibility is not given: taken as anything from 3 to 20 nm" in pencil(answer)
    assert "visibility" not in pencil(known)


def test_bobbed_and_dipped_are_circles() -> None:
    """A light on the horizon is at its geographic range, however bright, and crosses a bearing."""
    boat = afloat()
    boat.sighting(id="d", kind="dipped", mark="Tower", bobbed=True)
    assert isinstance(shape(boat, "d"), Circle)
    boat.sighting(id="r", kind="raised", mark="Tower", bobbed=True)
    assert isinstance(shape(boat, "r"), Circle)
    answer = boat.sighting(id="x", kind="dipped", mark="Perch", bobbed=True)
    assert refused(answer)[:2] == ("mark", "Perch")


def test_sector_is_weighed_and_makes_no_fix() -> None:
    """Red is seen where the light bears between 000 and 060: where she is; white is not, and is suspected."""
    boat = afloat()
    red = boat.sighting(id="s", kind="sector", mark="Tower", colour="red")
    white = boat.sighting(kind="sector", mark="Tower", colour="white")

    assert isinstance(shape(boat, "s"), Wedge)
    assert pencil(red).startswith("0101: Tower bears between 000 and 060 T; label 0101; no fix: ")
    assert (seen(red).unusual_sigma or 0.0) < 1.0
    assert white.open
    assert (red.open, red.used) == (False, True)


def test_sector_that_a_light_has_not_is_refused() -> None:
    """The wanted colours are the light's own; a mark without sectors has none."""
    boat = afloat()

    answer = boat.sighting(kind="sector", mark="Tower", colour="green")
    assert refused(answer) == ("colour", "green", "red, white, dark")
    answer = boat.sighting(kind="sector", mark="Perch", colour="red")
    assert refused(answer)[:2] == ("mark", "Perch")


# --- soundings --------------------------------------------------------------------------------------------


def test_sounding_is_a_band_about_its_contour() -> None:
    """11.5 m under the keel of 1.5 with 3.0 of tide is 10.0 on the chart: 1 in 100 and 0.42 m is 42 m."""
    boat = afloat()
    answer = boat.sighting(id="d", kind="depth", depth_m=11.5, below="keel", contour="ten metres", tide_m=3.0)

    band = shape(boat, "d")
    assert isinstance(band, ContourBand)
    assert band.sd_nm * 1852 == pytest.approx(hypot(100.0, 100.0 * hypot(0.3, 0.3)), rel=1e-6)
    assert "10.0 m on the chart" in pencil(answer)
    assert seen(answer).fix is None


def test_sounding_without_tide_says_so() -> None:
    """The band is as wide as the tide's range makes it."""
    answer = afloat().sighting(kind="depth", depth_m=12, below="waterline", contour="ten metres")

    assert "the tide is not given: the band is as wide as a range of 4 m makes it" in pencil(answer)


def test_sounding_without_contours_is_kept_and_not_used() -> None:
    """There is nothing to hold it against, and the answer says so."""
    answer = afloat(Tuning(variation=FIVE_WEST)).sighting(
        kind="depth", depth_m=12, below="waterline", contour="ten metres", tide_m=2
    )

    assert (answer.accepted, answer.used) == (True, False)
    assert pencil(answer) == "kept in the log, not used: the marks file has no contours"


def test_sounding_on_an_unknown_contour_is_refused() -> None:
    """As an unknown mark is, with the nearest names."""
    answer = afloat().sighting(kind="depth", depth_m=12, below="waterline", contour="ten metre", tide_m=2)

    assert refused(answer) == ("contour", "ten metre", "ten metres")


def test_sounding_below_a_transducer_of_unknown_depth_is_refused() -> None:
    """How deep it lies is a setting; nil would be a guess."""
    answer = afloat().sighting(kind="depth", depth_m=12, below="transducer", contour="ten metres")

    assert refused(answer) == ("below", "transducer", "waterline; or transducer_depth_m in [boat]")


# --- marks charted badly -----------------------------------------------------------------------------------

OFF = Mark("Off", START.along(45.0, 2.0), height_m=40.0, range_nm=15.0, datum="MHWS", sd_m=185.2)
OFF_SECTORED = replace(OFF, name="Sectored", sectors=(Sector("red", 0.0, 90.0),))
BEHIND = Mark("Behind", START.along(45.0, 3.0), sd_m=92.6)
EXACT = Mark("Exact", START.along(45.0, 2.0))
"""Marks two and three miles off, out by 0.1 and 0.05 nm; and one at the same place that is not."""


def among_doubtful_marks() -> Aboard:
    """Return a boat at anchor, as it were, at the start: two miles off marks that are charted badly."""
    boat = Aboard(SET)
    boat.navigator = Navigator(SET, {mark.name: mark for mark in (OFF, OFF_SECTORED, BEHIND, EXACT)}, entries)
    boat.speed_kn = 0.0
    boat.run(10)
    boat.depart()
    boat.run(10)
    return boat


def doubt(answer: Answer) -> tuple[str, float]:
    """Return the doubt of a line as it is told: in which unit, and how much."""
    line = seen(answer).line
    assert line is not None
    ((unit, sd),) = ((unit, sd) for unit, sd in (("deg", line.sd_deg), ("nm", line.sd_nm)) if sd is not None)
    return unit, sd


def test_the_place_of_a_mark_is_in_the_doubt_of_a_bearing() -> None:
    """0.1 nm at 2: 2.86 degrees beside 2.5; a mark that is not said to be out adds nothing."""
    boat = among_doubtful_marks()
    off = boat.sighting(kind="bearing", mark="Off", bearing_deg=45, reference="true")
    exact = boat.sighting(kind="bearing", mark="Exact", bearing_deg=45, reference="true")

    unit, sd_deg = doubt(off)
    assert unit == "deg"
    assert sd_deg == pytest.approx(hypot(2.5, degrees(atan(0.1 / 2.0))), rel=1e-3)
    assert doubt(exact) == ("deg", 2.5)


def test_a_bearing_of_a_mark_charted_badly_is_less_unusual() -> None:
    """Eight degrees out: over 2.5, the mark's 2.86, 1.5 of the hand and 0.05 nm of the departure."""
    boat = among_doubtful_marks()
    answer = boat.sighting(kind="bearing", mark="Off", bearing_deg=53, reference="true")

    spread_deg = hypot(2.5, degrees(atan(0.1 / 2.0)), 1.5, degrees(0.05 / 2.0))
    assert seen(answer).unusual_sigma == pytest.approx(8.0 / spread_deg, rel=0.03)


def test_the_place_of_a_mark_is_in_the_doubt_of_a_range_and_a_passing() -> None:
    """5 in 100 of two miles, and a third of 300 m, each beside 0.1 nm."""
    boat = among_doubtful_marks()
    distance = boat.sighting(kind="range", mark="Off", distance_nm=2.0)
    passing = boat.sighting(kind="passing", mark="Off", side="port", distance_m=300)

    assert [doubt(each)[0] for each in (distance, passing)] == ["nm", "nm"]
    assert doubt(distance)[1] == pytest.approx(hypot(0.1, 0.1))
    assert doubt(passing)[1] == pytest.approx(hypot(90 / 1852, 0.1))


def test_the_places_of_both_marks_are_in_the_doubt_of_a_transit() -> None:
    """Two miles before marks a mile apart: three times 0.1 by the front one, twice 0.05 by the rear one."""
    boat = among_doubtful_marks()
    by_eye = doubt(boat.sighting(kind="transit", mark="Exact", rear_mark="Behind"))[1]
    by_both = doubt(boat.sighting(kind="transit", mark="Off", rear_mark="Behind"))[1]

    assert by_eye == pytest.approx(hypot(radians(1 / 60) * 2 * 3, 0.1), rel=1e-3)
    assert by_both == pytest.approx(hypot(radians(1 / 60) * 2 * 3, 0.3, 0.1), rel=1e-3)


def test_the_place_of_a_light_is_in_the_doubt_of_its_sectors_and_its_range() -> None:
    """The edges by 2 degrees and 2.86; the range by what it was, and 0.1 nm."""
    boat = among_doubtful_marks()
    red = boat.sighting(kind="sector", mark="Sectored", colour="red")
    boat.sighting(id="d", kind="dipped", mark="Off", visibility_nm=30)
    dipped = shape(boat, "d")

    assert doubt(red)[1] == pytest.approx(hypot(2.0, degrees(atan(0.1 / 2.0))), rel=1e-3)
    assert isinstance(dipped, Circle)
    with_tower = afloat()
    with_tower.sighting(id="d", kind="dipped", mark="Tower", visibility_nm=30)
    same = shape(with_tower, "d")
    assert isinstance(same, Circle)
    assert dipped.sd_nm == pytest.approx(hypot(same.sd_nm, 0.1), rel=1e-6)


# --- what is drawn of a region ------------------------------------------------------------------------------


def test_a_sector_is_published_with_its_limits() -> None:
    """True, from seaward, after all that a line has."""
    answer = json.loads(payload(afloat().sighting(kind="sector", mark="Tower", colour="red")))
    dark = json.loads(payload(afloat().sighting(kind="sector", mark="Tower", colour="dark")))

    assert list(answer["line"]) == [
        "shape", "latitude_deg", "longitude_deg", "bearing_deg", "radius_nm", "sd_deg", "at", "from_deg",
        "to_deg",
    ]  # fmt: skip
    assert (answer["line"]["from_deg"], answer["line"]["to_deg"]) == (0.0, 60.0)
    assert (dark["line"]["from_deg"], dark["line"]["to_deg"]) == (100.0, 0.0)


def test_a_sounding_is_published_with_its_contour() -> None:
    """The line can be drawn from the answer alone, and says what depth it is of."""
    answer = afloat().sighting(kind="depth", depth_m=11.5, below="keel", contour="ten metres", tide_m=3.0)
    line = json.loads(payload(answer))["line"]

    assert (line["shape"], line["depth_m"]) == ("contour", 10.0)
    assert [list(point) for point in line["points"]] == [["latitude_deg", "longitude_deg"]] * 2
    assert "from_deg" not in line


def test_a_light_in_sight_is_published_as_inside() -> None:
    """Dipped it is a line, raised it is not."""
    boat = afloat()
    raised = json.loads(payload(boat.sighting(kind="raised", mark="Tower", visibility_nm=30)))
    dipped = json.loads(payload(boat.sighting(kind="dipped", mark="Tower", visibility_nm=30)))

    assert (raised["line"]["shape"], raised["line"]["inside"]) == ("circle", True)
    assert "inside" not in dipped["line"]


# --- late, amended, withdrawn -----------------------------------------------------------------------------


def test_a_light_goes_by_the_visibility_told_before_it_whenever_that_is_heard() -> None:
    """An order heard late, and one withdrawn, change the light as if heard in time."""
    boat = afloat()
    boat.sighting(id="r", kind="raised", mark="Tower", at=utc(40))
    unknown = shape(boat, "r")
    boat.order(id="v", kind="visibility", visibility_nm=1, at=utc(30))
    poor = shape(boat, "r")
    boat.order(id="later", kind="visibility", visibility_nm=9, at=utc(50))

    assert poor != unknown
    assert shape(boat, "r") == poor
    boat.order(kind="withdraw", entry="v")
    assert shape(boat, "r") == unknown


def test_an_angle_amended_is_worked_again() -> None:
    """The circle is that of the figure meant."""
    boat = afloat()
    boat.sighting(id="v", kind="vertical_angle", mark="Tower", angle_min=43, index_error_min=1, tide_m=3.0)
    boat.order(kind="amend", entry="v", change={"angle_min": 34})

    circle = shape(boat, "v")
    assert isinstance(circle, Circle)
    assert circle.radius_nm == pytest.approx(1.8562 * 42 / 33, abs=1e-3)
    boat.order(kind="withdraw", entry="v")
    assert "v" not in boat.navigator.room.plot.lines


def test_a_restart_has_the_same_lines() -> None:
    """From what the journal was given a new navigator makes the same of every kind."""
    boat = afloat()
    boat.order(id="o", kind="visibility", visibility_nm=6, at=utc(20))
    boat.sighting(id="v", kind="vertical_angle", mark="Tower", angle_min=34, tide_m=3.0)
    boat.sighting(id="h", kind="horizontal_angle", mark="Perch", second_mark="Tower", angle_deg=80)
    boat.sighting(id="r", kind="raised", mark="Tower")
    boat.sighting(id="s", kind="sector", mark="Tower", colour="red")
    boat.sighting(id="d", kind="depth", depth_m=11.5, below="keel", contour="ten metres", tide_m=3.0)
    boat.run(5)
    again = _Aboard()
    again.navigator.thaw(boat.navigator.freeze(), boat.navigator.drain())
    again.now_ms = boat.now_ms

    assert set(plotted(boat)[0]) == {"v", "h", "r", "s", "d"}
    assert plotted(again) == plotted(boat)
    assert again.run(5) == boat.run(5)
    boat.order(kind="withdraw", entry="o")
    again.order(kind="withdraw", entry="o")
    assert plotted(again) == plotted(boat)


_AT_S = st.integers(100, 500)
_KINDS: st.SearchStrategy[dict[str, Any]] = st.one_of(
    st.just({"kind": "vertical_angle", "mark": "Bolt Head", "angle_min": 12, "height_m": 130}),
    st.just(
        {"kind": "horizontal_angle", "mark": "Start Point", "second_mark": "Stoke Point", "angle_deg": 70}
    ),
    st.just({"kind": "depth", "depth_m": 12, "below": "waterline", "contour": "ten metres"}),
    st.just({"kind": "bearing", "mark": "Bolt Head", "bearing_deg": 243, "reference": "true"}),
)


@settings(max_examples=10, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(st.tuples(_AT_S, _KINDS), min_size=1, max_size=4), st.data())
def test_late_equals_in_time(told: list[tuple[int, dict[str, Any]]], data: st.DataObject) -> None:
    """However late they are heard, the same lines stand on the plot, and the same fixes."""
    departed = Told(
        10, "order", {"id": "d", "kind": "departure", "latitude_deg": 50.0, "longitude_deg": -4.0}
    )
    in_time = [Told(at_s, "sighting", {"id": f"s{n}", **body}) for n, (at_s, body) in enumerate(told)]
    late = [Told(each.at_s, each.channel, each.body, data.draw(st.integers(510, 600))) for each in in_time]

    heard_in_time, heard_late = (deck_log([departed, *each], 620, SET) for each in (in_time, late))

    assert plotted(heard_late) == plotted(heard_in_time)
    assert plotted(heard_in_time)[0]
