"""What is heard becomes rows: runs summed by the reading, a total that counts, the bus's variation."""

from math import cos, radians, sin

import pytest

from middlewatch.navigator.reckoning.card import Card
from middlewatch.navigator.reckoning.instruments import Instruments
from middlewatch.navigator.reckoning.track import ABSENT, BRIDGED, HEARD, HELD, MAGNETIC, TRUE, Row
from middlewatch.navigator.tuning import Tuning, VariationChoice
from middlewatch.readings import Reading
from middlewatch.readings.sentences import ApparentWind, Heading, HeadingKind, LogTotal, WaterSpeed
from navigator.navigating import COMPASS, LOG, START, Aboard, magnetic

METRES_A_SECOND_AT_5_KN = 5 * 1852 / 3600
NO_CARD = Card(())
millimetre = 1e-3


def second(instruments: Instruments, at_ms: int) -> Row:
    """End a second."""
    instruments.reconsider(at_ms)
    return instruments.close_second(at_ms)


def hear(instruments: Instruments, at_ms: int, heading_deg: float, speed_kn: float) -> None:
    """Hear heading and speed."""
    instruments.hear_heading(magnetic(at_ms, heading_deg), NO_CARD, hdm_corrected=True)
    instruments.hear_speed(WaterSpeed(at_ms, LOG, speed_kn))


def test_a_turn_within_a_second_is_summed_as_it_was() -> None:
    """Heading 000 for 0.3 s, 090 for 0.7 s: the row's run has 0.3 north and 0.7 east of a second's run."""
    instruments = Instruments()
    hear(instruments, 0, 0.0, 5.0)
    before = second(instruments, 1000)
    hear(instruments, 1300, 90.0, 5.0)
    row = second(instruments, 2000)

    assert row.north_m - before.north_m == pytest.approx(0.3 * METRES_A_SECOND_AT_5_KN, abs=millimetre)
    assert row.east_m - before.east_m == pytest.approx(0.7 * METRES_A_SECOND_AT_5_KN, abs=millimetre)


def test_a_turn_through_north_is_no_turn_through_south() -> None:
    """A compass swinging between 350 and 010 ten times a second makes a run along 000."""
    instruments = Instruments()
    hear(instruments, 0, 350.0, 5.0)
    before = second(instruments, 1000)
    for at_ms in range(1000, 2000, 100):
        hear(instruments, at_ms, 350.0 if at_ms % 200 else 10.0, 5.0)
    row = second(instruments, 2000)

    assert row.east_m - before.east_m == pytest.approx(0.0, abs=millimetre)
    assert row.north_m - before.north_m == pytest.approx(
        METRES_A_SECOND_AT_5_KN * cos(radians(10.0)), abs=millimetre
    )


def test_astern_runs_backwards() -> None:
    """A log that gives a sign runs the boat astern with it."""
    instruments = Instruments()
    hear(instruments, 0, 90.0, -2.0)
    before = second(instruments, 1000)
    row = second(instruments, 2000)

    assert row.east_m - before.east_m == pytest.approx(-2 * 1852 / 3600, abs=millimetre)


def test_the_sensor_card_is_laid_over_the_sensors_heading() -> None:
    """HDG with no deviation field goes through the card; with one, sensor + deviation E+."""
    card = Card(((0.0, 3.0),))
    instruments = Instruments()
    instruments.hear_heading(
        Heading(0, "HCHDG@bow", HeadingKind.SENSOR, 100.0, None, None), card, hdm_corrected=True
    )
    by_card = second(instruments, 1000)
    instruments.hear_heading(
        Heading(1000, "HCHDG@bow", HeadingKind.SENSOR, 100.0, -2.0, None), card, hdm_corrected=True
    )
    by_field = second(instruments, 2000)

    assert (by_card.heading_deg, by_card.reference) == (103.0, MAGNETIC)
    assert (by_field.heading_deg, by_field.reference) == (98.0, MAGNETIC)


def test_a_gyros_heading_is_true() -> None:
    """A true heading makes a row in the true frame."""
    instruments = Instruments()
    instruments.hear_heading(
        Heading(0, "HEHDT@gyro", HeadingKind.TRUE, 45.0, None, None), NO_CARD, hdm_corrected=True
    )

    assert second(instruments, 1000).reference == TRUE


def test_how_a_row_came_by_its_speed() -> None:
    """Heard while fresh, bridged until 15 s after the last reading, held after; never heard is absent."""
    instruments = Instruments()
    assert second(instruments, 1000).speed_state == ABSENT
    instruments.hear_speed(WaterSpeed(1000, LOG, 5.0))

    states = [second(instruments, at_ms).speed_state for at_ms in range(2000, 20_000, 1000)]

    assert states == [HEARD] * 3 + [BRIDGED] * 12 + [HELD] * 3
    assert instruments.speed_kn == 5.0


def test_wind_is_forgotten_when_it_is_old() -> None:
    """An apparent wind not heard for over 10 s is not in the row."""
    instruments = Instruments()
    instruments.hear_wind(ApparentWind(1000, "WIMWV@mast", 40.0, 12.0))

    assert second(instruments, 11_000).wind_angle_deg == 40.0
    assert second(instruments, 12_000).wind_angle_deg is None


# --- a total that counts ------------------------------------------------------------------------------------


def count(boat: Aboard, seconds: int, kn: float, total_nm: float, *, speed_kn: float | None = None) -> float:
    """Sail so long on 090 with a log that counts at so many knots; return its total at the end."""
    began_ms = boat.now_ms
    for _ in range(seconds):
        now_nm = total_nm + kn * (boat.now_ms - began_ms) / 3_600_000
        readings: list[Reading] = [
            magnetic(boat.now_ms, 90.0),
            LogTotal(boat.now_ms, "VWVLW@bow", round(now_nm, 2)),
        ]
        if speed_kn is not None:
            readings.append(WaterSpeed(boat.now_ms, LOG, speed_kn))
        boat.second(*readings)
    return total_nm + kn * seconds / 3600


def test_a_total_alone_makes_a_speed() -> None:
    """A log that only counts: no speed for a minute, then its growth; an hour at 6 kn runs 6 nm."""
    boat = Aboard()
    boat.depart()
    total_nm = count(boat, 60, 6.0, 1234.0)
    assert boat.navigator.room.reckoning.now.speed_kn is None

    total_nm = count(boat, 62, 6.0, total_nm)
    position = boat.second()
    assert position.basis.speed.source == "VWVLW@bow"
    assert position.speed_kn == pytest.approx(6.0, abs=0.6)  # a hundredth of a mile in a minute is 0.6 kn
    before_nm = position.dr.run_nm if position.dr is not None else 0.0

    count(boat, 3600, 6.0, total_nm)
    position = boat.second()
    assert position.dr is not None
    # What is counted in a minute is run in the next: a hundredth of a mile each end.
    assert position.dr.run_nm - before_nm == pytest.approx(6.0, abs=0.02)


def test_no_speed_before_a_minute_is_said() -> None:
    """While the total has not yet grown for a minute the DR waits, and that is said once."""
    boat = Aboard()
    boat.depart()
    count(boat, 50, 6.0, 1234.0)

    (said,) = boat.alerts("log")
    assert "the DR waits" in said.text


def test_a_total_set_back_does_not_run_backwards() -> None:
    """A log that lost power and counts from nought again: the speed stays, and is never backwards."""
    boat = Aboard()
    boat.depart()
    count(boat, 300, 6.0, 80.0)
    boat.said.clear()

    total_nm = count(boat, 200, 6.0, 0.0)

    speeds = [r.speed_kn for r in boat.said if hasattr(r, "speed_kn")]
    assert len(speeds) == 200
    assert all(kn is not None and 5.3 < kn < 6.7 for kn in speeds)
    assert total_nm == pytest.approx(6.0 * 200 / 3600)


def test_a_total_set_on_is_no_run() -> None:
    """A log that wakes at nought and then reads its memory has not sailed all its miles in a minute: held."""
    boat = Aboard()
    boat.depart()
    count(boat, 300, 6.0, 12_345.0)
    boat.said.clear()

    count(boat, 1, 6.0, 0.0)
    count(boat, 200, 6.0, 12_345.5)

    speeds = [r.speed_kn for r in boat.said if hasattr(r, "speed_kn")]
    assert len(speeds) == 201
    assert all(kn is not None and 5.3 < kn < 6.7 for kn in speeds)
    raised, over = boat.alerts("log")
    assert "the DR runs on with the last, 6.0 kn" in raised.text
    assert over.state == "rectified-unacknowledged"


def test_two_totals_are_not_mixed() -> None:
    """Of two logs with totals miles apart one counts, and no speed is made of their difference."""
    boat = Aboard()
    boat.depart()
    for s in range(300):
        one, other = 100.0 + 5.0 * s / 3600, 900.0 + 5.0 * s / 3600
        position = boat.second(
            magnetic(boat.now_ms, 90.0),
            LogTotal(boat.now_ms, "VWVLW@port", one),
            LogTotal(boat.now_ms, "VWVLW@starboard", other),
        )

    assert position.speed_kn == pytest.approx(5.0, abs=0.01)


def test_when_the_wheels_speed_dies_the_total_takes_over() -> None:
    """VHW falls silent while VLW counts: after 10 s the speed is the total's, known since long."""
    boat = Aboard()
    boat.depart()
    total_nm = count(boat, 200, 6.0, 80.0, speed_kn=9.0)

    count(boat, 15, 6.0, total_nm)
    position = boat.second()

    assert position.basis.speed.source == "VWVLW@bow"
    assert position.speed_kn == pytest.approx(6.0, abs=0.6)


def test_total_and_speed_that_disagree_are_said() -> None:
    """A wheel that makes 5 kn while its total counts 6: that is a caution, once, in figures."""
    boat = Aboard()
    boat.depart()
    count(boat, 1500, 6.0, 80.0, speed_kn=5.0)

    (said,) = boat.alerts("log")
    assert said.priority == "caution"
    assert "total grew" in said.text
    assert "which is right?" in said.text


def test_total_and_speed_that_agree_are_not() -> None:
    """Four in a hundred between them are no matter."""
    boat = Aboard()
    boat.depart()
    count(boat, 1500, 5.2, 80.0, speed_kn=5.0)

    assert boat.alerts("log") == []


# --- the bus's variation ------------------------------------------------------------------------------------


def test_variation_by_the_bus() -> None:
    """Set so, the variation is what the steering compass sends; until one is heard heading is unknown."""
    boat = Aboard(Tuning(variation=VariationChoice("bus")))
    unknown = boat.second(magnetic(boat.now_ms, 90.0), WaterSpeed(boat.now_ms, LOG, 5.0))
    known = boat.second(magnetic(boat.now_ms, 90.0, variation_deg=-3.0))

    assert unknown.heading_true_deg is None
    assert known.heading_true_deg == 87.0


def test_the_steering_compass_gives_the_buss_variation() -> None:
    """A second compass with another variation (0 as it left the factory) does not make the heading jump."""
    boat = Aboard(Tuning(variation=VariationChoice("bus")))
    headings = set()
    for _ in range(30):
        position = boat.second(
            magnetic(boat.now_ms, 90.0, COMPASS, variation_deg=-3.0),
            magnetic(boat.now_ms, 90.0, "IIHDM@hub", variation_deg=0.0),
        )
        headings.add(position.heading_true_deg)

    assert headings == {87.0}


def test_a_run_along_the_magnetic_frame_is_turned_by_the_variation() -> None:
    """Magnetic 090 with variation 17 W is 073 true: the DR goes there."""
    boat = Aboard(Tuning(variation=VariationChoice("chart", -17.0, 2026.0)))
    boat.depart()
    boat.sail(3600, 90.0, 6.0)
    now = boat.navigator.room.reckoning.now

    assert now.dr_north_m == pytest.approx(6 * 1852 * cos(radians(73.0)), abs=0.5)
    assert now.dr_east_m == pytest.approx(6 * 1852 * sin(radians(73.0)), abs=0.5)
    assert now.second == START.ms // 1000 + 3600
