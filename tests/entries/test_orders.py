"""Orders: what each does, in one sentence, and what it does to the reckoning."""

from dataclasses import replace
from itertools import pairwise

import pytest

from entries.afloat import STEERING_CARD, departed, effect, metres
from entries.entering import FIVE_WEST, Aboard, utc
from middlewatch.navigator.tuning import Tuning
from middlewatch.quantities.instants import Instant
from middlewatch.reports import Report
from middlewatch.reports.advice import AdviceReport
from middlewatch.reports.position import PositionReport

# --- what is laid over --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("body", "words"),
    [
        (
            {"kind": "way", "way": "anchored", "radius_m": 35},
            (
                "anchored: the DR is held; satellites that have her over 35 m from where they next do "
                "are spoken of"
            ),
        ),
        ({"kind": "way", "way": "made_fast"}, "made fast: the DR is held"),
        ({"kind": "way", "way": "aground"}, "aground: the DR is held"),
        (
            {"kind": "way", "way": "hove_to"},
            "hove to: the DR drifts downwind while the wind is heard, else it is held",
        ),
        (
            {"kind": "way", "way": "drifting", "drift_towards_deg": 45, "drift_kn": 0.75},
            "drifting: the DR drifts towards 045 T at 0.75 kn",
        ),
        (
            {"kind": "way", "way": "manoeuvring"},
            "manoeuvring: the DR runs by heading and log until 0116, then under way again",
        ),
        (
            {"kind": "way", "way": "anchored", "until": utc(3600)},
            "anchored: the DR is held until 0200, then under way again",
        ),
        ({"kind": "way", "way": "under_way"}, "under way: the DR runs by heading and log"),
        (
            {"kind": "course", "heading_deg": 94.5, "reference": "magnetic"},
            (
                "course ordered 094.5 M, variation 5 W (chart rose 5.00 W in 2026, no annual change), "
                "089.5 T; noted: the DR goes on by the heading steered"
            ),
        ),
        ({"kind": "by_hand", "heading_deg": 90, "reference": "true"}, "heading 090 T, by hand"),
        ({"kind": "by_hand", "speed_kn": 4.25}, "speed 4.25 kn through the water, by hand"),
        ({"kind": "by_hand", "speed_kn": -1}, "speed -1 kn through the water, by hand"),
        (
            {"kind": "by_hand", "log_nm": 120.4},
            (
                "log reads 120.40 nm, by hand: speed is what it makes from reading to reading, "
                "and stays what it was while there is only one"
            ),
        ),
        (
            {"kind": "by_hand", "heading_deg": None, "speed_kn": None, "log_nm": None},
            "heading given back to the sensor; speed given back to the sensor; log given back to the sensor",
        ),
        (
            {"kind": "leeway", "leeway_deg": 7.5, "pushed_to": "port"},
            "leeway 7.5 degrees to port, in the EP until changed",
        ),
        (
            {"kind": "leeway", "leeway_deg": None},
            "leeway by order ended; by apparent wind where that is heard, else none",
        ),
        (
            {"kind": "stream", "set_deg": 80, "drift_kn": 1.3},
            "stream towards 080 T, 1.3 kn, in the EP until 0201",
        ),
        (
            {"kind": "stream", "set_deg": 80, "drift_kn": 1.3, "until": utc(1200)},
            "stream towards 080 T, 1.3 kn, in the EP until 0120",
        ),
        ({"kind": "visibility", "visibility_nm": 4}, "visibility 4 nm noted"),
        ({"kind": "remark", "text": "wind backing"}, "noted: wind backing"),
        ({"kind": "quiet"}, "quiet until 0111: nothing sounds but alarms and danger"),
        (
            {"kind": "clock", "utc": utc(90)},
            f"clock set to {utc(90)} by order: 30.0 s on",
        ),
        (
            {"kind": "clock", "utc": utc(57.4)},
            f"clock set to {utc(57)} by order: 2.6 s back",
        ),
        ({"kind": "trust_satellites"}, "no satellites are in quarantine: nothing changes"),
        ({"kind": "confirm", "entry": "d1"}, "departure d1 stands"),
    ],
)
def test_effect(body: dict[str, object], words: str) -> None:
    """Each order says what it does, with unit, reference and end; what was entered is not rounded."""
    answer = departed().order(**body)

    assert answer.accepted
    assert answer.used
    assert answer.effect == words


def test_compass_heading_by_hand_shows_its_chain() -> None:
    """099 C, deviation 3.8 W, 095.2 M, variation 5 W, 090.2 T."""
    boat = departed(Tuning(variation=FIVE_WEST, steering_card=STEERING_CARD))

    assert effect(boat.order(kind="by_hand", heading_deg=99)) == (
        "heading 099 C, deviation 3.8 W, 095.2 M, variation 5 W "
        "(chart rose 5.00 W in 2026, no annual change), 090.2 T, by hand"
    )


def test_way_holds_and_gives_back() -> None:
    """Anchored the DR stays; under way again it runs on at 6 kn."""
    boat = departed()
    boat.order(kind="way", way="anchored")
    boat.run(60)
    held = metres(boat.dr_at(60), boat.dr_at(120))
    boat.order(kind="way", way="under_way")
    boat.run(60)

    assert held == 0.0
    assert metres(boat.dr_at(120), boat.dr_at(180)) == pytest.approx(0.1 * 1852, rel=1e-3)


def test_course_ordered_steers_nothing() -> None:
    """It is kept beside the heading steered."""
    boat, other = departed(), departed()
    boat.order(kind="course", heading_deg=10, reference="true")

    def without_what_is_ahead(reports: list[Report]) -> list[Report]:
        return [replace(each, ahead=None) if isinstance(each, PositionReport) else each for each in reports]

    assert without_what_is_ahead(boat.run(60)) == without_what_is_ahead(other.run(60))


def test_leeway_and_stream_are_in_the_ep_and_not_in_the_dr() -> None:
    """10 degrees to port on 090 T for ten minutes, then a stream of 3 kn to the north for ten."""
    boat, plain = departed(), departed()
    boat.order(kind="leeway", leeway_deg=10, pushed_to="port")
    boat.run(600)
    boat.order(kind="leeway", leeway_deg=None)
    boat.order(kind="stream", set_deg=0, drift_kn=3)
    boat.run(600)
    plain.run(1200)

    assert boat.dr_at(1260) == plain.dr_at(1260)
    # Ten minutes at 6 kn are a mile: sin 10 of it to the north; ten minutes of 3 kn are half a mile.
    north_m, _ = boat.dr_at(1260).offset_to(boat.ep_at(1260))
    assert north_m == pytest.approx((0.17365 + 0.5) * 1852, abs=1.0)
    ep = boat.position.ep
    assert ep is not None
    assert ep.holds == ("stream 000 T 3.0 kn until 0211",)


# --- late orders --------------------------------------------------------------------------------------------


def test_a_late_order_says_what_moved() -> None:
    """A stream of 3 kn to the north heard ten minutes late: the EP moves half a mile, the DR not at all."""
    boat = departed()
    boat.run(600)
    before = boat.dr_at(660)
    words = effect(boat.order(kind="stream", set_deg=0, drift_kn=3, at=utc(60)))

    assert words == (
        "stream towards 000 T, 3 kn, in the EP until 0201; worked from 01:01:00; "
        "the EP of now moves 0.50 nm towards 000 T"
    )
    assert boat.dr_at(660) == before


def test_a_late_order_that_moves_nothing_says_so() -> None:
    """A remark of ten minutes ago says nothing of the EP; a leeway of next to nil says it in words."""
    boat = departed()
    boat.run(600)

    assert effect(boat.order(kind="remark", text="tacked", at=utc(60))) == "noted: tacked"
    late = effect(boat.order(kind="leeway", leeway_deg=0.01, pushed_to="port", at=utc(60)))
    assert late.endswith("; worked from 01:01:00; the EP of now moves by less than 0.01 nm")


def test_a_late_departure_starts_in_the_past() -> None:
    """Entered ten minutes late the DR has run since; there was no EP to move."""
    boat, prompt = Aboard(), Aboard()
    for each in (boat, prompt):
        each.run(60)
    prompt.depart()
    for each in (boat, prompt):
        each.run(600)
    answer = boat.depart(at=utc(60))

    assert effect(answer).endswith("the DR starts there; worked from 01:01:00")
    assert boat.dr_at(660) == prompt.dr_at(660)
    # Advice is said on change, and here an entry has just come.
    said, prompts = (
        [each for each in of.run(1) if not isinstance(each, AdviceReport)] for of in (boat, prompt)
    )
    assert said == prompts


# --- the watch ----------------------------------------------------------------------------------------------


def silent_log() -> Aboard:
    """Return a boat whose log has been silent long enough for a warning."""
    boat = Aboard(Tuning())
    boat.run(10)
    boat.depart()
    boat.run(20)
    boat.speed_kn = None
    boat.run(20)
    return boat


def test_acknowledge_wants_the_revision_that_stands() -> None:
    """An alert that has changed since it was read is not acknowledged by its old revision."""
    boat = silent_log()
    alert = boat.alerts("log")[-1]
    refusal = boat.order(kind="acknowledge", alert="log", revision=alert.revision + 1).refusal
    words = effect(boat.order(kind="acknowledge", alert="log", revision=alert.revision))

    assert alert.state == "active-unacknowledged"
    assert refusal is not None
    assert (refusal.field, refusal.found, refusal.wanted) == ("revision", "2", "1")
    assert words == "log warning acknowledged; it still stands"
    acknowledged = boat.alerts("log")[-1]
    assert (acknowledged.state, acknowledged.revision, acknowledged.text) == (
        "active-acknowledged",
        2,
        alert.text,
    )
    assert (
        effect(boat.order(kind="acknowledge", alert="log"))
        == "log: acknowledged already, nothing to acknowledge"
    )


def test_silence_lasts_thirty_seconds() -> None:
    """Silenced, and at the thirtieth second unacknowledged again."""
    boat = silent_log()
    words = effect(boat.order(kind="silence", alert="log"))
    boat.run(29)
    silenced = boat.alerts("log")
    boat.run(1)

    assert words == "log warning silent for 30 s; it is not acknowledged"
    assert [alert.state for alert in silenced] == ["active-unacknowledged", "active-silenced"]
    assert boat.alerts("log")[-1].state == "active-unacknowledged"


def test_clock_from_satellites_is_by_order_only() -> None:
    """A satellite time a minute ahead changes nothing until it is ordered."""
    boat = Aboard()
    boat.run(5)
    check = boat.navigator.room.check
    check.time = boat.now_ms - 500, boat.now_ms + 59_500
    assert boat.navigator.room.scale.utc(boat.now_ms) == Instant(boat.now_ms)

    words = effect(boat.order(kind="clock", **{"from": "satellite"}))
    assert words == f"clock set to {utc(65)} from satellite time, by order: 60.0 s on"
    assert boat.run(1)[0].at == Instant(boat.now_ms + 60_000)


@pytest.mark.parametrize("wrong", ["9999-12-31T23:59:59Z", "2200-01-02T00:00:00Z", "1979-12-31T23:00:00Z"])
def test_a_clock_that_no_boat_sails_by_is_refused(wrong: str) -> None:
    """A year that cannot be is refused, by hand and from satellites alike, and the watch goes on."""
    boat = departed()
    check = boat.navigator.room.check
    check.time = boat.now_ms, Instant.parse(wrong).ms

    refused = [boat.order(kind="clock", utc=wrong), boat.order(kind="clock", **{"from": "satellite"})]
    boat.run(3)

    assert [each.refusal and each.refusal.reason for each in refused] == ["no boat sails then"] * 2
    assert boat.navigator.room.scale.utc(boat.now_ms) == Instant(boat.now_ms)


def test_the_clock_moves_labels_and_not_the_reckoning() -> None:
    """Set on by an hour the boat has not sailed an hour."""
    boat = departed()
    boat.order(kind="clock", utc=utc(3660))
    boat.run(60)

    steps = [metres(boat.dr_at(second), boat.dr_at(second + 1)) for second, _ in pairwise(range(60, 120))]
    assert steps == [pytest.approx(6 * 1852 / 3600, rel=1e-3)] * len(steps)


def test_quiet_runs_ten_minutes() -> None:
    """Ten minutes from when it was heard."""
    boat = departed()
    boat.order(kind="quiet")

    assert boat.navigator.room.ordered.quiet_until_ms == boat.now_ms + 600_000
