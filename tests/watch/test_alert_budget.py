"""At most one audible alert an hour on an ordinary passage (the design's section 9)."""

import pytest

from entries.entering import START, Aboard
from middlewatch.navigator.tuning import Tuning
from middlewatch.quantities.angles import direction_of
from middlewatch.quantities.positions import Position, offset_m
from middlewatch.reports.alert import SoundReport
from watch.bench import with_the_boat

HOURS = 4
SIGHT_EVERY_S = 25 * 60


def bearing_deg(boat: Aboard, mark: str) -> float:
    """Return the magnetic bearing of a mark from where the boat is, to the whole degree, as one reads it."""
    variation_deg = boat.navigator.room.reckoning.now.variation_deg
    assert variation_deg is not None
    here, there = boat.ep_at(boat.seconds), boat.navigator.room.marks[mark].position
    off_m = offset_m((here.latitude_deg, here.longitude_deg), (there.latitude_deg, there.longitude_deg))
    return float(round(direction_of(*off_m) - variation_deg) % 360)


@pytest.mark.slow
def test_an_ordinary_passage_is_quiet() -> None:
    """Four hours off a coast, to and fro with six turns, sights each 25 minutes, satellites that keep step.

    The receiver follows with the tenths of a metre of its last digit and a stream of a fifth of a knot.
    """
    boat = Aboard(
        Tuning(samples=2_000),
        satellites=lambda second: drifted(boat, second),
    )
    boat.run(10)
    boat.depart()
    for minute in range(HOURS * 60):
        if minute % 40 == 39:
            boat.heading_magnetic_deg = 275.0 if boat.heading_magnetic_deg == 95.0 else 95.0
        boat.run(60)
        if boat.seconds // SIGHT_EVERY_S > (boat.seconds - 60) // SIGHT_EVERY_S:
            for mark in ("Start Point", "Stoke Point"):
                answer = boat.sighting(kind="bearing", mark=mark, bearing_deg=bearing_deg(boat, mark))
                assert answer.accepted

    heard = [each for each in boat.said if isinstance(each, SoundReport)]
    assert len(heard) <= HOURS, "\n".join(f"{each.at} {each.alert}: {each.text}" for each in heard)


def drifted(boat: Aboard, second: int) -> Position:
    """Return where a receiver says that she is: a fifth of a knot of tide, out for two hours and back."""
    hours = second / 3600
    north_nm = 0.2 * (hours if hours <= 2.0 else 4.0 - hours)
    return with_the_boat(boat, second, 0.0, north_nm) if boat.seconds else START
