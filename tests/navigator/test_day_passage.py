"""A day's passage of readings a second apart comes out where an independent rhumb integration has it.

Heading alters every twenty minutes and speed with it; 24 hours, 150 nm.
"""

from collections.abc import Callable, Iterator
from itertools import cycle, islice

import pytest

from middlewatch.navigator.reckoning.variation import model_variation
from middlewatch.navigator.tuning import Tuning, VariationChoice
from middlewatch.quantities.instants import Instant
from middlewatch.quantities.positions import Position, longitude
from navigator.navigating import START, Aboard, dr_of
from reference.rhumb import metres_apart, rhumb_arrival

ten_metres = 10.0
LEG_S = 20 * 60
LEGS_IN_A_DAY = 72
# (magnetic heading, kn): 6.25 kn on the average, 150 nm in a day.
LEGS = ((60.0, 5.5), (95.0, 7.0), (20.0, 6.25), (130.0, 7.0), (75.0, 5.5))

Place = tuple[float, float]


def legs(number: int) -> Iterator[tuple[float, float]]:
    """Return so many legs of the passage."""
    return islice(cycle(LEGS), number)


def sailed(tuning: Tuning, start: Place, number: int) -> Place:
    """Sail the legs a second at a time and return the DR at their end."""
    boat = Aboard(tuning)
    boat.depart(start)
    for heading_deg, speed_kn in legs(number):
        position = boat.sail(LEG_S, heading_deg, speed_kn)
    assert position.dr is not None
    assert position.dr.run_nm == pytest.approx(sum(kn for _, kn in legs(number)) * LEG_S / 3600, abs=0.001)
    return dr_of(position)


def integrated(start: Place, number: int, variation: Callable[[Place, int], float], step_s: int) -> Place:
    """Work the same legs by rhumb lines, the variation looked up at each step (place, seconds run)."""
    place, at_s = start, 0
    for heading_deg, speed_kn in legs(number):
        for _ in range(LEG_S // step_s):
            course_deg = heading_deg + variation(place, at_s)
            latitude, east = rhumb_arrival(*place, course_deg, speed_kn * step_s / 3600)
            place, at_s = (latitude, longitude(east)), at_s + step_s
    return place


def by_the_rose(place: Place, at_s: int) -> float:  # noqa: ARG001 -- the rose is the same everywhere, all day
    """Return the variation of a rose that stands still."""
    return -4.5


def by_the_model(place: Place, at_s: int) -> float:
    """Return the variation by the World Magnetic Model."""
    found = model_variation(Position(*place), Instant(START.ms + at_s * 1000))
    assert found is not None
    return found.value_deg


@pytest.mark.parametrize(
    "start",
    [(50.0, -4.2), (-60.0, 179.0), (78.0, 10.0)],
    ids=["channel", "180th meridian", "high latitude"],
)
def test_a_day_by_the_charts_rose(start: Place) -> None:
    """The DR of the whole navigator ends within ten metres of the rhumb integration, whatever the waters."""
    rose = Tuning(variation=VariationChoice("chart", -4.5, 2026.0))

    assert (
        metres_apart(sailed(rose, start, LEGS_IN_A_DAY), integrated(start, LEGS_IN_A_DAY, by_the_rose, LEG_S))
        < ten_metres
    )


def test_a_day_by_the_model() -> None:
    """With variation by the model at the reckoned position, the day ends within ten metres."""
    start = (50.0, -4.2)

    assert (
        metres_apart(
            sailed(Tuning(), start, LEGS_IN_A_DAY), integrated(start, LEGS_IN_A_DAY, by_the_model, 60)
        )
        < ten_metres
    )
