"""Mercator's projection of the WGS 84 ellipsoid onto paper, in millimetres, true to scale at one latitude."""

from dataclasses import dataclass
from math import asinh, atan, atanh, degrees, radians, sin, sinh, sqrt, tan

from middlewatch.quantities.lengths import METRES_PER_NM
from middlewatch.quantities.positions import FLATTENING, Position, longitude, radii_m

_E = sqrt(FLATTENING * (2 - FLATTENING))
_MM_PER_M = 1000.0
HIGHEST_LATITUDE_DEG = 85.0
"""Beyond it a Mercator sheet says nothing any more."""


def isometric(latitude_deg: float) -> float:
    """Return the isometric latitude, in radians of longitude: how far up the sheet a parallel lies.

    psi = asinh(tan phi) - e atanh(e sin phi); J. P. Snyder, Map Projections: A Working Manual (USGS
    Professional Paper 1395, 1987), equation 7-7 written with hyperbolic functions (from memory).
    """
    latitude = radians(latitude_deg)
    return asinh(tan(latitude)) - _E * atanh(_E * sin(latitude))


def latitude_of(isometric_radians: float) -> float:
    """Return the latitude, in degrees, of an isometric latitude: its inverse, to a nanodegree."""
    latitude = atan(sinh(isometric_radians))
    # Each step gains a factor of e squared, 1/149.
    for _ in range(5):
        latitude = atan(sinh(isometric_radians + _E * atanh(_E * sin(latitude))))
    return degrees(latitude)


@dataclass(frozen=True, slots=True)
class Mercator:
    """Where places come to lie on the paper: x to the right, y downwards, mm from the paper's corner.

    1 : `scale` is true at `true_at_deg` of latitude; `centre` comes to lie at (x_mm, y_mm).
    """

    scale: float
    true_at_deg: float
    centre: Position
    x_mm: float
    y_mm: float

    @property
    def mm_per_radian(self) -> float:
        """How long a radian of longitude is on the paper: the parallel's radius at the true latitude."""
        return radii_m(self.true_at_deg)[1] * _MM_PER_M / self.scale

    def at(self, place: Position) -> tuple[float, float]:
        """Return where a place comes to lie (x, y)."""
        unit = self.mm_per_radian
        east = radians(longitude(place.longitude_deg - self.centre.longitude_deg))
        bound = min(max(place.latitude_deg, -HIGHEST_LATITUDE_DEG), HIGHEST_LATITUDE_DEG)
        north = isometric(bound) - isometric(self.centre.latitude_deg)
        return self.x_mm + unit * east, self.y_mm - unit * north

    def place(self, x_mm: float, y_mm: float) -> Position:
        """Return the place that comes to lie at (x, y)."""
        unit = self.mm_per_radian
        north = isometric(self.centre.latitude_deg) + (self.y_mm - y_mm) / unit
        return Position(latitude_of(north), self.centre.longitude_deg + degrees((x_mm - self.x_mm) / unit))

    def nm_mm(self, latitude_deg: float) -> float:
        """Return how long a nautical mile is on the paper at a latitude, in mm."""
        return (
            METRES_PER_NM * _MM_PER_M / self.scale * radii_m(self.true_at_deg)[1] / radii_m(latitude_deg)[1]
        )
