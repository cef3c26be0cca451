"""Daylight: how high the Sun stands, for a mark without a light is seen by it alone."""

from math import asin, atan2, cos, degrees, radians, sin

from middlewatch.quantities.instants import MS_PER_DAY, Instant
from middlewatch.quantities.positions import Position

SUNRISE_DEG = -0.833
"""The Sun's centre then: 34' of refraction and 16' of its half breadth, as almanacs have sunrise."""
_NOON_OF_2000_MS = Instant.parse("2000-01-01T12:00:00Z").ms


def by_day(at: Instant, place: Position) -> bool:
    """Say whether the Sun is up."""
    return sun_altitude_deg(at, place) > SUNRISE_DEG


def sun_altitude_deg(at: Instant, place: Position) -> float:
    """Return how high the Sun's centre stands, degrees, without refraction or parallax; below is negative.

    Formulas: US Naval Observatory, Approximate Solar Coordinates, and Approximate Sidereal Time (both from
    memory); the Sun's place to a minute of arc within two centuries of 2000, UTC taken for UT.
    """
    days = (at.ms - _NOON_OF_2000_MS) / MS_PER_DAY
    anomaly = radians(357.529 + 0.98560028 * days)
    mean_longitude_deg = 280.459 + 0.98564736 * days
    longitude = radians(mean_longitude_deg + 1.915 * sin(anomaly) + 0.020 * sin(2.0 * anomaly))
    obliquity = radians(23.439 - 0.00000036 * days)
    right_ascension = atan2(cos(obliquity) * sin(longitude), cos(longitude))
    declination = asin(sin(obliquity) * sin(longitude))
    sidereal_deg = 15.0 * (18.697374558 + 24.06570982441908 * days)
    hour_angle = radians(sidereal_deg + place.longitude_deg) - right_ascension
    latitude = radians(place.latitude_deg)
    sine = sin(latitude) * sin(declination) + cos(latitude) * cos(declination) * cos(hour_angle)
    return degrees(asin(sine))
