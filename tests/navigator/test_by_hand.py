"""Heading, speed and log by hand: in place of a sensor from their own time on, until given back."""

import pytest

from middlewatch.navigator.tuning import Tuning, VariationChoice
from navigator.navigating import DEPARTURE, Aboard, after, dr_of
from reference.rhumb import metres_apart, rhumb_arrival

centimetre = 0.01
HOUR_S = 3600
CARD = Tuning(variation=VariationChoice("chart", -5.0, 2026.0), steering_card=((0.0, 3.0), (180.0, 3.0)))


def underway(tuning: Tuning | None = None) -> Aboard:
    """Return a boat at her departure, 090 at 5 kn by her sensors."""
    boat = Aboard() if tuning is None else Aboard(tuning)
    boat.sail(2, 90.0, 5.0)
    boat.depart()
    return boat


def test_heading_and_speed_by_hand_replace_the_sensors() -> None:
    """Steering 045 at 4 kn by hand, the DR goes there whatever the sensors say; the basis says `order`."""
    boat = underway()
    boat.order("by_hand", heading_deg=45.0, reference="true", speed_kn=4.0)

    position = boat.sail(HOUR_S, 90.0, 5.0)

    assert metres_apart(dr_of(position), rhumb_arrival(*DEPARTURE, 45.0, 4.0)) < centimetre
    assert (position.basis.heading.source, position.basis.speed.source) == ("order", "order")
    assert (position.heading_true_deg, position.speed_kn) == (45.0, 4.0)


@pytest.mark.parametrize(("reference", "true_deg"), [("true", 60.0), ("magnetic", 55.0), ("compass", 58.0)])
def test_a_heading_by_hand_in_each_reference(reference: str, true_deg: float) -> None:
    """Deviation 3 E and variation 5 W: 060 C is 063 M is 058 T, 060 M is 055 T, 060 T is itself."""
    boat = underway(CARD)
    boat.order("by_hand", heading_deg=60.0, reference=reference)

    position = boat.sail(HOUR_S, 90.0, 5.0)

    assert position.heading_true_deg == pytest.approx(true_deg, abs=1e-9)
    assert metres_apart(dr_of(position), rhumb_arrival(*DEPARTURE, true_deg, 5.0)) < centimetre


def test_given_back() -> None:
    """`null` gives the sensor back, each by itself."""
    boat = underway()
    boat.order("by_hand", heading_deg=45.0, reference="true", speed_kn=4.0)
    boat.order("by_hand", speed_kn=None)
    half = boat.sail(1, 90.0, 5.0)
    boat.order("by_hand", heading_deg=None)
    whole = boat.sail(1, 90.0, 5.0)

    assert (half.heading_true_deg, half.speed_kn) == (45.0, 5.0)
    assert (whole.heading_true_deg, whole.speed_kn) == (90.0, 5.0)


def test_astern_by_hand() -> None:
    """A negative speed goes astern."""
    boat = underway()
    boat.order("by_hand", speed_kn=-2.0)

    position = boat.sail(1800, 90.0, 5.0)

    assert metres_apart(dr_of(position), rhumb_arrival(*DEPARTURE, 270.0, 1.0)) < centimetre


def test_sensors_that_never_spoke_are_replaced() -> None:
    """With no sensor at all the DR waits and says so; given by hand, it runs, and the alerts are over."""
    boat = Aboard()
    boat.depart()
    waiting = boat.sail(60)
    alerts = boat.standing("heading"), boat.standing("log")
    boat.order("by_hand", heading_deg=45.0, reference="true", speed_kn=4.0)

    position = boat.sail(HOUR_S)

    assert dr_of(waiting) == DEPARTURE
    assert all(text is not None and "by hand, or the DR waits" in text for text in alerts)
    assert metres_apart(dr_of(position), rhumb_arrival(*DEPARTURE, 45.0, 4.0)) < centimetre
    assert (boat.standing("heading"), boat.standing("log")) == (None, None)


# --- log readings by hand -----------------------------------------------------------------------------------


def test_log_readings_make_the_speed_between_them() -> None:
    """12.0 at 0155, 14.0 at 0225: 4 kn between them, worked from the first, and 4 kn after the second."""
    boat = underway()
    boat.order("by_hand", log_nm=12.0)
    boat.sail(1800, 90.0, 5.0)
    boat.order("by_hand", log_nm=14.0)

    between = boat.navigator.room.reckoning.now.dr
    assert between is not None
    assert metres_apart(between, rhumb_arrival(*DEPARTURE, 90.0, 2.0)) < centimetre
    position = boat.sail(1800, 90.0, 5.0)
    assert metres_apart(dr_of(position), rhumb_arrival(*DEPARTURE, 90.0, 4.0)) < centimetre
    assert position.basis.speed.source == "order"


def test_a_log_reading_that_no_boat_sails_to_makes_no_speed() -> None:
    """A digit too many: nothing is run by it, the answer says so, and the wrong one withdrawn all is well."""
    boat = underway()
    boat.order("by_hand", id="first", log_nm=100.0)
    boat.sail(600, 90.0, 5.0)

    answer = boat.order("by_hand", id="slip", log_nm=1000.8)
    assert answer.effect is not None
    assert answer.effect.endswith(
        "; with the 100.00 of 0155 it makes 900.8 nm in 10 min, more than a small craft sails: no speed is"
        " made of that; amend or withdraw the wrong one"
    )
    position = boat.sail(600, 90.0, 5.0)
    assert metres_apart(dr_of(position), rhumb_arrival(*DEPARTURE, 90.0, 5.0 / 3)) < centimetre

    answer = boat.order("by_hand", id="right", log_nm=101.6)
    assert answer.effect is not None
    assert "more than" not in answer.effect
    boat.order("withdraw", entry="slip")
    assert boat.sail(10, 90.0, 5.0).speed_kn == pytest.approx(4.8)


def test_two_log_readings_at_once_differ_by_how_finely_a_log_is_read() -> None:
    """A tenth of a mile within ten seconds is a log read to a tenth, and no slip."""
    boat = underway()
    boat.order("by_hand", log_nm=100.0)
    boat.sail(10, 90.0, 5.0)

    answer = boat.order("by_hand", log_nm=100.1)

    assert answer.effect is not None
    assert "more than" not in answer.effect


def test_one_log_reading_makes_no_speed() -> None:
    """Until there is a second reading the sensor steers on, and the basis names it."""
    boat = underway()
    boat.order("by_hand", log_nm=12.0)

    position = boat.sail(HOUR_S, 90.0, 5.0)

    assert position.basis.speed.source == "VWVHW@bow"
    assert metres_apart(dr_of(position), rhumb_arrival(*DEPARTURE, 90.0, 5.0)) < centimetre


def test_one_log_reading_with_no_sensor_is_not_taken_for_a_speed() -> None:
    """With no speed heard one log reading alone leaves the alert standing: the DR waits."""
    boat = Aboard()
    boat.depart()
    boat.sail(20, 90.0)
    boat.order("by_hand", log_nm=12.0)
    position = boat.sail(20, 90.0)

    assert position.speed_kn is None
    assert boat.standing("log") is not None


def test_a_log_reading_heard_late_is_worked_in_its_place() -> None:
    """Three readings, the middle one entered last: each stretch has its own speed."""
    boat = underway()
    boat.order("by_hand", log_nm=10.0)
    boat.sail(1800, 90.0, 5.0)
    boat.order("by_hand", log_nm=14.0)
    boat.order("by_hand", log_nm=11.0, at=after(2 + 600))
    reckoning = boat.navigator.room.reckoning
    began = reckoning.now.second - 1800

    # 1.0 nm in ten minutes, then 3.0 in twenty.
    assert reckoning.logged_nm(began, began + 600) == pytest.approx(1.0, abs=1e-9)
    assert reckoning.logged_nm(began + 600, began + 1800) == pytest.approx(3.0, abs=1e-9)


def test_a_log_set_back_does_not_run_backwards() -> None:
    """A reading lower than the one before makes no speed of its own: what went before runs on."""
    boat = underway()
    boat.order("by_hand", log_nm=10.0)
    boat.sail(600, 90.0, 5.0)
    boat.order("by_hand", log_nm=11.0)
    boat.sail(600, 90.0, 5.0)
    boat.order("by_hand", log_nm=0.0)
    position = boat.sail(600, 90.0, 5.0)

    assert position.speed_kn == pytest.approx(6.0)
    assert metres_apart(dr_of(position), rhumb_arrival(*DEPARTURE, 90.0, 3.0)) < centimetre


def test_the_log_is_given_back() -> None:
    """`log_nm` null: the sensor's speed again."""
    boat = underway()
    boat.order("by_hand", log_nm=10.0)
    boat.sail(600, 90.0, 5.0)
    boat.order("by_hand", log_nm=11.0)
    by_log = boat.sail(1, 90.0, 5.0)
    boat.order("by_hand", log_nm=None)
    by_sensor = boat.sail(1, 90.0, 5.0)

    assert (by_log.speed_kn, by_sensor.speed_kn) == (6.0, 5.0)


def test_a_speed_by_hand_goes_before_the_log() -> None:
    """Speed and log both by hand: the speed steers."""
    boat = underway()
    boat.order("by_hand", log_nm=10.0)
    boat.sail(600, 90.0, 5.0)
    boat.order("by_hand", log_nm=11.0)
    boat.order("by_hand", speed_kn=3.0)

    assert boat.sail(1, 90.0, 5.0).speed_kn == 3.0
