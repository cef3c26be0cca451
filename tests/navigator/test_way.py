"""How the boat lies, by order: held, adrift or under way; and the questions that its way puts to itself."""

import pytest

from middlewatch.reports.position import PositionReport
from navigator.navigating import DEPARTURE, Aboard, after, dr_of, ep_of, holds_of
from reference.rhumb import metres_apart, rhumb_arrival

millimetre = 1e-3
HOUR_S = 3600


def underway() -> Aboard:
    """Return a boat ten seconds out of her departure, 090 at 5 kn."""
    boat = Aboard()
    boat.sail(10, 90.0, 5.0)
    boat.depart()
    return boat


@pytest.mark.parametrize("way", ["anchored", "made_fast", "aground"])
def test_held_still(way: str) -> None:
    """Lying still by order DR and EP are held, whatever log and stream make; the run does not grow."""
    boat = underway()
    boat.order("stream", set_deg=180.0, drift_kn=2.0)
    boat.order("leeway", leeway_deg=5.0, pushed_to="port")
    boat.order("way", way=way)

    position = boat.sail(600, 90.0, 1.8)

    assert position.way == way
    assert (dr_of(position), ep_of(position)) == (DEPARTURE, DEPARTURE)
    assert position.dr is not None
    assert position.dr.run_nm == 0.0
    assert position.ep is not None
    assert position.ep.holds == ()


def test_under_way_again_the_dr_runs_on_from_where_it_lay() -> None:
    """Weighed by order, the DR goes on from the anchorage."""
    boat = underway()
    boat.order("way", way="anchored")
    boat.sail(600, 90.0, 0.5)
    boat.order("way", way="under_way")

    position = boat.sail(HOUR_S, 90.0, 5.0)

    assert metres_apart(dr_of(position), rhumb_arrival(*DEPARTURE, 90.0, 5.0)) < 0.01


@pytest.mark.parametrize("way", ["hove_to", "drifting"])
def test_adrift_by_order(way: str) -> None:
    """Hove-to or drifting with a drift ordered: the DR goes that way, not where the bow points."""
    boat = underway()
    boat.order("way", way=way, drift_towards_deg=215.0, drift_kn=1.2)

    position = boat.sail(HOUR_S, 90.0, 0.4)

    assert metres_apart(dr_of(position), rhumb_arrival(*DEPARTURE, 215.0, 1.2)) < 0.01
    assert position.way == way


@pytest.mark.parametrize(("way", "kn"), [("hove_to", 1.5), ("drifting", 0.03 * 20.0)])
def test_adrift_by_the_wind(way: str, kn: float) -> None:
    """With no drift ordered the boat goes downwind: hove-to at 1.5 kn, adrift at 3 % of the wind."""
    boat = underway()
    boat.sail(1, 40.0, 0.4, wind=(50.0, 20.0))
    boat.depart()
    boat.order("way", way=way)

    position = boat.sail(HOUR_S, 40.0, 0.4, wind=(50.0, 20.0))

    # Heading 040, the wind 50 to starboard of the bow: it blows from 090, so the boat goes to 270.
    assert metres_apart(dr_of(position), rhumb_arrival(*DEPARTURE, 270.0, kn)) < 0.01
    assert metres_apart(ep_of(position), dr_of(position)) < millimetre


def test_adrift_with_no_wind_known_is_held() -> None:
    """Neither drift ordered nor wind heard: the DR is held, as the order's effect says."""
    boat = underway()
    answer = boat.order("way", way="drifting")

    position = boat.sail(600, 90.0, 0.4)

    assert dr_of(position) == DEPARTURE
    assert answer.effect is not None
    assert "else it is held" in answer.effect


def test_the_stream_carries_a_boat_adrift() -> None:
    """The EP of a boat hove-to is her drift and the stream, without leeway on top."""
    boat = underway()
    boat.order("leeway", leeway_deg=10.0, pushed_to="port")
    boat.order("stream", set_deg=0.0, drift_kn=1.0)
    boat.order("way", way="hove_to", drift_towards_deg=90.0, drift_kn=1.5)

    position = boat.sail(HOUR_S, 200.0, 0.5)

    north_m, east_m = _metres(position)
    assert north_m == pytest.approx(1852.0, abs=2.0)
    assert east_m == pytest.approx(1.5 * 1852.0, abs=2.0)
    assert position.ep is not None
    assert [held.split()[0] for held in position.ep.holds] == ["drift", "stream"]


def test_until() -> None:
    """A way with `until` ends then by itself; a second later the boat is under way and runs."""
    boat = underway()
    boat.order("way", way="anchored", until=after(70))

    lying = boat.sail(60, 90.0, 5.0)
    moving = boat.sail(1, 90.0, 5.0)

    assert (lying.way, dr_of(lying)) == ("anchored", DEPARTURE)
    assert moving.way == "under_way"
    assert metres_apart(dr_of(moving), DEPARTURE) == pytest.approx(5 * 1852 / 3600, abs=millimetre)


def test_manoeuvring_lasts_a_quarter_of_an_hour() -> None:
    """Manoeuvring runs by heading and log, and ends after 15 minutes."""
    boat = underway()
    boat.order("way", way="manoeuvring")

    still = boat.sail(15 * 60, 90.0, 5.0)
    over = boat.sail(1, 90.0, 5.0)

    assert (still.way, over.way) == ("manoeuvring", "under_way")
    assert metres_apart(dr_of(still), rhumb_arrival(*DEPARTURE, 90.0, 1.25)) < 0.01


def test_little_way_after_a_minute() -> None:
    """The log under 1.5 kn for 60 s is little way, by itself and no sooner; over it, at once not."""
    boat = underway()

    ways = [boat.sail(1, 90.0, 1.4).way for _ in range(62)]
    again = boat.sail(1, 90.0, 1.6).way

    assert ways.index("little_way") in (59, 60)
    assert again == "under_way"


def test_way_lost_and_found_within_the_minute_is_nothing() -> None:
    """Slow for less than a minute, time and again: under way all along."""
    boat = underway()

    ways = set()
    for _ in range(5):
        ways |= {boat.sail(50, 90.0, 1.0).way, boat.sail(5, 90.0, 2.0).way}

    assert ways == {"under_way"}


def test_little_way_changes_nothing_in_the_dr() -> None:
    """Little way is a word; the DR runs by heading and log as before."""
    boat = underway()

    position = boat.sail(HOUR_S, 90.0, 1.0)

    assert position.way == "little_way"
    assert metres_apart(dr_of(position), rhumb_arrival(*DEPARTURE, 90.0, 1.0)) < 0.01


@pytest.mark.parametrize("way", ["anchored", "made_fast", "aground", "hove_to", "drifting"])
def test_lying_with_way_on_is_questioned(way: str) -> None:
    """The log over 3 kn for five minutes while lying by order: asked once, as a caution, never acted on."""
    boat = underway()
    boat.order("way", way=way)

    boat.sail(299, 90.0, 3.5)
    before = boat.standing("position")
    position = boat.sail(120, 90.0, 3.5)

    assert before is None
    (said,) = boat.alerts("position")
    assert said.priority == "caution"
    assert "under way?" in said.text
    assert position.way == way
    assert dr_of(position) == DEPARTURE


def test_the_question_ends_with_the_way_on() -> None:
    """Slowed down, or under way by order, there is nothing to ask."""
    boat = underway()
    boat.order("way", way="anchored")
    boat.sail(310, 90.0, 3.5)

    boat.order("way", way="under_way")
    boat.sail(1, 90.0, 3.5)

    assert boat.standing("position") is None


def _metres(position: PositionReport) -> tuple[float, float]:
    """Return how far north and east of the departure the EP is, in metres."""
    latitude, longitude = ep_of(position)
    return (
        metres_apart(DEPARTURE, (latitude, DEPARTURE[1])),
        metres_apart((latitude, DEPARTURE[1]), (latitude, longitude)),
    )


@pytest.mark.parametrize(
    ("drift", "wind", "holds"),
    [
        ({"drift_towards_deg": 70, "drift_kn": 1.25}, None, "drift 070 T 1.2 kn, by order"),
        ({}, (90.0, 20.0), "drift downwind"),
        ({}, None, "no drift: no wind heard, and none ordered"),
    ],
)
def test_the_ep_says_what_moves_a_boat_adrift(
    drift: dict[str, float], wind: tuple[float, float] | None, holds: str
) -> None:
    """By order, by the wind, or by nothing: a DR that is held for want of wind is not held in silence."""
    boat = Aboard()
    boat.sail(2, 90.0, 1.0)
    boat.depart()
    boat.order("way", way="hove_to", **drift)

    position = boat.sail(5, 90.0, 1.0, wind=wind)

    assert holds_of(position) == (holds,)
