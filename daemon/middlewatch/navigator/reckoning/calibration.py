"""Calibrations by order: the log's factor, and the deviation left in the heading that the bus gives.

They belong to the sensors: a heading or a speed given by hand is taken as it is said, a log reading by hand
is the log's.
"""

from dataclasses import dataclass
from functools import lru_cache
from math import sqrt
from typing import Literal

from middlewatch.navigator.reckoning.card import Card
from middlewatch.navigator.tuning import CardPoints

CalibratedBy = Literal["order", "satellite"]

BY_HAND_SD = 0.03
"""A factor found by hand, one standard deviation as a part of one: a measured mile run both ways at 5 kn, a
quarter of an hour from run to run. An unknown stream of 0.7 kn with a memory of three hours changes by
0.7 x sqrt(2 - 2 exp(-1/12)) = 0.28 kn meanwhile, of which half is taken for the log's, 2.8 %; the log's own
wandering of 2 % leaves 1.7 % in the mean of the runs. Together 3.3 %; the stream of a place chosen for it is
steadier (judgement)."""

DEVIATION_SD_DEG = 1.0
"""A deviation found by a transit or the Sun (judgement; as a card's constant in the design's section 4)."""
CARD_SWING = 1.5
"""Of a card, sine and cosine are known so many times as badly as the constant (the same)."""


@dataclass(frozen=True, slots=True)
class LogFactor:
    """What the log shows, times `factor`, is the way through the water; `sd`: of that, as a part of one.

    `second`: the one it was ordered for; `id`: the order's.
    """

    factor: float
    sd: float
    by: CalibratedBy
    id: str
    second: int


@dataclass(frozen=True, slots=True)
class Deviation:
    """What is still to be added to the heading as the bus gives it, its card applied, E+.

    `points`: (heading so given, deviation), degrees, as a card has them; one point is a constant. `doubt`:
    the covariance of what is left then, in square degrees: constant, sine and cosine of the true heading,
    row after row.
    """

    points: CardPoints
    doubt: tuple[tuple[float, float, float], ...]
    by: CalibratedBy
    id: str
    second: int

    def at(self, heading_deg: float) -> float:
        """Return the deviation on a heading as the bus gives it."""
        return _card(self.points).deviation_at(heading_deg)

    def sd_deg(self, ahead: complex) -> float:
        """Return one standard deviation of it on a true heading, cosine + sine j."""
        shares = (1.0, ahead.imag, ahead.real)
        rows = (sum(share * each for share, each in zip(shares, row, strict=True)) for row in self.doubt)
        variance = sum(share * row for share, row in zip(shares, rows, strict=True))
        return sqrt(max(0.0, variance))


Calibration = LogFactor | Deviation


@lru_cache(maxsize=8)
def _card(points: CardPoints) -> Card:
    return Card(points)


@dataclass(frozen=True, slots=True)
class Found:
    """A deviation found on one heading, degrees, E+: how much, and one standard deviation of that.

    `ahead`: the heading, true, cosine + sine j; None where that is not known.
    """

    deviation_deg: float
    sd_deg: float
    ahead: complex | None


def found_on_one_heading(
    found: Found, constant_deg2: float, swing_deg2: float
) -> tuple[tuple[float, float, float], ...]:
    """Return the doubt of a deviation that was found on one heading and is laid on all of them.

    `constant_deg2`, `swing_deg2`: the variances before, of the constant and of sine and cosine each. The
    textbook's deviation is A + B sin h + C cos h and, of soft iron, D sin 2h + E cos 2h, of which the
    settings know nothing. On the heading it was found on it is known by `sd_deg`; on another it differs by
    B and C: along that heading by twice the one at the reciprocal, across it by the other a quarter away.
    More than a compass of these settings has speaks of a larger swing, for it is likelier in that than in the
    constant: of swing s^2 in all v = A^2 + s^2 + sd^2, the swing along has the mean square
    s^2 (1 - s^2 / v (1 - found^2 / v)), the normal distribution's conditional one; it is never taken for less
    than s^2.
    """
    whole = constant_deg2 + swing_deg2 + found.sd_deg**2
    unlikely = max(0.0, found.deviation_deg**2 / whole - 1.0)
    along = swing_deg2 * (1.0 + swing_deg2 / whole * unlikely)
    constant = found.sd_deg**2 + along
    if found.ahead is None:
        return (constant, 0.0, 0.0), (0.0, along, 0.0), (0.0, 0.0, along)
    cosine, sine, more = found.ahead.real, found.ahead.imag, along - swing_deg2
    # What was found is the constant with the swing along, which so go against each other.
    return (
        (constant, -along * sine, -along * cosine),
        (-along * sine, swing_deg2 + more * sine * sine, more * sine * cosine),
        (-along * cosine, more * sine * cosine, swing_deg2 + more * cosine * cosine),
    )


def found_all_round(sd_deg: float) -> tuple[tuple[float, float, float], ...]:
    """Return the doubt of a card: of its constant, its sine and its cosine."""
    swing = (CARD_SWING * sd_deg) ** 2
    return (sd_deg**2, 0.0, 0.0), (0.0, swing, 0.0), (0.0, 0.0, swing)
