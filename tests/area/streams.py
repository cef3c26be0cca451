"""Streams the model does not know: tides along a line, their turn, an eddy behind a headland.

Each draws its own figures for many passages and gives the velocity of the water, m/s, complex, by second and
true place (metres from the EP's start). The figures are judgement: what coastal tables and sailing directions
commonly print.
"""

from collections.abc import Callable
from dataclasses import dataclass
from math import atanh, pi
from typing import Protocol

import numpy as np

from area.model import METRES_PER_NM, MPS_PER_KN, Chance, Places
from area.tracks import Track

Flow = Callable[[float, Places], Places]

TIDE_S = 12.42 * 3600.0
"""The period of the semi-diurnal tide."""


class Stream(Protocol):
    """A kind of stream."""

    @property
    def usual_kn(self) -> float:
        """The strongest of the usual stream, as the model has it, that runs beside it; 0: none."""

    def drawn(self, count: int, track: Track, chance: Chance) -> Flow:
        """Draw it for so many passages."""


@dataclass(frozen=True, slots=True)
class Tide:
    """A tide along a line, any direction, at 0.3 to 1 of the strongest, met at any hour of it."""

    strongest_kn: float
    usual_kn: float = 0.0

    def drawn(self, count: int, track: Track, chance: Chance) -> Flow:  # noqa: ARG002 -- as every stream is drawn
        """Draw direction, strength and hour."""
        rate = self.strongest_kn * MPS_PER_KN * chance.uniform(0.3, 1.0, count)
        velocity = rate * np.exp(2j * pi * chance.random(count))
        phase = 2.0 * pi * chance.random(count)
        return lambda second, _place: velocity * np.cos(2.0 * pi * second / TIDE_S + phase)


@dataclass(frozen=True, slots=True)
class Turning:
    """A tide at 0.5 to 1 of the strongest that turns within half an hour of `at_s`.

    `half_rate_s` before and after slack water it runs at half its rate: an hour by the 50/90 rule (common
    practice, no source).
    """

    strongest_kn: float
    at_s: int
    half_rate_s: float = 3600.0
    usual_kn: float = 0.0

    def drawn(self, count: int, track: Track, chance: Chance) -> Flow:  # noqa: ARG002 -- as every stream is drawn
        """Draw direction, strength and minute of the turn."""
        rate = self.strongest_kn * MPS_PER_KN * chance.uniform(0.5, 1.0, count)
        velocity = rate * np.exp(2j * pi * chance.random(count))
        turn_s = self.at_s + chance.uniform(-1800.0, 1800.0, count)
        steep = atanh(0.5) / self.half_rate_s
        return lambda second, _place: velocity * np.tanh(steep * (turn_s - second))


@dataclass(frozen=True, slots=True)
class Eddy:
    """An eddy of a headland the EP passes at `at_s`, either way round.

    It is strongest at `radius_nm` from its middle, which lies within one radius of the EP, to either side.
    """

    at_s: int
    peak_kn: tuple[float, float] = (2.0, 4.0)
    radius_nm: float = 1.0
    usual_kn: float = 1.5

    def drawn(self, count: int, track: Track, chance: Chance) -> Flow:
        """Draw place, strength and sense."""
        radius_m = self.radius_nm * METRES_PER_NM
        across = np.exp(1j * (track.course_at(self.at_s) + pi / 2))
        middle = track.ep_at(self.at_s) + across * radius_m * chance.uniform(-1.0, 1.0, count)
        peak = MPS_PER_KN * chance.uniform(*self.peak_kn, count) * chance.choice([-1.0, 1.0], count)

        def flow(_second: float, place: Places) -> Places:
            out = (place - middle) / radius_m
            # Rises evenly from the middle to its peak at one radius, then dies away.
            swirl: Places = 1j * out * peak * np.exp(0.5 * (1.0 - np.abs(out) ** 2))
            return swirl

        return flow
