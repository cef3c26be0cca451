"""An independent Mercator: the ellipsoid's meridian summed up, and the closed form written another way.

Constants of WGS 84 are written down a second time on purpose.
"""

from collections.abc import Callable
from dataclasses import dataclass
from math import cos, degrees, log, pi, radians, sin, sqrt, tan

A_M = 6378137.0
F = 1 / 298.257223563


def stretched(latitude_deg: float, f: float = F) -> float:
    """Return the isometric latitude in radians: J. P. Snyder, USGS Professional Paper 1395, equation 7-7.

    ln[tan(pi/4 + phi/2) ((1 - e sin phi)/(1 + e sin phi))^(e/2)], from memory.
    """
    e = sqrt(f * (2 - f))
    latitude = radians(latitude_deg)
    sine = e * sin(latitude)
    return log(tan(pi / 4 + latitude / 2) * ((1 - sine) / (1 + sine)) ** (e / 2))


def summed_up(latitude_deg: float, f: float = F) -> float:
    """Return the same by Simpson's rule: each step of meridian, M d phi, over the parallel's radius there."""
    e2 = f * (2 - f)

    def density(latitude: float) -> float:
        return (1 - e2) / (1 - e2 * sin(latitude) ** 2) / cos(latitude)

    return simpson(density, radians(latitude_deg))


def simpson(function: Callable[[float], float], to: float, panels: int = 400) -> float:
    """Return the integral from 0."""
    step = to / panels
    values = [function(n * step) for n in range(panels + 1)]
    return step / 3 * (values[0] + values[-1] + 4 * sum(values[1:-1:2]) + 2 * sum(values[2:-1:2]))


def parallel_m(latitude_deg: float) -> float:
    """Return the radius of a parallel."""
    sine = sin(radians(latitude_deg))
    return A_M * cos(radians(latitude_deg)) / sqrt(1 - F * (2 - F) * sine * sine)


@dataclass(frozen=True, slots=True)
class HandMercator:
    """A sheet laid out by hand: mm of paper, from two corners of the graticule that is drawn on it."""

    scale: float
    true_at_deg: float
    zero_deg: tuple[float, float]
    zero_mm: tuple[float, float]

    @property
    def mm_per_radian(self) -> float:
        """A radian of longitude on the paper."""
        return parallel_m(self.true_at_deg) * 1000 / self.scale

    def at(self, latitude_deg: float, longitude_deg: float) -> tuple[float, float]:
        """Return where a place lies on the paper."""
        east = radians(longitude_deg - self.zero_deg[1])
        north = stretched(latitude_deg) - stretched(self.zero_deg[0])
        return self.zero_mm[0] + self.mm_per_radian * east, self.zero_mm[1] - self.mm_per_radian * north

    def place(self, x_mm: float, y_mm: float) -> tuple[float, float]:
        """Return the (latitude, longitude) of a place on the paper, by halving."""
        north = stretched(self.zero_deg[0]) + (self.zero_mm[1] - y_mm) / self.mm_per_radian
        low, high = -89.0, 89.0
        for _ in range(60):
            middle = (low + high) / 2
            low, high = (middle, high) if stretched(middle) < north else (low, middle)
        return low, self.zero_deg[1] + degrees((x_mm - self.zero_mm[0]) / self.mm_per_radian)
