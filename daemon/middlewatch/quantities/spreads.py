"""Spreads: what one standard deviation an axis says about 95 and 99 boats in 100."""

from math import hypot
from typing import NamedTuple

RADIUS_95 = 2.448
"""Radius holding 95 % of a round normal cloud, in standard deviations: sqrt(-2 ln 0.05)."""

RADIUS_99 = 3.03
"""Radius holding 99 % of a round normal cloud, in standard deviations: sqrt(-2 ln 0.01), rounded as usual."""


class Covariance(NamedTuple):
    """How far off on two axes: variances north and east, and what they share; squares of one unit."""

    north: float
    shared: float
    east: float

    @property
    def most(self) -> float:
        """The variance on the axis where it is largest."""
        return (self.north + self.east) / 2.0 + hypot((self.north - self.east) / 2.0, self.shared)

    @property
    def least(self) -> float:
        """The variance on the axis where it is smallest."""
        return self.north + self.east - self.most
