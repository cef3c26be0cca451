"""Ahead: where the EP and the area will be, if she goes on as she does or turns to the course ordered."""

from collections.abc import Iterator
from copy import copy
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from middlewatch.navigator.area.area import Moments, Spread
from middlewatch.navigator.area.passage import Motion, Stretch, between, motion, product, sandwich
from middlewatch.navigator.chance import Floats
from middlewatch.navigator.reckoning.course import HELD_STILL, Basis, Course
from middlewatch.navigator.reckoning.track import MAGNETIC, Row
from middlewatch.quantities.angles import direction, turn, unit
from middlewatch.quantities.lengths import METRES_PER_SECOND_PER_KNOT

ANOTHER_COURSE_DEG = 2.0
"""A course ordered is looked at by itself once it differs by more; nobody steers closer (judgement)."""


class Pace(NamedTuple):
    """A second's run of the EP, complex metres, north + east j, and the stretch of a second."""

    run: complex
    stretch: Stretch


@dataclass(frozen=True, slots=True)
class Onward:
    """How she goes on: at one pace while the stream by order lasts (`streamed_s`), at another after it.

    Over one pace heading, speed, leeway and stream are as they are now; so any stretch of it is exact.
    """

    heading_true_deg: float | None
    streamed_s: int
    streamed: Pace
    after: Pace

    def run_m(self, seconds: int) -> complex:
        """Return the run of the EP over the next so many seconds."""
        streamed_s = min(seconds, self.streamed_s)
        return streamed_s * self.streamed.run + (seconds - streamed_s) * self.after.run

    def motion(self, from_s: int, to_s: int) -> Motion:
        """Return how the unknowns go on between two moments, in seconds from now."""
        return motion(self._stretches(from_s, to_s))

    def motions(self, step_s: int, steps: int) -> Iterator[Motion]:
        """Yield the motion over each of so many steps; alike they are but where the stream runs out."""
        known: dict[int, Motion] = {}
        for begin_s in range(0, steps * step_s, step_s):
            streamed_s = min(max(self.streamed_s - begin_s, 0), step_s)
            if streamed_s not in known:
                known[streamed_s] = self.motion(begin_s, begin_s + step_s)
            yield known[streamed_s]

    def _stretches(self, from_s: int, to_s: int) -> Iterator[Stretch]:
        turns = min(max(self.streamed_s, from_s), to_s)
        if turns > from_s:
            yield self.streamed.stretch.times(turns - from_s)
        if to_s > turns:
            yield self.after.stretch.times(to_s - turns)


def onward(course: Course, basis: Basis, heading_true_deg: float | None = None) -> Onward:
    """Return how the boat goes on from a course on which a row has been worked; None: on her heading."""
    heading_deg = course.heading_true_deg if heading_true_deg is None else heading_true_deg
    after = _pace(course, basis, heading_deg, with_stream=False)
    if course.stream is None or course.way in HELD_STILL:
        return Onward(heading_deg, 0, after, after)
    streamed_s = max(course.stream_until_second - course.second, 0)
    return Onward(heading_deg, streamed_s, _pace(course, basis, heading_deg, with_stream=True), after)


def ordered_heading_deg(course: Course, basis: Basis) -> float | None:
    """Return the true heading of the course ordered, where there is one that is not steered already."""
    if course.ordered is None or course.heading_true_deg is None or course.variation_deg is None:
        return None
    heading_deg, reference = course.ordered
    if reference != "true":
        by_order = copy(course)
        by_order.hand_heading_deg, by_order.hand_reference = heading_deg, reference
        magnetic_deg = by_order.magnetic_heading_deg(basis)
        if magnetic_deg is None:
            return None
        # Magnetic to true: east variation ADDS.
        heading_deg = direction(magnetic_deg + course.variation_deg)
    differs = abs(turn(course.heading_true_deg, heading_deg)) > ANOTHER_COURSE_DEG
    return heading_deg if differs else None


@dataclass(frozen=True, slots=True)
class Outset:
    """Mean and covariance of all unknowns at the moment that is looked ahead from."""

    mean: Floats
    covariance: Floats

    @classmethod
    def at(cls, base: Moments, since: Motion) -> "Outset":
        """Carry moments on to now."""
        covariance, mean = base.table[:-1].real, base.table[-1].real
        mean = product(since.carry, mean[:, np.newaxis])[:, 0]
        return cls(mean, sandwich(since.carry, covariance) + since.noise)

    def after(self, further: Motion) -> Spread:
        """Return mean and covariance of the places after a further motion."""
        towards = further.carry[:2]
        mean = product(towards, self.mean[:, np.newaxis])[:, 0]
        covariance = sandwich(towards, self.covariance) + further.noise[:2, :2]
        return Spread(
            complex(mean[0], mean[1]),
            float(covariance[0, 0]),
            float(covariance[0, 1]),
            float(covariance[1, 1]),
        )


def _pace(course: Course, basis: Basis, heading_true_deg: float | None, *, with_stream: bool) -> Pace:
    """Return what the very next second would bring: worked as every second is, so that nothing differs."""
    next_ = copy(course)
    # The heading looked ahead on has its deviation in it already.
    next_.deviation = None
    if not with_stream:
        next_.stream = None
    if next_.hand_heading_deg is not None and heading_true_deg is not None:
        next_.hand_heading_deg, next_.hand_reference = heading_true_deg, "true"
    row = course.row
    if row is None:
        raise ValueError("nothing has been steered yet")
    next_.run_on(_next_row(row, course, heading_true_deg), basis)
    run = complex(next_.ep_north_m - course.ep_north_m, next_.ep_east_m - course.ep_east_m)
    return Pace(run, between(course.integrals, next_.integrals, 1.0))


def _next_row(row: Row, course: Course, heading_true_deg: float | None) -> Row:
    if heading_true_deg is None or row.speed_kn is None:
        return row._replace(second=course.second + 1)
    by_compass = row.reference == MAGNETIC and course.variation_deg is not None
    heading_deg = (
        direction(heading_true_deg - (course.variation_deg or 0.0)) if by_compass else heading_true_deg
    )
    north, east = unit(heading_deg)
    run_m = row.speed_kn * METRES_PER_SECOND_PER_KNOT
    return row._replace(
        second=course.second + 1,
        north_m=row.north_m + run_m * north,
        east_m=row.east_m + run_m * east,
        heading_deg=heading_deg if row.heading_deg is not None else None,
    )
