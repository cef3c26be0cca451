"""The reckoning is a function of what was ordered for when: not of when that was heard, nor in which order.

Ten minutes of a passage with alterations, across a checkpoint of the reckoning; orders of every kind that
lies over the water track, heard in time, late in any order, amended or withdrawn: always the same digits.
"""

import json
from collections.abc import Iterable
from typing import Any, NamedTuple

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from middlewatch.navigator.reckoning.course import Course
from middlewatch.navigator.tuning import Tuning, VariationChoice
from middlewatch.readings.entries import Entry
from middlewatch.readings.sentences import ApparentWind, WaterSpeed
from middlewatch.readings.watch import Tick
from middlewatch.reports.answer import Answer
from navigator.navigating import DEPARTURE, LOG, START, Aboard, after, dr_of, ep_of, magnetic
from reference.rhumb import metres_apart, rhumb_arrival

PASSAGE_S = 600
CARDED = Tuning(variation=VariationChoice("chart", -4.0, 2026.0), steering_card=((0.0, 2.0), (180.0, -3.0)))

Fields = dict[str, Any]


class Heard(NamedTuple):
    """An entry and when it is heard, in seconds after the start."""

    at_s: float
    fields: Fields


class Worked(NamedTuple):
    """All that the reckoning has to show for a passage."""

    now: Course
    dr: list[object]
    ep: list[object]
    runs: list[object]


def passage(heard: Iterable[Heard]) -> Worked:
    """Sail the passage, hear each entry at its time; return what the reckoning has of every second."""
    boat = Aboard(CARDED)
    waiting = sorted(heard, key=lambda each: each.at_s)
    for s in range(PASSAGE_S):
        # Readings twenty seconds apart: it is the orders that are tried here.
        if s % 20 == 0:
            boat.step(magnetic(boat.now_ms, (60.0 + 7 * (s // 20)) % 360.0))
            boat.step(WaterSpeed(boat.now_ms, LOG, 4.0 + (s // 20) % 5))
        if 200 <= s < 400 and s % 5 == 0:
            boat.step(ApparentWind(boat.now_ms, "WIMWV@mast", 310.0, 14.0))
        while waiting and waiting[0].at_s < s + 1:
            _enter(boat, waiting.pop(0))
        boat.second()
    for late in waiting:
        _enter(boat, Heard(PASSAGE_S, late.fields))
    reckoning, first = boat.navigator.room.reckoning, START.ms // 1000
    seconds = range(first, first + PASSAGE_S + 1)
    return Worked(
        reckoning.now,
        [reckoning.dr(s) for s in seconds],
        [reckoning.ep(s) for s in seconds],
        [(reckoning.run_m(first, s), reckoning.water_run_m(first, s), reckoning.logged_nm(first, s)) for s in
        seconds],
    )  # fmt: skip


def _enter(boat: Aboard, heard: Heard) -> None:
    at_ms = max(boat.now_ms, START.ms + round(heard.at_s * 1000))
    answers = [r for r in boat.step(Entry(at_ms, "order", json.dumps(heard.fields))) if isinstance(r, Answer)]
    assert [(a.accepted, a.refusal) for a in answers] == [(True, None)]


directions = st.integers(0, 359).map(float)
speeds = st.integers(0, 80).map(lambda tenths: tenths / 10)
# Now and then the very second of a checkpoint.
CHECKPOINT_S = 300.0
moments = st.one_of(
    st.integers(0, PASSAGE_S * 4 - 4).map(lambda quarters: quarters / 4), st.just(CHECKPOINT_S)
)
ORDERS: st.SearchStrategy[Fields] = st.one_of(
    st.fixed_dictionaries({
        "kind": st.just("departure"), "latitude_deg": st.floats(49.0, 51.0), "longitude_deg": st.floats(-5.0,
        -4.0),
    }),
    st.fixed_dictionaries({
        "kind": st.just("by_hand"), "heading_deg": directions,
        "reference": st.sampled_from(["true", "magnetic", "compass"]),
    }),
    st.fixed_dictionaries({"kind": st.just("by_hand"), "heading_deg": st.none()}),
    st.fixed_dictionaries({"kind": st.just("by_hand"), "speed_kn": st.none() | speeds}),
    st.fixed_dictionaries({"kind": st.just("by_hand"), "log_nm": st.none() | speeds}),
    st.fixed_dictionaries({
        "kind": st.just("leeway"), "leeway_deg": st.integers(0, 30), "pushed_to": st.sampled_from(["port",
        "starboard"]),
    }),
    st.just({"kind": "leeway", "leeway_deg": None}),
    st.fixed_dictionaries(
        {"kind": st.just("stream"), "set_deg": directions, "drift_kn": speeds},
        optional={"lasts_s": st.integers(1, PASSAGE_S)},
    ),
    st.fixed_dictionaries(
        {"kind": st.just("way"), "way": st.sampled_from(["under_way", "manoeuvring", "anchored", "hove_to",
        "drifting"])}, optional={"lasts_s": st.integers(1, PASSAGE_S)},
    ),
    st.fixed_dictionaries({
        "kind": st.just("way"), "way": st.sampled_from(["hove_to", "drifting"]),
        "drift_towards_deg": directions, "drift_kn": speeds,
    }),
    st.fixed_dictionaries({"kind": st.just("course"), "heading_deg": directions, "reference":
    st.just("true")}),
)  # fmt: skip


@st.composite
def given_orders(draw: st.DrawFn) -> list[Heard]:
    """Return a departure within the first five minutes and up to seven orders, each heard at its own time."""
    start = {"kind": "departure", "latitude_deg": DEPARTURE[0], "longitude_deg": DEPARTURE[1]}
    times = [draw(moments.filter(lambda s: s < 300)), *draw(st.lists(moments, max_size=7))]
    orders = [start, *(draw(ORDERS) for _ in times[1:])]
    return [
        Heard(at_s, {**_until(order, at_s), "id": f"o{number}", "at": after(at_s)})
        for number, (at_s, order) in enumerate(zip(times, orders, strict=True))
    ]


def _until(order: Fields, at_s: float) -> Fields:
    """Say how long an order is to last as the time it ends."""
    said = {key: value for key, value in order.items() if key != "lasts_s"}
    return {**said, "until": after(at_s + order["lasts_s"])} if "lasts_s" in order else said


@st.composite
def late(draw: st.DrawFn, orders: list[Heard]) -> list[Heard]:
    """Return the orders, each heard at some moment not before its own."""
    return [Heard(draw(st.floats(each.at_s, PASSAGE_S + 1)), each.fields) for each in orders]


@given(st.data())
@settings(max_examples=40, deadline=None)
def test_late_is_in_time(data: st.DataObject) -> None:
    """Orders heard late, in any order, end with the same reckoning of every second, to the digit."""
    orders = data.draw(given_orders())

    assert passage(data.draw(late(orders))) == passage(orders)


def test_late_for_the_second_of_a_checkpoint_is_in_time() -> None:
    """An order for the very second at which the reckoning has a checkpoint, heard later, is worked there."""
    order = {"kind": "by_hand", "speed_kn": 2.0, "id": "o", "at": after(CHECKPOINT_S)}
    start = Heard(
        5, {"kind": "departure", "latitude_deg": DEPARTURE[0], "longitude_deg": DEPARTURE[1], "id": "d"}
    )

    assert passage([start, Heard(400, order)]) == passage([start, Heard(CHECKPOINT_S, order)])


@given(st.data())
@settings(max_examples=25, deadline=None)
def test_withdrawn_is_never_entered(data: st.DataObject) -> None:
    """An order withdrawn, whenever, leaves the reckoning of every second as if it had not been given."""
    orders = data.draw(given_orders())
    taken_back = data.draw(st.sampled_from(orders[1:] or orders))
    at_s = data.draw(st.floats(taken_back.at_s, PASSAGE_S + 1).filter(lambda s: s > taken_back.at_s))
    withdrawal = Heard(at_s, {"kind": "withdraw", "entry": taken_back.fields["id"], "id": "w"})

    assert passage([*orders, withdrawal]) == passage([each for each in orders if each is not taken_back])


@given(st.data())
@settings(max_examples=25, deadline=None)
def test_amended_is_entered_right(data: st.DataObject) -> None:
    """An order entered wrong and amended, whenever, is one entered right: another time, another figure."""
    orders = data.draw(given_orders())
    right = data.draw(st.sampled_from(orders))
    before_s = PASSAGE_S if "until" not in right.fields else right.at_s
    wrong_s = data.draw(moments.filter(lambda s: s <= before_s))
    wrong = {**right.fields, "at": after(wrong_s)}
    change: Fields = {"at": right.fields["at"]}
    for figure in ("latitude_deg", "drift_kn", "leeway_deg", "heading_deg"):
        if right.fields.get(figure) is not None:
            wrong[figure], change[figure] = 7.0, right.fields[figure]
    # Heard once both times have come, and amended after that.
    heard_s = max(wrong_s, right.at_s)
    amended_s = data.draw(st.floats(heard_s + 1, PASSAGE_S + 2))
    amendment = Heard(amended_s, {"kind": "amend", "entry": right.fields["id"], "change": change, "id": "a"})
    others = [each for each in orders if each is not right]

    assert passage([*others, Heard(heard_s, wrong), amendment]) == passage(orders)


def test_an_order_before_the_first_tick_is_worked_at_it() -> None:
    """A departure heard in the second before the first tick starts the DR there."""
    boat = Aboard(CARDED, begin=False)
    early = {"kind": "departure", "latitude_deg": DEPARTURE[0], "longitude_deg": DEPARTURE[1]}
    boat.step(Entry(START.ms - 300, "order", json.dumps(early)))

    boat.step(Tick(START.ms))
    position = boat.second()

    assert dr_of(position) == DEPARTURE


def test_runs_are_known_between_seconds() -> None:
    """Lines are carried by the runs of DR and EP; where heading was unknown there is none."""
    boat = Aboard()
    boat.sail(1, None, 5.0)
    first = boat.now_ms // 1000
    boat.sail(60, None, 5.0)
    unknown_until = boat.now_ms // 1000
    boat.order("stream", set_deg=180.0, drift_kn=1.0)
    boat.sail(3601, 90.0, 5.0)
    reckoning, last = boat.navigator.room.reckoning, boat.now_ms // 1000

    assert reckoning.run_m(first, last) is None
    assert reckoning.water_run_m(first, last) is None
    water, ground = reckoning.water_run_m(last - 3600, last), reckoning.run_m(last - 3600, last)
    assert water == pytest.approx((0.0, 5 * 1852.0), abs=0.01)
    assert ground == pytest.approx((-1852.0, 5 * 1852.0), abs=1.0)
    assert reckoning.logged_nm(unknown_until, last) == pytest.approx(5.0, abs=0.01)


def test_looking_back_is_what_was() -> None:
    """The course looked up at any second of the past is the one that stood then."""
    boat = Aboard()
    boat.sail(2, 90.0, 5.0)
    boat.depart()
    stood = []
    for s in range(700):
        if s % 100 == 50:
            boat.order("leeway", leeway_deg=s % 30, pushed_to="port")
        boat.sail(1, (s * 3) % 360, 5.0)
        now = boat.navigator.room.reckoning.now
        stood.append((now.second, now.dr, now.ep, now.heading_true_deg))

    for second, dr, ep, heading_deg in stood:
        back = boat.navigator.room.reckoning.course_at(second)
        assert (back.dr, back.ep, back.heading_true_deg) == (dr, ep, heading_deg)
        assert boat.navigator.room.reckoning.dr(second) is not None


def test_a_new_departure_starts_afresh() -> None:
    """A second departure is a new origin with its own time and a run of nought; the DR goes on from it."""
    boat = Aboard()
    boat.sail(2, 90.0, 5.0)
    boat.depart()
    boat.sail(600, 90.0, 5.0)
    boat.depart((51.0, -3.0), id="second", sd_nm=0.2)

    position = boat.sail(1800, 0.0, 6.0)

    assert position.origin is not None
    assert (position.origin.id, position.origin.kind) == ("second", "departure")
    assert position.dr is not None
    assert position.dr.run_nm == pytest.approx(3.0, abs=1e-6)
    assert metres_apart(dr_of(position), rhumb_arrival(51.0, -3.0, 0.0, 3.0)) < 0.01
    assert dr_of(position) == ep_of(position)


def test_before_a_departure_there_is_no_position() -> None:
    """No departure: no DR, EP, origin or allowance, not a zero among them; heading and speed are there."""
    position = Aboard().sail(30, 90.0, 5.0)

    assert (position.dr, position.ep, position.origin, position.allowance_nm, position.area) == (None,) * 5
    assert (position.heading_true_deg, position.speed_kn) == (90.0, 5.0)
