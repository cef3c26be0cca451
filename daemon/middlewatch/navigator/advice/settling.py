"""The settling sight: which sight would tell satellites and reckoning apart, now or within the hour.

The mark best placed lies at right angles to the gap and near: from the two places it bears differently by the
gap times the sine of that angle over its distance. What it would bear from either is never told before.
"""

from collections.abc import Iterator
from typing import NamedTuple

from middlewatch.navigator.advice.daylight import by_day
from middlewatch.navigator.advice.reach import TOO_CLOSE_NM, reach_nm
from middlewatch.navigator.area.ahead import onward
from middlewatch.navigator.chartroom import Chartroom
from middlewatch.navigator.reckoning.course import HELD_STILL, Course
from middlewatch.quantities.angles import turn
from middlewatch.quantities.instants import MS_PER_MINUTE, MS_PER_SECOND
from middlewatch.quantities.positions import Position
from middlewatch.reports.advice import SettlesReport

WANTED_SIGMA = 3.0
SURE = 0.95
"""A stream that is as likely as that leaves nothing to settle (judgement)."""
EVERY_S, HOUR_S = 300, 3600
_BY_INSTRUMENTS = (
    "hold the other compass against this one, look at the log's wheel, take a sounding,"
    " or turn 60 to 90 degrees and hold that for 3 minutes"
)
_BY_GROUND = (
    "take a sounding, leave the lead on the bottom, feel the cable, keep two things ashore in line abeam"
)
"""How a boat that lies still is seen to move, without a chart (common practice, no source)."""
_NO_WITNESS = "A second receiver on the same satellites is no witness."
LATELY_MS = 10 * MS_PER_MINUTE
"""A mark sighted within so long is asked for again only where there is no other: another is better."""


class Told(NamedTuple):
    """A mark and a moment, seconds from now, and how far apart it bears from the two places, degrees."""

    mark: str
    after_s: int
    apart_deg: float


def settling(room: Chartroom) -> SettlesReport | None:
    """Return the sight that would settle it; None while nothing is doubted, or lines have settled it."""
    course, check = room.reckoning.now, room.check
    # Held still she is weighed for no causes, and a bearing tells all the same who has moved.
    doubted = bool(check.causes) or (course.way in HELD_STILL and check.suspect)
    if not doubted or not check.gap_nm or check.bearing_deg is None or course.ep is None:
        return None
    if check.causes and check.causes[0].cause == "stream" and check.causes[0].weight >= SURE:
        return None
    if room.alerts.stands("satellite", "excluded"):
        return None
    wanted_deg = WANTED_SIGMA * room.tuning.doubts.bearing_deg
    told = list(_told(room, course, Position(*course.ep)))
    now = [each for each in told if each.after_s == 0 and each.apart_deg >= wanted_deg]
    if now:
        best = max(now, key=lambda each: (not _lately(room, each.mark), each.apart_deg))
        text = (
            f"To settle it: a bearing of {best.mark} now. From the two places it bears"
            f" {best.apart_deg:.0f} degrees apart; which it is, the bearing says."
        )
        return SettlesReport(best.mark, text)
    later = [each for each in told if each.apart_deg >= wanted_deg]
    if later:
        soonest = min(later, key=lambda each: (each.after_s, -each.apart_deg))
        at = room.scale.utc(room.now_ms + soonest.after_s * MS_PER_SECOND).clock
        text = f"No sight now would settle it; a bearing of {soonest.mark} would at about {at}."
        return SettlesReport(soonest.mark, text)
    why = "no sight of the coming hour" if any(each.after_s == 0 for each in told) else "no mark in reach"
    instead = _BY_GROUND if course.way in HELD_STILL else _BY_INSTRUMENTS
    return SettlesReport(None, f"With {why} to settle it: {instead}. {_NO_WITNESS}")


def _told(room: Chartroom, course: Course, ep: Position) -> Iterator[Told]:
    """Yield how far apart each mark in reach bears from EP and satellites, now and as she goes on."""
    check = room.check
    if check.gap_nm is None or check.bearing_deg is None:
        return
    steered = course.heading_true_deg is not None and course.speed_kn is not None and not course.waiting
    going = onward(course, room.reckoning.basis) if steered and course.row is not None else None
    part = check.pull.parting
    # What set in goes on: the gap grows, or shrinks, by it.
    grows_mps = (0.0, 0.0) if part is None else (part.pull_north, part.pull_east)
    for after_s in range(0, HOUR_S + 1, EVERY_S) if going is not None else (0,):
        run = going.run_m(after_s) if going is not None else 0j
        reckoned = ep.moved(run.real, run.imag)
        drawn_m = after_s * grows_mps[0], after_s * grows_mps[1]
        by_satellites = reckoned.along(check.bearing_deg, check.gap_nm).moved(*drawn_m)
        at = room.scale.utc(room.now_ms + after_s * MS_PER_SECOND)
        light = None if room.scale.doubtful else by_day(at, reckoned)
        for name, mark in sorted(room.marks.items()):
            bearing_deg, distance_nm = reckoned.to(mark.position)
            if TOO_CLOSE_NM <= distance_nm <= reach_nm(mark, room, by_day=light):
                other_deg, _ = by_satellites.to(mark.position)
                yield Told(name, after_s, abs(turn(bearing_deg, other_deg)))


def _lately(room: Chartroom, mark: str) -> bool:
    since = (room.now_ms - LATELY_MS) // MS_PER_SECOND
    return any(line.mark == mark and line.second >= since for line in room.plot.lines.values())
