"""Calibrated by hand: an order that is right raises nothing, a wrong one is told and named."""

from collections.abc import Mapping
from dataclasses import replace

import pytest

from calibration.trials import SETTINGS, OnTrial, Wrong
from middlewatch.navigator.reckoning.course import Course
from middlewatch.navigator.watch.recalibrated import Before, before
from middlewatch.navigator.watch.spells import Spell
from middlewatch.reports.alert import AlertReport
from navigator.navigating import Aboard, taken_up

ORDERS: tuple[Mapping[str, float], ...] = (
    {"factor": 0.75},
    {"factor": 1.25},
    {"deviation_deg": 15.0},
    {"deviation_deg": -15.0},
)
RAISED_BY_A_STEP = {"parting", "jumped", "frozen", "doubtful", "returning"}


def in_step(order: Mapping[str, float], *, right: bool, off_m: float = 0.0) -> OnTrial:
    """Return a boat ten minutes out, log and compass out as the order will have it, or not at all.

    `off_m`: how far the departure is off, to the east.
    """
    wrong = Wrong(order.get("factor", 1.0), order.get("deviation_deg", 0.0)) if right else Wrong()
    boat = OnTrial(1, wrong, strongest_kn=None, tuning=replace(SETTINGS))
    boat.sail(((20.0, 30),))
    place = boat.at.moved(0.0, off_m)
    boat.boat.depart((place.latitude_deg, place.longitude_deg))
    boat.sail(((20.0, 600),))
    return boat


def give(boat: OnTrial, order: Mapping[str, float], **told: object) -> None:
    """Order it by hand."""
    kind = "log_factor" if "factor" in order else "deviation"
    boat.boat.order(kind, id="cal", **order, **told)


def states(boat: OnTrial) -> set[str]:
    """Return the states of the satellites now."""
    check = boat.boat.navigator.room.check
    return {check.state, *check.also}


def raised(boat: OnTrial, said: int) -> list[str]:
    """Return what was raised of satellites, log and heading since so many reports."""
    subjects = ("satellite", "log", "heading")
    alerts = [each for each in boat.boat.said[said:] if isinstance(each, AlertReport)]
    return [each.text for each in alerts if each.name in subjects and each.state != "normal"]


def sailed_on(boat: OnTrial, heading_deg: float, seconds: int) -> set[str]:
    """Sail on; return every state met."""
    met = set[str]()
    for _ in range(seconds):
        boat.sail(((heading_deg, 1),))
        met |= states(boat)
    return met


# --- right ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("late_s", [0, 300])
@pytest.mark.parametrize("order", ORDERS)
def test_a_right_order_raises_nothing(order: Mapping[str, float], late_s: int) -> None:
    """In step before, a quarter of an hour after it nothing was raised; told five minutes late, neither."""
    boat = in_step(order, right=True)
    assert states(boat) == {"in_step"}
    said = len(boat.boat.said)
    give(boat, order, **({"ago_s": late_s} if late_s else {}))

    assert sailed_on(boat, 20.0, 900) == {"in_step"}
    assert raised(boat, said) == []


@pytest.mark.parametrize("order", ORDERS)
def test_nor_through_a_turn(order: Mapping[str, float]) -> None:
    """Ten minutes after it she turns by ninety degrees."""
    boat = in_step(order, right=True)
    said = len(boat.boat.said)
    give(boat, order)

    assert sailed_on(boat, 20.0, 600) | sailed_on(boat, 110.0, 600) == {"in_step"}
    assert raised(boat, said) == []


@pytest.mark.parametrize("order", ORDERS)
def test_what_stands_already_makes_no_step_of_it(order: Mapping[str, float]) -> None:
    """Apart from a departure typed wrong: the order makes no fouled log, stepped compass, parting or jump."""
    boat = in_step(order, right=False, off_m=1500.0)
    assert "apart" in states(boat)
    give(boat, order)
    said = len(boat.boat.said)
    met = sailed_on(boat, 20.0, 600)
    faults = boat.boat.navigator._watch.weighing.faults

    assert not met & RAISED_BY_A_STEP
    assert (faults.fouled, faults.stepped, faults.stuck) == (None, None, None)
    assert not [text for text in raised(boat, said) if "log went" in text or "compass stepped" in text]


# --- wrong ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("order", ORDERS)
def test_a_wrong_order_is_told_and_named_first(order: Mapping[str, float]) -> None:
    """At 1.3 kn off the limit of half a mile is passed within 25 minutes; once she turned, it is sure."""
    boat = in_step(order, right=False)
    give(boat, order)
    assert "wide" in sailed_on(boat, 20.0, 25 * 60)
    first = boat.boat.navigator.room.check.causes[0]

    assert (first.cause, first.evidence.split(",")[0]) == ("entry", "the satellites part since cal")
    assert first.weight > 0.9
    text = boat.boat.alerts("satellite")[-1].text
    assert "past the limit; take a bearing; likeliest an entry (" in text
    assert first.evidence in text
    sailed_on(boat, 110.0, 600)
    sure = boat.boat.navigator.room.check.causes[0]
    assert (sure.cause, sure.weight > 0.99) == ("entry", True)


def test_withdrawn_it_is_to_blame_for_nothing() -> None:
    """The wrong order taken back: the gap closes, and no cause stands."""
    boat = in_step(ORDERS[0], right=False)
    give(boat, ORDERS[0])
    sailed_on(boat, 20.0, 25 * 60)
    boat.boat.order("withdraw", entry="cal")
    sailed_on(boat, 20.0, 120)

    assert states(boat) == {"in_step"}
    assert boat.boat.navigator.room.check.causes == ()


def test_a_pull_after_a_right_order_is_the_satellites() -> None:
    """Drawn off at three knots a quarter of an hour after it: the order is not blamed for that."""
    boat = in_step(ORDERS[0], right=True)
    boat.draw_off(boat.second + 900, 1 - 1j, 3.0)
    give(boat, ORDERS[0])
    met = sailed_on(boat, 20.0, 900 + 420)

    assert "parting" in met
    assert boat.boat.navigator.room.check.causes[0].cause == "satellite"


def test_a_restart_between_names_it_all_the_same() -> None:
    """Killed after the order, and again before it is told: the same causes, to the last digit."""
    boat, other = (in_step(ORDERS[0], right=False) for _ in range(2))
    for each in (boat, other):
        give(each, ORDERS[0])
        each.sail(((20.0, 300),))
    kept = other.boat.navigator.drain()
    fresh = Aboard(begin=False)
    fresh.navigator = taken_up(other.boat.navigator, other.boat.navigator.freeze(), kept)
    fresh.now_ms, other.boat = other.boat.now_ms, fresh
    for each in (boat, other):
        each.sail(((20.0, 20 * 60),))

    assert boat.boat.navigator.room.check.causes[0].cause == "entry"
    assert other.boat.navigator.room.check.causes == boat.boat.navigator.room.check.causes


# --- what is kept -----------------------------------------------------------------------------------------


def spell(second: int, apart: tuple[float, float]) -> Spell:
    """Return half a minute at five knots to the north."""
    return Spell(second, apart, (5.0, 0.0), (0.0, 0.0), 0.0, False, False, False, False, None)


def test_what_was_before_is_the_mean_of_ten_minutes() -> None:
    """Of the spells up to the order's own second; of fewer than two minutes nothing."""
    spells = [spell(30 * n, (0.0 if n < 10 else 1.0, 0.5)) for n in range(1, 41)]

    was = Course()

    assert before(spells, 900, was) == Before(900, complex(1.0, 0.5), 5 + 0j, 0.0, None, None)
    assert before(spells, 300, was) == Before(300, complex(0.1, 0.5), 5 + 0j, 0.0, None, None)
    assert before(spells[:3], 900, was) is None
