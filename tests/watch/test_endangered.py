"""A doubt about the satellites where a danger lies inside either area: a warning, and not before."""

import pytest

from entries.entering import FIVE_WEST, START, Aboard
from middlewatch.navigator.navigator import Navigator
from middlewatch.navigator.tuning import Tuning
from middlewatch.quantities.positions import Position
from middlewatch.readings.dangers import Danger
from middlewatch.reports.alert import AlertReport
from middlewatch.wire import entries
from watch.test_when_satellites_lie import KNOT, MARKS, ONSET_S, sailed

PULL_KN, DRAWN_S = 3.0, 500
"""Drawn north so fast for so long the receiver is 770 m off, outside the area and within the limit."""
AGAIN_S = 1480


def drawn(rock: Position) -> Aboard:
    """Return a boat departed anew, a rock to be kept 50 m off, and a receiver drawn off northward."""
    tuning = Tuning(variation=FIVE_WEST, dangers=(Danger("Black Rock", "point", ((rock,),), 50.0),))
    boat = Aboard(tuning)
    boat.navigator = Navigator(tuning, MARKS, entries)
    boat.satellites = lambda second: sailed(boat, second).moved(
        PULL_KN * KNOT * max(0, second - ONSET_S), 0.0
    )
    boat.run(10)
    boat.depart()
    boat.run(AGAIN_S - 10)
    here = sailed(boat, AGAIN_S)
    boat.depart(id="d2", latitude_deg=here.latitude_deg, longitude_deg=here.longitude_deg)
    boat.run(ONSET_S + DRAWN_S - AGAIN_S)
    return boat


def satellites_have_her(boat: Aboard) -> Position:
    """Return where the receiver has her at the end."""
    return sailed(boat, ONSET_S + DRAWN_S).moved(PULL_KN * KNOT * DRAWN_S, 0.0)


def warned(boat: Aboard) -> list[AlertReport]:
    """Return the warnings about the satellites."""
    return [each for each in boat.alerts("satellite") if each.priority == "warning"]


@pytest.mark.parametrize(
    ("off_m", "words"),
    [
        (0.0, "clearance of Black Rock: the satellites (GP@bow) have her in that, and which place is right"),
        (-770.0, "clearance of Black Rock: the area of the reckoning reaches into that, and which place is"),
        (30_000.0, None),
    ],
)
def test_a_caution_is_a_warning_where_a_danger_is_inside_either_area(off_m: float, words: str | None) -> None:
    """A rock where the satellites have her, or where the reckoning does, or neither: what was a caution."""
    boat = drawn(satellites_have_her(Aboard()).moved(off_m, 0.0))

    first = boat.alerts("satellite")[0]
    assert first.priority == "caution"
    assert "satellites parting" in first.text
    assert bool(warned(boat)) == (words is not None)
    if words is not None:
        assert words in warned(boat)[0].text
        assert warned(boat)[0].since == first.since
        assert warned(boat)[0].escalation == 1


def test_it_is_over_once_nothing_is_doubted() -> None:
    """Back in step the rock is the reckoning's matter alone."""
    boat = drawn(satellites_have_her(Aboard()))
    assert boat.navigator.room.alerts.stands("satellite", "matters")
    boat.satellites = lambda second: sailed(boat, second)
    boat.run(400)

    assert not boat.navigator.room.alerts.stands("satellite", "matters")


def test_without_a_doubt_nothing_is_said_of_the_satellites() -> None:
    """A rock in the way and satellites in step: the danger speaks, the satellites do not."""
    rock = START.moved(0.0, 6.0 * KNOT * 1500)
    tuning = Tuning(variation=FIVE_WEST, dangers=(Danger("Black Rock", "point", ((rock,),), 50.0),))
    boat = Aboard(tuning, satellites=lambda second: sailed(boat, second))
    boat.run(10)
    boat.depart()
    boat.run(1500)

    assert boat.alerts("satellite") == []
    assert boat.alerts("danger") != []


def test_restarted_it_stands_as_it_stood() -> None:
    """Raised before a restart it is neither lost nor raised again."""
    boat = drawn(satellites_have_her(Aboard()))
    again = Navigator(boat.navigator.room.tuning, MARKS, entries)
    again.thaw(boat.navigator.freeze(), boat.navigator.drain())

    assert again.room.alerts.stands("satellite", "matters")
    assert again.freeze() == boat.navigator.freeze()
