"""Withdrawn equals never, amended equals always; and what was entered stays visible."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from entries.entering import START_MS, Aboard, answer_in, utc
from entries.history import Told, deck_log, plotted, reckoned
from middlewatch.navigator.tuning import Tuning
from middlewatch.quantities.instants import Instant
from middlewatch.reports.answer import Answer
from middlewatch.reports.fix import FixReport

SAIL_S = 900
LAST_S = 1000


def sail(told: list[Told], last: Callable[[Aboard], Answer] | None = None) -> Aboard:
    """Sail a quarter of an hour while the entries come in, and then one thing more, which must be taken."""
    boat = deck_log(told, SAIL_S, Tuning())
    if last is not None:
        answer = last(boat)
        assert answer.accepted, answer.refusal
    boat.run(LAST_S - SAIL_S)
    return boat


DEPARTURE = Told(30, "order", {"id": "d1", "kind": "departure", "latitude_deg": 50, "longitude_deg": -4})
BEFORE = Told(20, "sighting", {"id": "b0", "kind": "bearing", "mark": "Bolt Head", "bearing_deg": 250})
FIRST = Told(
    100.4, "sighting", {"id": "b1", "kind": "bearing", "mark": "Start Point", "bearing_deg": 342}, 400
)
PROMPT = replace(FIRST, heard_s=None)
SECOND = Told(300, "sighting", {"id": "b2", "kind": "bearing", "mark": "Stoke Point", "bearing_deg": 48})
THIRD = Told(330, "sighting", {"id": "b3", "kind": "range", "mark": "Bolt Head", "distance_nm": 8.9})
LEEWAY = Told(150, "order", {"id": "l1", "kind": "leeway", "leeway_deg": 8, "pushed_to": "port"})
STREAM = Told(200, "order", {"id": "s1", "kind": "stream", "set_deg": 10, "drift_kn": 2})
BY_HAND = Told(250, "order", {"id": "h1", "kind": "by_hand", "heading_deg": 70, "reference": "magnetic"}, 345)
RELATIVE = Told(
    320,
    "sighting",
    {"id": "b4", "kind": "bearing", "mark": "Stoke Point", "bearing_deg": 320, "reference": "relative"},
)
HOVE_TO = Told(
    400, "order", {"id": "w1", "kind": "way", "way": "hove_to", "drift_towards_deg": 200, "drift_kn": 1}
)
ANEW = Told(
    600,
    "order",
    {
        "id": "d2",
        "kind": "departure",
        "mark": "Stoke Point",
        "bearing_deg": 310,
        "reference": "relative",
        "distance_nm": 3,
    },
)
ALL = [BEFORE, DEPARTURE, FIRST, LEEWAY, STREAM, BY_HAND, SECOND, RELATIVE, THIRD, HOVE_TO, ANEW]


@pytest.mark.parametrize("taken_back", ALL, ids=lambda told: told.body["id"])
def test_withdrawn_equals_never(taken_back: Told) -> None:
    """Lines, fixes and the whole DR and EP are what they would be had it never been entered."""
    withdrawn = sail(ALL, lambda boat: boat.order(kind="withdraw", entry=taken_back.body["id"]))
    never = sail([told for told in ALL if told is not taken_back])

    assert plotted(withdrawn) == plotted(never)
    assert reckoned(withdrawn) == reckoned(never)


@pytest.mark.parametrize(
    ("target", "change"),
    [
        (BEFORE, {"mark": "Start Point"}),
        (DEPARTURE, {"latitude_deg": 50.02}),
        (DEPARTURE, {"at": utc(11)}),
        (DEPARTURE, {"sd_nm": 0.4}),
        (FIRST, {"bearing_deg": 339}),
        (FIRST, {"mark": "Gammon Beacon"}),
        (FIRST, {"reference": "true"}),
        (FIRST, {"at": utc(380)}),
        (SECOND, {"sd_deg": 4}),
        (LEEWAY, {"leeway_deg": 3}),
        (LEEWAY, {"pushed_to": "starboard", "at": utc(90)}),
        (STREAM, {"drift_kn": 0.5, "until": utc(500)}),
        (BY_HAND, {"heading_deg": 110}),
        (BY_HAND, {"heading_deg": 110, "reference": "true", "at": utc(340)}),
        (RELATIVE, {"bearing_deg": 318}),
        (HOVE_TO, {"way": "made_fast", "drift_towards_deg": None, "drift_kn": None}),
        (ANEW, {"bearing_deg": 300}),
        (ANEW, {"at": utc(270)}),
    ],
    ids=lambda part: part.body["id"] if isinstance(part, Told) else str(part),
)
def test_amended_equals_always(target: Told, change: dict[str, object]) -> None:
    """Lines, fixes and the whole DR and EP are what they would be had it said so from the first."""
    amended = sail(ALL, lambda boat: boat.order(kind="amend", entry=target.body["id"], change=change))
    always = sail([told.saying(change) if told is target else told for told in ALL])

    assert plotted(amended) == plotted(always)
    assert reckoned(amended) == reckoned(always)


def test_withdrawn_stays_visible() -> None:
    """The entry stays in the ledger as withdrawn, its fix is published as withdrawn, under the same id."""
    boat = sail([DEPARTURE, PROMPT, SECOND])
    made = boat.fixes()[-1]
    said = boat.hear("order", {"id": "x1", "kind": "withdraw", "entry": "last"})

    answer = answer_in(said)
    assert answer.effect == "bearing b2 withdrawn; it stays in the log as withdrawn; fixes: f-b2 withdrawn"
    assert answer.about == "b2"
    gone = [report for report in said if isinstance(report, FixReport)]
    assert [(fix.id, fix.withdrawn) for fix in gone] == [("f-b2", True)]
    assert (gone[0].latitude_deg, gone[0].longitude_deg) == (made.latitude_deg, made.longitude_deg)
    assert boat.navigator.room.ledger.entries["b2"].withdrawn


def test_withdraw_last_means_the_newest_heard_that_stands() -> None:
    """Twice over it takes back the newest, then the one before; withdrawals themselves are passed over."""
    boat = sail([DEPARTURE, PROMPT, SECOND])

    assert str(boat.order(kind="withdraw", entry="last").effect).startswith("bearing b2 withdrawn")
    assert str(boat.order(kind="withdraw", entry="last").effect).startswith("bearing b1 withdrawn")
    assert str(boat.order(kind="withdraw", entry="last").effect) == (
        "departure d1 withdrawn; it stays in the log as withdrawn; "
        "there is no DR and no EP any more: order a departure"
    )
    refusal = boat.order(kind="withdraw", entry="last").refusal
    assert refusal is not None
    assert refusal.reason == "there is no entry last"


def test_withdraw_last_does_not_reach_behind_a_remark() -> None:
    """The newest entry is the remark: it is refused by name, and the bearing before it is left alone."""
    boat = sail([DEPARTURE, FIRST])
    boat.order(id="r1", kind="remark", text="log streamed")
    refusal = boat.order(kind="withdraw", entry="last").refusal

    assert refusal is not None
    assert refusal.reason == "remark r1 cannot be withdrawn: what it did is done"
    assert not boat.navigator.room.ledger.entries["b1"].withdrawn


def test_withdrawn_twice_is_refused() -> None:
    """What is withdrawn is withdrawn."""
    boat = sail([DEPARTURE, FIRST])
    boat.order(kind="withdraw", entry="b1")
    refusal = boat.order(kind="withdraw", entry="b1").refusal

    assert refusal is not None
    assert refusal.reason == "b1 is withdrawn already"


def test_a_withdrawn_order_says_what_moved() -> None:
    """A stream of 2 kn for 700 s is 0.39 nm: withdrawn, the EP moves that far the other way."""
    boat = sail([DEPARTURE, STREAM])
    # Between 200 s and 1000 s: 800 s of 2 kn towards 010.
    words = boat.order(kind="withdraw", entry="s1").effect

    assert (
        words
        == "stream s1 withdrawn; it stays in the log as withdrawn; the EP of now moves 0.44 nm towards 190 T"
    )


def test_an_amended_sighting_is_answered_afresh_under_its_own_id() -> None:
    """The amendment is answered, then the sighting as it now stands, then the fix revised."""
    boat = sail([DEPARTURE, FIRST, SECOND])
    said = boat.hear("order", {"id": "x1", "kind": "amend", "entry": "b1", "change": {"bearing_deg": 338}})

    answers = [report for report in said if isinstance(report, Answer)]
    assert [answer.id for answer in answers] == ["x1", "b1"]
    assert answers[0].effect == "bearing b1 amended: bearing_deg 338 (was 342); fixes: f-b2.2 revises f-b2"
    sighting = answers[1].sighting
    assert sighting is not None
    assert sighting.chain is not None
    assert sighting.chain.magnetic_deg == 338
    assert sighting.fix == "f-b2.2"


def test_a_repeat_of_what_was_amended_gives_the_first_answer() -> None:
    """The entry as first sent, heard again, is the same entry."""
    boat = deck_log([DEPARTURE], 60, Tuning())
    body = {"id": "b1", "kind": "bearing", "mark": "Start Point", "bearing_deg": 342}
    first = answer_in(boat.hear("sighting", body))
    boat.order(kind="amend", entry="b1", change={"bearing_deg": 338})
    again = answer_in(boat.hear("sighting", body))

    assert again.repeat
    assert again.sighting == first.sighting


def test_an_order_amended_says_what_moved() -> None:
    """Half the stream, half the way, the other way: 800 s of 1 kn are 0.22 nm."""
    boat = sail([DEPARTURE, STREAM])
    words = boat.order(kind="amend", entry="s1", change={"drift_kn": 1}).effect

    assert words == "stream s1 amended: drift_kn 1 (was 2); the EP of now moves 0.22 nm towards 190 T"


def test_nothing_is_amended_to_a_time_after_it_was_heard() -> None:
    """What was entered at 0105 cannot have been seen at 0106."""
    boat = sail([DEPARTURE, SECOND])
    refusal = boat.order(kind="amend", entry="b2", change={"at": utc(360)}).refusal

    assert refusal is not None
    assert (refusal.field, refusal.wanted) == ("change.at", f"not after {utc(300)}, when it was heard")


def test_what_is_done_is_not_amended() -> None:
    """A clock set, an alert acknowledged, a quiet: they cannot be amended."""
    boat = sail([DEPARTURE])
    boat.order(id="q1", kind="quiet")
    refusal = boat.order(kind="amend", entry="q1", change={"note": "why"}).refusal

    assert refusal is not None
    assert refusal.reason == "quiet q1 cannot be amended: what it did is done"


def test_a_remark_is_amended_and_nothing_else_is() -> None:
    """`amend last` of a remark says what it was and what it is now; DR, EP and fixes stay as they were."""
    boat = sail([DEPARTURE])
    boat.order(id="r1", kind="remark", text="log streamed")
    answer = boat.order(kind="amend", entry="last", change={"text": "log handed"})
    again = boat.order(kind="amend", entry="r1", change={"text": "log streamed"})

    assert answer.effect == "remark r1 amended: text log handed (was log streamed)"
    assert answer.about == "r1"
    assert again.effect == "remark r1 amended: text log streamed (was log handed)"


def test_what_is_older_than_the_track_kept_is_not_withdrawn_in_silence() -> None:
    """Nothing could be worked again from it: it is refused by its time, and the DR and the fixes stay."""
    boat = deck_log([DEPARTURE, PROMPT, SECOND], 1300, Tuning())
    boat.navigator.forget_before(START_MS // 1000 + 1250)
    before = boat.all_there_is()
    refusals = [
        boat.order(kind="withdraw", entry="d1").refusal,
        boat.order(kind="amend", entry="b1", change={"bearing_deg": 300}).refusal,
    ]

    first = boat.navigator.room.track.first_second
    assert first is not None
    assert first > START_MS // 1000 + 600
    for refusal in refusals:
        assert refusal is not None
        assert (refusal.field, refusal.wanted) == ("entry", f"an entry of {Instant(first * 1000)} or later")
    assert boat.all_there_is() == before


def test_a_fix_chosen_falls_back_when_a_line_of_it_is_withdrawn() -> None:
    """Without one of its lines the skipper's choice is no choice: the fix is again what the rules make."""
    boat = sail(
        [DEPARTURE, FIRST, SECOND, THIRD], lambda each: each.order(id="x1", kind="fix", using=["b1", "b3"])
    )
    boat.order(kind="withdraw", entry="b1")
    plain = sail([DEPARTURE, SECOND, THIRD])

    assert plotted(boat) == plotted(plain)
