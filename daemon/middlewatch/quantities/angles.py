"""Directions and turns, in degrees.

A direction is clockwise from north, [0, 360); the difference of two is a signed turn, + to starboard,
(-180, 180]. True, magnetic and compass directions are kept apart by the names of variables and fields
(`_true_deg`, `_magnetic_deg`, `_compass_deg`); variation and deviation are E+.
"""

from math import atan2, cos, degrees, radians, sin


def direction(degrees_clockwise: float) -> float:
    """Bring any angle in degrees to a direction [0, 360)."""
    wrapped = degrees_clockwise % 360.0
    # Once more, for -1e-20 % 360 is 360.0.
    return wrapped % 360.0


def turn(from_deg: float, to_deg: float) -> float:
    """Return the turn from one direction to another: degrees, + to starboard, (-180, 180]."""
    gap = (to_deg - from_deg) % 360.0
    return gap - 360.0 if gap > 180.0 else gap


def unit(direction_deg: float) -> tuple[float, float]:
    """Return the unit vector (north, east) along a direction."""
    angle = radians(direction_deg)
    return cos(angle), sin(angle)


def direction_of(north: float, east: float) -> float:
    """Return the direction of a vector (north, east): degrees [0, 360); the null vector points north."""
    return direction(degrees(atan2(east, north)))


def three_figures(direction_deg: float) -> str:
    """Write a direction as it is spoken: whole degrees, three figures: `065`."""
    return f"{round(direction_deg) % 360:03d}"


def whole_tens(direction_deg: float) -> float:
    """Round a direction to whole tens of degrees."""
    return direction(10.0 * round(direction_deg / 10.0))
