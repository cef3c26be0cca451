"""Variation: by the World Magnetic Model where the boat is, or by the rose of the chart."""

from dataclasses import dataclass
from functools import lru_cache

from pygeomag import GeoMag
from pygeomag.wmm.wmm_2010 import WMM_2010
from pygeomag.wmm.wmm_2015v2 import WMM_2015v2
from pygeomag.wmm.wmm_2020 import WMM_2020
from pygeomag.wmm.wmm_2025 import WMM_2025

from middlewatch.navigator.tuning import VariationChoice
from middlewatch.quantities.angles import turn
from middlewatch.quantities.instants import Instant
from middlewatch.quantities.positions import Position

_YEARS_OF_A_MODEL = 5
_MODELS = {
    first_year: GeoMag(coefficients_data=coefficients)
    for first_year, coefficients in ((2010, WMM_2010), (2015, WMM_2015v2), (2020, WMM_2020), (2025, WMM_2025))
}

# Horizontal field below which the model's authors call compasses unreliable and the declination worthless
# ("blackout zone") and below which they ask for care ("caution zone"), in nT: NOAA/NCEI and BGS, the World
# Magnetic Model's technical report (from memory, and as the library has them).
_BLACKOUT_NT = 2000.0
_CAUTION_NT = 6000.0

CHART_IS_OLD_AFTER_YEARS = 10
"""A chart's rose older than this doubles the doubt of its variation (the design's section 4)."""


@dataclass(frozen=True, slots=True)
class Found:
    """A variation, degrees E+, and where it comes from, in words."""

    value_deg: float
    source: str


# A reckoning worked again asks for the same minutes again wherever the DR has not moved; two days of them.
@lru_cache(maxsize=4096)
def model_variation(position: Position, instant: Instant) -> Found | None:
    """Return the World Magnetic Model's variation at sea level, by the model made for the date.

    WMM2010, 2015 (its second version), 2020 and 2025, each for its own five years. None outside them (before
    2010 and from 2030 on), and where the horizontal field is under 2000 nT: near the magnetic poles, where no
    compass can be steered by. Under 6000 nT the words say that the field is weak.
    """
    year = instant.decimal_year
    first_year = int(year // _YEARS_OF_A_MODEL) * _YEARS_OF_A_MODEL
    model = _MODELS.get(first_year)
    if model is None:
        return None
    field = model.calculate(glat=position.latitude_deg, glon=position.longitude_deg, alt=0.0, time=year)
    if field.h < _BLACKOUT_NT:
        return None
    weak = ", weak field: compass unreliable" if field.h < _CAUTION_NT else ""
    return Found(float(field.d), f"WMM{first_year} at {_in_minutes(position)}, {_year(year)}{weak}")


def chart_variation(choice: VariationChoice, instant: Instant) -> Found:
    """Return the variation of the chart's rose, brought up to date: value + annual change x years since.

    ValueError for a choice that is not the chart's.
    """
    if choice.source != "chart":
        raise ValueError(f"variation by {choice.source} has no rose")
    years = instant.decimal_year - choice.year
    value_deg = turn(0.0, choice.value_deg + choice.annual_change_min / 60.0 * years)
    change = f"{abs(choice.annual_change_min):g}' {_east_west(choice.annual_change_min)} a year"
    if choice.annual_change_min == 0.0:
        change = "no annual change"
    rose = f"{abs(choice.value_deg):.2f} {_east_west(choice.value_deg)} in {choice.year:g}"
    return Found(value_deg, f"chart rose {rose}, {change}")


def chart_is_old(choice: VariationChoice, instant: Instant) -> bool:
    """Tell whether variation is by a chart's rose of more than ten years ago."""
    return choice.source == "chart" and instant.decimal_year - choice.year > CHART_IS_OLD_AFTER_YEARS


def _east_west(degrees_east: float) -> str:
    return "E" if degrees_east >= 0.0 else "W"


def _year(decimal_year: float) -> str:
    # Cut, not rounded: 2029.97 is not yet 2030.0, where the model ends.
    return f"{int(decimal_year * 10) / 10:.1f}"


def _in_minutes(position: Position) -> str:
    """Return a position to the minute, as variation needs it: `50 06 N 004 12 W`."""
    north, east = round(position.latitude_deg * 60), round(position.longitude_deg * 60)
    return (
        f"{abs(north) // 60:02d} {abs(north) % 60:02d} {'N' if north >= 0 else 'S'} "
        f"{abs(east) // 60:03d} {abs(east) % 60:02d} {_east_west(east)}"
    )
