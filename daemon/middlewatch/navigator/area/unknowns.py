"""What is not known of a passage: the errors that carry the boat off its EP, and how large each may be.

All are small and Gaussian; a passage's deviation from the EP is linear in them (turning by an error of the
compass is taken to first order: at five degrees that leaves out 0.4 % of the run).
"""

from dataclasses import dataclass
from enum import IntEnum
from math import exp, log, radians

import numpy as np

from middlewatch.navigator.chance import Floats
from middlewatch.quantities.lengths import METRES_PER_NM, METRES_PER_SECOND_PER_KNOT

STREAM_MEMORY_S = 3 * 3600.0
WANDER_MEMORY_S = 30 * 60.0


class Unknown(IntEnum):
    """The unknowns, by their place in a vector; metres, radians, m/s, parts of one."""

    NORTH = 0  # m: the boat's deviation from the EP
    EAST = 1
    LOG = 2  # the log's factor less one
    COMPASS = 3  # rad, constant
    VARIATION = 4  # rad, shared with magnetic hand bearings
    SINE = 5  # rad, goes with the sine of the heading
    COSINE = 6
    PORT_TACK = 7  # leeway's factor less one
    STARBOARD_TACK = 8
    SIDE_SINE = 9  # rad: leeway where no wind tells it, by the sine of the heading
    SIDE_COSINE = 10
    THRESHOLD = 11  # m/s: what the log misses near zero
    WIND_DRIFT = 12  # part of the wind that moves the surface
    HAND = 13  # rad, shared by all hand bearings
    STREAM_NORTH = 14  # in standard deviations; the passage says how many m/s that is
    STREAM_EAST = 15
    WANDER = 16  # the log's factor, wandering


COUNT = len(Unknown)


@dataclass(frozen=True, slots=True)
class Priors:
    """One standard deviation of each, as the design's section 4 lists them: judgement and common practice.

    `card`: the compass has a deviation card; `log_calibrated`: its factor was found over a known distance.
    """

    log_calibrated: bool = True
    card: bool = True
    old_chart: bool = False
    hand_deg: float = 1.5
    leeway_factor: float = 1.6
    side_deg: float = 5.0
    threshold_kn: float = 0.15

    def mean(self) -> Floats:
        """Return the mean of all unknowns."""
        mean = np.zeros(COUNT)
        mean[Unknown.PORT_TACK] = mean[Unknown.STARBOARD_TACK] = self._leeway()[0]
        mean[Unknown.WIND_DRIFT] = 0.02
        return mean

    def covariance(self, departure_nm: float) -> Floats:
        """Return the covariance of all unknowns at a departure known to so many miles an axis."""
        swing_deg = 1.5 if self.card else 4.0
        sd = {
            Unknown.NORTH: departure_nm * METRES_PER_NM,
            Unknown.EAST: departure_nm * METRES_PER_NM,
            Unknown.LOG: 0.05 if self.log_calibrated else 0.10,
            Unknown.COMPASS: radians(1.0 if self.card else 2.0),
            Unknown.VARIATION: radians(1.0 if self.old_chart else 0.4),
            Unknown.SINE: radians(swing_deg),
            Unknown.COSINE: radians(swing_deg),
            Unknown.PORT_TACK: self._leeway()[1],
            Unknown.STARBOARD_TACK: self._leeway()[1],
            Unknown.SIDE_SINE: radians(self.side_deg),
            Unknown.SIDE_COSINE: radians(self.side_deg),
            Unknown.THRESHOLD: self.threshold_kn * METRES_PER_SECOND_PER_KNOT,
            Unknown.WIND_DRIFT: 0.01,
            Unknown.HAND: radians(self.hand_deg),
            Unknown.STREAM_NORTH: 1.0,
            Unknown.STREAM_EAST: 1.0,
            Unknown.WANDER: 0.02,
        }
        return np.diag([sd[unknown] ** 2 for unknown in Unknown])

    def _leeway(self) -> tuple[float, float]:
        """Return mean and standard deviation of a factor whose logarithm is normal with median one."""
        spread = log(self.leeway_factor) ** 2
        mean = exp(spread / 2)
        return mean - 1.0, mean * (exp(spread) - 1.0) ** 0.5
