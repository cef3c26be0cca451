"""Published sailings: courses, distances and places of arrival, each by the method its source names."""

from dataclasses import dataclass

from reference.sailings import CLARKE_1866, CLARKE_1880, Ellipsoid, Point

COAST_GUARD = "US Coast Guard question bank, 'Navigation Problems: Master's License'"
MARINEGYAAN = (
    "marinegyaan.com, 'Exercise 3 - Mercator Sailing (numerical solution)', Norie's meridional parts"
)
SEAFARER = "seafarer-education (open course text), parallel and plane sailing"
CALCULATOR = "hpmuseum.org forum, an example from Shufeldt & Newcomer, 'The Calculator Afloat', as corrected"


@dataclass(frozen=True)
class Sailed:
    """Course and distance between two points; a course the source does not ask is None."""

    case: str
    publication: str
    start: Point
    end: Point
    course_deg: float | None
    distance_nm: float
    course_tolerance_deg: float
    distance_tolerance_nm: float


BY_MID_LATITUDE = (
    Sailed("D-01", COAST_GUARD, (20.0, -107.5), (24.6667, -112.5), 315.3, 394.0, 0.1, 0.5),
    # The key has 384.6, from d.lat over the cosine of the rounded course; worked through, 383.42.
    Sailed(
        "D-03", f"{COAST_GUARD}, worked again", (7.0833, -81.75), (8.6667, -88.0), 284.35, 383.42, 0.01, 0.01
    ),
    Sailed("D-17", SEAFARER, (35.7117, 120.545), (35.7117, 150.59), 90.0, 1463.728744, 0.01, 0.01),
    Sailed("D-18", SEAFARER, (-15.6167, 174.2333), (-17.3, 176.4167), 128.797, 161.197, 0.01, 0.01),
)

BY_MERCATOR: tuple[tuple[Ellipsoid, Sailed], ...] = (
    (CLARKE_1866, Sailed("D-04", COAST_GUARD, (40.7, -74.0167), (14.6833, -17.4333), 118, 3365.0, 0.5, 0.5)),
    (CLARKE_1866, Sailed("D-06", COAST_GUARD, (21.5333, -160.5), (30.0, 150.0), 281, 2733, 0.5, 1)),
    (CLARKE_1866, Sailed("D-07", COAST_GUARD, (32.75, -79.8333), (-34.35, 18.4833), None, 6884, 0.5, 1)),
    (
        CLARKE_1880,
        Sailed("D-14", MARINEGYAAN, (40.3, -100.3333), (68.0, 140.1667), 292.555, 4332.97, 0.01, 0.3),
    ),
    (
        CLARKE_1866,
        Sailed("D-19", CALCULATOR, (43.3544, -102.9044), (42.075, -106.0522), 241.14, 159.03, 0.02, 0.03),
    ),
)

PARTS_OF_D14 = (40.3, 68.0, 2978.0, 0.3)
"""D-14 also prints the difference of meridional parts between its latitudes, and its tolerance."""


@dataclass(frozen=True)
class Arrived:
    """Where a course and distance lead; a latitude the source does not ask is None. Tolerances in minutes."""

    case: str
    publication: str
    start: Point
    course_deg: float
    distance_nm: float
    latitude_deg: float | None
    longitude_deg: float
    latitude_tolerance_min: float
    longitude_tolerance_min: float


ARRIVED_BY_MERCATOR: tuple[tuple[Ellipsoid, Arrived], ...] = (
    (CLARKE_1866, Arrived("D-09", COAST_GUARD, (37.6, -123.0), 241, 2022, None, -156.8617, 0.1, 0.3)),
    # Printed 117 32.5 W, from meridional parts misread by 0.29; with Norie's right ones 117 31.9 W.
    (
        CLARKE_1880,
        Arrived(
            *("D-12", f"{MARINEGYAAN}, worked again", (36.8, -85.8833), 241, 1897),
            *(21 + 28.3 / 60, -(117 + 31.9 / 60), 0.1, 0.1),
        ),
    ),
)

ARRIVED_ALONG_A_PARALLEL = Arrived("D-11", COAST_GUARD, (-38.2, -12.1), 270, 1543, -38.2, -44.8167, 0.1, 1.0)
