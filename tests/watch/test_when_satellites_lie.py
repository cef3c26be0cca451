"""When satellites lie: whom it is put down to, where they last agreed, what may be ordered of them."""

import json
import re
from functools import partial
from math import sin

import pytest

from entries.entering import FIVE_WEST, START, Aboard, utc
from middlewatch.navigator.navigator import Navigator
from middlewatch.navigator.tuning import Tuning
from middlewatch.navigator.watch.causes import weigh
from middlewatch.quantities.instants import MS_PER_MINUTE, Instant
from middlewatch.quantities.positions import Position
from middlewatch.readings.marks import Mark
from middlewatch.readings.sentences import LogTotal
from middlewatch.reports.advice import AdviceReport
from middlewatch.reports.answer import Answer
from middlewatch.reports.satellite import SatelliteReport
from middlewatch.wire import entries
from middlewatch.wire.payloads import payload

KNOT = 1852.0 / 3600.0
ONSET_S = 1510
MARKS = {
    mark.name: mark
    for mark in (
        Mark("North Light", Position(50.06, -3.91), height_m=30.0, range_nm=15.0),
        Mark("East Light", Position(50.01, -3.75), height_m=30.0, range_nm=15.0),
        Mark("South Light", Position(49.93, -3.88), height_m=30.0, range_nm=15.0),
    )
}

TUNING = Tuning(variation=FIVE_WEST)


def sailed(boat: Aboard, second: int) -> Position:
    """Return where she is: due east at 6 kn from the start; a receiver's last digits never stand still."""
    del boat
    return START.moved(2.0 * sin(0.7 * second), 6.0 * KNOT * (second - 10))


def aboard(pull_kn: float = 0.0) -> Aboard:
    """Return a boat 25 minutes out, all well; from then on her receiver is drawn off to the north-west."""
    boat = Aboard(TUNING)
    boat.navigator = Navigator(boat.navigator.room.tuning, MARKS, entries)
    part = 0.5**0.5 * KNOT * pull_kn

    def drawn(second: int) -> Position:
        off_m = part * max(0, second - ONSET_S)
        return sailed(boat, second).moved(off_m, -off_m)

    boat.satellites = drawn
    boat.run(10)
    boat.depart()
    boat.run(1500)
    return boat


def refusal(answer: Answer) -> tuple[str, str, str]:
    """Return what is refused: field, wanted, reason."""
    assert answer.refusal is not None, answer.effect
    return answer.refusal.field, answer.refusal.wanted, answer.refusal.reason


# --- causes -------------------------------------------------------------------------------------------------


def test_all_well_names_no_cause() -> None:
    """In step there is nothing to explain, nothing to settle, and no last agreement to go back to."""
    boat = aboard()

    assert (boat.satellite.state, boat.satellite.causes, boat.satellite.last_agreed) == ("in_step", (), None)
    assert all(each.settles is None for each in boat.said if isinstance(each, AdviceReport))


def test_a_pull_is_put_down_to_the_satellites() -> None:
    """Three knots on the quarter, at once, through no turn of hers: the satellites first."""
    boat = aboard(pull_kn=3.0)
    boat.run(240)

    first, rival = boat.satellite.causes[:2]
    assert first.cause == "satellite"
    assert first.weight > 0.5
    assert "fixed to the earth" in first.evidence
    assert sum(each.weight for each in boat.satellite.causes) == pytest.approx(1.0)
    text = boat.alerts("satellite")[-1].text
    assert "likeliest the satellites (" in text
    assert rival.evidence.split(" kn")[0] in text or "else " in text


def test_a_log_whose_total_and_speed_differ_is_not_blamed_for_what_no_log_makes() -> None:
    """Its total shows 15 % less than its speed, all along; a pull across the heading is the satellites'."""
    causes = []
    for total in (False, True):
        boat = Aboard(TUNING)
        boat.satellites = partial(_drawn_north, boat)
        boat.run(10)
        boat.depart()
        for second in range(1800):
            if total:
                boat.navigator.step(LogTotal(boat.now_ms, "VWVLW@bow", 100.0 + 0.85 * 6.0 * second / 3600))
            boat.run(1)
        assert boat.navigator.room.alerts.stands("log", "total") == total
        causes.append({each.cause: each for each in boat.satellite.causes})

    plain, beside = causes
    assert max(beside.values(), key=lambda each: each.weight).cause == "satellite"
    assert beside["satellite"].weight == pytest.approx(plain["satellite"].weight, abs=0.01)
    assert beside["log"].evidence.endswith("; its total and its speed do not go together")


def _drawn_north(boat: Aboard, second: int) -> Position:
    return sailed(boat, second).moved(3.0 * KNOT * max(0, second - ONSET_S), 0.0)


def test_the_sight_that_would_settle_it_is_asked_for() -> None:
    """The mark across the gap and near; what it would bear from either place is not told."""
    boat = aboard(pull_kn=3.0)
    boat.run(900)

    settles = [each.settles for each in boat.said if isinstance(each, AdviceReport) and each.settles]
    assert settles[-1].mark in MARKS
    assert settles[-1].text.startswith(f"To settle it: a bearing of {settles[-1].mark} now.")
    published = json.loads(payload([each for each in boat.said if isinstance(each, AdviceReport)][-1]))
    assert set(published["settles"]) == {"mark", "text"}


def test_the_sight_that_will_settle_it_is_told_with_its_time() -> None:
    """The gap goes on growing as it set in: what is told for later settles it by then, and is asked for."""
    boat = aboard(pull_kn=3.0)
    boat.run(1320)

    said = [each for each in boat.said if isinstance(each, AdviceReport) and each.settles is not None]
    asked = [each.settles is not None and " now. From" in each.settles.text for each in said]
    now, told = said[asked.index(True)], said[asked.index(True) - 1].settles
    assert told is not None
    later = re.fullmatch(
        r"No sight now would settle it; a bearing of (.+) would at about (\d{4})\.", told.text
    )
    assert later is not None
    # Moments are looked at five minutes apart: it settles it at the one that was told, not at the one before.
    told_ms = Instant.parse(f"2026-05-03T{later[2][:2]}:{later[2][2:]}:00Z").ms
    assert now.settles is not None
    assert now.settles.mark == later[1]
    assert -5 * MS_PER_MINUTE <= now.at.ms - told_ms <= MS_PER_MINUTE


def test_a_sight_says_what_it_did_to_the_causes() -> None:
    """Bearings of two marks from where she is exclude the satellites, and the alert says what each did."""
    boat = aboard(pull_kn=3.0)
    boat.run(1200)
    here = sailed(boat, boat.seconds)
    before = boat.satellite.causes[0].weight
    for id_, name in (("b1", "North Light"), ("b2", "East Light")):
        bearing_deg = here.to(MARKS[name].position)[0]
        boat.sighting(
            id=id_, kind="bearing", mark=name, bearing_deg=round(bearing_deg, 1) % 360.0, reference="true"
        )
        boat.run(1)
        assert f"bearing {id_} made of the causes: " in boat.alerts("satellite")[-1].text

    assert boat.satellite.causes[0].cause == "satellite"
    assert boat.satellite.causes[0].weight >= before
    assert "excluded by " in boat.satellite.causes[0].evidence


def test_a_departure_typed_wrong_is_put_down_to_the_entry() -> None:
    """A departure a mile off her true place, good to 0.05 by its own word: the gap came with it."""
    boat = aboard()
    there = sailed(boat, boat.seconds).moved(1852.0, 0.0)
    boat.order(id="d2", kind="departure", latitude_deg=there.latitude_deg, longitude_deg=there.longitude_deg)
    boat.run(120)

    first = boat.satellite.causes[0]
    assert (first.cause, first.evidence) == ("entry", "the gap came with d2")


def test_a_log_that_nothing_goes_by_is_not_to_blame() -> None:
    """Steered by hand all along, a log that betrays itself explains nothing; the weights stay weights."""
    boat = Aboard(Tuning(variation=FIVE_WEST))
    boat.satellites = lambda second: sailed(boat, second).moved(0.0, 2.0 * KNOT * max(0, second - 900))
    boat.run(10)
    boat.depart()
    boat.order(kind="by_hand", speed_kn=6.0)
    boat.run(1200)
    causes = weigh(boat.navigator.room, frozenset({"log"})).causes

    assert sum(each.weight for each in causes) == pytest.approx(1.0)
    assert next(each.weight for each in causes if each.cause == "log") == 0.0


# --- the last agreement -------------------------------------------------------------------------------------


def test_the_last_agreement_can_be_departed_from() -> None:
    """Kept from before the pull set in; ordered, the DR starts there and then, no surer than it was."""
    boat = aboard(pull_kn=3.0)
    boat.run(300)
    agreed = boat.satellite.last_agreed
    assert agreed is not None
    assert utc(ONSET_S - 120) < str(agreed.at) < utc(ONSET_S)

    answer = boat.order(id="d2", kind="departure", **{"from": "last_agreed"})
    boat.run(1)

    assert answer.effect is not None
    assert "where satellites and reckoning last agreed, by order" in answer.effect
    origin, area = boat.position.origin, boat.position.area
    assert origin is not None
    assert area is not None
    assert (origin.id, origin.at, origin.parent_satellite) == ("d2", agreed.at, "d2")
    assert area.semi_major_nm >= agreed.ordinary_gap_nm
    # She has been run on from there, and is where she is to within the receiver's own noise.
    north_m, east_m = sailed(boat, boat.seconds).offset_to(boat.ep_at(boat.seconds))
    assert abs(north_m) < 15.0
    assert abs(east_m) < 15.0


def test_the_last_agreement_is_amended_to_a_greater_doubt_only() -> None:
    """A greater doubt is taken, told in three decimals; a smaller one leaves what the gap then allows."""
    boat = aboard(pull_kn=3.0)
    boat.run(300)
    answer = boat.order(id="d2", kind="departure", **{"from": "last_agreed"})
    assert answer.effect is not None
    assert re.search(r", 1 sigma 0\.\d{1,3} nm; ", answer.effect)

    def sd_nm() -> float:
        origin = boat.navigator.room.reckoning.now.origin
        assert origin is not None
        return origin.sd_nm

    ordinary_nm = sd_nm()
    boat.order(kind="amend", entry="d2", change={"sd_nm": 1.5})
    assert sd_nm() == 1.5
    boat.order(kind="amend", entry="d2", change={"sd_nm": 0.01})
    assert sd_nm() == ordinary_nm


def test_a_sight_of_a_second_to_come_has_done_nothing_yet() -> None:
    """Entered three seconds ahead it is named for what it did to the causes once worked, not before."""
    boat = aboard(pull_kn=3.0)
    boat.run(1200)
    bearing_deg = round(sailed(boat, boat.seconds + 3).to(MARKS["North Light"].position)[0], 1) % 360.0
    boat.hear(
        "sighting",
        {"id": "b1", "kind": "bearing", "mark": "North Light", "bearing_deg": bearing_deg,
         "reference": "true", "at": utc(boat.seconds + 3)},
    )  # fmt: skip
    boat.run(2)
    assert "bearing b1 made of the causes" not in boat.alerts("satellite")[-1].text
    boat.run(2)
    assert "bearing b1 made of the causes" in boat.alerts("satellite")[-1].text


def test_the_last_agreement_comes_back_from_the_journal() -> None:
    """Restarted after that order, she is reckoned to the same place to the last digit."""
    boat = aboard(pull_kn=3.0)
    boat.run(300)
    boat.order(id="d2", kind="departure", **{"from": "last_agreed"})
    boat.run(5)
    again = Navigator(boat.navigator.room.tuning, MARKS, entries)
    again.thaw(boat.navigator.freeze(), boat.navigator.drain())

    assert again.room.reckoning.now.ep == boat.navigator.room.reckoning.now.ep
    assert again.freeze() == boat.navigator.freeze()


def test_withdrawn_it_is_as_if_never_ordered() -> None:
    """The reckoning goes back to the departure before, from the agreement on."""
    boat, other = aboard(pull_kn=3.0), aboard(pull_kn=3.0)
    for each in (boat, other):
        each.run(300)
    boat.order(id="d2", kind="departure", **{"from": "last_agreed"})
    boat.run(5)
    boat.order(kind="withdraw", entry="d2")
    other.run(5)

    for second in (ONSET_S - 60, ONSET_S + 100, other.seconds):
        assert boat.ep_at(second) == other.ep_at(second)


def test_nothing_suspected_leaves_nothing_to_go_back_to() -> None:
    """In step, `last_agreed` is refused with what would do instead."""
    answer = aboard().order(kind="departure", **{"from": "last_agreed"})

    assert refusal(answer) == (
        "from",
        "satellite, a position, or a mark with bearing and distance",
        "nothing is suspected of the satellites, or they never agreed before",
    )


def test_no_departure_from_satellites_that_are_suspected() -> None:
    """In step it is taken; while they are parting it is refused, with the last agreement offered."""
    boat = aboard(pull_kn=3.0)
    assert boat.order(id="d2", kind="departure", **{"from": "satellite"}).accepted
    boat.run(240)

    field, wanted, reason = refusal(boat.order(id="d3", kind="departure", **{"from": "satellite"}))
    assert field == "from"
    assert wanted.startswith("last_agreed, ")
    assert "in step only, or before any reckoning" in reason


def test_a_parting_outlasts_the_reckoning_it_was_found_in() -> None:
    """The departure taken back, it is not told as over, and no new one is taken from that receiver."""
    boat = aboard(pull_kn=3.0)
    boat.run(120)
    boat.order(kind="withdraw", entry="d1")
    boat.run(60)

    assert (boat.satellite.state, boat.satellite.reason) == ("none", "no reckoning")
    assert boat.alerts("satellite")[-1].state == "active"
    field, _, reason = refusal(boat.order(id="d3", kind="departure", **{"from": "satellite"}))
    assert field == "from"
    assert reason.startswith("the satellites are parting: ")


@pytest.mark.parametrize(
    ("off_m", "frozen", "doubt"), [(600.0, False, "has just jumped"), (0.0, True, "stand while")]
)
def test_before_any_reckoning_no_origin_is_taken_from_a_receiver_that_betrays_itself(
    off_m: float, frozen: bool, doubt: str
) -> None:
    """It jumped a moment ago, or its digits stand while the log shows way; well again, it is taken."""
    boat = Aboard(TUNING)
    boat.satellites = lambda second: sailed(boat, min(second, 100) if frozen else second).moved(
        off_m * (second > 100), 0.0
    )
    boat.run(130)
    _, _, reason = refusal(boat.order(id="d1", kind="departure", **{"from": "satellite"}))
    assert doubt in reason

    boat.satellites = lambda second: sailed(boat, second).moved(off_m, 0.0)
    boat.run(70)
    assert boat.order(id="d2", kind="departure", **{"from": "satellite"}).accepted


def test_a_moment_of_silence_in_a_pull_is_no_return() -> None:
    """Blamed, silent for ten seconds and drawn off as before: not told as returning for a second."""
    boat = aboard(pull_kn=3.0)
    boat.run(300)
    assert boat.navigator.room.check.quarantine.why == "being the likeliest to be wrong"
    place, boat.satellites = boat.satellites, lambda _second: None
    boat.run(10)
    boat.satellites = place
    said = boat.run(90)

    states = {each.state for each in said if isinstance(each, SatelliteReport)}
    assert states <= {"none", "parting"}


def test_a_pull_that_ends_is_not_in_step_while_a_warning_stands() -> None:
    """Drawn off at more than the sea can do, and no further: returning, and the last agreement is kept."""
    boat = aboard(pull_kn=6.0)
    boat.run(200)
    assert boat.navigator.room.alerts.stands("satellite", "stream")
    drawn = boat.satellites
    assert drawn is not None
    there = drawn(boat.seconds)
    assert there is not None
    off_m = sailed(boat, boat.seconds).offset_to(there)
    boat.satellites = lambda second: sailed(boat, second).moved(*off_m)
    said = boat.run(200)

    states = [each.state for each in said if isinstance(each, SatelliteReport)]
    assert "in_step" not in states
    assert states[-1] == "returning"
    assert boat.satellite.last_agreed is not None


@pytest.mark.parametrize("still_s", [200, 600])
def test_a_pull_that_comes_again_is_put_down_to_the_satellites(still_s: int) -> None:
    """Three knots for three minutes, none for a while, three again: no stream that changed by degrees."""
    boat = aboard()
    begins, again = boat.seconds, boat.seconds + 180 + still_s

    def drawn(second: int) -> Position:
        drawn_s = max(0, min(180, second - begins)) + max(0, second - again)
        off_m = 3.0 * KNOT * 0.5**0.5 * drawn_s
        return sailed(boat, second).moved(off_m, -off_m)

    boat.satellites = drawn
    boat.run(180 + still_s)
    assert (boat.satellite.state, boat.satellite.causes) == ("returning", ())

    boat.run(150)
    causes = boat.satellite.causes
    assert causes[0].cause == "satellite"
    assert causes[0].weight > 0.9


def test_satellites_that_were_lost_are_trusted_by_order_only() -> None:
    """Silent for two minutes and back: returning; refused without what is wanted; anyway, recorded."""
    boat = aboard()
    place, boat.satellites = boat.satellites, lambda _second: None
    boat.run(120)
    boat.satellites = place
    boat.run(60)
    assert (boat.satellite.state, boat.satellite.also) == ("returning", ())
    assert boat.satellite.reason is not None
    assert "then the order trust_satellites" in boat.satellite.reason

    field, wanted, _ = refusal(boat.order(kind="trust_satellites"))
    assert (field, wanted.split(" (")[0]) == ("anyway", "10 min of agreement")
    answer = boat.order(id="t1", kind="trust_satellites", anyway=True)
    assert answer.effect is not None
    assert "trusted anyway, without 10 min of agreement" in answer.effect
    boat.run(1)
    assert boat.satellite.state == "in_step"


def test_ten_minutes_and_two_lines_make_them_fit_to_be_trusted() -> None:
    """Two bearings that cut well and pass by them, ten minutes in step: the order alone is wanted."""
    boat = aboard()
    place, boat.satellites = boat.satellites, lambda _second: None
    boat.run(120)
    boat.satellites = place
    boat.run(590)
    here = sailed(boat, boat.seconds)
    for id_, name in (("b1", "North Light"), ("b2", "East Light")):
        bearing_deg = round(here.to(MARKS[name].position)[0], 1) % 360.0
        boat.sighting(id=id_, kind="bearing", mark=name, bearing_deg=bearing_deg, reference="true")
    boat.run(40)

    assert boat.satellite.reason == "after no position for a minute; wanted: the order trust_satellites"
    answer = boat.order(id="t1", kind="trust_satellites")
    assert answer.effect == "the satellites count again, after no position for a minute"


def test_trusting_satellites_takes_no_other_entrys_name() -> None:
    """Whether they are in quarantine hangs on them: the order is numbered apart, as acknowledging is."""
    boat = aboard()
    assert boat.order(kind="trust_satellites").id == "k1"
    assert boat.order(kind="remark", text="all well").id == "e2"


def test_trusting_satellites_is_not_what_last_means() -> None:
    """Taken or refused, it leaves `last` to the entry before it: that must not hang on the satellites."""
    boat = aboard()
    boat.order(id="lee", kind="leeway", leeway_deg=4, pushed_to="port")
    assert boat.order(kind="trust_satellites").accepted

    assert boat.order(kind="withdraw", entry="last").accepted
    assert boat.navigator.room.ledger.entries["lee"].withdrawn


def test_trusting_satellites_is_no_reason_for_advice() -> None:
    """Whether it is taken hangs on them, and advice is of sights: none is looked for."""
    boat = aboard()
    boat.run(1)
    boat.order(kind="trust_satellites")

    assert not boat.navigator.room.advised.entered


def test_from_a_pull_to_quarantine() -> None:
    """Drawn off, named, settled by two sights that were asked for; true again, and in quarantine."""
    boat = aboard(pull_kn=3.0)
    boat.run(1800)
    assert "parting" in (boat.satellite.state, *boat.satellite.also)
    assert boat.satellite.causes[0].cause == "satellite"

    asked: list[str] = []
    for number in range(2):
        settles = [each.settles for each in boat.said if isinstance(each, AdviceReport) and each.settles]
        mark = settles[-1].mark
        assert mark is not None
        asked.append(mark)
        bearing_deg = round(sailed(boat, boat.seconds).to(MARKS[mark].position)[0], 1) % 360.0
        boat.sighting(id=f"s{number}", kind="bearing", mark=mark, bearing_deg=bearing_deg, reference="true")
        boat.run(120)
    # Another mark is another witness.
    assert len(set(asked)) == 2
    evidence = boat.satellite.causes[0].evidence
    assert all(f"{mark} (s{number})" in evidence for number, mark in enumerate(asked))

    boat.satellites = lambda second: sailed(boat, second)
    boat.run(600)
    assert (boat.satellite.state, *boat.satellite.also) == ("returning",)
    field, wanted, _ = refusal(boat.order(kind="departure", **{"from": "satellite"}))
    assert (field, wanted.split(",")[0]) == ("from", "last_agreed")
