"""Sextant angles, and the lines they make."""

from math import hypot

from middlewatch.navigator.chartroom import Chartroom, mark_key
from middlewatch.navigator.deck_log.refusing import Refused
from middlewatch.navigator.position.arcs import AngleArc
from middlewatch.navigator.position.charted import place_sd_nm
from middlewatch.navigator.position.horizons import distance_by_vertical_angle_nm, horizon_nm
from middlewatch.navigator.position.lines import Circle
from middlewatch.navigator.position.tides import Level, height_over_sea
from middlewatch.quantities.lengths import METRES_PER_NM
from middlewatch.readings.entries import HorizontalAngle, VerticalAngle

_UNCHECKED_INDEX_MIN = 1.0
"""What an index error that nobody looked for may be, one sigma (judgement)."""
_HORIZON_MIN = 0.5
"""How well the dip of a horizon, or a waterline, is known from a small boat, one sigma (judgement)."""


def vertical_angle(room: Chartroom, sight: VerticalAngle) -> tuple[Circle, tuple[str, ...]]:
    """Return the circle of a vertical angle, and what the crew must be told; Refused without a height."""
    place, mark = room.place_of(sight.mark), room.mark_named(sight.mark)
    charted_m = sight.height_m or (mark.height_m if mark else None)
    if charted_m is None:
        reason = f"the height of {mark_key(sight.mark)} is not known"
        raise Refused("height_m", "nothing", "height_m, here or in the marks file", reason)
    level = height_over_sea(charted_m, mark.datum if mark else None, sight.tide_m, room.tuning)
    eye_m = sight.eye_m or room.tuning.height_of_eye_m
    angle_min = sight.angle_min - (sight.index_error_min or 0.0)
    distance_nm = distance_by_vertical_angle_nm(angle_min, level.metres, eye_m)
    if distance_nm is None or distance_nm <= 0.0:
        wanted = "an angle that a mark of that height can make over the horizon"
        reason = f"{level.metres:.0f} m over the sea stands so nowhere, seen from {eye_m:g} m"
        raise Refused("angle_min", f"{sight.angle_min:g}", wanted, reason)
    beyond = distance_nm > horizon_nm(eye_m)
    unchecked = 0.0 if sight.index_error_min is not None else _UNCHECKED_INDEX_MIN
    sd_min = hypot(room.tuning.doubts.vertical_angle_min, unchecked)
    if beyond:
        sd_min = hypot(sd_min, _HORIZON_MIN)
    sd_nm = hypot(_doubt_nm(angle_min, sd_min, level, eye_m), place_sd_nm(room, sight.mark))
    return Circle(place, distance_nm, sd_nm), _remarks(sight, level, beyond=beyond)


def horizontal_angle(room: Chartroom, sight: HorizontalAngle) -> AngleArc:
    """Return the arc of a horizontal angle between two marks that stand apart."""
    left, right = room.place_of(sight.mark), room.place_of(sight.second_mark, "second_mark")
    if left.to(right)[1] * METRES_PER_NM < 1.0:
        reason = "two marks at one place make no angle"
        raise Refused("second_mark", mark_key(sight.second_mark), "another mark than the left one", reason)
    sds_nm = (place_sd_nm(room, each) for each in (sight.mark, sight.second_mark))
    return AngleArc(left, right, sight.angle_deg, room.tuning.doubts.horizontal_angle_min, *sds_nm)


def _doubt_nm(angle_min: float, sd_min: float, level: Level, eye_m: float) -> float:
    """Return one standard deviation of the distance: what one of angle and of height makes of it."""

    def reached(an_angle_min: float, a_height_m: float) -> float | None:
        return distance_by_vertical_angle_nm(an_angle_min, a_height_m, eye_m)

    here_nm = reached(angle_min, level.metres) or 0.0
    ways = (
        (reached(angle_min + sd_min, level.metres), reached(max(angle_min - sd_min, 0.1), level.metres)),
        (
            reached(angle_min, max(level.metres - level.sd_m, 0.1)),
            reached(angle_min, level.metres + level.sd_m),
        ),
    )
    # Where no distance would do on one side, that side is taken as wide as the whole.
    return hypot(
        *(
            ((2.0 * here_nm if far is None else far) - (0.0 if near is None else near)) / 2.0
            for near, far in ways
        )
    )


def _remarks(sight: VerticalAngle, level: Level, *, beyond: bool) -> tuple[str, ...]:
    remarks = [] if level.remark is None else [level.remark]
    if sight.index_error_min is None:
        remarks.append("the index error is not given: 1' either way")
    if beyond:
        remarks.append("taken to the horizon, for the waterline is beyond it")
    return tuple(remarks)
