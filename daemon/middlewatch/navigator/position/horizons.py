"""How far one sees: the horizon, what rises over it, and what is bright enough to carry so far.

Heights in metres above the sea, distances in nautical miles, angles in minutes of arc.
"""

from math import exp, log, radians, sqrt, tan

from middlewatch.quantities.lengths import METRES_PER_NM

HORIZON_NM = 2.03
"""Nautical miles to the horizon for the root of each metre of height, refraction in it: IALA Guideline G1065,
which has factors from 2.03 to 2.12 in use. The least of them keeps a light, and its dangers, near."""
HORIZON_PART = 0.05
"""One standard deviation of that factor as a part of it: 2.12 is within, so is an uncommon refraction
(judgement)."""

_DIP_MIN = 1.76  # of a metre of height: 0.97 minutes of a foot, Bowditch
_MINUTES_A_RADIAN = 60.0 / radians(1.0)
_FEET_A_METRE = 1.0 / 0.3048
_CHARTED_VISIBILITY_NM = 10.0  # for which nominal ranges are given: IALA Recommendation R0202
_STILL_SEEN = 0.05  # of its light a lamp keeps over the meteorological visibility, by definition
_NEAR_ENOUGH_NM = 1e-6


def horizon_nm(height_m: float) -> float:
    """Return how far the sea horizon is from a height."""
    return HORIZON_NM * sqrt(max(height_m, 0.0))


def dip_min(eye_m: float) -> float:
    """Return how far the sea horizon stands below the level, seen from a height."""
    return _DIP_MIN * sqrt(eye_m)


def geographic_range_nm(height_m: float, eye_m: float) -> float:
    """Return how far a light shows over the horizon, however bright."""
    return horizon_nm(height_m) + horizon_nm(eye_m)


def luminous_range_nm(nominal_nm: float, visibility_nm: float) -> float:
    """Return how far a light carries in a visibility, by its range in ten miles of it (Allard's law).

    A light of intensity I lights the eye by I T^D / D^2, with T of it left after each mile. The eye wants as
    much at either range, so D^2 / T^D is the same at both.
    """
    wanted = _faded(nominal_nm, _CHARTED_VISIBILITY_NM)
    near, far = 0.0, 1.0
    while _faded(far, visibility_nm) < wanted:
        far *= 2.0
    while far - near > _NEAR_ENOUGH_NM:
        middle = (near + far) / 2.0
        near, far = (middle, far) if _faded(middle, visibility_nm) < wanted else (near, middle)
    return near


def transmitted(visibility_nm: float) -> float:
    """Return the part of a light that is left after a mile."""
    return exp(log(_STILL_SEEN) / visibility_nm)


def _faded(distance_nm: float, visibility_nm: float) -> float:
    """Return the log of the intensity wanted to be seen so far, but for the same constant always."""
    return 2.0 * log(max(distance_nm, 1e-9)) - distance_nm * log(transmitted(visibility_nm))


def distance_by_vertical_angle_nm(angle_min: float, height_m: float, eye_m: float) -> float | None:
    """Return how far a mark is whose top stands so high over the water before it; None where none fits.

    Within the horizon the angle is to the mark's own waterline: 3438 minutes make a radian. Beyond, it is to
    the horizon, and the dip comes off (Bowditch, distance by vertical angle, object beyond the horizon).
    """
    near_nm = height_m / METRES_PER_NM * _MINUTES_A_RADIAN / angle_min if angle_min > 0.0 else None
    if near_nm is not None and near_nm <= horizon_nm(eye_m):
        return near_nm
    return beyond_horizon_nm(angle_min - dip_min(eye_m), height_m - eye_m)


def beyond_horizon_nm(above_level_min: float, above_eye_m: float) -> float | None:
    """Return how far a top is that stands so far above the level, and so much higher than the eye.

    Bowditch's formula, in feet; as several editions misprint it the root ends too early.
    """
    slope = tan(radians(above_level_min / 60.0)) / 0.0002419
    square = slope * slope + above_eye_m * _FEET_A_METRE / 0.7349
    return sqrt(square) - slope if square > 0.0 and above_eye_m > 0.0 else None
