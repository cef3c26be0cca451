"""Legs: from one alteration of course or speed to the next, as the DR has them."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from middlewatch.plotting.plot import Dr, DrPoint
from middlewatch.quantities.instants import MS_PER_HOUR, Instant
from middlewatch.quantities.positions import Position

_SHORTEST_NM = 0.02


@dataclass(frozen=True, slots=True)
class Leg:
    """A leg of the DR: where it began and ended, course in degrees true, speed in knots where it is known."""

    start: DrPoint
    end: Position
    course_true_deg: float
    speed_kn: float | None


def legs_of(dr: Dr, now: Instant | None) -> Iterator[Leg]:
    """Yield the legs of a DR up to `now`, those of a replaced one up to when it was.

    The DR holds nothing but heading and log, so the way from end to end is what was steered on the whole.
    """
    until, last = dr.replaced or now, dr.left or dr.path[-1]
    starts = [
        point for point in dr.points if point.due != "hour" and not (until is not None and until < point.at)
    ]
    if not starts:
        return
    for start, following in pairwise((*starts, None)):
        if start is None:
            return
        end, at = (last, until) if following is None else (following.place, following.at)
        course, run_nm = start.place.to(end)
        if run_nm < _SHORTEST_NM:
            continue
        hours = 0.0 if at is None else (at.ms - start.at.ms) / MS_PER_HOUR
        yield Leg(start, end, course, run_nm / hours if hours > 0.0 else start.speed_kn)
