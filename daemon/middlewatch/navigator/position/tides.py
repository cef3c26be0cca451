"""The tide: how high marks stand over the sea, what a sounding is on the chart; never nil in silence."""

from dataclasses import dataclass
from math import hypot, sqrt

from middlewatch.navigator.tuning import Tuning

_CHART_DATUMS = frozenset({"chart datum", "lat", "mllw"})
_HIGH_WATER_DATUMS = frozenset({"mhws", "mhhw", "mhw", "hat"})
_UNKNOWN_DATUM_SD_M = 1.0
"""Heights over a datum that nobody named, or that is no high water, are as good as that (judgement)."""
_TIDE_SD_M = 0.3
"""How well a tide worked from the tables is known, with its weather (judgement)."""


@dataclass(frozen=True, slots=True)
class Level:
    """A height or a depth in m, its standard deviation, and what the crew must be told of it, if anything."""

    metres: float
    sd_m: float
    remark: str | None


def height_over_sea(height_m: float, datum: str | None, tide_m: float | None, tuning: Tuning) -> Level:
    """Return how far a charted height stands over the sea.

    Heights are given over a high-water datum, which stands some unknown height over chart datum unless
    `heights_datum_m` is set; a mark may say that its height is over chart datum itself.
    """
    named = "" if datum is None else datum.casefold()
    by_datum_m = 0.0 if named in _CHART_DATUMS | _HIGH_WATER_DATUMS else _UNKNOWN_DATUM_SD_M
    over_m = 0.0 if named in _CHART_DATUMS else tuning.heights_datum_m
    if over_m is not None and tide_m is not None:
        remark = "the datum of its height is not named: 1 m either way" if by_datum_m else None
        return Level(height_m + over_m - tide_m, hypot(_TIDE_SD_M, by_datum_m), remark)
    range_m = tuning.tide_range_m
    missing = "the tide is" if tide_m is None else "heights_datum_m in [waters] is"
    remark = f"{missing} not given: the line is as wide as a range of {range_m:g} m makes it"
    # Anywhere in its range, one level as likely as another.
    middle_m = height_m + (range_m / 2.0 if over_m is None else over_m - range_m / 2.0)
    return Level(middle_m, hypot(range_m / sqrt(12.0), by_datum_m), remark)


def charted_depth(depth_m: float, tide_m: float | None, tuning: Tuning) -> Level:
    """Return what a depth below the waterline is below chart datum."""
    if tide_m is not None:
        return Level(depth_m - tide_m, _TIDE_SD_M, None)
    range_m = tuning.tide_range_m
    remark = f"the tide is not given: the band is as wide as a range of {range_m:g} m makes it"
    return Level(depth_m - range_m / 2.0, range_m / sqrt(12.0), remark)
