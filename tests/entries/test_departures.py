"""Departures: from a position, from a mark, and from a satellite position, which is remembered."""

import pytest

from entries.afloat import MILLIMETRE, STEERING_CARD, effect, metres
from entries.entering import FIVE_WEST, START, START_MS, Aboard, Place, heard
from entries.vincenty import direct
from middlewatch.navigator.tuning import Tuning
from middlewatch.quantities.instants import Instant
from middlewatch.quantities.positions import Position
from middlewatch.readings.sentences import Word


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
    assert adopted.endswith(
        "; it descends from a satellite position no longer"
        "; mind that p1, which it rests on, is suspected and stands unconfirmed"
    )


def _jumps(second: int) -> Position:
    return Position(50.01 if second < 60 else 50.06, -4.02 + second / 36000)


def _stands(second: int) -> Position:
    return Position(50.01, -4.02 + min(second, 30) / 36000)


def _goes(second: int) -> Position:
    return Position(50.01, -4.02 + second / 36000)


def _goes_elsewhere(second: int) -> Position:
    return Position(50.06, -4.02 + second / 36000)


@pytest.mark.parametrize(
    ("one", "other", "reason"),
    [
        (_goes, _goes, None),
        (_jumps, None, "the satellite position has just jumped by 3.00 nm"),
        (_stands, None, "the digits of the satellite position stand while the log is over 1 kn"),
        (_goes, _goes_elsewhere, "GP@bow has her 3.00 nm from there: two receivers that disagree"),
    ],
)
def test_no_departure_from_satellites_that_betray_themselves(
    one: Place, other: Place | None, reason: str | None
) -> None:
    """Before any reckoning there is nothing to hold them against but themselves: that is done."""
    boat = Aboard(satellites=one)
    for _ in range(65):
        if other is not None:
            boat.navigator.step(heard(boat.now_ms + 300, other(boat.seconds), source="GPRMC@mast"))
        boat.run(1)

    answer = boat.order(id="d1", kind="departure", **{"from": "satellite"})

    assert (answer.refusal.reason if answer.refusal is not None else None) == reason


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


def test_a_departure_while_made_fast_says_that_the_dr_is_held() -> None:
    """The skipper forgot to get under way: the answer reminds him."""
    boat = Aboard()
    boat.run(10)
    boat.depart()
    boat.order(kind="way", way="made_fast")
    boat.run(10)

    answer = boat.depart(id="d2")

    assert effect(answer).endswith("the DR starts there, and is held: she is made fast by order")
