"""The cloud: many passages the boat may have made, each weighted by how well the sightings fit it.

A passage of the cloud is pinned down to a place at each station (the sightings of three minutes); what it
leaves open, the errors of log, compass, leeway, stream and of the observer, is Gaussian about a mean of its
own, with one covariance for all. So nothing is lost by drawing what need not be drawn, and a few stations
later the passages have not run out of different errors.

Method: a particle filter whose linear part is worked exactly (Rao-Blackwell); from memory, and held against
two independent brute-force references in `tests/area`.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from middlewatch.navigator.area.passage import Motion, sandwich
from middlewatch.navigator.area.seen import Places
from middlewatch.navigator.area.unknowns import COUNT
from middlewatch.navigator.chance import Chance, Floats

SAMPLES = 20_000
_PIECE = 1_000


@dataclass(frozen=True, slots=True)
class Cloud:
    """Samples at one second: `means` (unknown, sample), one `spread` for all, `weights` adding up to one.

    `mistaken`: by mark, how likely each sample holds its last sighting for a blunder.
    """

    second: int
    means: Floats
    spread: Floats
    weights: Floats
    mistaken: Mapping[str, Floats] = field(default_factory=dict)

    @property
    def effective(self) -> float:
        """How many equal samples this is worth."""
        return effective(self.weights)

    def moments(self) -> tuple[Floats, Floats]:
        """Return mean and covariance of all unknowns."""
        mean = (self.weights * self.means).sum(axis=1)
        between = np.zeros((COUNT, COUNT))
        # In pieces that stay in the processor's cache, always the same ones.
        for begin in range(0, self.weights.size, _PIECE):
            off = self.means[:, begin : begin + _PIECE] - mean[:, np.newaxis]
            weighted = self.weights[begin : begin + _PIECE] * off
            for one in range(COUNT):
                between[one, one:] += (weighted[one] * off[one:]).sum(axis=1)
        return mean, between + np.triu(between, 1).T + self.spread

    def carried(self, motion: Motion, second: int) -> "Cloud":
        """Return the cloud at a later second."""
        return replace(
            self,
            second=second,
            means=_carry(motion, self.means),
            spread=sandwich(motion.carry, self.spread) + motion.noise,
        )

    def places(self, chance: Chance) -> Places:
        """Draw a place for each sample."""
        places: Places = self.means[0] + 1j * self.means[1]
        return places + shaken(self.spread, chance.normal(2, self.weights.size))

    def centres_after(self, motion: Motion) -> Places:
        """Return where each sample's place is on the mean, after a motion."""
        centres: Places = gathered(motion.carry[0], self.means) + 1j * gathered(motion.carry[1], self.means)
        return centres


def effective(weights: Floats) -> float:
    """Return how many equal samples weights are worth that add up to one."""
    return float(1.0 / np.square(weights).sum())


def begun(second: int, mean: Floats, covariance: Floats, samples: int) -> Cloud:
    """Return the cloud at a departure: every sample alike, everything open."""
    means = np.repeat(mean[:, np.newaxis], samples, axis=1)
    return Cloud(second, means, covariance, np.full(samples, 1.0 / samples))


def _carry(motion: Motion, means: Floats) -> Floats:
    """Apply a motion to means: the places gather all effects, the rest only forgets."""
    carried = means * motion.carry.diagonal()[:, np.newaxis]
    carried[0], carried[1] = gathered(motion.carry[0], means), gathered(motion.carry[1], means)
    return carried


def gathered(effects: Floats, means: Floats) -> Floats:
    """Return the sum of the effects of all unknowns, for each sample."""
    whole = np.zeros(means.shape[1])
    for unknown in np.flatnonzero(effects):
        whole += effects[unknown] * means[unknown]
    return whole


def shaken(spread: Floats, normal: Floats) -> Places:
    """Turn standard normal pairs into offsets with the spread of the places."""
    north = max(spread[0, 0], 1e-12) ** 0.5
    lean = spread[1, 0] / north
    east = max(spread[1, 1] - lean * lean, 0.0) ** 0.5
    shaken: Places = north * normal[0] + 1j * (lean * normal[0] + east * normal[1])
    return shaken
