"""The sailings as handbooks work them: a minute of latitude is a mile, whatever the ellipsoid.

For checking published examples only. The reckoning itself runs on WGS 84 metres and differs on purpose.
"""

from dataclasses import dataclass
from math import asinh, atan2, atanh, cos, degrees, hypot, radians, sin, sqrt, tan


@dataclass(frozen=True)
class Ellipsoid:
    """A figure of the earth, by its flattening: all that meridional parts need of it."""

    flattening: float

    def meridional_parts(self, latitude_deg: float) -> float:
        """Return a latitude's meridional parts: minutes of longitude from the equator on a Mercator chart."""
        # Isometric latitude in closed form: asinh(tan f) - e atanh(e sin f); a minute is 1/3437.747 radian.
        latitude = radians(latitude_deg)
        eccentricity = sqrt(self.flattening * (2 - self.flattening))
        isometric = asinh(tan(latitude)) - eccentricity * atanh(eccentricity * sin(latitude))
        return degrees(isometric) * 60


# Clarke's figures as handbook tables take them (Bowditch's table 6 and Norie's; the flattenings from memory).
CLARKE_1866 = Ellipsoid(1 / 294.9786982)
CLARKE_1880 = Ellipsoid(1 / 293.465)

Point = tuple[float, float]
"""Latitude N+ and longitude E+, degrees."""


def mercator(start: Point, end: Point, figure: Ellipsoid) -> tuple[float, float]:
    """Return (course true, distance in nm) by Mercator sailing: tan course is d.long over DMP."""
    d_lat, d_long = _differences(start, end)
    parts = figure.meridional_parts(end[0]) - figure.meridional_parts(start[0])
    course = atan2(d_long, parts)
    return degrees(course) % 360, d_lat / cos(course)


def mercator_arrival(start: Point, course_deg: float, distance_nm: float, figure: Ellipsoid) -> Point:
    """Return where a course and distance lead by Mercator sailing."""
    course = radians(course_deg)
    latitude = start[0] + distance_nm * cos(course) / 60
    parts = figure.meridional_parts(latitude) - figure.meridional_parts(start[0])
    return latitude, start[1] + parts * tan(course) / 60


def mid_latitude(start: Point, end: Point) -> tuple[float, float]:
    """Return (course true, distance in nm) by mid-latitude sailing: departure is d.long x cos mean latitude.

    Between two points of one parallel this is parallel sailing.
    """
    d_lat, d_long = _differences(start, end)
    departure = d_long * cos(radians((start[0] + end[0]) / 2))
    return degrees(atan2(departure, d_lat)) % 360, hypot(d_lat, departure)


def parallel_arrival(start: Point, easting_nm: float) -> Point:
    """Return where a run along the parallel leads: d.long is departure over the cosine of the latitude."""
    return start[0], start[1] + easting_nm / cos(radians(start[0])) / 60


def _differences(start: Point, end: Point) -> tuple[float, float]:
    """Return d.lat and d.long in minutes, the longitude by the short way round."""
    d_long = (end[1] - start[1] + 180) % 360 - 180
    return (end[0] - start[0]) * 60, d_long * 60
