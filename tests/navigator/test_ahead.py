"""Ahead: where EP and area will be, held against where they are once she has sailed on."""

import json
from dataclasses import replace

import pytest

from middlewatch.navigator.tuning import Tuning, VariationChoice
from middlewatch.quantities.positions import Position
from middlewatch.readings.dangers import Danger
from middlewatch.readings.marks import Mark
from middlewatch.reports.ahead import AheadReport
from middlewatch.reports.place import PlaceReport
from middlewatch.reports.position import PositionReport
from middlewatch.wire.payloads import payload
from navigator.navigating import DEPARTURE, TRUE_COMPASS, Aboard, magnetic, taken_up

FIVE_WEST = Tuning(variation=VariationChoice("chart", -5.0, 2026.0))
ten_metres = 10.0 / 1852.0


def ahead_of(position: PositionReport, minutes: int, course: str = "present") -> AheadReport:
    """Return one row of what is ahead."""
    assert position.ahead is not None
    return next(row for row in position.ahead if (row.minutes, row.course) == (minutes, course))


def off_nm(place: PlaceReport, position: PositionReport) -> float:
    """Return how far a place is from the EP of a report."""
    assert position.ep is not None
    ep = Position(position.ep.latitude_deg, position.ep.longitude_deg)
    return ep.to(Position(place.latitude_deg, place.longitude_deg))[1]


def whole_minute(boat: Aboard, heading_deg: float, wind: tuple[float, float] | None = None) -> PositionReport:
    """Sail on to a whole minute, some way from the departure."""
    boat.sail(30, heading_deg, 6.0, wind=wind)
    boat.depart()
    return boat.sail(30 + 9 * 60, heading_deg, 6.0, wind=wind)


def test_log_and_compass_are_calibrated_once_ahead() -> None:
    """By a log at four fifths and a compass 10 degrees out she comes to where she was told she would."""
    boat = Aboard(FIVE_WEST)
    boat.sail(30, 40.0, 6.0)
    boat.order("log_factor", factor=0.8)
    boat.order("deviation", deviation_deg=10)
    boat.depart()
    begun = boat.sail(30 + 9 * 60, 40.0, 6.0)
    quarter = boat.sail(15 * 60, 40.0, 6.0)

    assert off_nm(ahead_of(begun, 15).ep, quarter) < ten_metres


def test_it_is_told_as_soon_as_the_first_departure_steers() -> None:
    """Only the departure gives the model a place for its variation; two seconds on it is all told."""
    boat = Aboard(Tuning())
    boat.sail(33, 40.0, 6.0)
    boat.depart()

    assert len(boat.sail(2, 40.0, 6.0).ahead or ()) == 3


@pytest.mark.parametrize("tuning", [TRUE_COMPASS, FIVE_WEST], ids=["no variation", "five west"])
@pytest.mark.parametrize("wind", [None, (45.0, 16.0)], ids=["no wind", "close-hauled"])
def test_the_ep_ahead_is_where_the_ep_comes_to(tuning: Tuning, wind: tuple[float, float] | None) -> None:
    """She sails on just as she did, leeway and variation and all: in a quarter of an hour she is there."""
    boat = Aboard(tuning)
    begun = whole_minute(boat, 40.0, wind)
    quarter = boat.sail(15 * 60, 40.0, 6.0, wind=wind)
    half = boat.sail(15 * 60, 40.0, 6.0, wind=wind)

    for minutes, came in ((15, quarter), (30, half)):
        row = ahead_of(begun, minutes)
        assert row.at == came.at
        assert row.heading_true_deg == came.heading_true_deg
        assert off_nm(row.ep, came) < ten_metres


def test_a_stream_by_order_runs_out_on_the_way() -> None:
    """Ordered for 20 minutes: it carries the EP so long, and no further; the area widens as it does then."""
    boat = Aboard()
    whole_minute(boat, 90.0)
    boat.order("stream", set_deg=180, drift_kn=2.0, until="2026-05-03T02:25:00Z")
    begun = boat.sail(60, 90.0, 6.0)
    came = boat.sail(30 * 60, 90.0, 6.0)
    row = ahead_of(begun, 30)

    assert off_nm(row.ep, came) < ten_metres
    assert came.area is not None
    assert row.area.semi_major_nm == pytest.approx(came.area.semi_major_nm, rel=0.03)


def test_by_hand_and_lying_to_are_looked_ahead_too() -> None:
    """A heading and speed by hand go on as ordered; hove-to she drifts as ordered."""
    boat = Aboard()
    whole_minute(boat, 90.0)
    boat.order("by_hand", heading_deg=120, reference="true", speed_kn=4.0)
    by_hand = boat.sail(60, 90.0, 6.0)
    then = boat.sail(15 * 60, 90.0, 6.0)
    boat.order("way", way="hove_to", drift_towards_deg=200, drift_kn=1.5)
    hove_to = boat.sail(60, 90.0, 6.0)
    later = boat.sail(15 * 60, 90.0, 6.0)

    assert off_nm(ahead_of(by_hand, 15).ep, then) < ten_metres
    assert off_nm(ahead_of(hove_to, 15).ep, later) < ten_metres


def test_the_area_ahead_is_as_wide_as_the_area_becomes() -> None:
    """An hour on, without a sight: its half axes are those drawn then, to the grain of 20,000 samples."""
    boat = Aboard()
    begun = whole_minute(boat, 90.0)
    came = boat.sail(60 * 60, 90.0, 6.0)
    told = ahead_of(begun, 60).area

    assert came.area is not None
    assert told.semi_major_nm == pytest.approx(came.area.semi_major_nm, rel=0.02)
    assert told.semi_minor_nm == pytest.approx(came.area.semi_minor_nm, rel=0.02)
    assert told.probability == 0.95


def test_the_course_ordered_is_looked_at_beside_the_one_steered() -> None:
    """Only where it differs by over two degrees; turned to true by the steering compass's way."""
    boat = Aboard(FIVE_WEST)
    whole_minute(boat, 90.0)
    boat.order("course", heading_deg=92.0, reference="magnetic")
    alike = boat.sail(1, 90.0, 6.0)
    boat.order("course", heading_deg=140.0, reference="magnetic")
    other = boat.sail(1, 90.0, 6.0)
    came = boat.sail(15 * 60, 140.0, 6.0)

    assert alike.ahead is not None
    assert {row.course for row in alike.ahead} == {"present"}
    row = ahead_of(other, 15, "ordered")
    assert row.heading_true_deg == 135.0
    assert off_nm(row.ep, came) < ten_metres


def test_it_is_worked_each_minute_and_after_an_entry_only() -> None:
    """Between, the very same is told again; before a departure, or while no speed is known, nothing."""
    boat = Aboard()
    before = boat.sail(60, 90.0, 6.0)
    first = whole_minute(boat, 90.0)
    same = boat.sail(59, 90.0, 6.0)
    minute = boat.sail(1, 90.0, 6.0)
    between = boat.sail(20, 90.0, 6.0)
    boat.enter("order", kind="remark", text="all well")
    entered = boat.sail(1, 90.0, 6.0)

    assert before.ahead is None
    assert first.ahead is not None
    assert same.ahead is first.ahead
    assert minute.ahead != first.ahead
    assert between.ahead is minute.ahead
    assert entered.ahead is not None
    assert entered.ahead[0].at.ms - entered.at.ms == 15 * 60_000 - 1000
    silent = Aboard()
    silent.sail(30, 90.0)
    silent.depart()
    assert silent.sail(60, 90.0).ahead is None


def test_what_is_ahead_outlives_a_restart() -> None:
    """Taken up between two minutes, with dangers and an alert standing: the same is said, to the letter."""
    rock = Danger("Rock", "point", ((Position(*DEPARTURE).along(90.0, 2.5),),), 300.0)
    tuning = replace(TRUE_COMPASS, dangers=(rock,))
    boat = Aboard(tuning)
    whole_minute(boat, 90.0)
    boat.sail(25, 90.0, 6.0)
    again = Aboard(tuning, begin=False)
    again.now_ms = boat.now_ms
    again.navigator = taken_up(boat.navigator, boat.navigator.freeze(), boat.navigator.drain())
    for _ in range(100):
        told = [boat.second(magnetic(boat.now_ms, 90.0)), again.second(magnetic(again.now_ms, 90.0))]
        assert payload(told[0]) == payload(told[1])

    assert boat.navigator.freeze() == again.navigator.freeze()
    assert boat.alerts("danger")


def test_while_the_dr_waits_an_alert_stands() -> None:
    """After a gap of unknown length nothing ahead can be told, and nothing is better than it was."""
    rock = Danger("Rock", "point", ((Position(*DEPARTURE).along(90.0, 2.5),),), 300.0)
    boat = Aboard(replace(TRUE_COMPASS, dangers=(rock,)))
    whole_minute(boat, 90.0)
    standing = boat.standing("danger")
    boat.restart(600, gap_known=False)
    waiting = boat.sail(120, 90.0, 6.0)

    assert standing is not None
    assert (waiting.ahead, waiting.danger) == (None, None)
    # It is said again after a minute, in its newest words.
    stands = boat.standing("danger")
    assert stands is not None
    assert stands.split(":")[0] == standing.split(":")[0] == "Rock, to be kept 300 m off"


def test_it_is_published_last_and_left_out_where_there_is_none() -> None:
    """Keys in order, figures by their names; no outline, and a danger only where one is in the way."""
    rock = Danger("Rock", "point", ((Position(*DEPARTURE).along(90.0, 2.5),),), 300.0)
    boat = Aboard(replace(TRUE_COMPASS, dangers=(rock,)))
    before = json.loads(payload(boat.sail(1, 90.0, 6.0)))
    position = json.loads(payload(whole_minute(boat, 90.0)))

    assert "ahead" not in before
    assert "danger" not in before
    assert list(position)[-3:] == ["origin", "ahead", "danger"]
    assert [list(row) for row in position["ahead"][::2]] == [
        ["at", "minutes", "course", "heading_true_deg", "ep", "area", "danger"],
        ["at", "minutes", "course", "heading_true_deg", "ep", "area"],
    ]
    assert list(position["ahead"][0]["area"]) == [
        "latitude_deg", "longitude_deg", "semi_major_nm", "semi_minor_nm", "orientation_deg", "probability",
    ]  # fmt: skip
    assert list(position["danger"]) == [
        "at", "name", "distance_nm", "probability", "within_half_hour", "within_hour", "likeliest",
        "soonest_at",
    ]  # fmt: skip
    assert position["danger"]["name"] == position["danger"]["likeliest"] == "Rock"


@pytest.mark.parametrize("late_s", [5, 45, 200])
def test_an_entry_heard_late_leaves_the_same_ahead(late_s: int) -> None:
    """A range taken in time, or told of late, within the minute or after it: the very same is told."""
    rock = Danger("Rock", "point", ((Position(*DEPARTURE).along(90.0, 4.0),),), 300.0)
    light = Mark("Light", Position(*DEPARTURE).along(60.0, 5.0))
    late, prompt = (Aboard(replace(TRUE_COMPASS, dangers=(rock,)), {"Light": light}) for _ in range(2))
    for boat in (late, prompt):
        whole_minute(boat, 90.0)
        boat.sail(7, 90.0, 6.0)
    prompt.enter("sighting", id="r1", kind="range", mark="Light", distance_nm=4.5)
    for boat in (late, prompt):
        boat.sail(late_s, 90.0, 6.0)
    late.enter("sighting", id="r1", kind="range", mark="Light", distance_nm=4.5, ago_s=late_s)
    told = [boat.sail(1, 90.0, 6.0) for boat in (late, prompt)]

    assert told[0].ahead is not None
    assert told[0].danger is not None
    assert (told[0].ahead, told[0].danger) == (told[1].ahead, told[1].danger)
