"""A pull within a trial: whether something set in that neither log nor compass makes.

What is the log's or the compass's own changes with the heading and comes back with it. A receiver that is
drawn off from some moment on, or a stream that sets in, is fixed to the earth and stays. So each leg is
worked besides as it would be off if from some leg on the receiver went a metre a second further north, or
east (the filter is linear, so this takes no second one); how much smaller that makes the squared misses is a
generalised likelihood ratio for each onset: chi-squared of two where nothing set in (Willsky and Jones, 1976;
from memory). What is too small to show is doubt of log and compass all the same.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from middlewatch.navigator.area.unknowns import COUNT, Unknown
from middlewatch.navigator.chance import Floats
from middlewatch.quantities.lengths import METRES_PER_SECOND_PER_KNOT

UNSEEN_KN = 0.25
"""A pull that nothing betrays, one standard deviation an axis: half a knot is to show within a quarter of an
hour (the design's section 7), and is two of it (judgement)."""

SWING = [Unknown.COMPASS, Unknown.SINE, Unknown.COSINE]


class SetIn(NamedTuple):
    """What likeliest set in: with which leg (0: the first), m/s, north + east j.

    `odds`: by how much it makes the squared misses smaller, in their own deviations.
    """

    leg: int
    mps: complex
    odds: float


class Unseen(NamedTuple):
    """What a pull too small to show leaves: variance of the log, covariance of the deviation."""

    log: float
    swing: Floats


@dataclass(frozen=True, slots=True)
class _Onset:
    """A pull from one leg on: the precision it is known by (m/s)^-2, and what the misses say of it."""

    north: float
    both: float
    east: float
    told_north: float
    told_east: float

    def held(self, sd_mps: float) -> tuple[float, float, float]:
        """Return its covariance where so much of it is likely beforehand: north, both, east."""
        north, east = self.north + sd_mps**-2, self.east + sd_mps**-2
        determinant = north * east - self.both * self.both
        return east / determinant, -self.both / determinant, north / determinant

    def likeliest(self, leg: int) -> SetIn:
        """Return the pull that leaves the smallest misses; of what cannot be told at all, none."""
        north, both, east = self.held(_ANY_MPS)
        by_north = north * self.told_north + both * self.told_east
        by_east = both * self.told_north + east * self.told_east
        return SetIn(leg, complex(by_north, by_east), by_north * self.told_north + by_east * self.told_east)


_ANY_MPS = 100.0


@dataclass(slots=True)
class Pulled:
    """The unknowns of a trial as each pull would have them: two columns for each leg it may set in with.

    `means` (unknowns, 2 legs), per m/s; of each miss its variance, itself, and what each pull makes of it.
    """

    legs: int
    means: Floats
    variances: list[float]
    misses: list[float]
    made: list[Floats]

    @classmethod
    def from_each_of(cls, legs: int) -> "Pulled":
        """Begin a trial of so many legs."""
        return cls(legs, np.zeros((COUNT, 2 * legs)), [], [], [])

    def seen(self, leg: int, axis: int, seconds: float) -> Floats:
        """Return how far each pull has the receiver off over a leg, on an axis (0 north, 1 east): metres."""
        off = np.zeros(2 * self.legs)
        off[axis : 2 * leg + 2 : 2] = seconds
        return off

    def missed(self, miss: float, variance: float, made: Floats) -> None:
        """Take a miss, and what each pull makes of it."""
        self.misses.append(miss)
        self.variances.append(variance)
        self.made.append(made)

    def likeliest(self) -> SetIn | None:
        """Return what likeliest set in with a leg after the first; None where nothing can be told."""
        onsets = self._onsets()
        return max((each.likeliest(leg) for leg, each in onsets), key=lambda each: each.odds, default=None)

    def unseen(self) -> Unseen:
        """Return what a pull leaves that does not show, set in when it does the most."""
        log, swing = 0.0, np.zeros((len(SWING), len(SWING)))
        for leg, onset in self._onsets():
            north, both, east = onset.held(UNSEEN_KN * METRES_PER_SECOND_PER_KNOT)
            by_north, by_east = self.means[:, 2 * leg], self.means[:, 2 * leg + 1]
            one, other = by_north[Unknown.LOG], by_east[Unknown.LOG]
            log = max(log, float(one * one * north + 2.0 * one * other * both + other * other * east))
            turned, aside = by_north[SWING], by_east[SWING]
            mixed = np.outer(turned, aside)
            left = north * np.outer(turned, turned) + both * (mixed + mixed.T) + east * np.outer(aside, aside)
            if left[0, 0] > swing[0, 0]:
                swing = left
        return Unseen(log, swing)

    def _onsets(self) -> Sequence[tuple[int, _Onset]]:
        """Return, for each leg but the first, what a pull from it on is known by.

        From the first leg on it is a stream, and harms neither log nor compass.
        """
        if not self.made:
            return ()
        made, precision = np.array(self.made), 1.0 / np.array(self.variances)
        misses = np.array(self.misses)
        onsets = []
        for leg in range(1, self.legs):
            north, east = made[:, 2 * leg], made[:, 2 * leg + 1]
            onset = _Onset(
                float((north * north * precision).sum()),
                float((north * east * precision).sum()),
                float((east * east * precision).sum()),
                float((north * misses * precision).sum()),
                float((east * misses * precision).sum()),
            )
            onsets.append((leg, onset))
        return onsets
