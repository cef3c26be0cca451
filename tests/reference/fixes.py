"""Published and constructed cases of running fixes, fixes, set and drift; each with where it was read.

Directions are degrees true, distances nautical miles, places (north, east) nm on a plane, angles A and B
degrees on the bow. Tolerances are the cases' own: what their rounding allows.
"""

from typing import NamedTuple


class TwoBearings(NamedTuple):
    """Course, run between, two bearings of one mark; expected distance off at the second and abeam."""

    case: str
    source: str
    course_deg: float
    run_nm: float
    bearings_deg: tuple[float, float]
    at_second_nm: float | None
    abeam_nm: float | None
    tolerance_nm: float


SPECIAL_CASES = "'Special Case Bearings' slides, scribd.com/doc/40106303"

TWO_BEARINGS = (
    TwoBearings(
        "table factors averaged from four neighbours (the source's bilinear step overstates by 0.01)",
        "nauticalinformation.blogspot.com 2007/11, by Bowditch Table 18; distances are factor x run",
        315, 6.0, (340, 0), 7.47, 5.265, 0.08,
    ),
    TwoBearings(
        "doubling the angle on the bow, 36 and 72", SPECIAL_CASES, 193, 12.0, (157, 121), 12.0, None, 0.02
    ),
    TwoBearings("bow and beam, to starboard", SPECIAL_CASES, 193, 5.0, (238, 283), 5.0, 5.0, 0.02),
    TwoBearings(
        "bow and beam", "Portuguese sailing course, public quiz item m4l6-1",
        180, 3.0, (225, 270), 3.0, 3.0, 0.02,
    ),
    TwoBearings(
        "bow and beam, 3.4 miles", "chart-navigation quiz item chart-e-024, citing Bowditch",
        0, 3.4, (45, 90), 3.4, 3.4, 0.01,
    ),
    TwoBearings(
        "22.5 and 45, to port",
        "US Coast Guard examination question, seatrials.net; key not seen, worked by the special-pair rule",
        307, 23 / 3, (284.5, 262), 23 / 3, 5.42, 0.08,
    ),
    TwoBearings(
        "course 270, a mark at 296 and half a mile on at 011", "common practice, no source",
        270, 0.5, (296, 11), 0.227, None, 0.0005,
    ),
    TwoBearings(
        "course 000, a mark at 045 and 090, run 3.0", "constructed: an isosceles right triangle",
        0, 3.0, (45, 90), 3.0, 3.0, 0.001,
    ),
)  # fmt: skip

SPECIAL_PAIRS = (
    (45, 90, 1, 1), (30, 60, 1, 0.875), (22.5, 45, 1, 0.7),
    (26.5, 45, 1.4, 1), (45, 63.5, None, 2), (26.5, 90, None, 0.5),
)  # fmt: skip
"""A, B, factor at the second bearing, factor abeam: rules of thumb (D. Hogan, NavList, November 1996; the
last two a coastal navigation skill text, 'Special angle fix'); 7/8, 7/10 and 1.4 are the source's own."""

SPECIAL_PAIRS_TOLERANCE = 0.02

TABLE_18_PRINTED = ((24, 44, 1.19, 0.83), (24, 46, 1.09, 0.78), (26, 44, 1.42, 0.98), (26, 46, 1.28, 0.92))
"""A, B, factors: rows of Bowditch Table 18 as quoted in print, nauticalinformation.blogspot.com 2007/11."""

TABLE_18 = (
    (20, 30, 1.97, 0.98), (20, 50, 0.68, 0.52), (20, 60, 0.53, 0.46), (20, 80, 0.39, 0.39),
    (22, 42, 1.1, 0.73), (22, 52, 0.75, 0.59), (22, 72, 0.49, 0.47), (24, 34, 2.34, 1.31),
    (24, 44, 1.19, 0.83), (24, 64, 0.63, 0.57), (24, 84, 0.47, 0.47), (26, 36, 2.52, 1.48),
    (26, 56, 0.88, 0.73), (26, 76, 0.57, 0.56), (26, 86, 0.51, 0.5), (28, 48, 1.37, 1.02),
    (28, 68, 0.73, 0.68), (28, 78, 0.61, 0.6), (30, 40, 2.88, 1.85), (30, 60, 1.0, 0.87),
    (30, 70, 0.78, 0.73), (30, 90, 0.58, 0.58), (32, 52, 1.55, 1.22), (32, 62, 1.06, 0.94),
    (32, 82, 0.69, 0.69), (34, 44, 3.22, 2.24), (34, 54, 1.63, 1.32), (34, 74, 0.87, 0.84),
    (34, 94, 0.65, 0.64), (36, 46, 3.38, 2.43), (36, 66, 1.18, 1.07), (36, 86, 0.77, 0.77),
    (36, 96, 0.68, 0.67), (38, 58, 1.8, 1.53), (38, 78, 0.96, 0.94), (38, 88, 0.8, 0.8),
    (40, 50, 3.7, 2.84), (40, 70, 1.29, 1.21), (40, 80, 1.0, 0.98), (40, 100, 0.74, 0.73),
    (42, 62, 1.96, 1.73), (42, 72, 1.34, 1.27), (42, 92, 0.87, 0.87), (44, 54, 4.0, 3.24),
    (44, 64, 2.03, 1.83), (44, 84, 1.08, 1.07), (44, 104, 0.8, 0.78), (46, 56, 4.14, 3.43),
    (46, 76, 1.44, 1.4), (46, 96, 0.94, 0.93), (46, 106, 0.83, 0.8), (48, 68, 2.17, 2.01),
    (48, 88, 1.16, 1.16), (48, 98, 0.97, 0.96), (50, 60, 4.41, 3.82), (50, 80, 1.53, 1.51),
    (50, 90, 1.19, 1.19), (50, 110, 0.88, 0.83), (52, 72, 2.3, 2.19), (52, 82, 1.58, 1.56),
    (52, 102, 1.03, 1.01), (54, 64, 4.66, 4.19), (54, 74, 2.37, 2.27), (54, 94, 1.26, 1.26),
    (54, 114, 0.93, 0.85), (56, 66, 4.77, 4.36), (56, 86, 1.66, 1.65), (56, 106, 1.08, 1.04),
    (56, 116, 0.96, 0.86), (58, 78, 2.48, 2.43), (58, 98, 1.32, 1.31), (58, 108, 1.11, 1.05),
    (60, 70, 4.99, 4.69), (60, 90, 1.73, 1.73), (60, 100, 1.35, 1.33), (60, 120, 1.0, 0.87),
)  # fmt: skip
"""A, B, factors of Bowditch Table 18, 'Distance of an Object by Two Bearings': regenerated from its published
definition (the sine rule), not copied from the page; six rows agree with the book as remembered."""

TABLE_18_TOLERANCE = 0.006

THREE_LEGS = ((300, 3.5), (340, 1.5))
THREE_LEGS_STREAM = (200, 0.4)
THREE_LEGS_BEARINGS_DEG = (300.9638, 279.314)
THREE_LEGS_PLACE = (-0.2163, 1.3191)
THREE_LEGS_TOLERANCE_NM = 0.01
"""Constructed with a known truth: a running fix over two courses and a stream (course or set, distance), one
mark at (0, 0)."""


class Light(NamedTuple):
    """A light by latitude and longitude (from memory of the list of lights), and its bearing or distance."""

    name: str
    latitude_deg: float
    longitude_deg: float
    bearing_deg: float


CROSS_BEARINGS = (
    Light("Cape Charles Light", 37.1228, -75.9063, 5.0),
    Light("Cape Henry Light", 36.9263, -76.0072, 251.5),
)
CROSS_BEARINGS_FIX = (36.9467, -75.9267)
CROSS_BEARINGS_TOLERANCE_MIN = 0.3
"""US Coast Guard question bank, Navigation Problems Q335: bearings per gyrocompass, error taken as zero."""

BEARING_AND_DISTANCE = Light("Old Point Comfort Light", 37.0017, -76.3067, 0.0)
BEARING_AND_DISTANCE_NM = 0.6
BEARING_AND_DISTANCE_FIX = (36.9917, -76.3067)
BEARING_AND_DISTANCE_TOLERANCE_MIN = 0.1
"""US Coast Guard question bank, Navigation Problems Q569."""

COCKED_HAT_MARKS = ((0.0, 0.0), (1.0, 3.0), (0.0, 6.0))
COCKED_HAT_BEARINGS_DEG = (328.9946, 4.7106, 42.1859)
COCKED_HAT_TRUTH = (-4.0, 2.5)
COCKED_HAT_LEAST_SQUARES = (-3.987, 2.478)
COCKED_HAT_TOLERANCE_NM = 0.15
"""Constructed: bearings wrong by +1, -1, +1 degree; least squares of perpendicular distances."""

TWO_RANGES_MARKS = ((0.0, 0.0), (0.0, 5.0))
TWO_RANGES_NM = (4.0, 3.0)
TWO_RANGES_NEAR = (-2.0, 3.0)
TWO_RANGES_FIX = (-2.4, 3.2)
TWO_RANGES_MIRROR = (2.4, 3.2)
TWO_RANGES_TOLERANCE_NM = 0.001
"""Constructed: a 3-4-5 triangle, and its mirror image that the reckoning must reject."""


class Departed(NamedTuple):
    """A departure, a course and speed for some minutes, and a fix; expected set and drift."""

    source: str
    start: tuple[float, float]
    course_deg: float
    speed_kn: float
    minutes: float
    fix: tuple[float, float]
    set_deg: float
    drift_kn: float
    set_tolerance_deg: float
    drift_tolerance_kn: float


DR_AND_FIX = Departed(
    "BoatSafe Coastal Navigation Course, chapter XIII, item 4 (boatsafe.com/answers-putting-together)",
    (41.5917, -70.675), 328, 5.5, 50, (41.6333, -70.75), 214, 1.9, 3, 0.15,
)  # fmt: skip

HALF_MILE_IN_HALF_AN_HOUR = {
    "direction_deg": 45.0,
    "distance_nm": 0.5,
    "minutes": 30,
    "set_deg": 45.0,
    "drift_kn": 1.0,
}
"""Jamieson, 'Seamanship Secrets', p. 114: set is from the DR to the fix. Tolerance 0.5 degree, 0.01 kn."""
