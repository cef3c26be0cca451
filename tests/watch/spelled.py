"""Spells as drawn for tests: a boat on given headings, and one thing that is wrong from a spell on."""

from collections.abc import Callable
from math import cos, radians, sin

from middlewatch.navigator.chance import Chance, Purpose
from middlewatch.navigator.watch.spells import Spell

BEGAN = 1_000_020
Heading = Callable[[int], float]
Fault = Callable[[int, complex, complex], tuple[complex, complex]]
"""From spell, water track and apparent stream (north + east j, knots) to what log and receiver show."""


def straight(_spell: int) -> float:
    """Steer 040."""
    return 40.0


def altering(spell: int) -> float:
    """Steer 040, and 130 from the eightieth spell on."""
    return 40.0 if spell < 80 else 130.0


def spells(
    fault: Fault, heading: Heading, *, seed: int, count: int = 90, stepped: int | None = None
) -> list[Spell]:
    """Draw spells of a boat of 5 kn in 0.6 kn of stream; `stepped`: the one with a step of log or compass."""
    draw = Chance(seed, 0, Purpose.PLACES)
    made = []
    for place in range(count):
        heading_deg = heading(place)
        water = 5.0 * complex(cos(radians(heading_deg)), sin(radians(heading_deg)))
        apart = complex(0.5, 0.3) + 0.15 * complex(*draw.normal(2))
        water, apart = fault(place, water, apart)
        turned = abs(heading_deg - heading(place - 1)) > 10.0
        made.append(
            Spell(
                BEGAN + 30 * place,
                (apart.real, apart.imag),
                (water.real, water.imag),
                (0.0, 0.0),
                heading_deg,
                log_stepped=place == stepped,
                turned=turned or place == stepped,
                heading_by_hand=False,
                speed_by_hand=False,
                ordered=None,
            )
        )
    return made
