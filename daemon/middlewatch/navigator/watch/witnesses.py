"""What witnesses say against another: lines and origins that exclude the satellites, or the reckoning.

Nothing here is read by the reckoning, the lines or the area.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from math import hypot
from typing import NamedTuple

from middlewatch.navigator.chartroom import Chartroom
from middlewatch.navigator.position.judging import unusual_sigma
from middlewatch.navigator.position.lines import Point, PositionLine
from middlewatch.navigator.position.regions import ContourBand, InSight, Region, Wedge
from middlewatch.quantities.instants import MS_PER_SECOND
from middlewatch.quantities.lengths import METRES_PER_NM
from middlewatch.quantities.positions import Position

EXCLUDED_SIGMA = 2.58
"""A line excludes a place at 99 in 100 when it passes so many standard deviations off (normal tables)."""
AGREES_SIGMA = 2.0
RECEIVER_M = 30.0
"""How well a receiver's place is known at a line: its own noise, and half a minute between two."""
HEARD_S = 45 * 60
PLACE_SIGMA = 3.03
"""A fix excludes a place at 99 in 100 so many standard deviations off (chi-squared of two, tables)."""
CHECKED = 3
"""Lines of so many marks check one another; of two nobody can tell which is wrong (common practice, no
source)."""
STILL = 0.4


class Against(NamedTuple):
    """A line or an origin that speaks against a witness: of what it was taken, and what it is called."""

    mark: str
    named: str


class Moved(NamedTuple):
    """An entry that moved the reckoning off the satellites, and the logarithm of the odds against it."""

    entry: str
    odds: float


@dataclass(frozen=True, slots=True)
class Said:
    """What lines and origins say: against the satellites, and against the reckoning, by independent marks."""

    against_satellites: tuple[Against, ...]
    against_reckoning: tuple[Against, ...]
    by_entry: Moved | None


def heard(room: Chartroom) -> Said:
    """Hold each line of the last three quarters of an hour against the satellites of its moment.

    One that was unusual itself says nothing against them, unless others bear it out in a fix that is off
    them; of its lines those that run through them still say nothing.
    """
    satellites: dict[str, Against] = {}
    reckoning: dict[str, Against] = {}
    upheld = _upheld(room)
    for line, miss, unusual in _lines(room):
        if miss > EXCLUDED_SIGMA > unusual or (line.id in upheld and miss > AGREES_SIGMA):
            satellites[line.mark] = Against(line.mark, line.named)
        elif miss < AGREES_SIGMA and unusual > EXCLUDED_SIGMA:
            reckoning[line.mark] = Against(line.mark, line.named)
    return Said(tuple(satellites.values()), tuple(reckoning.values()), _moved_away(room))


def _lines(room: Chartroom) -> Iterator[tuple[PositionLine, float, float]]:
    """Yield each line with how many deviations it passes off the satellites, and off what was reckoned.

    In order of their own time, as they stand now: whatever was said of them first, and in whatever order.
    None of before the satellites were trusted again: that was another matter.
    """
    trusted_ms = room.check.quarantine.trusted_ms
    oldest = max(room.now_ms // MS_PER_SECOND - HEARD_S, trusted_ms // MS_PER_SECOND)
    for line in sorted(room.plot.lines.values(), key=lambda line: line.order):
        # A light in sight and a colour are too soft to speak against a place; a contour sounded does.
        if line.second < oldest or isinstance(line.shape, InSight | Wedge):
            continue
        place = room.check.agreed.place_at(line.second)
        unusual = None if place is None else unusual_sigma(room, line)
        if place is None or unusual is None:
            continue
        yield line, off_m(line, place) / hypot(line.shape.sd_m(place), RECEIVER_M), unusual


def _upheld(room: Chartroom) -> frozenset[str]:
    """Return the sightings of the fix that is the origin, where three marks or more meet in it, off them.

    However unusual to what was reckoned before, which may have come from the satellites themselves.
    """
    origin = room.reckoning.now.origin
    fix = None if origin is None or origin.kind != "fix" else room.plot.every.get(origin.id)
    if fix is None:
        return frozenset()
    place = Position(fix.report.latitude_deg, fix.report.longitude_deg)
    reckoned, satellites = room.reckoning.ep(fix.second), room.check.agreed.place_at(fix.second)
    lines = [room.plot.lines[each] for each in fix.report.sightings if each in room.plot.lines]
    if reckoned is None or satellites is None or len({line.mark for line in lines}) < CHECKED:
        return frozenset()
    off = hypot(*place.offset_to(satellites)) > PLACE_SIGMA * hypot(fix.sd_nm * METRES_PER_NM, RECEIVER_M)
    meet = all(_meets(room, line, place, reckoned) for line in lines)
    return frozenset(fix.report.sightings if off and meet else ())


def _meets(room: Chartroom, line: PositionLine, fix: Position, reckoned: Position) -> bool:
    """Tell whether a line runs through a fix, carried there; `reckoned`: the EP at the fix's own second."""
    then = room.reckoning.ep(line.second)
    if then is None or isinstance(line.shape, Region):
        return False
    north_m, east_m = reckoned.offset_to(then)
    was = fix.moved(north_m, east_m)
    return off_m(line, was) < AGREES_SIGMA * hypot(line.shape.sd_m(was), RECEIVER_M)


def off_m(line: PositionLine, place: Position) -> float:
    """Return how far a line, or a contour sounded, is from a place, metres."""
    if isinstance(line.shape, ContourBand):
        return line.shape.miss_m(place)
    return max((abs(each.metres) for each in line.shape.misses(place)), default=0.0)


def passing_by(room: Chartroom, since: int) -> Iterator[float]:
    """Yield the directions (true) of lines since a second that pass by the satellites of their moment."""
    for line, miss, _ in _lines(room):
        place = room.check.agreed.place_at(line.second)
        if line.second >= since and miss < AGREES_SIGMA and place is not None:
            yield from _direction(line, place)


def _direction(line: PositionLine, place: Position) -> Iterator[float]:
    if not isinstance(line.shape, Region | Point):
        yield line.shape.direction_deg(place)


def _moved_away(room: Chartroom) -> Moved | None:
    """Return the entry, if any, that moved the reckoning away from the satellites, and has it there still."""
    shift, gap_nm = room.check.shifts.last, room.check.gap_nm
    if shift is None or gap_nm is None or shift.gap_after_nm is None:
        return None
    # What has been run since has its own part in the gap.
    if gap_nm < STILL * shift.gap_after_nm or shift.wrong() < 0.0:
        return None
    return Moved(shift.entry, shift.wrong())
