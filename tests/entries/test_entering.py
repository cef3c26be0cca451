"""Entries: committed, worked at their own second, answered once, and a repeat does nothing."""

from dataclasses import replace

import pytest

from entries.entering import START_MS, Aboard, answer_in, payloads, utc
from middlewatch.quantities.instants import Instant
from middlewatch.reports.answer import Answer

BEARING = {"id": "b1", "kind": "bearing", "mark": "Start Point", "bearing_deg": 340}


def departed() -> Aboard:
    """Return a boat a minute after her departure."""
    boat = Aboard()
    boat.run(10)
    boat.depart()
    boat.run(50)
    return boat


def test_an_entry_is_answered_at_once_and_kept() -> None:
    """Neither `at` nor `ago_s`: it is worked at the second it came in, and handed to the journal."""
    boat = departed()
    boat.navigator.drain()

    answer = answer_in(boat.hear("sighting", BEARING, after_ms=310, token=7))

    assert (answer.id, answer.kind, answer.token) == ("b1", "bearing", 7)
    assert (answer.accepted, answer.used, answer.open, answer.repeat) == (True, True, False, False)
    assert answer.at == answer.heard_at == Instant(START_MS + 60_310)
    kept = boat.navigator.drain()
    assert [(each.id, each.at_ms, each.heard_ms) for each in kept.entries] == [
        ("b1", START_MS + 60_310, START_MS + 60_310)
    ]


def test_an_entry_without_an_id_is_given_its_place_in_the_journal() -> None:
    """`e<n>`: the departure is the first, the remarks the second and third; one refused takes no place."""
    boat = departed()

    ids = [boat.order(kind="remark", text=text).id for text in ("wind backing", "log read")]
    boat.sighting(kind="bearing", mark="Stort Point", bearing_deg=340)

    assert ids == ["e2", "e3"]
    assert boat.order(kind="remark", text="again").id == "e4"


def test_up_to_five_seconds_ahead_is_committed_and_answered_at_its_own_second() -> None:
    """The sender's clock runs 4.5 s ahead: nothing is answered until that second has come, then once."""
    boat = departed()
    boat.navigator.drain()

    assert boat.hear("sighting", {**BEARING, "at": utc(64.5)}) == []
    assert [entry.id for entry in boat.navigator.drain().entries] == ["b1"]

    said = [boat.second() for _ in range(6)]
    answered = [[report for report in second if isinstance(report, Answer)] for second in said]
    assert [len(answers) for answers in answered] == [0, 0, 0, 1, 0, 0]
    answer = answered[3][0]
    assert (answer.at, answer.heard_at) == (Instant(START_MS + 64_500), Instant(START_MS + 60_000))
    assert answer.accepted


def test_an_entry_ahead_equals_one_at_its_time() -> None:
    """Worked when its second comes it makes the same line as one heard then."""
    early, prompt = departed(), departed()

    early.hear("sighting", {**BEARING, "at": utc(63)})
    early.run(3)
    prompt.run(3)
    prompt.hear("sighting", {**BEARING, "at": utc(63)})

    assert early.navigator.room.plot.lines == prompt.navigator.room.plot.lines


def test_waiting_entries_come_due_in_order_of_time_then_id() -> None:
    """Heard c, b, a; worked a and b, of one millisecond, by id, then c."""
    boat = departed()
    for id_, seconds in (("c", 62.9), ("b", 62.4), ("a", 62.4)):
        boat.hear("order", {"id": id_, "kind": "remark", "text": "here", "at": utc(seconds)})

    assert [report.id for report in boat.run(3) if isinstance(report, Answer)] == ["a", "b", "c"]


@pytest.mark.parametrize("wait_s", [0, 30])
def test_a_repeat_gives_the_first_answer_again_and_changes_nothing(wait_s: int) -> None:
    """Same id and body: `repeat: true`, all else of the first answer, and no state is touched."""
    boat = departed()
    first = answer_in(boat.hear("sighting", BEARING, token=1))
    boat.run(wait_s)
    before = boat.all_there_is()
    boat.navigator.drain()

    said = boat.hear("sighting", {**BEARING, "bearing_deg": 340.0}, token=2)

    assert said == [replace(first, repeat=True, token=2)]
    assert boat.all_there_is() == before
    kept = boat.navigator.drain()
    assert (kept.entries, kept.events) == ([], [])


def test_a_repeat_of_a_waiting_entry_is_answered_with_it() -> None:
    """Repeated before its second has come it is neither answered twice nor worked twice."""
    boat = departed()
    ahead = {**BEARING, "at": utc(63)}
    boat.hear("sighting", ahead)

    assert boat.hear("sighting", ahead, after_ms=500) == []
    assert [report.id for report in boat.run(5) if isinstance(report, Answer)] == ["b1"]
    assert answer_in(boat.hear("sighting", ahead)).repeat


def test_a_repeat_of_an_order_is_done_once() -> None:
    """A clock set on by a minute is not set on by two when the order is sent again."""
    boat = departed()
    order = {"id": "c1", "kind": "clock", "utc": utc(120)}

    boat.hear("order", order)
    again = answer_in(boat.hear("order", order, after_ms=900))

    assert again.repeat
    assert boat.navigator.room.scale.utc(boat.now_ms) == Instant(START_MS + 120_000)


def test_before_the_first_tick_an_entry_waits_for_it() -> None:
    """What comes before there is any track, and says no time, is worked at the first tick."""
    boat = Aboard()

    assert (
        boat.hear("order", {"id": "d1", "kind": "departure", "latitude_deg": 50, "longitude_deg": -4}) == []
    )
    answer = answer_in(boat.second())

    assert answer.accepted
    assert answer.at == Instant(START_MS + 1000)
    assert boat.dr_at(1).latitude_deg == 50.0


def test_before_the_first_tick_a_time_of_its_own_is_held_against_the_track() -> None:
    """A departure an hour before anything was heard could move nothing: it is refused."""
    boat = Aboard()
    boat.hear(
        "order", {"id": "d1", "kind": "departure", "latitude_deg": 50, "longitude_deg": -4, "at": utc(-3600)}
    )

    answer = answer_in(boat.second())

    assert not answer.accepted
    assert answer.refusal is not None
    assert (answer.refusal.field, answer.refusal.wanted) == ("at", f"not before {utc(1)}")
    assert boat.position.dr is None


def test_what_is_refused_at_its_own_second_stays_refused() -> None:
    """Committed ahead of time, refused when it came: a repeat gets that refusal, another body another id."""
    boat = departed()
    ahead = {"id": "a1", "kind": "adopt", "fix": "f-none", "at": utc(62)}
    boat.hear("order", ahead)
    refused = answer_in(boat.run(2))

    again = answer_in(boat.hear("order", ahead))
    other = answer_in(boat.hear("order", {**ahead, "fix": "f-other"}))

    assert not refused.accepted
    assert again == replace(refused, repeat=True)
    assert other.refusal is not None
    assert other.refusal.wanted == "another id"


def test_equal_histories_give_equal_states() -> None:
    """Two boats that hear the same, say the same and are the same."""
    one, other = departed(), departed()
    for boat in (one, other):
        boat.sighting(**BEARING)
        boat.run(5)

    assert payloads(one.said) == payloads(other.said)
    assert one.all_there_is() == other.all_there_is()
