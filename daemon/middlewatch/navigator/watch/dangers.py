"""What is said of dangers, of an area too wide for these waters, and of an hour without a sight.

All figures are judgement but where said: by them a caution asks for a sight while there is time for one, and
a warning is left for what wants another course.
"""

from dataclasses import dataclass
from typing import Literal

from middlewatch.navigator.chartroom import Chartroom
from middlewatch.navigator.position.horizons import geographic_range_nm
from middlewatch.navigator.reckoning.course import HELD_STILL
from middlewatch.quantities.angles import direction_of, three_figures
from middlewatch.quantities.instants import MS_PER_MINUTE, MS_PER_SECOND
from middlewatch.quantities.lengths import METRES_PER_NM
from middlewatch.quantities.positions import offset_m
from middlewatch.readings.marks import Mark
from middlewatch.reports.ahead import DangerReport
from middlewatch.reports.alert import Priority
from middlewatch.reports.area import AreaReport

WARN_OVER, CAUTION_OVER = 0.10, 0.02
"""Chance of having been within a clearance: in half an hour, for a warning; in an hour, for a caution."""
STANDS_OVER = 0.5
"""What has been raised stands until the chance is under this part of it (judgement)."""
FALLS_AFTER_MS = 3 * MS_PER_MINUTE
AREA_CLEAR_BELOW = 0.8
UNSIGHTED_S = 60 * 60
IN_REACH_MS = 10 * MS_PER_MINUTE
"""So long a mark is to have been in reach before a sight of it is asked for."""

Level = Literal["none", "caution", "warning", "alarm"]
_LEVELS: tuple[Level, ...] = ("none", "caution", "warning", "alarm")
_PRIORITY: dict[Level, Priority] = {"caution": "caution", "warning": "warning", "alarm": "alarm"}
_ACT: dict[Level, str] = {
    "alarm": "stop or turn away now, then take a sight",
    "warning": "alter course away from it, then take a sight",
    "caution": "take a sight, and look out for it",
}


@dataclass(slots=True)
class Told:
    """What has to be kept in mind between two looks.

    `level`: what is raised of dangers; `named`: all that were the likeliest since it was; `calm_since_ms`:
    since when less would do; `in_reach_since_ms`: since when some mark can be seen.
    """

    level: Level = "none"
    named: tuple[str, ...] = ()
    calm_since_ms: int | None = None
    wide: bool = False
    in_reach_since_ms: int | None = None


@dataclass(frozen=True, slots=True)
class Seen:
    """The area now, how the dangers stand, and whether the area touches one within the hour."""

    area: AreaReport
    danger: DangerReport | None
    reached: bool


def keep(room: Chartroom, told: Told, seen: Seen) -> None:
    """Raise and clear, from one look to the next."""
    if room.reckoning.now.way in HELD_STILL:
        none(room, told)
        return
    _dangers(room, told, seen)
    _width(room, told, seen)
    _unsighted(room, told)


def none(room: Chartroom, told: Told) -> None:
    """Let all be over: there is no reckoning to be in danger by, or she lies where she is said to lie."""
    told.level, told.wide, told.calm_since_ms, told.in_reach_since_ms = "none", False, None, None
    room.alerts.clear("danger", "ahead", room.now_ms)
    room.alerts.clear("position", "area", room.now_ms)
    room.alerts.clear("position", "unsighted", room.now_ms)


# --- dangers ------------------------------------------------------------------------------------------------


def _dangers(room: Chartroom, told: Told, seen: Seen) -> None:
    raises, stands = _level(seen, 1.0), _level(seen, STANDS_OVER)
    calmer = _LEVELS.index(stands) < _LEVELS.index(told.level)
    if not calmer:
        told.calm_since_ms = None
    elif told.calm_since_ms is None:
        told.calm_since_ms = room.now_ms
    if _LEVELS.index(raises) > _LEVELS.index(told.level):
        told.level = raises
    elif told.calm_since_ms is not None and room.now_ms - told.calm_since_ms >= FALLS_AFTER_MS:
        told.level, told.calm_since_ms = stands, None
    if told.level == "none" or seen.danger is None:
        told.named = ()
        room.alerts.clear("danger", "ahead", room.now_ms)
        return
    name = seen.danger.likeliest or seen.danger.name
    if name not in told.named:
        # A second rock is to be heard, the first being acknowledged; to and fro between two is not.
        told.named = (*told.named, name)
    text = _danger_in_words(room, seen.area, seen.danger, _ACT[told.level])
    priority, reason = _PRIORITY[told.level], ", ".join(told.named)
    room.alerts.raise_("danger", "ahead", priority, text, room.now_ms, reason=reason)


def _level(seen: Seen, part: float) -> Level:
    """Return how much it matters, by these parts of the chances; an alarm only inside the area."""
    danger = seen.danger
    if danger is None:
        return "none"
    if danger.within_half_hour > part * WARN_OVER:
        return "alarm" if danger.distance_nm == 0.0 else "warning"
    return "caution" if seen.reached or danger.within_hour > part * CAUTION_OVER else "none"


def _danger_in_words(room: Chartroom, area: AreaReport, danger: DangerReport, act: str) -> str:
    name = danger.likeliest or danger.name
    clearance_m = next(each.clearance_m for each in room.tuning.dangers if each.name == name)
    bounds = "that" if name == danger.name else f"the clearance of {danger.name}"
    off = f"{danger.distance_nm:.2f} nm from the edge of the area to {bounds}"
    where = f"the area reaches into {bounds}" if danger.distance_nm == 0.0 else off
    return (
        f"{name}, to be kept {clearance_m:g} m off: {where}; chance of coming closer "
        f"{_in_100(danger.within_half_hour)} in 30 min, {_in_100(danger.within_hour)} in the hour on this "
        f"course, by the reckoning ({_size(room, area)}); {act}"
    )


def _in_100(chance: float) -> str:
    return "under 1 in 100" if chance < 0.01 else f"{100 * chance:.0f} in 100"


# --- the area -----------------------------------------------------------------------------------------------


def _width(room: Chartroom, told: Told, seen: Seen) -> None:
    """Say that the area has become too wide: for these waters as set, or for the danger that is near."""
    limit_nm, why = room.tuning.area_warn_nm, "as set"
    if seen.danger is not None and seen.danger.distance_nm / 2.0 < limit_nm:
        limit_nm, why = seen.danger.distance_nm / 2.0, f"half the way to {seen.danger.name}"
    told.wide = seen.area.semi_major_nm > limit_nm * (AREA_CLEAR_BELOW if told.wide else 1.0)
    if not told.wide:
        room.alerts.clear("position", "area", room.now_ms)
        return
    wider = f"the area is wider than {limit_nm:.2f} nm, {why}"
    if limit_nm == 0.0 and seen.danger is not None:
        wider = f"the area reaches to {seen.danger.name}"
    text = f"{wider}, by the reckoning ({_size(room, seen.area)}); take a sight"
    room.alerts.raise_("position", "area", "caution", text, room.now_ms)


def _size(room: Chartroom, area: AreaReport) -> str:
    """Say when this is, how old the last line is, and how large the area."""
    return (
        f"at {room.scale.utc(room.now_ms).clock}, {_last_line(room)}, area {area.semi_major_nm:.2f} nm "
        f"either way along {three_figures(area.orientation_deg)} T"
    )


def _last_line(room: Chartroom) -> str:
    line_second = _newest_line_second(room)
    if line_second is not None:
        return f"last line {_minutes_since(room, line_second)} min ago"
    origin = room.reckoning.now.origin
    since = "" if origin is None else f" since the departure {_minutes_since(room, origin.second)} min ago"
    return f"no line{since}"


def _newest_line_second(room: Chartroom) -> int | None:
    """Return when the newest line since the departure was taken, None where there is none."""
    origin = room.reckoning.now.origin
    begun = 0 if origin is None or origin.kind == "fix" else origin.second
    seconds = [line.second for line in room.plot.lines.values() if line.second >= begun]
    return max(seconds, default=None)


def _minutes_since(room: Chartroom, second: int) -> int:
    return (room.now_ms // MS_PER_SECOND - second) // 60


# --- an hour without a sight --------------------------------------------------------------------------------


def _unsighted(room: Chartroom, told: Told) -> None:
    """Ask for a sight after an hour without one, where some mark has been there to be taken."""
    found = _mark_in_reach(room)
    if found is None:
        told.in_reach_since_ms = None
    elif told.in_reach_since_ms is None:
        told.in_reach_since_ms = room.now_ms
    origin, newest = room.reckoning.now.origin, _newest_line_second(room)
    since = newest if newest is not None or origin is None else origin.second
    long = since is not None and room.now_ms // MS_PER_SECOND - since >= UNSIGHTED_S
    there = told.in_reach_since_ms is not None and room.now_ms - told.in_reach_since_ms >= IN_REACH_MS
    if found is None or not (long and there):
        room.alerts.clear("position", "unsighted", room.now_ms)
        return
    mark, off = found
    text = (
        f"{_last_line(room)} at {room.scale.utc(room.now_ms).clock}, and {mark.name} in reach: by the EP "
        f"{three_figures(direction_of(off.real, off.imag))} T {abs(off) / METRES_PER_NM:.1f} nm; "
        "take a sight of it"
    )
    room.alerts.raise_("position", "unsighted", "caution", text, room.now_ms)


def _mark_in_reach(room: Chartroom) -> tuple[Mark, complex] | None:
    """Return the nearest mark that can be seen, and how it lies from the EP: metres, north + east j."""
    ep = room.reckoning.now.ep
    found: tuple[Mark, complex] | None = None
    for mark in room.marks.values():
        reach_nm = _reach_nm(room, mark)
        if reach_nm is None or ep is None:
            continue
        off = complex(*offset_m(ep, (mark.position.latitude_deg, mark.position.longitude_deg)))
        if abs(off) <= reach_nm * METRES_PER_NM and (found is None or abs(off) < abs(found[1])):
            found = mark, off
    return found


def _reach_nm(room: Chartroom, mark: Mark) -> float | None:
    """Return how far a mark is seen; None where the marks file does not say how high or how bright it is."""
    reaches = [] if mark.range_nm is None else [mark.range_nm]
    if mark.height_m is not None:
        reaches.append(geographic_range_nm(mark.height_m, room.tuning.height_of_eye_m))
    if reaches and room.ordered.visibility_nm is not None:
        reaches.append(room.ordered.visibility_nm)
    return min(reaches, default=None)
