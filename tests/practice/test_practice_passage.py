"""A passage as a stream of events: order, sameness, and how the skipper's entries are worded."""

from dataclasses import replace
from itertools import pairwise

import pytest

from middlewatch.navigator.reckoning.card import Card
from middlewatch.practice.instruments import BusLine, Compass, Instruments, Log, Wind
from middlewatch.practice.passage import Passage, make_passage
from middlewatch.practice.skipper import Action, Depart, SkipperEntry, TakeBearing, Write
from middlewatch.practice.truth import Leg, Plan, SteadyStream
from middlewatch.quantities.instants import Instant
from middlewatch.quantities.positions import Position
from middlewatch.readings.marks import Mark

START_MS = Instant.parse("2026-05-02T21:00:00Z").ms
PLAN = Plan(START_MS, Position(47.0, -34.0), (Leg(300, 270.0, 5.0),), SteadyStream(0.0, 1.0), -11.0)
INSTRUMENTS = Instruments(Compass(Card(())), Log(), Wind(160.0, 12.0), lambda _: 30.0)
LIGHT = Mark("A light", Position(47.05, -34.0))


def make(*actions: Action, seed: int = 3) -> Passage:
    """Make a passage of five minutes."""
    return make_passage(PLAN, INSTRUMENTS, actions, seed)


def second(number: int) -> int:
    """Return the UTC ms of a second of the passage."""
    return START_MS + number * 1000


def test_same_seed_same_bytes_and_another_seed_others() -> None:
    """Lines, entries and truths are a function of plan, instruments, actions and seed."""
    actions = (TakeBearing("a", second(60), LIGHT), Depart("d", second(10), LIGHT))

    assert make(*actions) == make(*actions)
    assert make(*actions).lines != make(*actions, seed=4).lines


def test_events_are_in_order_and_complete() -> None:
    """Every line and entry comes once, in order of time; actions may be given in any order."""
    passage = make(
        Write(second(200), "order", {"kind": "remark", "text": "later"}),
        Write(second(100), "order", {"kind": "remark", "text": "sooner"}),
    )

    events = list(passage.events())
    assert all(before.at_ms <= after.at_ms for before, after in pairwise(events))
    assert [event for event in events if isinstance(event, SkipperEntry)] == list(passage.entries)
    assert [event for event in events if isinstance(event, BusLine)] == list(passage.lines)
    assert [entry.body["text"] for entry in passage.entries] == ["sooner", "later"]


def test_at_one_stamp_the_line_comes_before_the_entry() -> None:
    """At one stamp sentences go before entries, as the daemon takes them."""
    stamp_ms = make().lines[20].at_ms

    events = list(make(Write(stamp_ms, "order", {"kind": "quiet"})).events())

    place = next(number for number, event in enumerate(events) if isinstance(event, SkipperEntry))
    assert events[place - 1].at_ms == stamp_ms
    assert events[place + 1].at_ms > stamp_ms


@pytest.mark.parametrize(
    ("entered_after_s", "told"),
    [(0, {}), (40, {"ago_s": 40}), (120, {"ago_s": 120}), (121, {"at": "2026-05-02T21:01:00.000Z"})],
)
def test_late_bearing_says_when_it_was_taken(entered_after_s: int, told: dict[str, object]) -> None:
    """At once: no time; up to two minutes: how many seconds ago; later: the time itself."""
    entry = make(TakeBearing("a", second(60), LIGHT, entered_after_s)).entries[0]

    assert entry.at_ms == second(60 + entered_after_s)
    assert entry.channel == "sighting"
    assert {key: entry.body[key] for key in ("at", "ago_s") if key in entry.body} == told


def test_lateness_and_other_sights_change_no_bearing() -> None:
    """The same sight has the same error whenever it is entered and whatever else is sighted."""
    alone = make(TakeBearing("a", second(60), LIGHT)).entries[0].body
    among = make(TakeBearing("b", second(50), LIGHT), TakeBearing("a", second(60), LIGHT, 30)).entries[1].body

    assert alone["id"] == among["id"] == "a"
    assert alone["bearing_deg"] == among["bearing_deg"]


def test_bearing_without_error_is_the_magnetic_bearing() -> None:
    """Variation 11 W, the light due north: 000 true is 011 magnetic (west is best), in whole degrees."""
    moored = replace(PLAN, legs=(Leg(60, 0.0, 0.0),), stream=SteadyStream(0.0, 0.0), speed_wander_kn=0.0)

    entry = make_passage(moored, INSTRUMENTS, [TakeBearing("a", second(30), LIGHT, sd_deg=0.0)], 3).entries[0]

    assert entry.body == {
        "id": "a",
        "kind": "bearing",
        "mark": "A light",
        "bearing_deg": 11,
        "reference": "magnetic",
    }


def test_departure_without_error_leads_back_to_the_boat() -> None:
    """Bearing and distance laid off from the mark lead to the true boat, as near as they are written."""
    depart = Depart("d", second(30), LIGHT, sd_deg=0.0, distance_part=0.0)
    passage = make(depart)

    body = passage.entries[0].body
    bearing_deg, distance_nm = body["bearing_deg"], body["distance_nm"]
    assert isinstance(bearing_deg, int)
    assert isinstance(distance_nm, float)
    boat = LIGHT.position.along(bearing_deg - 11.0 + 180.0, distance_nm)
    # Half a degree at 3 miles, and half a hundredth of a mile.
    assert passage.error_nm(second(30), boat) < 3.1 * 0.5 / 57.3 + 0.005


def test_truth_is_that_of_the_second_begun() -> None:
    """Between two seconds the truth is the earlier one's; a position there is marked against it."""
    passage = make()

    assert passage.truth_at(second(7) + 999) == passage.truths[7]
    assert passage.error_nm(second(7), passage.truths[7].position) == 0.0
    mile_off = passage.truths[7].position.along(40.0, 1.0)
    assert passage.error_nm(second(7), mile_off) == pytest.approx(1.0)


@pytest.mark.parametrize("at_ms", [START_MS - 1, START_MS + 301_000])
def test_no_truth_outside_the_passage(at_ms: int) -> None:
    """Asked for a moment before or after it, the passage refuses."""
    with pytest.raises(ValueError, match="outside the passage"):
        make().truth_at(at_ms)
