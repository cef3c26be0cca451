"""Anchored, made fast or aground by order, and the satellites have her elsewhere: what is said of it."""

from collections.abc import Mapping

import pytest

from entries.entering import FIVE_WEST, START, Aboard
from middlewatch.navigator.navigator import Navigator
from middlewatch.navigator.tuning import Tuning
from middlewatch.quantities.positions import Position
from middlewatch.readings.marks import Mark
from middlewatch.reports.advice import AdviceReport
from middlewatch.wire import entries

KNOT = 1852.0 / 3600.0
LIES_S = 20
"""She comes to rest where she departed from, and is held from then on."""


def lying(way: str, kn: float, marks: Mapping[str, Mark] | None = None) -> Aboard:
    """Return a boat that lies where she departed, half an hour on; a receiver has her drift off eastward."""
    boat = Aboard(Tuning(variation=FIVE_WEST))
    boat.navigator = Navigator(boat.navigator.room.tuning, marks or {}, entries)
    boat.speed_kn = 0.0

    def drifting(second: int) -> Position:
        return START.moved(0.1 * (second % 7), KNOT * kn * max(0, second - LIES_S))

    boat.satellites = drifting
    boat.run(10)
    boat.depart()
    boat.order(kind="way", way=way)
    boat.run(1800)
    return boat


@pytest.mark.parametrize(
    ("way", "words"), [("anchored", "anchored"), ("made_fast", "made fast"), ("aground", "aground")]
)
def test_a_gap_that_opens_while_she_is_held_asks_whether_she_has_moved(way: str, words: str) -> None:
    """Neither stream nor log nor compass moves a boat that is held: she drags, or the receiver is wrong."""
    boat = lying(way, 0.6)

    assert "apart" in (boat.satellite.state, *boat.satellite.also)
    text = boat.alerts("satellite")[-1].text
    assert f"though she is {words} by order: has she moved, or the receiver?" in text
    assert "stream" not in text
    assert "likeliest" not in text
    assert boat.satellite.causes == ()


def test_held_and_doubted_without_a_mark_the_ground_tells() -> None:
    """She is not told to turn or to look at the log; where they last agreed is kept."""
    boat = lying("anchored", 1.5)

    settles = [each.settles for each in boat.said if isinstance(each, AdviceReport) and each.settles]
    assert "leave the lead on the bottom" in settles[-1].text
    assert "turn" not in settles[-1].text
    assert boat.satellite.last_agreed is not None


def test_held_and_doubted_she_is_asked_for_a_bearing() -> None:
    """A mark across the gap is asked for: of it a bearing tells who has moved."""
    marks = {"Hook Light": Mark("Hook Light", START.moved(2.0 * 1852.0, 0.0), height_m=30.0, range_nm=15.0)}
    boat = lying("anchored", 1.5, marks)

    settles = [each.settles for each in boat.said if isinstance(each, AdviceReport) and each.settles]
    assert settles[-1].mark == "Hook Light"
    assert settles[-1].text.startswith("To settle it: a bearing of Hook Light now.")


def in_a_circle(radius_m: float = 50.0) -> Aboard:
    """Return a boat at anchor, for ten minutes, whose circle is watched; a receiver has her lie still."""
    boat = Aboard(Tuning(variation=FIVE_WEST), satellites=lambda second: START.moved(0.1 * (second % 7), 0.0))
    boat.speed_kn = 0.0
    boat.run(10)
    boat.depart()
    boat.order(id="w1", kind="way", way="anchored", radius_m=radius_m)
    boat.run(600)
    return boat


def lies_at(boat: Aboard, east_m: float) -> None:
    """Let the receiver have her so far east of her anchor from now on."""
    boat.satellites = lambda second: START.moved(0.1 * (second % 7), east_m)


def test_out_of_her_circle_it_is_asked_whether_the_anchor_drags() -> None:
    """Said after half a minute, told as a warning twice as far off, and over a minute after she is back."""
    boat = in_a_circle()
    lies_at(boat, 60.0)
    boat.run(29)
    assert boat.alerts("satellite") == []
    boat.run(2)
    (raised,) = boat.alerts("satellite")
    assert raised.priority == "caution"
    assert raised.text.startswith(
        "outside the circle of 50 m: at 0110 satellites (GP@bow) have her 60 m 090 T of where they had her at"
        " 0100, and she is anchored by order: does the anchor drag?"
    )

    lies_at(boat, 110.0)
    boat.run(62)
    assert boat.alerts("satellite")[-1].priority == "warning"
    assert "110 m" in boat.alerts("satellite")[-1].text

    boat.order(kind="acknowledge", alert="satellite")
    lies_at(boat, 20.0)
    boat.run(62)
    assert boat.alerts("satellite")[-1].state == "normal"


def test_thrown_out_for_seconds_she_is_not_said_to_drag() -> None:
    """A wall throws a receiver out for twenty seconds, three times over."""
    boat = in_a_circle()
    for _ in range(3):
        lies_at(boat, 80.0)
        boat.run(20)
        lies_at(boat, 0.0)
        boat.run(20)

    assert boat.alerts("satellite") == []


def test_a_circle_is_over_with_its_order() -> None:
    """Made fast by order, or the order withdrawn: nothing of it is left."""
    for ended in ({"kind": "way", "way": "made_fast"}, {"kind": "withdraw", "entry": "w1"}):
        boat = in_a_circle()
        lies_at(boat, 60.0)
        boat.run(40)
        assert boat.alerts("satellite")[-1].state != "normal"
        boat.order(**ended)
        boat.run(2)
        assert boat.alerts("satellite")[-1].state == "normal"


def test_a_circle_made_wider_keeps_its_middle() -> None:
    """Amended while it is asked whether she drags: what is counted is still from where she anchored."""
    boat = in_a_circle()
    lies_at(boat, 60.0)
    boat.run(40)
    boat.order(kind="amend", entry="w1", change={"radius_m": 80})
    boat.run(62)
    assert boat.alerts("satellite")[-1].state == "normal"

    lies_at(boat, 90.0)
    boat.run(40)
    assert "90 m 090 T of where they had her at 0100" in boat.alerts("satellite")[-1].text


def test_without_satellites_at_first_the_circle_is_counted_from_the_first_heard() -> None:
    """A receiver switched on two minutes after she anchored: the words say from when it is counted."""
    boat = Aboard(Tuning(variation=FIVE_WEST))
    boat.speed_kn = 0.0
    boat.run(10)
    boat.depart()
    boat.order(kind="way", way="anchored", radius_m=50)
    boat.run(120)
    lies_at(boat, 0.0)
    boat.run(30)
    lies_at(boat, 60.0)
    boat.run(40)

    assert "of where they had her at 0102" in boat.alerts("satellite")[-1].text


def test_satellites_lost_at_anchor_leave_her_circle_unwatched() -> None:
    """It is said of the circle, and that the DR is held; without a circle, of the DR alone."""
    boat = in_a_circle()
    boat.satellites = lambda _second: None
    boat.run(70)
    assert boat.alerts("satellite")[-1].text == (
        "no satellite position for 60 s: the DR is held, anchored by order, and nothing watches her circle of"
        " 50 m; watch a bearing abeam"
    )

    boat = in_a_circle()
    boat.order(kind="way", way="made_fast")
    boat.satellites = lambda _second: None
    boat.run(70)
    (lost,) = (each for each in boat.alerts("satellite") if "no satellite position" in each.text)
    assert lost.text.endswith("for 60 s: the DR is held, made fast by order")


@pytest.mark.parametrize("heard", [True, False])
def test_the_answer_to_an_order_to_anchor_hangs_on_no_satellites(heard: bool) -> None:
    """It says from where the circle will be counted, in the same words whether they are heard or not."""
    boat = Aboard(Tuning(variation=FIVE_WEST), satellites=(lambda _second: START) if heard else None)
    boat.speed_kn = 0.0
    boat.run(10)
    boat.depart()
    effect = boat.order(kind="way", way="anchored", radius_m=50).effect
    assert effect == (
        "anchored: the DR is held; satellites that have her over 50 m from where they next do are spoken of"
    )


def test_instruments_switched_off_at_anchor_are_no_warning() -> None:
    """The DR goes by neither: a caution that says so, and a warning once she is under way."""
    boat = in_a_circle()
    boat.speed_kn = boat.heading_magnetic_deg = None
    boat.run(20)
    heading, log = boat.alerts("heading")[-1], boat.alerts("log")[-1]
    assert (heading.priority, log.priority) == ("caution", "caution")
    assert (
        "heading by HCHDM@bow not heard for 15 s: the DR is held, anchored by order, and does not go by it;"
        " mend it before she is under way"
    ) in heading.text

    boat.order(kind="way", way="under_way")
    boat.run(2)
    assert boat.alerts("heading")[-1].priority == "warning"
    assert "the DR runs on with the last, 095 M" in boat.alerts("heading")[-1].text


def test_got_under_way_and_told_late_the_gap_is_over_with_the_order() -> None:
    """She sailed off while anchored by order; once it is told, no warning sounds that she lies anchored."""
    boat = Aboard(Tuning(variation=FIVE_WEST))
    boat.satellites = lambda second: START.moved(0.1 * (second % 7), 6.0 * KNOT * max(0, second - 310))
    boat.speed_kn = 0.0
    boat.run(10)
    boat.depart()
    boat.order(kind="way", way="anchored")
    boat.run(300)
    boat.speed_kn = 6.0
    boat.run(600)
    warned = boat.alerts("satellite")[-1]
    assert "though she is anchored by order" in warned.text
    assert warned.state == "active-unacknowledged"

    boat.order(kind="way", way="under_way", ago_s=600)
    boat.run(1)
    assert boat.alerts("satellite")[-1].state == "rectified-unacknowledged"
    assert boat.satellite.causes == ()


def test_a_gap_past_limit_and_ordinary_is_not_laid_to_a_stream() -> None:
    """A departure entered a mile off: in its first minute too no stream may have made such a gap."""
    boat = Aboard(Tuning(variation=FIVE_WEST))
    boat.satellites = lambda second: START.moved(1852.0, 6.0 * KNOT * (second - 10) + 0.1 * (second % 7))
    boat.run(10)
    boat.depart()
    boat.run(30)

    (raised,) = boat.alerts("satellite")
    assert "past the limit; take a bearing" in raised.text
