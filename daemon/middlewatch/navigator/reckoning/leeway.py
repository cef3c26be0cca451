"""Leeway and other pushes: what lies between the DR and the EP."""

from dataclasses import dataclass
from itertools import pairwise
from math import cos, radians, sin

# Median leeway of a sailing yacht close-hauled, and in a strong wind or with little way on (judgement and
# common practice; the design's section 4).  Reaching makes half of it, running none.
CLOSE_HAULED_DEG = 5.0
HARD_PRESSED_DEG = 8.0
_STRONG_WIND_KN = 20.0
_LITTLE_WAY_KN = 3.0


@dataclass(frozen=True, slots=True)
class Push:
    """A stream by order: towards where (true), how fast, how sure (1 sigma), until which UTC (ms)."""

    towards_deg: float
    kn: float
    sd_kn: float
    until_ms: int
    id: str


def leeway_by_wind(apparent_deg: float, wind_kn: float, speed_kn: float) -> float:
    """Return leeway in degrees, + to starboard, from the apparent wind's angle (clockwise from the bow).

    Close-hauled to 50 degrees off the bow it is whole, from 70 to 100 half, from 120 none, and between those
    it falls evenly, for no boat changes its leeway at one number.
    """
    share = leeway_share(apparent_deg)
    whole = HARD_PRESSED_DEG if wind_kn > _STRONG_WIND_KN or speed_kn < _LITTLE_WAY_KN else CLOSE_HAULED_DEG
    # The wind on the starboard side pushes to port.
    side = -1.0 if 0.0 < apparent_deg % 360.0 < 180.0 else 1.0
    return side * share * whole


def leeway_share(apparent_deg: float) -> float:
    """Return which part of the whole leeway an apparent wind from this angle makes."""
    off_bow = abs((apparent_deg + 180.0) % 360.0 - 180.0)
    return _between(off_bow, ((50.0, 1.0), (70.0, 0.5), (100.0, 0.5), (120.0, 0.0)))


def _between(x: float, points: tuple[tuple[float, float], ...]) -> float:
    if x <= points[0][0]:
        return points[0][1]
    for (x0, y0), (x1, y1) in pairwise(points):
        if x <= x1:
            return y0 + (y1 - y0) * (x - x0) / (x1 - x0)
    return points[-1][1]


def turned(north_m: float, east_m: float, by_deg: float) -> tuple[float, float]:
    """Turn a vector clockwise."""
    c, s = cos(radians(by_deg)), sin(radians(by_deg))
    return north_m * c - east_m * s, north_m * s + east_m * c
