"""Explaining: how well each witness's fault would make what the receiver and the reckoning show.

The apparent stream, spell by spell, is one draw of a Gaussian process while nothing happens: a stream that
wanders, the receiver's noise, and what log, compass and leeway usually make. A fault is a change that sets in
at some moment and goes with something that is known: a pull is fixed to the earth, a fouled log lies along
the heading and a wrong compass across it, both in proportion to the speed. Its size is not known, so it is
averaged over what is likely, and so is its onset; what is left is the marginal likelihood (any textbook; for
the linear Gaussian case in closed form).

All speeds in knots, north and east; arrays of spells n: vectors (n, 2), covariances (2, n, 2, n).
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import cos, exp, inf, log
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from middlewatch.navigator.watch.pull import Odds
from middlewatch.navigator.watch.receiver_noise import noise_gone
from middlewatch.navigator.watch.spells import SPELL_S, Spell
from middlewatch.quantities.lengths import METRES_PER_SECOND_PER_KNOT as KNOT

Floats = npt.NDArray[np.float64]

FEWEST = 4
"""So many spells at least: of fewer nothing is told."""

LEEWAY_TURN_DEG = 40.0
"""Headings nearer than this share their leeway and deviation, mostly (judgement)."""
LEEWAY_PART = 0.06
_NEARLY = 1e-6

SATELLITE_KN = 2.5
LOG_PART = 0.5
STOPPED_KN = 4.0
COMPASS_PART, COMPASS_ALONG, COMPASS_SHORT = 0.45, 0.2, 0.07
"""How large each fault is, one standard deviation (judgement): a pull; a log out by so much of its reading;
the boat's speed while the log stands; a compass out by so many radians; what its turn takes off along the
heading, before and after it is held against the turn."""
STANDS_KN = 0.3

TIDE_PART, LINE_KN, LINE_ROUGH_PART = 0.6, 0.7, 0.5
"""How much a stream changes: a tide as a part of the strongest; a line of tide; in a race a part again."""

NOTHING, TURN, QUICK_TURN, LINE, SHARP, SHARP_ROUGH = 0.65, 0.18, 0.07, 0.1, 0.0005, 0.1
"""How often in three quarters of an hour the water does nothing new, turns within half an hour or a quarter,
has a line crossed within three minutes, or within one (judgement; the design has lines each five hours)."""

STEP_SHARE = 0.7
"""The part of the faults of log and compass that set in where that witness is seen to step (judgement)."""


@dataclass(frozen=True, slots=True)
class Explained:
    """How well a change explains what was seen, against nothing having happened.

    `odds`: natural logarithm; `onset`: the second it likeliest set in (None: nothing did); `size`: its
    likeliest size in each of its directions; `stopped`: it is the speed of a boat whose log stands.
    """

    odds: float
    onset: int | None = None
    size: tuple[float, ...] = ()
    stopped: bool = False


class Products(NamedTuple):
    """Inner products of changes that set in at pairs of onsets (n, n), and their sums from the first on.

    In the metric of the inverse covariance.
    """

    since: Floats
    sums: Floats

    def ramped(self, over: int) -> Floats:
        """Return those of ramps with themselves, onset by onset: the mean over all pairs of their steps."""
        if over == 1:
            return np.diagonal(self.since)
        begin = np.arange(len(self.since))
        # What sets in after the last spell changes nothing.
        end = np.minimum(begin + over, len(begin))
        sums = self.sums
        block = sums[end, end] - sums[begin, end] - sums[end, begin] + sums[begin, begin]
        mean: Floats = block / (over * over)
        return mean


class Told(NamedTuple):
    """What the spells say of changes that set in at each onset (n), and their sums from the first on."""

    since: Floats
    sums: Floats

    def ramped(self, over: int) -> Floats:
        """Return what they say of ramps, onset by onset: the mean over their steps."""
        if over == 1:
            return self.since
        begin = np.arange(len(self.since))
        mean: Floats = (self.sums[np.minimum(begin + over, len(begin))] - self.sums[begin]) / over
        return mean


class Along(NamedTuple):
    """The changes along one or two ways, for each onset: how they go together, and what is said of each.

    `crossed`: how the first goes with the second, None where there is one only.
    """

    grams: list[Products]
    told: list[Told]
    crossed: Products | None


class Explaining:
    """The spells, whitened once, for as many explanations as are asked."""

    def __init__(
        self, spells: Sequence[Spell], strongest_kn: float, odds: Odds, restless: float, *, rough: bool
    ) -> None:
        self.spells, self.strongest_kn, self.rough = spells, strongest_kn, rough
        self._apart = _pairs([each.apart for each in spells])
        self._water = _pairs([each.water for each in spells])
        self._across = np.stack((-self._water[:, 1], self._water[:, 0]), axis=1)
        self._precision = self._inverse(odds, max(1.0, restless))
        flat = self._precision.reshape(2 * len(spells), -1)
        whitened = (flat * self._apart.T.reshape(1, -1)).sum(axis=1)
        self._whitened = whitened.reshape(2, -1)
        self._total = float((self._apart.T * self._whitened).sum())
        n = len(spells)
        self._earth = self._along(np.tile((1.0, 0.0), (n, 1)), np.tile((0.0, 1.0), (n, 1)))

    def _inverse(self, odds: Odds, restless: float) -> Floats:
        """Return the inverse of the covariance while nothing happens, (2, n, 2, n)."""
        at = np.array([each.second for each in self.spells], dtype=np.float64)
        lag = np.abs(at[:, None] - at[None, :])
        noise_kn = odds.noise_m / SPELL_S / KNOT
        going = noise_kn * noise_kn * restless * _noise(lag)
        wander = odds.wander_kn * (3.0 if self.rough else 1.0)
        sooner = np.minimum(at[:, None], at[None, :]) - at[0]
        going += (0.45 * self.strongest_kn) ** 2 + wander * wander * sooner / 600.0
        heading = np.radians([each.heading_deg for each in self.spells])
        off = np.abs((heading[:, None] - heading[None, :] + np.pi) % (2.0 * np.pi) - np.pi)
        alike = np.exp(-0.5 * (off / np.radians(LEEWAY_TURN_DEG)) ** 2)
        of_heading = odds.compass_part**2 + LEEWAY_PART**2 * alike
        n = len(self.spells)
        covariance = np.empty((2, n, 2, n))
        for a in (0, 1):
            for b in (0, 1):
                block = of_heading * self._across[:, a, None] * self._across[None, :, b]
                block += odds.log_part**2 * self._water[:, a, None] * self._water[None, :, b]
                covariance[a, :, b, :] = block + (going if a == b else 0.0)
        flat = covariance.reshape(2 * n, 2 * n)
        flat[np.diag_indices(2 * n)] += _NEARLY
        inverse: Floats = np.asarray(np.linalg.inv(flat), dtype=np.float64).reshape(2, n, 2, n)
        return inverse

    def tempered(self, odds: float) -> float:
        """Return by what odds are to be taken off, where the best of them leaves more than noise would.

        What is left of the spells by the best explanation should be as many squared deviations as there are
        figures; where it is more, the model is surer of itself than it may be.
        """
        left = self._total - 2.0 * odds
        return min(1.0, 2.0 * len(self.spells) / left) if left > 0.0 else 1.0

    # --- the causes -----------------------------------------------------------------------------------------

    def satellite(self) -> Explained:
        """Return how well a receiver that is drawn away explains it: at once, fixed to the earth."""
        return self._at_once((SATELLITE_KN, SATELLITE_KN), self._earth, self._any_time())

    def stream(self) -> Explained:
        """Return how well the water explains it: nothing, a tide that turns, a line of tide."""
        tide_kn = TIDE_PART * self.strongest_kn
        line_kn = LINE_ROUGH_PART * self.strongest_kn if self.rough else LINE_KN
        sharp = SHARP_ROUGH if self.rough else SHARP
        changes = (
            self._change((kn, kn), self._earth, self._any_time() + log(share), over=spells)
            for share, kn, spells in (
                (TURN, tide_kn, 60),
                (QUICK_TURN, tide_kn, 24),
                (LINE, line_kn, 6),
                (sharp, line_kn, 3),
            )
        )
        return _summed([Explained(log(NOTHING)), *changes])

    def log(self) -> Explained:
        """Return how well a log that shows a part of the speed, or stands, explains it."""
        at = self._at_steps([each.log_stepped for each in self.spells])
        used = np.array([not each.speed_by_hand for each in self.spells])
        return _summed(self._by_log(used, at))

    def compass(self) -> Explained:
        """Return how well a compass that is out by an angle explains it."""
        at = self._at_steps([each.turned for each in self.spells])
        used = np.array([not each.heading_by_hand for each in self.spells])
        return _summed(self._by_compass(used, at))

    def by_hand(self) -> Explained | None:
        """Return how well speed or heading by hand explains it; None where the skipper steers by neither."""
        changes: list[Explained] = []
        by_hand = np.array([each.speed_by_hand for each in self.spells])
        if by_hand.any():
            changes += self._by_log(by_hand, self._any_time())
        by_hand = np.array([each.heading_by_hand for each in self.spells])
        if by_hand.any():
            changes += self._by_compass(by_hand, self._any_time())
        return _summed(changes) if changes else None

    def _by_log(self, used: npt.NDArray[np.bool_], at: Floats) -> list[Explained]:
        if not used.any():
            return []
        heading = np.radians([each.heading_deg for each in self.spells])
        ahead = np.stack((np.cos(heading), np.sin(heading)), axis=1)
        stands = used & (np.hypot(self._water[:, 0], self._water[:, 1]) < STANDS_KN)
        changes = [self._at_once((LOG_PART,), self._along(self._water * used[:, None]), at)]
        if stands.any():
            change = self._at_once((STOPPED_KN,), self._along(ahead * stands[:, None]), at)
            changes.append(replace(change, stopped=True))
        return changes

    def _by_compass(self, used: npt.NDArray[np.bool_], at: Floats) -> list[Explained]:
        if not used.any():
            return []
        turned = self._along(self._across * used[:, None], self._water * used[:, None])
        change = self._at_once((COMPASS_PART, COMPASS_ALONG), turned, at)
        # How far she goes to one side of her heading says what she makes the less along it.
        off, along = change.size
        short = (along - (cos(off) - 1.0)) / COMPASS_SHORT
        return [replace(change, odds=change.odds - 0.5 * short * short)]

    # --- when it set in -------------------------------------------------------------------------------------

    def _any_time(self) -> Floats:
        n = len(self.spells)
        return np.full(n, -log(n))

    def _at_steps(self, stepped: Sequence[bool]) -> Floats:
        """Return the logarithm of how likely each onset is, where a witness's own step makes one likelier."""
        steps, n = np.array(stepped, dtype=np.float64), len(self.spells)
        # A step is seen in its own spell or in the next.
        steps = np.minimum(1.0, steps + np.append(steps[1:], 0.0))
        each = (1.0 - STEP_SHARE) / n + STEP_SHARE * steps / max(1.0, float(steps.sum()))
        logarithm: Floats = np.log(each)
        return logarithm

    # --- marginal likelihoods -------------------------------------------------------------------------------

    def _at_once(self, sd: tuple[float, ...], along: Along, at: Floats) -> Explained:
        """Return how well a change explains it that sets in at once: with a spell, or within one."""
        half = log(0.5)
        return _summed([self._change(sd, along, at + half), self._change(sd, along, at + half, over=2)])

    def _change(self, sd: tuple[float, ...], along: Along, at: Floats, *, over: int = 1) -> Explained:
        """Return how well a change along some ways explains it, setting in over so many spells.

        `sd`: its size along each of the ways, `at`: how likely each onset is (logarithm).
        """
        told = [each.ramped(over) for each in along.told]
        held = [each.ramped(over) + size**-2 for each, size in zip(along.grams, sd, strict=True)]
        if along.crossed is None:
            sizes = [told[0] / held[0]]
            spread = held[0] * sd[0] ** 2
        else:
            both = along.crossed.ramped(over)
            determinant = held[0] * held[1] - both * both
            sizes = [
                (held[1] * told[0] - both * told[1]) / determinant,
                (held[0] * told[1] - both * told[0]) / determinant,
            ]
            spread = determinant * (sd[0] * sd[1]) ** 2
        fits = sum(size * each for size, each in zip(sizes, told, strict=True))
        odds = at + 0.5 * (fits - np.log(spread))
        best = int(np.argmax(odds))
        most = float(odds[best])
        total = most + log(float(np.exp(odds - most).sum()))
        return Explained(
            total, self.spells[best].second - SPELL_S, tuple(float(each[best]) for each in sizes)
        )

    def _along(self, *ways: Floats) -> Along:
        """Prepare the changes that set in at each onset and go on, each way (n, 2)."""
        told = [(way.T * self._whitened).sum(axis=0)[::-1].cumsum()[::-1] for way in ways]
        return Along(
            [self._products(way, way) for way in ways],
            [Told(each, np.append(0.0, each.cumsum())) for each in told],
            self._products(*ways) if len(ways) == 2 else None,
        )

    def _products(self, one: Floats, other: Floats) -> Products:
        cross = np.zeros((len(self.spells), len(self.spells)))
        # Block by block: the whole at once does not fit a small board's cache.
        for a in (0, 1):
            for b in (0, 1):
                cross += one[:, a, None] * self._precision[a, :, b, :] * other[None, :, b]
        since: Floats = cross[::-1, ::-1].cumsum(axis=0).cumsum(axis=1)[::-1, ::-1]
        sums = np.zeros((len(since) + 1, len(since) + 1))
        sums[1:, 1:] = since.cumsum(axis=0).cumsum(axis=1)
        return Products(since, sums)


def _summed(changes: Sequence[Explained]) -> Explained:
    """Return several ways of one cause as one: their odds added, the likeliest's onset and size."""
    if not changes:
        return Explained(-inf)
    best = max(changes, key=lambda each: each.odds)
    total = best.odds + log(sum(exp(each.odds - best.odds) for each in changes))
    return replace(best, odds=total)


def _noise(lag_s: Floats) -> Floats:
    """Return how the receiver's noise goes together in two spells so far apart, as a part of a minute's."""
    lags = np.unique(lag_s)
    whole_s: list[int] = lags.astype(np.int64).tolist()
    table = [0.5 * (_gone(lag + SPELL_S) - 2.0 * _gone(lag) + _gone(lag - SPELL_S)) for lag in whole_s]
    found: Floats = np.array(table)[np.searchsorted(lags, lag_s)]
    return found


def _gone(span_s: int) -> float:
    return noise_gone(abs(span_s)) if span_s else 0.0


def _pairs(values: Sequence[tuple[float, float]]) -> Floats:
    return np.array(values, dtype=np.float64).reshape(-1, 2)
