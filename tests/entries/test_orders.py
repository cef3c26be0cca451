"""Orders: what each does, in one sentence, and what it does to the reckoning."""

from itertools import pairwise

import pytest

from entries.entering import FIVE_WEST, START, START_MS, Aboard, utc
from entries.vincenty import direct
from middlewatch.navigator.tuning import Tuning
from middlewatch.quantities.instants import Instant
from middlewatch.quantities.positions import Position
from middlewatch.readings.sentences import Word
from middlewatch.reports.answer import Answer

MILLIMETRE = 1e-3
STEERING_CARD = ((0.0, 2.0), (90.0, -4.0), (180.0, -2.0), (270.0, 4.0))


def departed(tuning: Tuning | None = None) -> Aboard:
    """Return a boat that departed a minute ago, heading 095 M, 090 T by a rose of 5 W."""
    boat = Aboard(tuning)
    boat.run(10)
    boat.depart()
    boat.run(50)
    return boat


def metres(one: Position, other: Position) -> float:
    """Return how far apart two places are, in metres."""
    return one.to(other)[1] * 1852


def effect(answer: Answer) -> str:
    """Return the sentence of an order taken."""
    assert answer.effect is not None, answer.refusal
    return answer.effect


# --- departures ---------------------------------------------------------------------------------------------


def test_departure_from_a_position() -> None:
    """The DR starts where and when the order says; the sentence says so."""
    boat = Aboard()
    boat.run(10)
    words = effect(boat.depart(latitude_deg=50.05, longitude_deg=-4.1, sd_nm=0.2))

    assert words == (
        "departure 50 03.00 N 004 06.00 W at 0100, position entered, 1 sigma 0.2 nm; the DR starts there"
    )
    boat.run(1)
    origin = boat.position.origin
    assert origin is not None
    assert (origin.kind, origin.id, origin.at) == ("departure", "d1", Instant(START_MS + 10_000))
    assert (origin.latitude_deg, origin.longitude_deg, origin.parent_satellite) == (50.05, -4.1, None)


def test_departure_from_a_mark_by_magnetic_bearing() -> None:
    """Bolt Head bore 248 M, 5 W, 243 T at 2 nm: the boat lay 063 T of it (Vincenty's direct formula)."""
    boat = Aboard()
    boat.run(10)
    words = effect(boat.order(id="d1", kind="departure", mark="Bolt Head", bearing_deg=248, distance_nm=2))

    place = Position(*direct(49.95, -4.2, 63, 2 * 1852))
    assert metres(boat.dr_at(10), place) < MILLIMETRE
    assert words == (
        "departure 49 57.91 N 004 09.24 W at 0100, from Bolt Head bearing 248 M, variation 5 W (chart rose "
        "5.00 W in 2026, no annual change), 243 T, distant 2 nm, 1 sigma 0.05 nm; the DR starts there"
    )


@pytest.mark.parametrize(
    ("bearing_deg", "reference"), [(243, "true"), (248, "magnetic"), (153, "relative"), (251.802, "compass")]
)
def test_departure_from_a_mark_in_every_reference(bearing_deg: float, reference: str) -> None:
    """243 T is 248 M, 153 from the bow of a boat heading 095 M, and 251.8 C with 3.8 W of deviation."""
    boat = Aboard(Tuning(variation=FIVE_WEST, steering_card=STEERING_CARD))
    boat.run(10)
    boat.order(
        id="d1",
        kind="departure",
        mark="Bolt Head",
        bearing_deg=bearing_deg,
        reference=reference,
        distance_nm=2,
    )

    # The deviation on 098.8 C is 3.804 W by the card; a thousandth of a degree is 0.07 m at 2 nm.
    assert metres(boat.dr_at(10), Position(*direct(49.95, -4.2, 63, 2 * 1852))) < 0.2


def test_departure_by_the_model_takes_the_variation_of_its_mark() -> None:
    """Before any reckoned position the model is asked at the mark."""
    boat = Aboard(Tuning())
    boat.run(10)
    words = effect(boat.order(kind="departure", mark="Bolt Head", bearing_deg=248, distance_nm=2))

    assert "(WMM2025 at 49 57 N 004 12 W, 2026.3)" in words


def test_departure_from_satellites_is_remembered_until_a_fix_by_sight_is_adopted() -> None:
    """`parent_satellite` is the order's id; a fix made keeps it, a fix adopted ends it."""
    boat = Aboard(satellites=lambda second: Position(50.01, -4.02 + second / 36000))
    boat.run(10)
    words = effect(boat.order(id="d1", kind="departure", **{"from": "satellite"}))
    boat.run(20)
    by_satellite = boat.position.origin
    boat.sighting(id="p1", kind="position", latitude_deg=50.0, longitude_deg=-4.0, sd_nm=0.1, source="visual")
    boat.run(1)
    not_adopted = boat.position.origin
    adopted = effect(boat.order(id="a1", kind="adopt", fix="f-p1"))
    boat.run(1)
    by_sight = boat.position.origin

    assert words == (
        "departure 50 00.60 N 004 01.18 W at 0100, satellite position (GP@bow), by order, 1 sigma 0.05 nm; "
        "the DR starts there; it descends from a satellite position until a fix by sight is adopted"
    )
    assert by_satellite is not None
    assert by_satellite.parent_satellite == "d1"
    assert metres(boat.dr_at(10), Position(50.01, -4.02 + 9 / 36000)) < MILLIMETRE
    assert not_adopted == by_satellite
    assert by_sight is not None
    assert (by_sight.kind, by_sight.parent_satellite) == ("fix", None)
    assert adopted.endswith("; it descends from a satellite position no longer")


def test_a_satellite_departure_amended_stays_the_position_it_took() -> None:
    """Its doubt may be amended later: where it was taken does not move with the satellites."""
    boat = Aboard(satellites=lambda second: Position(50.01, -4.02 + second / 3600))
    boat.run(10)
    boat.order(id="d1", kind="departure", **{"from": "satellite"})
    boat.run(100)
    answer = boat.order(kind="amend", entry="d1", change={"sd_nm": 0.3})
    boat.run(1)

    assert answer.accepted
    origin = boat.position.origin
    assert origin is not None
    assert (origin.latitude_deg, origin.longitude_deg) == (50.01, -4.02 + 9 / 3600)


def test_no_entry_amended_into_a_satellite_departure_takes_todays_position() -> None:
    """A departure of ten minutes ago cannot be made one from the satellite position of now."""
    boat = Aboard(satellites=lambda _: Position(50.01, -4.02))
    boat.run(10)
    boat.depart()
    boat.run(600)
    change = {"latitude_deg": None, "longitude_deg": None, "from": "satellite"}
    refusal = boat.order(kind="amend", entry="d1", change=change).refusal

    assert refusal is not None
    assert (refusal.field, refusal.wanted) == ("change.at", "now")
    assert metres(boat.dr_at(10), START) < MILLIMETRE


def test_a_doubting_receiver_is_no_departure() -> None:
    """A receiver that calls its position estimated is not departed from."""
    boat = Aboard(satellites=lambda _: Position(50.01, -4.02))
    boat.word = Word.ESTIMATED
    boat.run(10)

    assert boat.order(kind="departure", **{"from": "satellite"}).refusal is not None


# --- what is laid over --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("body", "words"),
    [
        (
            {"kind": "way", "way": "anchored", "radius_m": 35},
            "anchored: the DR is held, circle of 35 m noted",
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
                "and the DR waits while there is only one"
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
            {"kind": "clock", "utc": utc(57.5)},
            f"clock set to {utc(57.5)} by order: 2.5 s back",
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

    assert boat.run(60) == other.run(60)


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
    assert boat.run(1) == prompt.run(1)


# --- fixes --------------------------------------------------------------------------------------------------


def fixed() -> Aboard:
    """Return a boat with a fix of two lines, `f-b2`, a minute after it."""
    boat = departed()
    boat.sighting(id="b1", kind="bearing", mark="Start Point", bearing_deg=342, reference="true")
    boat.run(30)
    boat.sighting(id="b2", kind="bearing", mark="Stoke Point", bearing_deg=47, reference="true")
    boat.run(60)
    return boat


def test_adopt_moves_the_origin_and_the_old_dr_runs_on_for_two_hours() -> None:
    """The new DR starts from the fix at its own time; the former runs on and is gone after two hours."""
    boat, other = fixed(), fixed()
    fix = boat.fixes()[-1]
    words = effect(boat.order(id="a1", kind="adopt", fix="f-b2"))
    boat.run(60)
    other.run(60)

    place = Position(fix.latitude_deg, fix.longitude_deg)
    assert words == (
        f"f-b2 of 0101 adopted: the DR starts anew from {place}; the old one runs on beside it until 0302"
    )
    # Fix at 90 s; at 210 s two minutes have been run at 6 kn, a fifth of a mile east.
    assert metres(boat.dr_at(210), place.moved(0.0, 0.2 * 1852)) < 0.01
    origin = boat.position.origin
    assert origin is not None
    assert (origin.kind, origin.id, origin.at, origin.parent_satellite) == ("fix", "f-b2", fix.at, None)
    assert origin.source == "Fix by b1, b2"
    former = boat.position.former
    assert former is not None
    assert metres(Position(former.latitude_deg, former.longitude_deg), other.dr_at(210)) < MILLIMETRE
    assert former.until == Instant(START_MS + (150 + 7200) * 1000)
    boat.run(7140)
    assert boat.position.former is not None
    boat.run(1)
    assert boat.position.former is None


def test_adopt_without_a_dr_before_it_speaks_of_no_old_one() -> None:
    """The first origin of all may be a fix."""
    boat = Aboard()
    boat.run(10)
    boat.sighting(id="p1", kind="passing", mark="Gammon Beacon", side="port", distance_m=200)
    words = effect(boat.order(kind="adopt", fix="f-p1"))

    assert words.startswith("f-p1 of 0100 adopted: the DR starts anew from ")
    assert "old one" not in words


def test_nothing_but_an_order_moves_the_origin() -> None:
    """Fixes come, and the DR goes on from its departure."""
    boat = fixed()

    assert boat.fixes()[-1].id == "f-b2"
    assert boat.position.origin is not None
    assert boat.position.origin.id == "d1"


def test_a_late_sighting_never_moves_an_origin_adopted() -> None:
    """The fix is published again with `revises`; the DR stays; adopting the old revision warns."""
    boat, other = fixed(), fixed()
    for each in (boat, other):
        each.order(id="a1", kind="adopt", fix="f-b2")
        each.run(30)
    late = boat.hear(
        "sighting", {"id": "b0", "kind": "range", "mark": "Bolt Head", "distance_nm": 8.6, "at": utc(70)}
    )

    revised = boat.fixes()[-1]
    assert (revised.id, revised.revises) == ("f-b2.2", "f-b2")
    assert revised.sightings == ("b1", "b0", "b2")
    assert revised in late
    boat.run(1)
    other.run(1)
    assert boat.position == other.position
    again = effect(boat.order(id="a2", kind="adopt", fix="f-b2"))
    assert again.endswith("; mind that f-b2.2 has revised f-b2 since")


def test_adopt_before_the_fix_was_made_is_refused() -> None:
    """A fix of 0101:30 cannot have been adopted at 0101."""
    boat = fixed()
    refusal = boat.order(kind="adopt", fix="f-b2", at=utc(60)).refusal

    assert refusal is not None
    assert (refusal.field, refusal.wanted) == ("at", f"not before {utc(90)}, the fix's own time")


def test_fix_using_chosen_lines() -> None:
    """Of three lines the skipper takes two: the fix is revised, and the sentence says where it is."""
    boat = fixed()
    boat.sighting(id="b3", kind="range", mark="Bolt Head", distance_nm=8.6)
    made = boat.fixes()[-1]
    words = effect(boat.order(id="x1", kind="fix", using=["b1", "b3"]))
    chosen = boat.fixes()[-1]

    assert made.sightings == ("b1", "b2", "b3")
    assert (chosen.id, chosen.revises, chosen.sightings) == ("f-b3.2", "f-b3", ("b1", "b3"))
    assert words.startswith("f-b3.2, Fix by b1, b3: 50 ")
    assert words.endswith(" W")


def test_fix_using_is_undone_by_withdrawing_the_order() -> None:
    """The fix is again what it was of itself."""
    boat = fixed()
    boat.sighting(id="b3", kind="range", mark="Bolt Head", distance_nm=8.6)
    made = boat.fixes()[-1]
    boat.order(id="x1", kind="fix", using=["b1", "b3"])
    boat.run(5)
    words = effect(boat.order(kind="withdraw", entry="x1"))

    restored = boat.fixes()[-1]
    assert words == "fix x1 withdrawn; it stays in the log as withdrawn; fixes: f-b3.3 revises f-b3.2"
    assert (restored.latitude_deg, restored.longitude_deg) == (made.latitude_deg, made.longitude_deg)


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
