"""The rhumb line on WGS 84, worked independently of the reckoning: isometric latitude and the meridian's arc.

Closed form for the longitude, Simpson's rule for the arc; constants written down a second time on purpose.
"""

from math import asinh, atanh, cos, degrees, radians, sin, sqrt, tan

from geographiclib.geodesic import Geodesic

_A_M = 6378137.0
_F = 1 / 298.257223563
_E = sqrt(_F * (2 - _F))
_NM_M = 1852.0
_PANELS = 200


def meridian_arc_m(from_deg: float, to_deg: float) -> float:
    """Return the length of the meridian between two latitudes, + to the north, by Simpson's rule."""
    step = radians(to_deg - from_deg) / _PANELS
    radii = [_meridional_radius_m(radians(from_deg) + k * step) for k in range(_PANELS + 1)]
    return step / 3 * (radii[0] + radii[-1] + 4 * sum(radii[1:-1:2]) + 2 * sum(radii[2:-1:2]))


def rhumb_arrival(
    latitude_deg: float, longitude_deg: float, course_deg: float, distance_nm: float
) -> tuple[float, float]:
    """Return (latitude, longitude not wrapped) after a run at constant true course."""
    course, run_m = radians(course_deg), distance_nm * _NM_M
    northing_m, easting_m = run_m * cos(course), run_m * sin(course)
    arrived_deg = _latitude_after(latitude_deg, northing_m)
    # Longitude grows with isometric latitude as easting with northing; along a parallel, by 1 / (N cos f).
    if abs(northing_m) > 1.0:
        per_metre = (_isometric(arrived_deg) - _isometric(latitude_deg)) / northing_m
    else:
        sine = sin(radians(latitude_deg))
        per_metre = sqrt(1 - (_E * sine) ** 2) / (_A_M * cos(radians(latitude_deg)))
    return arrived_deg, longitude_deg + degrees(easting_m * per_metre)


def metres_apart(one: tuple[float, float], other: tuple[float, float]) -> float:
    """Return the distance between two (latitude, longitude), by the geodesic."""
    metres: float = Geodesic.WGS84.Inverse(*one, *other)["s12"]
    return metres


def _latitude_after(latitude_deg: float, northing_m: float) -> float:
    """Find the latitude whose meridian arc from the first is the northing, by Newton's steps."""
    arrived_deg = latitude_deg
    for _ in range(8):
        missing_m = northing_m - meridian_arc_m(latitude_deg, arrived_deg)
        arrived_deg += degrees(missing_m / _meridional_radius_m(radians(arrived_deg)))
    return arrived_deg


def _meridional_radius_m(latitude: float) -> float:
    flattened = 1 - (_E * sin(latitude)) ** 2
    return _A_M * (1 - _E * _E) / (flattened * sqrt(flattened))


def _isometric(latitude_deg: float) -> float:
    latitude = radians(latitude_deg)
    return asinh(tan(latitude)) - _E * atanh(_E * sin(latitude))
