"""Refusals: each names field, found and wanted, and disturbs nothing else."""

import pytest

from entries.entering import Aboard, answer_in, payloads, utc
from middlewatch.navigator.tuning import Tuning
from middlewatch.readings.entries import Channel
from middlewatch.reports.answer import RefusalReport

BEARING = {"id": "b9", "kind": "bearing", "mark": "Start Point", "bearing_deg": 340}


def under_way() -> Aboard:
    """Return a boat with a departure, a bearing on the plot, an entry that waits, and one alert.

    The rose of 5 W is more than a degree off the magnetic model: that is the alert, of heading.
    """
    boat = Aboard()
    boat.run(10)
    boat.depart()
    boat.run(50)
    boat.sighting(id="b1", kind="bearing", mark="Start Point", bearing_deg=340)
    boat.hear("order", {"id": "w1", "kind": "remark", "text": "soon", "at": utc(64)})
    return boat


def refused(
    boat: Aboard, channel: Channel, body: dict[str, object] | str, *, retained: bool = False
) -> RefusalReport:
    """Hear an entry that must be refused and leave no trace; return why."""
    before = boat.all_there_is()
    boat.navigator.drain()
    said = boat.hear(channel, body, retained=retained)

    answer = answer_in(said)
    assert len(said) == 1
    assert not answer.accepted
    assert not answer.used
    assert answer.sighting is None
    assert answer.effect is None
    assert answer.refusal is not None
    assert all((answer.refusal.field, answer.refusal.found, answer.refusal.wanted, answer.refusal.reason))
    assert boat.all_there_is() == before
    kept = boat.navigator.drain()
    assert (kept.entries, kept.events) == ([], [])
    return answer.refusal


CASES: list[tuple[str, Channel, dict[str, object] | str, tuple[str, str, str]]] = [
    (
        "unknown mark",
        "sighting",
        {**BEARING, "mark": "Stort Point"},
        ("mark", "Stort Point", "Start Point, Stoke Point, Bolt Head"),
    ),
    (
        "unknown rear mark",
        "sighting",
        {"kind": "transit", "mark": "Start Point", "rear_mark": "Bolt Haed"},
        ("rear_mark", "Bolt Haed", "Bolt Head, Stoke Point, Start Point"),
    ),
    (
        "unknown mark of a departure",
        "order",
        {"kind": "departure", "mark": "Bolt", "bearing_deg": 10, "distance_nm": 1},
        ("mark", "Bolt", "Bolt Head, Stoke Point, Start Point"),
    ),
    (
        "compass bearing without a card",
        "sighting",
        {**BEARING, "reference": "compass"},
        ("reference", "compass", "magnetic, true or relative; or steering_card in [compass]"),
    ),
    (
        "compass heading without a card",
        "order",
        {"kind": "by_hand", "heading_deg": 90},
        ("reference", "compass", "magnetic or true; or steering_card in [compass]"),
    ),
    (
        "course by a compass without a card",
        "order",
        {"kind": "course", "heading_deg": 90},
        ("reference", "compass", "magnetic or true; or steering_card in [compass]"),
    ),
    (
        "future",
        "sighting",
        {**BEARING, "at": utc(65.001)},
        ("at", utc(65.001), f"not after {utc(60)}, when it was heard"),
    ),
    ("before the track", "sighting", {**BEARING, "at": utc(0)}, ("at", utc(0), f"not before {utc(1)}")),
    ("ago before the track", "sighting", {**BEARING, "ago_s": 60}, ("ago_s", "60", f"not before {utc(1)}")),
    (
        "bearing 361",
        "sighting",
        {**BEARING, "bearing_deg": 361},
        ("bearing_deg", "361", "degrees clockwise, 0 to 360"),
    ),
    (
        "NaN",
        "sighting",
        '{"kind":"bearing","mark":"Start Point","bearing_deg":NaN}',
        ("bearing_deg", "NaN", "a finite number"),
    ),
    (
        "misspelt key",
        "sighting",
        {"kind": "bearing", "mark": "Start Point", "bearing": 340},
        ("bearing", "bearing", "did you mean bearing_deg?"),
    ),
    ("64 KiB of rubbish", "sighting", "x" * 65_536, ("payload", "65536 bytes", "16384 bytes at most")),
    (
        "not JSON",
        "order",
        "adopt the fix",
        ("payload", "adopt the fix", 'a JSON object, as {"kind": "bearing", ...}'),
    ),
    ("same id, other body", "sighting", {**BEARING, "id": "b1", "bearing_deg": 341}, ("id", "b1", "amend")),
    ("one id for both channels", "order", {"id": "b1", "kind": "remark", "text": "x"}, ("id", "b1", "amend")),
    (
        "same id, other body, still waiting",
        "order",
        {"id": "w1", "kind": "remark", "text": "later", "at": utc(64)},
        ("id", "w1", "amend"),
    ),
    ("unknown fix", "order", {"kind": "adopt", "fix": "f-b7"}, ("fix", "f-b7", "no fix has been made yet")),
    ("fix of no line", "order", {"kind": "fix", "using": ["b1", "b7"]}, ("using", "b7", "b1")),
    (
        "fix of one bearing",
        "order",
        {"kind": "fix", "using": ["b1"]},
        ("using", "b1", "lines that make a fix"),
    ),
    ("withdraw the unknown", "order", {"kind": "withdraw", "entry": "b7"}, ("entry", "b7", "d1, b1, w1")),
    (
        "withdraw what waits",
        "order",
        {"kind": "withdraw", "entry": "w1"},
        ("entry", "w1", f"w1 from {utc(64)} on"),
    ),
    (
        "amend into a bearing of 361",
        "order",
        {"kind": "amend", "entry": "b1", "change": {"bearing_deg": 361}},
        ("change.bearing_deg", "361", "degrees clockwise, 0 to 360"),
    ),
    (
        "amend to an unknown mark",
        "order",
        {"kind": "amend", "entry": "b1", "change": {"mark": "Bolt"}},
        ("change.mark", "Bolt", "Bolt Head, Stoke Point, Start Point"),
    ),
    (
        "amend into what is still to come",
        "order",
        {"kind": "amend", "entry": "b1", "change": {"at": utc(63)}},
        ("change.at", utc(63), f"not after {utc(60)}"),
    ),
    (
        "amend a departure to a compass bearing",
        "order",
        {
            "kind": "amend",
            "entry": "d1",
            "change": {
                "latitude_deg": None,
                "longitude_deg": None,
                "mark": "Start Point",
                "bearing_deg": 10,
                "distance_nm": 2,
                "reference": "compass",
            },
        },
        ("change.reference", "compass", "magnetic or true; or steering_card in [compass]"),
    ),
    (
        "satellites unheard",
        "order",
        {"kind": "departure", "from": "satellite"},
        ("from", "satellite", "a position, or a mark with bearing and distance"),
    ),
    (
        "satellite position of the past",
        "order",
        {"kind": "departure", "from": "satellite", "ago_s": 20},
        ("at", utc(40), "now"),
    ),
    (
        "no satellite time",
        "order",
        {"kind": "clock", "from": "satellite"},
        ("from", "satellite", "utc, as the skipper has it"),
    ),
    ("no such alert", "order", {"kind": "acknowledge", "alert": "log"}, ("alert", "log", "heading")),
    (
        "a stream over before it began",
        "order",
        {"kind": "stream", "set_deg": 90, "drift_kn": 1, "until": utc(30)},
        ("until", utc(30), f"after {utc(60)}"),
    ),
    (
        "a way over before it began",
        "order",
        {"kind": "way", "way": "anchored", "until": utc(60)},
        ("until", utc(60), f"after {utc(60)}"),
    ),
    (
        "a transit of two marks at one place",
        "sighting",
        {
            "kind": "transit",
            "mark": "Start Point",
            "rear_mark": {"latitude_deg": 50.1, "longitude_deg": -4.05},
        },
        ("rear_mark", "50 06.00 N 004 03.00 W", "another mark than the front one"),
    ),
]


@pytest.mark.parametrize(
    ("channel", "body", "why"), [case[1:] for case in CASES], ids=[case[0] for case in CASES]
)
def test_refused_by_field_found_and_wanted(
    channel: Channel, body: dict[str, object] | str, why: tuple[str, str, str]
) -> None:
    """Each is refused in its own words, and snapshot, ledger, plot, track and reckoning stay as they were."""
    refusal = refused(under_way(), channel, body)

    assert (refusal.field, refusal.found, refusal.wanted) == why


def test_retained_entries_are_refused_whatever_they_say() -> None:
    """A retained entry, good in itself, would be heard again at every start."""
    refusal = refused(under_way(), "sighting", {**BEARING}, retained=True)

    assert (refusal.field, refusal.found, refusal.wanted) == (
        "retained",
        "true",
        "sent without being retained",
    )


def test_nothing_follows_from_a_refused_entry() -> None:
    """After all of them the boat says to the letter what one says that never heard any."""
    tried, spared = under_way(), under_way()
    for _, channel, body, _ in CASES:
        tried.hear(channel, body)

    assert payloads(tried.run(30)) == payloads(spared.run(30))
    assert tried.all_there_is() == spared.all_there_is()


def test_a_refused_id_may_be_used_again() -> None:
    """361 was a slip of the finger; 001 under the same id is taken."""
    boat = under_way()
    boat.sighting(**{**BEARING, "bearing_deg": 361})

    assert boat.sighting(**{**BEARING, "bearing_deg": 1}).accepted


def test_relative_before_any_heading_is_refused() -> None:
    """A bearing from the bow wants the ship's head, and there is none."""
    boat = Aboard()
    boat.heading_magnetic_deg = None
    boat.run(20)

    refusal = refused(boat, "sighting", {**BEARING, "reference": "relative"})

    assert (refusal.field, refusal.wanted) == ("reference", "magnetic or true, or a heading heard or by hand")


def test_passing_before_any_heading_is_refused() -> None:
    """Abeam wants the ship's head, and there is none."""
    boat = Aboard()
    boat.heading_magnetic_deg = None
    boat.run(20)

    refusal = refused(
        boat, "sighting", {"kind": "passing", "mark": "Start Point", "side": "port", "distance_m": 200}
    )

    assert (refusal.field, refusal.wanted) == ("side", "a heading heard or by hand, and the variation")


def test_a_satellite_in_doubt_of_itself_is_no_departure() -> None:
    """A receiver on its own dead reckoning (quality 6, mode E) has nothing to depart from."""
    boat = Aboard(satellites=lambda _: None)
    boat.run(20)

    refusal = refused(boat, "order", {"kind": "departure", "from": "satellite"})

    assert "in no doubt of itself" in refusal.reason


def test_no_mark_is_known_without_a_marks_file() -> None:
    """Without marks the refusal says so, and offers a position instead."""
    boat = Aboard(Tuning())
    boat.navigator.room.marks = {}
    boat.run(5)

    assert "it has none" in refused(boat, "sighting", BEARING).wanted
