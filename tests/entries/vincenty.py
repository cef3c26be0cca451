"""A geodesic for tests: T. Vincenty's direct solution, Survey Review XXIII, 176 (1975), from memory.

Good to a tenth of a millimetre over distances at sea; it shares nothing with the navigator's library.
"""

from math import atan, atan2, cos, degrees, radians, sin, sqrt, tan

_A, _F = 6378137.0, 1 / 298.257223563
_B = _A * (1 - _F)


def direct(
    latitude_deg: float, longitude_deg: float, azimuth_deg: float, metres: float
) -> tuple[float, float]:
    """Return (latitude, longitude) in degrees at the end of the geodesic that starts on this azimuth."""
    azimuth = radians(azimuth_deg)
    u1 = atan((1 - _F) * tan(radians(latitude_deg)))
    sigma1 = atan2(tan(u1), cos(azimuth))
    sin_alpha = cos(u1) * sin(azimuth)
    cos2_alpha = 1 - sin_alpha**2
    u2 = cos2_alpha * (_A**2 - _B**2) / _B**2
    a = 1 + u2 / 16384 * (4096 + u2 * (-768 + u2 * (320 - 175 * u2)))
    b = u2 / 1024 * (256 + u2 * (-128 + u2 * (74 - 47 * u2)))
    sigma = metres / (_B * a)
    for _ in range(20):
        middle = cos(2 * sigma1 + sigma)
        third = b / 6 * middle * (-3 + 4 * sin(sigma) ** 2) * (-3 + 4 * middle**2)
        delta = b * sin(sigma) * (middle + b / 4 * (cos(sigma) * (-1 + 2 * middle**2) - third))
        sigma = metres / (_B * a) + delta
    middle = cos(2 * sigma1 + sigma)
    across = sin(u1) * sin(sigma) - cos(u1) * cos(sigma) * cos(azimuth)
    latitude = atan2(
        sin(u1) * cos(sigma) + cos(u1) * sin(sigma) * cos(azimuth),
        (1 - _F) * sqrt(sin_alpha**2 + across**2),
    )
    turned = atan2(sin(sigma) * sin(azimuth), cos(u1) * cos(sigma) - sin(u1) * sin(sigma) * cos(azimuth))
    c = _F / 16 * cos2_alpha * (4 + _F * (4 - 3 * cos2_alpha))
    inner = middle + c * cos(sigma) * (-1 + 2 * middle**2)
    d_longitude = turned - (1 - c) * _F * sin_alpha * (sigma + c * sin(sigma) * inner)
    return degrees(latitude), longitude_deg + degrees(d_longitude)
