"""What lies between DR and EP: leeway to leeward, the stream as long as ordered, and what is said of it."""

from math import atan2, cos, degrees, hypot, radians, sin

import pytest
from hypothesis import given
from hypothesis import strategies as st

from middlewatch.navigator.reckoning.leeway import leeway_by_wind
from middlewatch.quantities.angles import direction, turn
from navigator.navigating import DEPARTURE, Aboard, after, dr_of, ep_of, holds_of
from reference.ep_cases import LEEWAY_RULE, SETS_AND_DRIFTS, Leeway, SetAndDrift
from reference.rhumb import metres_apart, rhumb_arrival

Place = tuple[float, float]
millimetre = 1e-3
ten_centimetres = 0.1
HOUR_S = 3600
METRES_PER_NM = 1852.0


def apart_m(one: Place, other: Place) -> tuple[float, float]:
    """Return how far north and east of the one the other is, in metres."""
    north, east = metres_apart(one, (other[0], one[1])), metres_apart((other[0], one[1]), other)
    return north if other[0] >= one[0] else -north, east if other[1] >= one[1] else -east


def track_deg(one: Place, other: Place) -> float:
    """Return the direction from one place to another nearby, degrees true."""
    north, east = apart_m(one, other)
    return direction(degrees(atan2(east, north)))


def underway(heading_deg: float = 90.0, speed_kn: float = 5.0) -> Aboard:
    """Return a boat at her departure with heading and log heard."""
    boat = Aboard()
    boat.sail(2, heading_deg, speed_kn)
    boat.depart()
    return boat


# --- leeway -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("printed", LEEWAY_RULE)
def test_leeway_by_order_is_to_the_side_pushed_to(printed: Leeway) -> None:
    """The published rule: wind on the starboard side pushes to port, and so lies the track."""
    wind_to_starboard = turn(printed.steered_deg, printed.wind_from_deg) > 0
    boat = underway(printed.steered_deg)
    boat.order(
        "leeway", leeway_deg=printed.leeway_deg, pushed_to="port" if wind_to_starboard else "starboard"
    )

    position = boat.sail(HOUR_S, printed.steered_deg, 5.0)

    assert metres_apart(ep_of(position), rhumb_arrival(*DEPARTURE, printed.track_deg, 5.0)) < ten_centimetres
    assert (
        metres_apart(dr_of(position), rhumb_arrival(*DEPARTURE, printed.steered_deg, 5.0)) < ten_centimetres
    )


@pytest.mark.parametrize("printed", LEEWAY_RULE)
def test_leeway_by_the_wind_goes_the_same_way(printed: Leeway) -> None:
    """With the same wind heard and no order, the leeway is to the same side as the published rule has it."""
    by_wind = leeway_by_wind(direction(printed.wind_from_deg - printed.steered_deg), 15.0, 5.0)

    assert by_wind * turn(printed.steered_deg, printed.track_deg) > 0


def test_leeway_by_apparent_wind_is_steadied_and_said() -> None:
    """Close-hauled on the port tack with 15 kn of wind: 5 degrees to starboard, once it is steadied."""
    boat = underway()
    boat.sail(1, 90.0, 5.0, wind=(320.0, 15.0))
    boat.sail(300, 90.0, 5.0, wind=(320.0, 15.0))
    start = boat.sail(1, 90.0, 5.0, wind=(320.0, 15.0))

    position = boat.sail(600, 90.0, 5.0, wind=(320.0, 15.0))

    assert track_deg(ep_of(start), ep_of(position)) == pytest.approx(95.0, abs=0.01)
    assert holds_of(position) == ("leeway 5 to starboard, by apparent wind",)


def test_a_tack_changes_the_side() -> None:
    """Gone about, the leeway is on the other side within some minutes of the steadied wind."""
    boat = underway()
    boat.sail(300, 90.0, 5.0, wind=(320.0, 15.0))
    position = boat.sail(300, 190.0, 5.0, wind=(40.0, 15.0))

    assert holds_of(position) == ("leeway 5 to port, by apparent wind",)


def test_without_wind_there_is_no_leeway() -> None:
    """The wind not heard for over ten seconds: the EP has no leeway, and does not say that it holds any."""
    boat = underway()
    boat.sail(60, 90.0, 5.0, wind=(320.0, 15.0))
    position = boat.sail(12, 90.0, 5.0)

    assert holds_of(position) == ()


def test_leeway_by_order_goes_before_the_wind_and_ends_by_order() -> None:
    """An ordered leeway stands whatever the wind; `null` gives it back to the wind."""
    boat = underway()
    boat.order("leeway", leeway_deg=8, pushed_to="port")
    by_order = boat.sail(60, 90.0, 5.0, wind=(320.0, 15.0))
    boat.order("leeway", leeway_deg=None)
    by_wind = boat.sail(300, 90.0, 5.0, wind=(320.0, 15.0))

    assert holds_of(by_order) == ("leeway 8 to port, by order",)
    assert holds_of(by_wind) == ("leeway 5 to starboard, by apparent wind",)


@pytest.mark.parametrize(
    ("wind_kn", "speed_kn", "close_hauled_deg"), [(15.0, 5.0, 5.0), (21.0, 5.0, 8.0), (15.0, 2.9, 8.0)]
)
def test_how_much_leeway(wind_kn: float, speed_kn: float, close_hauled_deg: float) -> None:
    """5 degrees close-hauled, 8 in strong wind or with little way, half reaching, none running."""
    by_angle = {
        angle: leeway_by_wind(angle, wind_kn, speed_kn) for angle in (30.0, 45.0, 70.0, 90.0, 120.0, 180.0)
    }

    assert by_angle == {
        30.0: -close_hauled_deg, 45.0: -close_hauled_deg, 70.0: -close_hauled_deg / 2,
        90.0: -close_hauled_deg / 2, 120.0: 0.0, 180.0: 0.0,
    }  # fmt: skip


@given(st.floats(0.0, 360.0), st.floats(0.0, 60.0), st.floats(-2.0, 20.0))
def test_leeway_is_to_leeward_and_never_large(angle: float, wind_kn: float, speed_kn: float) -> None:
    """Whatever the wind: away from it, 8 degrees at most, and mirrored on the other tack."""
    leeway = leeway_by_wind(angle, wind_kn, speed_kn)

    assert abs(leeway) <= 8.0
    assert leeway * turn(0.0, angle) <= 0.0
    if 0.0 < angle < 180.0:
        assert leeway_by_wind(360.0 - angle, wind_kn, speed_kn) == pytest.approx(-leeway, abs=1e-9)


# --- stream -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("printed", SETS_AND_DRIFTS, ids=lambda printed: printed.case)
def test_a_stream_carries_the_ep_from_the_dr_to_the_fix(printed: SetAndDrift) -> None:
    """Ordered as the published set and drift, the stream carries the EP to where the source has the fix."""
    boat = Aboard()
    boat.sail(2, printed.course_deg, printed.speed_kn)
    boat.depart(printed.start)
    boat.order("stream", set_deg=printed.set_deg, drift_kn=printed.drift_kn)

    position = boat.sail(round(printed.minutes * 60), printed.course_deg, printed.speed_kn)

    fix = printed.fix
    if fix is None:
        fix = rhumb_arrival(*dr_of(position), printed.set_deg, printed.dr_to_fix_nm)
    assert metres_apart(ep_of(position), fix) / METRES_PER_NM < printed.tolerance_nm


def test_the_ep_is_dr_and_leeway_and_stream() -> None:
    """Over an hour with alterations the EP is the vector sum of runs turned by leeway, and stream."""
    boat = underway()
    boat.order("leeway", leeway_deg=6, pushed_to="starboard")
    boat.order("stream", set_deg=210.0, drift_kn=1.7)
    legs = ((90.0, 5.0, 1200), (35.0, 6.0, 900), (140.0, 4.0, 1500))
    for heading_deg, speed_kn, seconds in legs:
        position = boat.sail(seconds, heading_deg, speed_kn)

    north = sum(kn * s / 3600 * cos(radians(heading + 6)) for heading, kn, s in legs)
    east = sum(kn * s / 3600 * sin(radians(heading + 6)) for heading, kn, s in legs)
    hours = sum(s for _, _, s in legs) / 3600
    north += 1.7 * hours * cos(radians(210))
    east += 1.7 * hours * sin(radians(210))
    now = boat.navigator.room.reckoning.now
    assert now.ep_north_m - now.dr_north_m == pytest.approx(
        (north - sum(kn * s / 3600 * cos(radians(h)) for h, kn, s in legs)) * METRES_PER_NM,
        abs=ten_centimetres,
    )
    expected = rhumb_arrival(*DEPARTURE, degrees(atan2(east, north)), hypot(north, east))
    # One rhumb line for the whole sum: the parallels narrow a little differently on the way.
    assert metres_apart(ep_of(position), expected) < 10.0
    assert holds_of(position) == (
        "leeway 6 to starboard, by order",
        "stream 210 T 1.7 kn until 0255",
    )


def test_a_stream_runs_out_after_an_hour() -> None:
    """With no `until` it carries the EP for an hour to the second; then the EP says that it has run out."""
    boat = underway(90.0, 0.0)
    boat.order("stream", set_deg=0.0, drift_kn=2.0)  # at 01:55:02

    last = boat.sail(HOUR_S, 90.0, 0.0)
    over = boat.sail(600, 90.0, 0.0)

    assert apart_m(DEPARTURE, ep_of(last))[0] == pytest.approx(2 * METRES_PER_NM, abs=0.01)
    assert ep_of(over) == ep_of(last)
    assert holds_of(last) == ("stream 000 T 2.0 kn until 0255",)
    assert holds_of(over) == ("stream ran out at 0255",)


def test_until() -> None:
    """With `until` it runs until then."""
    boat = underway(90.0, 0.0)
    boat.order("stream", set_deg=90.0, drift_kn=3.6, until=after(102))

    position = boat.sail(300, 90.0, 0.0)

    assert apart_m(DEPARTURE, ep_of(position))[1] == pytest.approx(3.6 * METRES_PER_NM / 36, abs=0.01)
    assert holds_of(position) == ("stream ran out at 0156",)


def test_it_runs_out_while_nothing_moves() -> None:
    """At anchor, or with no heading, time goes on as well: the stream is over when its time is."""
    boat = underway()
    boat.order("stream", set_deg=0.0, drift_kn=2.0, until=after(62))
    boat.order("way", way="anchored")
    boat.sail(120, 90.0, 0.0)
    boat.order("way", way="under_way")
    position = boat.sail(1, 90.0, 0.0)

    assert ep_of(position) == DEPARTURE
    assert holds_of(position) == ("stream ran out at 0156",)


def test_a_newer_stream_replaces_the_older() -> None:
    """Two streams do not add up."""
    boat = underway(90.0, 0.0)
    boat.order("stream", set_deg=0.0, drift_kn=2.0)
    boat.order("stream", set_deg=180.0, drift_kn=1.0)

    position = boat.sail(360, 90.0, 0.0)

    assert apart_m(DEPARTURE, ep_of(position))[0] == pytest.approx(-0.1 * METRES_PER_NM, abs=millimetre)


def test_the_stream_never_touches_the_dr() -> None:
    """The DR is heading and log alone."""
    boat = underway()
    boat.order("stream", set_deg=0.0, drift_kn=5.0)
    boat.order("leeway", leeway_deg=30, pushed_to="port")

    position = boat.sail(HOUR_S, 90.0, 5.0)

    assert metres_apart(dr_of(position), rhumb_arrival(*DEPARTURE, 90.0, 5.0)) < 0.01
