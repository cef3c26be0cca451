"""Soundings: a depth, brought to the chart, and held against one of its contours."""

from difflib import get_close_matches
from math import hypot

from middlewatch.navigator.chartroom import Chartroom
from middlewatch.navigator.deck_log.refusing import Refused
from middlewatch.navigator.position.regions import ContourBand
from middlewatch.navigator.position.tides import charted_depth
from middlewatch.quantities.lengths import METRES_PER_NM
from middlewatch.readings.entries import Sounding
from middlewatch.readings.marks import Contour

_ANOTHER_DEPTH_SD = 3.0


def sounding(room: Chartroom, sight: Sounding) -> tuple[ContourBand | None, tuple[str, ...]]:
    """Return the band about its contour, and what the crew must be told; None where there is no contour."""
    contour = _contour(room, sight)
    below_water_m = sight.depth_m + _below_waterline_m(room, sight)
    if contour is None:
        why = "the marks file has no contours" if not room.tuning.contours else "it names no contour"
        return None, (f"kept in the log, not used: {why}",)
    level = charted_depth(below_water_m, sight.tide_m, room.tuning)
    sd_m, off_m = hypot(level.sd_m, room.tuning.doubts.sounding_m), level.metres - contour.depth_m
    remarks = [f"{level.metres:.1f} m on the chart", *([level.remark] if level.remark else [])]
    if abs(off_m) > _ANOTHER_DEPTH_SD * sd_m:
        remarks.append(f"that is {abs(off_m):.1f} m off the contour of {contour.depth_m:g} m: the right one?")
    # As far off as the bottom takes to fall by what the depth is off, and may be.
    across_m = hypot(contour.sd_m, contour.slope_1_in * sd_m, contour.slope_1_in * off_m)
    return ContourBand(contour.points, across_m / METRES_PER_NM, contour.depth_m), tuple(remarks)


def _contour(room: Chartroom, sight: Sounding) -> Contour | None:
    known = {contour.name: contour for contour in room.tuning.contours}
    if sight.contour is None or not known:
        return None
    if sight.contour not in known:
        nearest = ", ".join(get_close_matches(sight.contour, list(known), n=3, cutoff=0.0))
        raise Refused("contour", sight.contour, nearest, f"no contour is called {sight.contour!r}")
    return known[sight.contour]


def _below_waterline_m(room: Chartroom, sight: Sounding) -> float:
    if sight.below == "waterline":
        return 0.0
    key = f"{sight.below}_depth_m"
    below_m = room.tuning.transducer_depth_m if sight.below == "transducer" else room.tuning.keel_depth_m
    if below_m is None:
        reason = f"how deep the {sight.below} lies below the waterline is not set"
        raise Refused("below", sight.below, f"waterline; or {key} in [boat]", reason)
    return below_m
