"""Published variations: chart roses brought up to date, and the World Magnetic Model's own test values."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Rose:
    """A chart's variation (degrees E+), year, annual change (minutes E+), and value in another year."""

    case: str
    publication: str
    value_deg: float
    year: float
    annual_change_min: float
    asked_year: float
    expected_deg: float
    tolerance_deg: float = 1e-6


_NAUTICAL_ISSUES = "nauticalissues.com, 'Correcting for magnetic variation', examples"
ROSES = (
    Rose(
        "C-21", "oic-nwreviewer, 'How much compass variation should you apply'", -3.75, 1988, 6, 1991, -3.45
    ),
    Rose("C-22", _NAUTICAL_ISSUES, 2 + 40 / 60, 2000, 4, 2004, 2 + 56 / 60),
    Rose("C-24", _NAUTICAL_ISSUES, -1.0, 1994, 20, 2004, 2 + 20 / 60),
    Rose("C-27", "kayakwiki, 'Magnetic variation'", -10.5, 2000, -15, 2006, -12.0),
    # September to March. Printed: total change 1 35 00 W; the last subtraction is worked, the page is cut.
    Rose(
        *("C-29", "'Practical Geography for Advanced Secondary Schools', page 266"),
        *(20.168055555555558, 2010 + 8 / 12, -10, 2020 + 2 / 12, 18.584722222222222, 0.005),
    ),
    Rose("21 00 E in 1992", "common practice, no source", 21.0, 1992, -8, 2022, 17.0),
)


@dataclass(frozen=True)
class ModelValue:
    """The model at a year, height (km), latitude and longitude: declination and inclination, degrees."""

    year: float
    height_km: float
    latitude_deg: float
    longitude_deg: float
    declination_deg: float
    inclination_deg: float


MODEL_ROUNDING_DEG = 0.011
"""The published values have two decimals."""

WMM2025 = (
    # C-30: NOAA/NCEI and BGS, WMM2025 test values.
    ModelValue(2025.0, 0.0, 80.0, 0.0, 1.28, 83.21),
    ModelValue(2025.0, 0.0, -80.0, 240.0, 68.78, -72.0),
    ModelValue(2025.0, 100.0, 0.0, 120.0, -0.15, -15.08),
    ModelValue(2027.5, 0.0, 80.0, 0.0, 2.59, 83.24),
    ModelValue(2027.5, 0.0, -80.0, 240.0, 68.49, -71.92),
    ModelValue(2027.5, 100.0, 0.0, 120.0, -0.23, -14.81),
    ModelValue(2025.0, 0.0, 0.0, 120.0, -0.16, -14.93),
)

WMM2020 = (
    # C-32: NOAA/NCEI and BGS, WMM2020 test values.
    ModelValue(2020.0, 65.0, 43.0, 93.0, 0.71, 63.87),
    ModelValue(2020.0, 39.0, -59.0, -8.0, -15.79, -58.82),
    ModelValue(2020.0, 94.0, -29.0, -110.0, 15.82, -38.38),
    ModelValue(2020.0, 18.0, 0.0, 21.0, 1.05, -26.46),
    ModelValue(2020.5, 63.0, 26.0, 81.0, 0.43, 40.84),
    ModelValue(2020.5, 50.0, -70.0, -133.0, 57.4, -72.18),
    ModelValue(2020.5, 8.0, -66.0, 17.0, -32.56, -59.78),
    ModelValue(2020.5, 40.0, -12.0, -129.0, 10.83, -15.68),
    ModelValue(2021.0, 74.0, -57.0, 3.0, -22.29, -59.07),
    ModelValue(2021.0, 69.0, 23.0, 63.0, 1.08, 35.82),
    ModelValue(2021.0, 47.0, -72.0, -22.0, -6.05, -61.27),
    ModelValue(2021.0, 82.0, -64.0, 87.0, -80.81, -75.25),
    ModelValue(2021.5, 14.0, 0.0, 80.0, -3.41, -17.32),
    ModelValue(2021.5, 43.0, 17.0, 52.0, 1.23, 23.87),
    ModelValue(2021.5, 12.0, 33.0, -145.0, 12.36, 52.51),
    ModelValue(2021.5, 19.0, 29.0, 66.0, 2.13, 45.97),
)

WMM2010_DECLINATION = (
    # NOAA/NCEI and BGS, WMM2010 test values at sea level, from memory: year, place, declination.
    (2010.0, 80.0, 0.0, -6.13),
    (2010.0, 0.0, 120.0, 0.97),
    (2010.0, -80.0, 240.0, 70.21),
)
