"""How unusual a sighting is: held against what the cloud, the moment before it, would have had the crew see.

Each sample would see the sighting somewhere, give or take the sighting's own noise and what is still open of
the errors it shares with the boat; together they say how far out one has to look for as odd a sighting.
"""

from dataclasses import dataclass
from math import erfc, exp, pi, sqrt
from statistics import NormalDist

import numpy as np

from middlewatch.navigator.area.cloud import Cloud
from middlewatch.navigator.area.regions import SoftHeld
from middlewatch.navigator.area.seen import BearingSeen, Held, Places, PointSeen, Seen
from middlewatch.navigator.chance import Chance, Floats, Purpose

AT_MOST_SIGMA = 37.0
"""Beyond this a tail is too thin for a double: such a sighting is just impossible."""

_TURN = 2.0 * pi


@dataclass(frozen=True, slots=True)
class Awaited:
    """A sighting of one figure (radians or metres) against what each sample would have seen.

    `residuals`: entered less seen by each sample; `variance`: how far each may be out in that; `possible`:
    the weights, 0 where a sample could not have seen it at all. `turning`: a direction, which comes round.
    `likely`: of what was no figure (a colour, a light in sight) the log of how likely it is from each sample.
    """

    residuals: Floats
    variance: Floats
    weights: Floats
    possible: Floats
    turning: bool
    likely: Floats | None = None

    @property
    def residual(self) -> float:
        """Entered less expected: the mean over the samples, of directions the circular mean."""
        if not self.turning:
            return float((self.weights * self.residuals).sum())
        return float(np.angle((self.weights * np.exp(1j * self.residuals)).sum()))

    @property
    def doubt(self) -> float:
        """One standard deviation of what was to be seen, all in all."""
        off = _wrapped(self.residuals - self.residual) if self.turning else self.residuals - self.residual
        return sqrt(float((self.weights * (np.square(off) + self.variance)).sum()))

    def sigmas(self) -> float:
        """Return how unusual the entry is: by the thinner tail, doubled."""
        middle = self.residual
        off = self.residuals - middle
        # A direction has no far end: what was to be seen is laid out half a turn to either side of its mean.
        if self.turning:
            off = _wrapped(off)
        reach = (middle + off) / np.sqrt(2.0 * self.variance)
        below = float((self.possible * _complement(-reach)).sum())
        above = float((self.possible * _complement(reach)).sum())
        return as_sigma(min(below, above))

    def density(self) -> float:
        """Return how dense what was expected is at the entry, per radian or metre; else how likely it is."""
        if self.likely is not None:
            return float((self.possible * np.exp(self.likely)).sum())
        each = np.exp(-0.5 * np.square(self.residuals) / self.variance) / np.sqrt(_TURN * self.variance)
        return float((self.possible * each).sum())


@dataclass(frozen=True, slots=True)
class AwaitedPoint:
    """A position entered against the place of each sample: metres, north + east j, one variance an axis."""

    residuals: Places
    variance: float
    weights: Floats

    @property
    def residual(self) -> float:
        """How far the point lies from the mean of the samples, metres."""
        return float(abs((self.weights * self.residuals).sum()))

    def sigmas(self) -> float:
        """Return how unusual the point is, by mean and covariance of the samples and its own doubt."""
        mean = complex((self.weights * self.residuals).sum())
        off = self.residuals - mean
        north = float((self.weights * np.square(off.real)).sum()) + self.variance
        east = float((self.weights * np.square(off.imag)).sum()) + self.variance
        both = float((self.weights * off.real * off.imag).sum())
        square = east * mean.real**2 - 2.0 * both * mean.real * mean.imag + north * mean.imag**2
        # Of a normal spread in the plane, exp(-d d / 2) lies further out than d.
        return as_sigma(exp(-0.5 * square / (north * east - both * both)))

    def density(self) -> float:
        """Return how dense what was expected is at the point, per square metre."""
        square = np.square(self.residuals.real) + np.square(self.residuals.imag)
        each = np.exp(-0.5 * square / self.variance) / (_TURN * self.variance)
        return float((self.weights * each).sum())


class Outlook:
    """What the crew had before them: the cloud at a second, with a place drawn for each sample."""

    def __init__(self, cloud: Cloud, seed: int, *, every: int = 1) -> None:
        """Look from each sample, or for haste from every so manyeth."""
        places = cloud.places(Chance(seed, cloud.second, Purpose.UNUSUAL))
        self.places = places[::every]
        self._means = cloud.means[:, ::every]
        self._spread = cloud.spread
        weights = cloud.weights[::every]
        self._weights: Floats = weights / weights.sum()

    def of(self, seen: Seen) -> Awaited:
        """Return a sighting of one figure as it was to be expected."""
        held = seen.hold(self.places)
        lean, open_ = self._shared(seen.effects)
        residuals = held.residual.real - lean
        possible = self._weights if held.barred is None else np.where(held.barred, 0.0, self._weights)
        variance: Floats = np.square(np.broadcast_to(held.sd, residuals.shape)) + open_
        turning = isinstance(seen, BearingSeen)
        likely = held.likely if isinstance(held, SoftHeld) else None
        if turning:
            residuals = _wrapped(residuals)
        return Awaited(residuals, variance, self._weights, possible, turning, likely)

    def of_any(self, seen: Seen) -> "Awaited | AwaitedPoint":
        """Return a sighting of whatever kind as it was to be expected."""
        return self.of_point(seen.hold(self.places)) if isinstance(seen, PointSeen) else self.of(seen)

    def of_point(self, held: Held) -> AwaitedPoint:
        """Return a position, held against the places, as it was to be expected."""
        return AwaitedPoint(held.residual.astype(np.complex128), float(held.sd) ** 2, self._weights)

    def _shared(self, effects: Floats | None) -> "tuple[Floats | float, float]":
        """Return what the errors shared with the boat add to each residual, and the variance left in that.

        The place drawn for a sample already tells something of its log, compass and stream.
        """
        if effects is None:
            return 0.0, 0.0
        mean = np.zeros(self.places.size)
        for unknown in np.flatnonzero(effects):
            mean = mean + effects[unknown] * self._means[unknown]
        spread = self._spread
        towards = (spread * effects).sum(axis=1)
        a, b, c = spread[0, 0], spread[0, 1], spread[1, 1]
        # A place that is known already teaches nothing.
        whole = max(a * c - b * b, 1e-9)
        north, east = (c * towards[0] - b * towards[1]) / whole, (a * towards[1] - b * towards[0]) / whole
        off = self.places - (self._means[0] + 1j * self._means[1])
        taught = north * towards[0] + east * towards[1]
        left = max(float((effects * towards).sum() - taught), 0.0)
        return mean + north * off.real + east * off.imag, left


def as_sigma(tail: float) -> float:
    """Return how many standard deviations out a normal error is as rare as this, either way; at most 37."""
    either_way = min(tail / 2.0, 0.5)
    # The half of the least there is of a double is nothing at all.
    if either_way <= 0.0:
        return AT_MOST_SIGMA
    return min(max(-NormalDist().inv_cdf(either_way), 0.0), AT_MOST_SIGMA)


def _complement(reach: Floats) -> Floats:
    """Return the part of a normal error, either way, that is beyond each reach (in sigmas by root two)."""
    return np.array([erfc(each) for each in reach.tolist()])


def _wrapped(angles: Floats) -> Floats:
    """Bring angles to half a turn either side."""
    wrapped: Floats = np.remainder(angles + pi, _TURN) - pi
    return wrapped
