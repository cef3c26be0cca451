"""Within reach: which marks could be sighted, now and at the moments to come."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import degrees, hypot

from middlewatch.navigator.advice.next_sight import Sight
from middlewatch.navigator.advice.prospect import Sought
from middlewatch.navigator.area.seen import DistanceSeen
from middlewatch.navigator.area.sighted import seen
from middlewatch.navigator.chartroom import Chartroom
from middlewatch.navigator.position.horizons import geographic_range_nm, luminous_range_nm
from middlewatch.navigator.position.lines import Circle, PositionLine, Ray
from middlewatch.navigator.position.tides import height_over_sea
from middlewatch.navigator.tuning import Tuning
from middlewatch.quantities.instants import MS_PER_HOUR, MS_PER_SECOND
from middlewatch.quantities.lengths import METRES_PER_NM
from middlewatch.quantities.positions import Position, offset_m
from middlewatch.readings.marks import Mark

_UNLIT_NM = 2.0
"""By night a mark without a light is looked for no farther off (judgement)."""
_UNTOLD_NM = 5.0
"""By day a mark of a height not given is looked for no farther off (judgement)."""
_CLEAR_NM = 10.0
"""The visibility while none is told: that which charted ranges of lights are for (IALA R0202)."""
_STANDS_MIN = 3.0
"""So many minutes of arc a mark must stand over the water to be picked out: thrice what a good eye parts
(judgement)."""
_MINUTES_A_RADIAN = 60.0 * degrees(1.0)
TOO_CLOSE_NM = 0.1
"""Closer by, a bearing turns faster than it is taken (judgement)."""


@dataclass(frozen=True, slots=True)
class Ahead:
    """A moment to come: its second, and the run of the EP until then, metres, north + east j.

    `by_day`: whether the Sun is up then; None where the clock is in doubt.
    """

    second: int
    run_m: complex
    by_day: bool | None


def sights(
    room: Chartroom, moments: Sequence[Ahead], soon: int, first_bearings: frozenset[str]
) -> Iterator[Sight]:
    """Yield what could be seen at the moments; after the first `soon` only bearings for a running fix."""
    course = room.reckoning.now
    if course.ep is None:
        return
    ranges = any(line.kind == "range" for line in room.plot.lines.values())
    run_m = max(abs(moment.run_m) for moment in moments)
    for name, mark in sorted(room.marks.items()):
        reach_m = METRES_PER_NM * max(_by_day_nm(mark, room), _by_night_nm(mark, room))
        place = mark.position.latitude_deg, mark.position.longitude_deg
        if abs(complex(*offset_m(course.ep, place))) > reach_m + run_m + METRES_PER_NM:
            continue
        yield from _of_mark(room, mark, moments if name in first_bearings else moments[:soon], ranges=ranges)


def first_bearings(room: Chartroom) -> dict[str, list[PositionLine]]:
    """Return, by mark, the bearings that a running fix on it could begin with, in order of time."""
    origin = room.reckoning.departures()
    oldest_ms = room.now_ms - room.tuning.oldest_line_h * MS_PER_HOUR
    since = max(origin[-1].worked_second if origin else 0, oldest_ms / MS_PER_SECOND)
    firsts: dict[str, list[PositionLine]] = {}
    for line in sorted(room.plot.lines.values(), key=lambda line: line.order):
        if isinstance(line.shape, Ray) and line.second >= since:
            firsts.setdefault(line.mark, []).append(line)
    return firsts


def _of_mark(room: Chartroom, mark: Mark, moments: Sequence[Ahead], *, ranges: bool) -> Iterator[Sight]:
    course, doubts = room.reckoning.now, room.tuning.doubts
    if course.ep is None:
        return
    ep, off_m = Position(*course.ep), complex(course.off_north_m, course.off_east_m)
    # What would be read is not known: nought stands for it.
    ray = Ray(mark.position, 0.0, doubts.bearing_deg, mark.sd_m / METRES_PER_NM)
    circle = Circle(mark.position, 0.0, 1.0)
    by_bearing = _sought(PositionLine("", 0, 0, "bearing", mark.name, ray, "magnetic"), ep, off_m)
    by_range = _sought(PositionLine("", 0, 0, "range", mark.name, circle), ep, off_m)
    lights = (True, False, None)
    reaches_m = {light: METRES_PER_NM * reach_nm(mark, room, by_day=light) for light in lights}
    for place, moment in enumerate(moments):
        mark_at = by_bearing.mark_at - moment.run_m
        distance_m = abs(mark_at + off_m)
        if not TOO_CLOSE_NM * METRES_PER_NM <= distance_m <= reaches_m[moment.by_day]:
            continue
        yield Sight(mark.name, place, replace(by_bearing, mark_at=mark_at))
        if ranges and isinstance(by_range, DistanceSeen):
            sd_m = hypot(doubts.range_part * distance_m, mark.sd_m)
            yield Sight(mark.name, place, replace(by_range, mark_at=mark_at, sd=sd_m))


def _sought(line: PositionLine, ep: Position, off_m: complex) -> Sought:
    sought = seen(line, ep, off_m)
    if not isinstance(sought, Sought):
        raise TypeError(f"a {line.kind} is not advised")
    return sought


def reach_nm(mark: Mark, room: Chartroom, *, by_day: bool | None) -> float:
    """Return how far off a mark may be sighted: by its body by day, by its light by night (None: by both)."""
    if by_day is None:
        return min(_by_day_nm(mark, room), _by_night_nm(mark, room))
    return _by_day_nm(mark, room) if by_day else _by_night_nm(mark, room)


def _by_day_nm(mark: Mark, room: Chartroom) -> float:
    """Return how far a mark's body is seen: by visibility, over the horizon, and as high as it stands."""
    visibility_nm = room.ordered.visibility_nm or _CLEAR_NM
    height_m = _height_m(mark, room.tuning)
    if height_m is None:
        return min(visibility_nm, _UNTOLD_NM)
    stands_nm = height_m / METRES_PER_NM * _MINUTES_A_RADIAN / _STANDS_MIN
    return min(visibility_nm, stands_nm, geographic_range_nm(height_m, room.tuning.height_of_eye_m))


def _by_night_nm(mark: Mark, room: Chartroom) -> float:
    """Return how far a mark's light is seen, or, without one, its body in the dark."""
    visibility_nm, height_m = room.ordered.visibility_nm, _height_m(mark, room.tuning)
    if mark.range_nm is None:
        by_light_nm = min(_UNLIT_NM, visibility_nm or _CLEAR_NM)
    else:
        by_light_nm = luminous_range_nm(mark.range_nm, visibility_nm) if visibility_nm else mark.range_nm
    if height_m is None:
        return by_light_nm
    return min(by_light_nm, geographic_range_nm(height_m, room.tuning.height_of_eye_m))


def _height_m(mark: Mark, tuning: Tuning) -> float | None:
    """Return how high a mark stands over the sea; None where that is not given."""
    if mark.height_m is None:
        return None
    return max(height_over_sea(mark.height_m, mark.datum, None, tuning).metres, 0.0)
