"""Orders laid over the water track: what each does to the course, from its own second on."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import hypot
from typing import Protocol

from middlewatch.navigator.course import Basis, Course
from middlewatch.navigator.leeway import Push
from middlewatch.navigator.origin import OLD_DR_RUNS_ON_S, Former, Origin
from middlewatch.quantities.angles import unit
from middlewatch.quantities.lengths import METRES_PER_NM
from middlewatch.quantities.positions import Position
from middlewatch.readings.entries import ByHand, Reference, WayWord

MANOEUVRING_S = 15 * 60
"""So long a boat is taken to be manoeuvring once that is ordered."""

Metres = tuple[float, float]
Since = Callable[[int], tuple[Metres, Metres]]
"""The run since a second: (through the water, over the ground), each (north, east) in metres."""


class Act(Protocol):
    """What an order does to the course at its second."""

    def __call__(self, course: Course, basis: Basis, since: Since) -> None:
        """Change the course."""


@dataclass(frozen=True, slots=True)
class Laid:
    """An order in its place: its moment on the scale, its id, and what it does."""

    at_ms: int
    id: str
    act: Act

    @property
    def second(self) -> int:
        """The whole second at or before the order: it is worked there."""
        return self.at_ms // 1000

    @property
    def order(self) -> tuple[int, str]:
        """Orders are worked in order of time to the ms, then id."""
        return self.at_ms, self.id


@dataclass(frozen=True, slots=True)
class Depart:
    """Start the DR at a position."""

    origin: Origin

    def __call__(self, course: Course, basis: Basis, since: Since) -> None:
        """Start DR and EP at the departure; whatever ran before is over."""
        course.origin, course.former = self.origin, None
        course.dr = course.ep = _place(self.origin.position)
        course.run_nm = 0.0
        course.waiting = False
        course.find_variation(basis)


@dataclass(frozen=True, slots=True)
class AdoptFix:
    """Move the DR's origin to a fix, and carry it on from the fix's own time."""

    origin: Origin

    def __call__(self, course: Course, basis: Basis, since: Since) -> None:
        """Start DR and EP at the fix; the old DR runs on beside them for two hours."""
        if course.dr is not None and course.origin is not None:
            course.former = Former(course.dr, course.origin.second, course.second + OLD_DR_RUNS_ON_S)
        through_water, over_ground = since(self.origin.second)
        course.origin = self.origin
        course.dr = _place(self.origin.position.moved(*through_water))
        course.ep = _place(self.origin.position.moved(*over_ground))
        course.run_nm = hypot(*through_water) / METRES_PER_NM
        course.waiting = False
        course.find_variation(basis)


@dataclass(frozen=True, slots=True)
class SeeMark:
    """Take a sighted mark as the place for the variation while there is no departure."""

    position: Position

    def __call__(self, course: Course, basis: Basis, since: Since) -> None:
        """Look the variation up there, if it is still unknown."""
        if course.place is None:
            course.place = self.position
        if course.variation is None:
            course.find_variation(basis)


@dataclass(frozen=True, slots=True)
class LieOrGetUnderWay:
    """How the boat lies from here on."""

    way: WayWord
    until_second: int | None
    drift: tuple[float, float] | None

    def __call__(self, course: Course, basis: Basis, since: Since) -> None:
        """Hold the DR, let it drift, or let it run."""
        course.way, course.way_until_second, course.drift = self.way, self.until_second, self.drift


@dataclass(frozen=True, slots=True)
class SteerByHand:
    """Heading, speed or log by hand instead of a sensor; `log_kn` is what the log readings make of the speed."""

    order: ByHand
    log_kn: float | None = None

    def __call__(self, course: Course, basis: Basis, since: Since) -> None:
        """Lay what was given over the sensors; what was given back leaves them alone."""
        if "heading" in self.order.given:
            course.hand_heading_deg = self.order.heading_deg
            course.hand_reference = self.order.reference
        if "speed" in self.order.given:
            course.hand_speed_kn = self.order.speed_kn
        if "log" in self.order.given:
            course.hand_log_kn = self.log_kn
            course.by_log = self.order.log_nm is not None


@dataclass(frozen=True, slots=True)
class MakeLeeway:
    """Leeway by order, + to starboard; None leaves it to the apparent wind."""

    leeway_deg: float | None

    def __call__(self, course: Course, basis: Basis, since: Since) -> None:
        """Lay the leeway over what follows."""
        course.leeway_ordered_deg = self.leeway_deg


@dataclass(frozen=True, slots=True)
class SetStream:
    """A stream by order."""

    stream: Push

    def __call__(self, course: Course, basis: Basis, since: Since) -> None:
        """Lay the stream over what follows, until it runs out."""
        course.stream, course.stream_ended_ms = self.stream, None


@dataclass(frozen=True, slots=True)
class CrossGap:
    """A gap of the watch whose length was not known: the DR waits, or crosses it once its run is told.

    `run_nm` None: not told yet. The run goes along the last heading before the gap.
    """

    heading_true_deg: float | None
    run_nm: float | None
    lasted_s: int

    def __call__(self, course: Course, basis: Basis, since: Since) -> None:
        """Wait, or move."""
        course.waiting = self.run_nm is None
        if self.run_nm is None or self.heading_true_deg is None or course.row is None:
            return
        north, east = unit(self.heading_true_deg)
        run_m = self.run_nm * METRES_PER_NM
        course.move(run_m * north, run_m * east, self.lasted_s, course.row, basis)


@dataclass(frozen=True, slots=True)
class OrderCourse:
    """The course ordered, kept beside the one steered."""

    heading_deg: float
    reference: Reference

    def __call__(self, course: Course, basis: Basis, since: Since) -> None:
        """Keep it."""
        course.ordered = (self.heading_deg, self.reference)


def with_log_speeds(laid: list[Laid]) -> list[Laid]:
    """Give each log reading by hand the speed that the readings around it make.

    Between two readings the speed is their difference over the time between; after the last it runs on at that.
    """
    logs = [
        (index, each.at_ms, each.act.order.log_nm)
        for index, each in enumerate(laid)
        if isinstance(each.act, SteerByHand) and "log" in each.act.order.given
    ]
    linked = list(laid)
    kn: float | None = None
    for place, (index, at_ms, log_nm) in enumerate(logs):
        following = logs[place + 1] if place + 1 < len(logs) else None
        if log_nm is None:
            kn = None
        elif following is not None and following[2] is not None and following[1] > at_ms:
            kn = (following[2] - log_nm) * 3_600_000 / (following[1] - at_ms)
        act = laid[index].act
        if isinstance(act, SteerByHand):
            linked[index] = replace(laid[index], act=replace(act, log_kn=kn))
    return linked


def _place(position: Position) -> tuple[float, float]:
    return position.latitude_deg, position.longitude_deg
