"""Within reach: which marks could be sighted, now and at the moments to come."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from middlewatch.navigator.advice.next_sight import Sight
from middlewatch.navigator.advice.prospect import Sought
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
"""A mark without a light is looked for no farther off: it may be night (judgement)."""
_TOO_CLOSE_NM = 0.1
"""Closer by, a bearing turns faster than it is taken (judgement)."""


@dataclass(frozen=True, slots=True)
class Ahead:
    """A moment to come: its second, and the run of the EP until then, metres, north + east j."""

    second: int
    run_m: complex


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
        reach_m = METRES_PER_NM * _reach_nm(mark, room)
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
    ray, circle = Ray(mark.position, 0.0, doubts.bearing_deg), Circle(mark.position, 0.0, 1.0)
    by_bearing = _sought(PositionLine("", 0, 0, "bearing", mark.name, ray, "magnetic"), ep, off_m)
    by_range = _sought(PositionLine("", 0, 0, "range", mark.name, circle), ep, off_m)
    reach_m = METRES_PER_NM * _reach_nm(mark, room)
    for place, moment in enumerate(moments):
        mark_at = by_bearing.mark_at - moment.run_m
        distance_m = abs(mark_at + off_m)
        if not _TOO_CLOSE_NM * METRES_PER_NM <= distance_m <= reach_m:
            continue
        yield Sight(mark.name, place, replace(by_bearing, mark_at=mark_at))
        if ranges:
            sd_m = doubts.range_part * distance_m
            yield Sight(mark.name, place, replace(by_range, mark_at=mark_at, sd=sd_m))


def _sought(line: PositionLine, ep: Position, off_m: complex) -> Sought:
    sought = seen(line, ep, off_m)
    if not isinstance(sought, Sought):
        raise TypeError(f"a {line.kind} is not advised")
    return sought


def _reach_nm(mark: Mark, room: Chartroom) -> float:
    """Return how far off a mark may be sighted: by its light, its height, and the visibility told."""
    visibility_nm = room.ordered.visibility_nm
    by_light_nm = _UNLIT_NM if mark.range_nm is None else mark.range_nm
    reaches = [by_light_nm]
    if (over_horizon_nm := _over_horizon_nm(mark, room.tuning)) is not None:
        reaches.append(over_horizon_nm)
    if visibility_nm:
        lit = mark.range_nm is not None
        reaches.append(luminous_range_nm(mark.range_nm or 0.0, visibility_nm) if lit else visibility_nm)
    return min(reaches)


def _over_horizon_nm(mark: Mark, tuning: Tuning) -> float | None:
    if mark.height_m is None:
        return None
    height_m = height_over_sea(mark.height_m, mark.datum, None, tuning).metres
    return geographic_range_nm(max(height_m, 0.0), tuning.height_of_eye_m)
