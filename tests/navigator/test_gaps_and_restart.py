"""Sensors that fall silent, and watches not kept: run on, said once, never nought, never rewritten."""

import pytest

from middlewatch.navigator.reckoning.course import Course
from middlewatch.quantities.instants import Instant
from middlewatch.readings.sentences import LogTotal, WaterSpeed
from middlewatch.readings.watch import Started
from middlewatch.reports.position import PositionReport
from navigator.navigating import COMPASS, DEPARTURE, LOG, START, Aboard, dr_of, ep_of, magnetic
from reference.rhumb import metres_apart, rhumb_arrival

centimetre = 0.01
HOUR_S = 3600


def underway() -> Aboard:
    """Return a boat at her departure, 090 at 6 kn."""
    boat = Aboard()
    boat.sail(2, 90.0, 6.0)
    boat.depart()
    return boat


def now(boat: Aboard) -> Course:
    """Return the course as it stands."""
    return boat.navigator.room.reckoning.now


# --- a sensor falls silent ----------------------------------------------------------------------------------


def test_bridged_then_held() -> None:
    """A silent log is fresh for 3 s, bridged to 15 s, held after, with its age; never is the speed nought."""
    boat = underway()
    boat.sail(60, 90.0, 6.0)

    reports = [boat.sail(1, 90.0) for _ in range(30)]

    # The newest reading is stamped a second before the first of these ticks.
    assert [r.basis.speed.age_s for r in reports] == [float(age) for age in range(2, 32)]
    assert [r.basis.speed.source for r in reports] == [LOG] * 2 + ["bridged"] * 12 + ["held"] * 16
    assert {r.speed_kn for r in reports} == {6.0}
    assert {r.basis.heading.source for r in reports} == {COMPASS}


@pytest.mark.parametrize(("heading_deg", "speed_kn"), [(90.0, None), (None, 6.0), (None, None)])
def test_the_dr_runs_on_through_a_silence(heading_deg: float | None, speed_kn: float | None) -> None:
    """Ten minutes of silence: the DR runs on by the last heading and speed to where they lead."""
    boat = underway()
    boat.sail(300, 90.0, 6.0)

    position = boat.sail(600, heading_deg, speed_kn)

    assert metres_apart(dr_of(position), rhumb_arrival(*DEPARTURE, 90.0, 1.5)) < centimetre


def test_a_short_silence_is_not_worth_an_alert() -> None:
    """Bridged up to 15 s nothing is raised."""
    boat = underway()
    boat.sail(14)
    boat.sail(60, 90.0, 6.0)

    assert (boat.alerts("heading"), boat.alerts("log")) == ([], [])


def test_a_long_silence_is_said_once_and_ends() -> None:
    """Held is one alert each for heading and log, with what runs on; it clears when the sensor speaks."""
    boat = underway()
    boat.sail(60, 90.0, 6.0)

    boat.sail(600)
    (heading,), (log,) = boat.alerts("heading"), boat.alerts("log")
    boat.sail(5, 90.0, 6.0)

    assert "090" in heading.text
    assert "6.0 kn" in log.text
    assert (heading.priority, log.priority) == ("warning", "warning")
    assert (boat.standing("heading"), boat.standing("log")) == (None, None)


def test_nothing_published_is_rewritten_when_a_sensor_returns() -> None:
    """Back with another speed after ten silent minutes: the DR of every second stays what was published."""
    boat = underway()
    published: list[PositionReport] = []
    for heading_deg, speed_kn in [(90.0, 6.0)] * 60 + [(None, None)] * 600 + [(180.0, 2.0)] * 60:
        published.append(boat.sail(1, heading_deg, speed_kn))

    reckoning = boat.navigator.room.reckoning
    for report in published:
        place = reckoning.dr(report.at.ms // 1000)
        assert place is not None
        assert (place.latitude_deg, place.longitude_deg) == dr_of(report)


def test_a_held_sensor_is_replaced_by_hand_and_given_back() -> None:
    """By hand the alert is over; given back to a sensor that is still silent, it stands again."""
    boat = underway()
    boat.sail(60, 90.0, 6.0)
    boat.sail(60, 90.0)
    held = boat.standing("log")
    boat.order("by_hand", speed_kn=4.0)
    boat.sail(1, 90.0)
    by_hand = boat.standing("log")
    boat.order("by_hand", speed_kn=None)
    boat.sail(1, 90.0)

    assert held is not None
    assert by_hand is None
    assert boat.standing("log") is not None


def test_a_sensor_that_never_spoke() -> None:
    """Without any heading DR and EP wait at the departure, and that is said once."""
    boat = Aboard()
    boat.sail(2, None, 6.0)
    boat.depart()
    boat.order("stream", set_deg=0.0, drift_kn=2.0)

    position = boat.sail(HOUR_S, None, 6.0)

    assert (dr_of(position), ep_of(position)) == (DEPARTURE, DEPARTURE)
    assert position.basis.heading.source == "none"
    assert position.heading_true_deg is None
    assert len(boat.alerts("heading")) == 1
    assert boat.alerts("log") == []
    assert boat.navigator.room.reckoning.run_m(START.ms // 1000 + 2, now(boat).second) is None


# --- a restart: the gap's length is known -------------------------------------------------------------------


def test_a_known_gap_is_run_through() -> None:
    """On the same boot away for two minutes: the DR runs on through them, and holding is said."""
    boat = underway()
    boat.sail(300, 90.0, 6.0)

    boat.restart(120, gap_known=True)
    held = boat.standing("log")
    position = boat.sail(180, 90.0, 6.0)

    assert metres_apart(dr_of(position), rhumb_arrival(*DEPARTURE, 90.0, 1.0)) < centimetre
    assert held is not None
    assert boat.standing("log") is None
    assert position.origin is not None


def test_a_restart_without_a_gap_changes_nothing() -> None:
    """Stopped and started between two ticks, the boat is where she would have been, to the digit."""
    boat, other = underway(), underway()
    for each in (boat, other):
        each.sail(300, 90.0, 6.0)

    boat.restart(0, gap_known=True)

    assert boat.sail(300, 60.0, 5.0) == other.sail(300, 60.0, 5.0)
    assert now(boat) == now(other)


# --- a restart: nobody knows for how long -------------------------------------------------------------------


def asleep(boat: Aboard, scale_s: int = 5, *, speed_kn: float = 6.0, log_nm: float | None = None) -> Aboard:
    """Be under way for ten minutes, then wake on another boot with a clock that is not trusted."""
    for _ in range(600):
        if log_nm is not None:
            boat.step(LogTotal(boat.now_ms, "VWVLW@bow", log_nm))
        boat.second(magnetic(boat.now_ms, 90.0), WaterSpeed(boat.now_ms, LOG, speed_kn))
    boat.restart(scale_s, gap_known=False, clock_doubt="another boot, no battery clock")
    return boat


@pytest.mark.parametrize("scale_s", [0, 1, 5, 3000])
def test_the_dr_waits_and_says_so(scale_s: int) -> None:
    """However the clock woke, the DR waits at its last point: a warning says since when."""
    boat = asleep(underway(), scale_s)
    left = now(boat).dr

    position = boat.sail(300, 90.0, 6.0)

    assert dr_of(position) == left
    (said,) = boat.alerts("position")
    assert said.priority == "warning"
    assert "the DR waits" in said.text
    assert "0205" in said.text
    assert boat.navigator.room.reckoning.run_m(START.ms // 1000 + 600, now(boat).second) is None


def test_told_by_the_log() -> None:
    """The log's total has grown by 7.5 nm: the DR crosses by that along the last heading, and runs on."""
    boat = asleep(underway(), log_nm=1000.0)
    boat.step(LogTotal(boat.now_ms, "VWVLW@bow", 1007.5))

    position = boat.sail(600, 90.0, 6.0)

    expected = rhumb_arrival(*DEPARTURE, 90.0, 1.0 + 7.5 + 1.0)
    # The second that was cut in two by the stop and the start may be counted on either side.
    assert metres_apart(dr_of(position), expected) < 6 * 1852 / 3600 * 2
    assert boat.standing("position") is None
    run_m = boat.navigator.room.reckoning.water_run_m(START.ms // 1000 + 302, now(boat).second)
    assert run_m is not None
    assert run_m[1] / 1852 == pytest.approx(0.5 + 7.5 + 1.0, abs=0.005)


def test_a_log_that_speaks_late_is_not_counted_twice() -> None:
    """First heard ten minutes after the start, the total holds those ten minutes too: they are run once."""
    boat = asleep(underway(), log_nm=1000.0)
    boat.sail(600, 90.0, 6.0)
    waiting = now(boat).dr
    boat.step(LogTotal(boat.now_ms, "VWVLW@bow", 1007.5 + 1.0))

    position = boat.sail(1, 90.0, 6.0)

    assert waiting == boat.navigator.room.reckoning.course_at(START.ms // 1000 + 602).dr
    expected = rhumb_arrival(*DEPARTURE, 90.0, 1.0 + 7.5 + 1.0)
    assert metres_apart(dr_of(position), expected) < 6 * 1852 / 3600 * 2


def test_a_log_that_lost_power_tells_nothing() -> None:
    """A total lower than before tells nothing, nor when it has grown past that again: the DR waits on."""
    boat = asleep(underway(), log_nm=2.0)
    left = now(boat).dr
    for total_nm in (0.0, 1.0, 1.9, 2.0, 2.5):
        boat.step(LogTotal(boat.now_ms, "VWVLW@bow", total_nm))
        boat.sail(20, 90.0, 6.0)

    assert now(boat).dr == left
    assert boat.standing("position") is not None


def test_told_by_the_clock() -> None:
    """The clock ordered tells that three hours passed: run on by the last heading and speed, and said."""
    boat = asleep(underway(), 5)
    boat.sail(60, 90.0, 6.0)
    # Left at 02:05:02 by a good clock; 180 minutes later she woke, and that is a minute ago.
    answer = boat.order("clock", utc="2026-05-03T05:06:02Z")

    position = boat.sail(600, 90.0, 6.0)

    assert answer.effect is not None
    assert "180 min" in answer.effect
    assert "18.00 nm" in answer.effect
    assert (
        metres_apart(dr_of(position), rhumb_arrival(*DEPARTURE, 90.0, 1.0 + 18.0 + 1.1)) < 6 * 1852 / 3600 * 2
    )
    assert boat.standing("position") is None
    assert position.at.clock == "0516"


def test_the_stream_runs_over_the_gap_only_as_long_as_it_was_ordered() -> None:
    """Forty minutes of the stream's hour were left when the gap began: so long it carried the EP."""
    boat = underway()
    boat.order("stream", set_deg=0.0, drift_kn=3.0)
    boat.sail(600, 90.0, 6.0)
    asleep(boat)
    boat.sail(1, 90.0, 6.0)
    boat.order("clock", utc="2026-05-03T05:15:02Z")

    position = boat.sail(60, 90.0, 6.0)

    north = metres_apart((DEPARTURE[0], ep_of(position)[1]), ep_of(position))
    assert north == pytest.approx(3.0 * 1852, abs=5.0)
    assert position.ep is not None
    assert position.ep.holds == ("stream ran out at 0255",)


def test_told_by_a_departure() -> None:
    """A new departure starts the DR where she is; the gap is over, and the run across it stays unknown."""
    boat = asleep(underway())
    boat.sail(60, 90.0, 6.0)
    boat.depart((50.1, -4.0))

    position = boat.sail(600, 90.0, 6.0)

    assert metres_apart(dr_of(position), rhumb_arrival(50.1, -4.0, 90.0, 1.0)) < centimetre
    assert boat.standing("position") is None
    assert boat.navigator.room.reckoning.run_m(START.ms // 1000 + 600, now(boat).second) is None


def test_a_departure_heard_late_lets_the_dr_wait_too() -> None:
    """A departure for a time before the gap, entered after it: the DR comes up to the gap and waits there."""
    boat = Aboard()
    boat.sail(2, 90.0, 6.0)
    asleep(boat)
    boat.sail(60, 90.0, 6.0)
    answer = boat.enter(
        "order", kind="departure", latitude_deg=DEPARTURE[0], longitude_deg=DEPARTURE[1], ago_s=60 + 5 + 600
    )
    position = boat.sail(60, 90.0, 6.0)

    assert answer.accepted
    assert metres_apart(dr_of(position), rhumb_arrival(*DEPARTURE, 90.0, 1.0)) < 6 * 1852 / 3600 * 2


@pytest.mark.parametrize("way", ["anchored", "made_fast", "aground"])
def test_a_boat_that_lay_still_waits_for_nothing(way: str) -> None:
    """Held still by order over the gap: no warning, and the clock's setting does not move her."""
    boat = underway()
    boat.order("way", way=way)
    asleep(boat, speed_kn=0.7)
    boat.sail(10, 90.0, 0.5)
    boat.order("clock", utc="2026-05-03T09:00:00Z")
    boat.order("way", way="under_way")

    position = boat.sail(600, 90.0, 6.0)

    assert boat.alerts("position") == []
    assert metres_apart(dr_of(position), rhumb_arrival(*DEPARTURE, 90.0, 1.0)) < centimetre


def test_a_second_start_waits_on() -> None:
    """Started anew while the DR waits: it waits on at the same point, and the clock tells of both gaps."""
    boat = asleep(underway(), 5)
    boat.sail(60, 90.0, 6.0)
    left = now(boat).dr
    boat.restart(5, gap_known=False, clock_doubt="another boot, no battery clock")
    boat.sail(60, 90.0, 6.0)
    waiting = now(boat).dr

    # Two minutes of the two hours since 02:05:02 have their rows.
    boat.order("clock", utc="2026-05-03T04:05:02Z")
    position = boat.sail(1, 90.0, 6.0)

    assert waiting == left
    assert metres_apart(dr_of(position), rhumb_arrival(*DEPARTURE, 90.0, 1.0 + 12.0)) < 6 * 1852 / 3600 * 12


def test_a_gap_that_was_crossed_stays_crossed_over_the_next_restart() -> None:
    """Told by the clock and stopped again: the new navigator has the same reckoning of every second."""
    boat = asleep(underway(), 5)
    boat.sail(60, 90.0, 6.0)
    boat.order("clock", utc="2026-05-03T05:06:02Z")
    boat.sail(60, 90.0, 6.0)
    before = now(boat)

    boat.restart(0, gap_known=True)

    assert now(boat) == before


# --- a restart after days -----------------------------------------------------------------------------------


def laid_up(boat: Aboard) -> Aboard:
    """Be under way for ten minutes, then start anew ten days later by a clock that is trusted."""
    boat.sail(600, 90.0, 6.0)
    boat.restart(0, gap_known=True)
    boat.now_ms += 10 * 24 * HOUR_S * 1000
    boat.step(Started(boat.now_ms, "another boot", gap_known=True, clock_doubt=None))
    return boat


def test_over_days_nothing_is_run_on() -> None:
    """Ten days by a trusted clock: the DR waits at its last point, which is said with how long it was."""
    boat = laid_up(underway())
    left = now(boat).dr

    position = boat.sail(60, 90.0, 6.0)

    assert dr_of(position) == left
    (said,) = boat.alerts("position")
    assert said.priority == "warning"
    assert said.text == (
        "started anew after 240 h, too long to run on: the DR waits at its point of 0205; order a departure,"
        " or the log's total will tell"
    )


def test_a_clock_set_later_runs_no_days_on() -> None:
    """The clock ordered right by a second tells of no run over ten days: the answer says so, the DR waits."""
    boat = laid_up(underway())
    position = boat.sail(60, 90.0, 6.0)

    answer = boat.order("clock", utc=str(Instant(boat.now_ms + 1000)))

    assert answer.effect is not None
    assert answer.effect.endswith("the gap was 240 h, too long to run on: the DR waits for a departure")
    assert dr_of(boat.sail(60, 90.0, 6.0)) == dr_of(position)
