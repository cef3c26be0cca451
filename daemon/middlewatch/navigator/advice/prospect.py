"""Prospect: where the boat may be at moments to come, and how small a sighting may be hoped to make that.

Some hundreds of the cloud's passages are drawn out whole and sailed on. For a sighting, a few dozen of them
are each taken for the truth in turn: what would be seen from there is drawn, the others are weighed by it as
the cloud weighs a real one, blunders and all, and what is left of the area is averaged, right after the
sighting and over the coming half hour. A passage drawn whole keeps its weight on its way, so what a sighting
tells of later moments needs no further work but a covariance.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import pi, sqrt

import numpy as np

from middlewatch.navigator.area.area import Spread
from middlewatch.navigator.area.chain import BLUNDER
from middlewatch.navigator.area.cloud import Cloud, gathered
from middlewatch.navigator.area.passage import Motion
from middlewatch.navigator.area.paths import pinned_down
from middlewatch.navigator.area.seen import BearingSeen, DistanceSeen, Places
from middlewatch.navigator.chance import Chance, Floats, Purpose
from middlewatch.quantities.lengths import METRES_PER_NM
from middlewatch.quantities.spreads import RADIUS_95

PASSAGES = 800
"""So many passages of the cloud stand for it (judgement: all of them would take half a second)."""
TRUTHS = 32
HALF_HOUR_S = 1800
_TURN = 2.0 * pi

Sought = BearingSeen | DistanceSeen
"""A sighting to come: what it would read is not known, and stands as nought."""


@dataclass(frozen=True, slots=True)
class Hoped:
    """An area as it may be hoped for: the mean over what may be seen.

    `radius_m`: of the circle as large as its ellipse of one standard deviation; `major_nm`: its long half
    axis, 95 in 100.
    """

    radius_m: float
    major_nm: float


@dataclass(frozen=True, slots=True)
class After:
    """What a sighting may be hoped to leave: the area right after it, and its mean radius over the spell."""

    area: Hoped
    mean_m: float


@dataclass(frozen=True, slots=True)
class Moment:
    """The passages, whole, at one second; places are metres from the path the area goes by."""

    second: int
    passages: Cloud

    @property
    def places(self) -> Places:
        """Where each passage has the boat."""
        places: Places = self.passages.means[0] + 1j * self.passages.means[1]
        return places

    def unseen(self) -> Hoped:
        """Return the area as it will be then without any sighting."""
        return _hoped(self.passages.weights[np.newaxis], self.places)


class Prospect:
    """The passages at each of some moments, now first; `truths` of them and how each sighting errs there.

    `spell`: how many of the moments are of the coming half hour; the mean radius is taken over those. In it
    the first counts once, the next twice, and so on: else bearings are spent early and are old later on.
    """

    def __init__(self, cloud: Cloud, motions: Sequence[Motion], seconds: Sequence[int], seed: int) -> None:
        """Sail the passages of a cloud on: `motions` lead from each of the seconds to the next."""
        chance = Chance(seed, cloud.second, Purpose.ADVICE)
        at = pinned_down(_thinned(cloud), chance)
        self.moments = [Moment(seconds[0], at)]
        for motion, second in zip(motions, seconds[1:], strict=True):
            at = pinned_down(at.carried(motion, second), chance)
            self.moments.append(Moment(second, at))
        edges = np.cumsum(at.weights)
        even = (np.arange(TRUTHS) + 0.5) / TRUTHS
        self._truths = np.minimum(np.searchsorted(edges / edges[-1], even), edges.size - 1)
        # The same errors for every sighting: so two of them differ by what they are worth, not by luck.
        self._errors = chance.normal(TRUTHS)
        self.unseen = tuple(moment.unseen() for moment in self.moments)
        self.spell = sum(second <= seconds[0] + HALF_HOUR_S for second in seconds)

    @property
    def mean_unseen_m(self) -> float:
        """The mean radius over the spell without any sighting."""
        return _mean([each.radius_m for each in self.unseen[: self.spell]])

    def after(self, place: int, sought: Sought) -> After:
        """Return what a sighting may be hoped to leave, taken at a moment of the spell (by its place)."""
        weights = self._weighed(self.moments[place], sought)
        area = _hoped(weights, self.moments[place].places)
        left = [_hoped(weights, moment.places).radius_m for moment in self.moments[place + 1 : self.spell]]
        before = [each.radius_m for each in self.unseen[:place]]
        return After(area, _mean([*before, area.radius_m, *left]))

    def at_once(self, place: int, sought: Sought) -> Hoped:
        """Return the area as it may be hoped for right after a sighting, and nothing of later."""
        return _hoped(self._weighed(self.moments[place], sought), self.moments[place].places)

    def quickly_m(self, place: int, sought: Sought) -> float:
        """Return, to first order, the mean radius over the spell with a sighting: to pick by."""
        part = sqrt(self.shrinks_to(self.moments[place], sought))
        radii = [each.radius_m for each in self.unseen[: self.spell]]
        return _mean([*radii[:place], *(part * each for each in radii[place:])])

    def _weighed(self, moment: Moment, sought: Sought) -> Floats:
        """Return, for each truth, the weights of the passages after the sighting taken from there."""
        readings, turning = _readings(moment.passages, sought), isinstance(sought, BearingSeen)
        entered = readings[self._truths] + sought.sd * self._errors
        off = entered[:, np.newaxis] - readings
        if turning:
            off = np.remainder(off + pi, _TURN) - pi
        # By blunder a bearing is anything, a distance anything up to twice as far.
        by_blunder = 1.0 / _TURN if turning else 1.0 / (2.0 * float(readings.mean()) + 10.0 * sought.sd)
        density = np.exp(-0.5 * np.square(off / sought.sd)) * ((1.0 - BLUNDER) / (sought.sd * sqrt(_TURN)))
        weights = moment.passages.weights * (density + BLUNDER * by_blunder)
        # The truth itself is not among the passages that one has.
        weights[np.arange(TRUTHS), self._truths] = 0.0
        weighed: Floats = weights / weights.sum(axis=1, keepdims=True)
        return weighed

    def shrinks_to(self, moment: Moment, sought: Sought) -> float:
        """Return, to first order, to which part a sighting shrinks the area: quickly, to pick by."""
        readings = _readings(moment.passages, sought)
        weights = moment.passages.weights
        if isinstance(sought, BearingSeen):
            middle = np.angle((weights * np.exp(1j * readings)).sum())
            readings = np.remainder(readings - middle + pi, _TURN) - pi
        off = readings - (weights * readings).sum()
        return sqrt(sought.sd**2 / (sought.sd**2 + float((weights * np.square(off)).sum())))


def _mean(radii_m: Sequence[float]) -> float:
    """Return the mean of the radii of a spell, each moment counted as often as it is far on."""
    counts = range(1, len(radii_m) + 1)
    return sum(count * radius_m for count, radius_m in zip(counts, radii_m, strict=True)) / sum(counts)


def _thinned(cloud: Cloud) -> Cloud:
    every = max(1, cloud.weights.size // PASSAGES)
    weights = cloud.weights[::every]
    return Cloud(cloud.second, cloud.means[:, ::every], cloud.spread, weights / weights.sum())


def _readings(passages: Cloud, sought: Sought) -> Floats:
    """Return what would be read from each passage, but for the sighting's own error."""
    places: Places = passages.means[0] + 1j * passages.means[1]
    # Seen less expected, with nought seen; and errors shared with the boat come on top of what is expected.
    readings: Floats = -sought.hold(places).residual.real
    return readings if sought.effects is None else readings + gathered(sought.effects, passages.means)


def _hoped(weights: Floats, places: Places) -> Hoped:
    """Return the mean area of places, each row of weights adding up to one."""
    north, east = places.real, places.imag
    north, east = north - north.mean(), east - east.mean()
    by_north, by_east = weights * north, weights * east
    mean_north, mean_east = by_north.sum(axis=1), by_east.sum(axis=1)
    # So few passages lie closer together than the boat would: as a sample's variance is mended by n - 1.
    mended = 1.0 / np.maximum(1.0 - np.square(weights).sum(axis=1), 1e-3)
    spreads = [
        Spread(0j, *each)
        for each in zip(
            (mended * ((by_north * north).sum(axis=1) - np.square(mean_north))).tolist(),
            (mended * ((by_north * east).sum(axis=1) - mean_north * mean_east)).tolist(),
            (mended * ((by_east * east).sum(axis=1) - np.square(mean_east))).tolist(),
            strict=True,
        )
    ]
    axes = [spread.axes() for spread in spreads]
    radius_m = sum(sqrt(along * across) for along, across, _ in axes) / len(axes)
    return Hoped(radius_m, RADIUS_95 * sum(along for along, _, _ in axes) / len(axes) / METRES_PER_NM)
