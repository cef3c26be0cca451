"""Orders laid over the water track: what each does to the course, from its own second on."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import hypot
from typing import NamedTuple

from middlewatch.navigator.reckoning.calibration import Deviation, LogFactor
from middlewatch.navigator.reckoning.course import HELD_STILL, Basis, Circle, Course
from middlewatch.navigator.reckoning.instruments import COUNTS_AT_MOST_KN
from middlewatch.navigator.reckoning.leeway import Push
from middlewatch.navigator.reckoning.origin import OLD_DR_RUNS_ON_S, Former, Origin
from middlewatch.navigator.reckoning.overboard import calibrated, pressed
from middlewatch.quantities.instants import MS_PER_HOUR, MS_PER_SECOND
from middlewatch.quantities.lengths import METRES_PER_NM
from middlewatch.quantities.positions import Position
from middlewatch.readings.entries import ByHand, Reference, WayWord

MANOEUVRING_S = 15 * 60
"""So long a boat is taken to be manoeuvring once that is ordered."""

Metres = tuple[float, float]


READ_TO_NM = 0.1
"""A log is read to a tenth of a mile: of two readings close together that is no speed."""


@dataclass(frozen=True, slots=True)
class Moment:
    """The moment at which an order is worked: the course it changes, and what that is worked with.

    `since` gives the run since a second: (through the water, over the ground), each (north, east) in metres.
    """

    course: Course
    basis: Basis
    since: Callable[[int], tuple[Metres, Metres]]


@dataclass(frozen=True, slots=True)
class Depart:
    """Start the DR at a position."""

    origin: Origin

    def __call__(self, moment: Moment) -> None:
        """Start DR and EP at the departure; whatever ran before is over."""
        course = moment.course
        course.origin, course.former = self.origin, None
        course.dr = course.ep = _place(self.origin.position)
        course.off_north_m = course.off_east_m = 0.0
        course.run_nm = 0.0
        course.waiting = False
        course.find_variation(moment.basis)


@dataclass(frozen=True, slots=True)
class AdoptFix:
    """Move the DR's origin to a fix, and carry it on from the fix's own time."""

    origin: Origin

    def __call__(self, moment: Moment) -> None:
        """Start DR and EP at the fix; the old DR runs on beside them for two hours."""
        course = moment.course
        if course.dr is not None and course.origin is not None:
            course.former = Former(course.dr, course.origin.second, course.second + OLD_DR_RUNS_ON_S)
        through_water, over_ground = moment.since(self.origin.second)
        ep = self.origin.position.moved(*over_ground)
        if course.ep is not None:
            # The area stays where it was.
            north_m, east_m = ep.offset_to(Position(*course.ep))
            course.off_north_m += north_m
            course.off_east_m += east_m
        course.origin = self.origin
        course.dr = _place(self.origin.position.moved(*through_water))
        course.ep = _place(ep)
        course.run_nm = hypot(*through_water) / METRES_PER_NM
        course.waiting = False
        course.find_variation(moment.basis)


@dataclass(frozen=True, slots=True)
class SeeMark:
    """Take a sighted mark as the place for the variation while there is no departure."""

    position: Position

    def __call__(self, moment: Moment) -> None:
        """Look the variation up there, if it is still unknown."""
        if moment.course.place is None:
            moment.course.place = self.position
        if moment.course.variation is None:
            moment.course.find_variation(moment.basis)


@dataclass(frozen=True, slots=True)
class LieOrGetUnderWay:
    """How the boat lies from here on."""

    way: WayWord
    until_second: int | None
    drift: tuple[float, float] | None
    radius_m: float | None = None

    def __call__(self, moment: Moment) -> None:
        """Hold the DR, let it drift, or let it run."""
        course = moment.course
        course.way, course.way_until_second, course.drift = self.way, self.until_second, self.drift
        course.circle = None if self.radius_m is None else Circle(self.radius_m, course.second)


@dataclass(frozen=True, slots=True)
class SteerByHand:
    """Heading, speed or log by hand instead of a sensor; `log_kn` is the speed that the log readings make."""

    order: ByHand
    log_kn: float | None = None

    def __call__(self, moment: Moment) -> None:
        """Lay what was given over the sensors; what was given back leaves them alone.

        One log reading alone makes no speed: until there is a second the sensor's stands.
        """
        course = moment.course
        if "heading" in self.order.given:
            course.hand_heading_deg = self.order.heading_deg
            course.hand_reference = self.order.reference
        if "speed" in self.order.given:
            course.hand_speed_kn = self.order.speed_kn
        if "log" in self.order.given:
            course.hand_log_kn = self.log_kn
            course.by_log = self.log_kn is not None


@dataclass(frozen=True, slots=True)
class MakeLeeway:
    """Leeway by order, + to starboard; None leaves it to the apparent wind."""

    leeway_deg: float | None

    def __call__(self, moment: Moment) -> None:
        """Lay the leeway over what follows."""
        moment.course.leeway_ordered_deg = self.leeway_deg
        moment.course.leeway_head_deg = moment.course.heading_true_deg


@dataclass(frozen=True, slots=True)
class SetStream:
    """A stream by order."""

    stream: Push

    def __call__(self, moment: Moment) -> None:
        """Lay the stream over what follows, until it runs out.

        How long it runs is counted from here: a clock that is set later moves the label, not the reckoning.
        """
        course = moment.course
        course.stream, course.stream_ended_ms = self.stream, None
        lasts_ms = self.stream.until_ms - moment.basis.dated(course.second).ms
        course.stream_until_second = course.second + lasts_ms // MS_PER_SECOND


@dataclass(frozen=True, slots=True)
class CalibrateLog:
    """The log's factor; None: as it shows."""

    factor: LogFactor | None

    def __call__(self, moment: Moment) -> None:
        """Lay the factor over what the log shows from here on."""
        moment.course.log_factor = self.factor
        moment.course.overboard = calibrated(moment.course)


@dataclass(frozen=True, slots=True)
class CalibrateCompass:
    """The deviation left in the heading heard; None: none is ordered."""

    deviation: Deviation | None

    def __call__(self, moment: Moment) -> None:
        """Lay the deviation over the heading heard from here on."""
        moment.course.deviation = self.deviation
        moment.course.overboard = calibrated(moment.course)


@dataclass(frozen=True, slots=True)
class CrossGap:
    """A gap of the watch whose length was not known: the DR waits until something tells, then crosses it.

    It is told by the log (`run_nm`) or by the clock (`lasted_s`); neither: not told yet.
    """

    run_nm: float | None = None
    lasted_s: int | None = None

    def __call__(self, moment: Moment) -> None:
        """Wait, or move."""
        moment.course.cross_gap(self.run_nm, self.lasted_s, moment.basis)


@dataclass(frozen=True, slots=True)
class OrderCourse:
    """The course ordered, kept beside the one steered."""

    heading_deg: float
    reference: Reference

    def __call__(self, moment: Moment) -> None:
        """Keep it."""
        moment.course.ordered = (self.heading_deg, self.reference)


@dataclass(frozen=True, slots=True)
class GoOverboard:
    """Somebody goes overboard; `ago_s`: told to have been so long before the order was heard."""

    id: str
    ago_s: float

    def __call__(self, moment: Moment) -> None:
        """Mark the press, and let her manoeuvre; one that lies held lies so until ordered otherwise."""
        course = moment.course
        course.overboard = (*course.overboard, pressed(course, moment.basis, self.id, self.ago_s))
        if course.way not in HELD_STILL:
            course.way, course.way_until_second, course.drift = "manoeuvring", None, None


@dataclass(frozen=True, slots=True)
class Recover:
    """Somebody is back on board; None: the one who is overboard, of several the one pressed first."""

    id: str | None

    def __call__(self, moment: Moment) -> None:
        """End the search; after the last she manoeuvres on for the usual time."""
        course = moment.course
        stood = course.overboard
        recovered = self.id if self.id is not None or not stood else stood[0].id
        course.overboard = tuple(each for each in stood if each.id != recovered)
        if stood and not course.overboard and course.way == "manoeuvring":
            course.way_until_second = course.second + MANOEUVRING_S


Act = (
    Depart
    | AdoptFix
    | SeeMark
    | LieOrGetUnderWay
    | SteerByHand
    | MakeLeeway
    | SetStream
    | CalibrateLog
    | CalibrateCompass
    | CrossGap
    | OrderCourse
    | GoOverboard
    | Recover
)
"""What an order does to the course at its second."""


@dataclass(frozen=True, slots=True)
class Laid:
    """An order in its place: its moment on the scale, its id, and what it does."""

    at_ms: int
    id: str
    act: Act

    @property
    def second(self) -> int:
        """The whole second at or before the order: it is worked there."""
        return self.at_ms // MS_PER_SECOND

    @property
    def order(self) -> tuple[int, str]:
        """Orders are worked in order of time to the ms, then id."""
        return self.at_ms, self.id


class ByOrder(NamedTuple):
    """By what orders she is reckoned: heading, speed and log by hand, a stream (None: none)."""

    heading: bool = False
    speed: bool = False
    log: bool = False
    stream: Push | None = None

    def steered(self, by_hand: SteerByHand) -> "ByOrder":
        """Return the same after another order by hand."""
        order = by_hand.order
        return ByOrder(
            order.heading_deg is not None if "heading" in order.given else self.heading,
            order.speed_kn is not None if "speed" in order.given else self.speed,
            by_hand.log_kn is not None if "log" in order.given else self.log,
            self.stream,
        )


def with_log_speeds(laid: list[Laid]) -> list[Laid]:
    """Give each log reading by hand the speed that the readings around it make.

    Between two readings the speed is their difference over the time between; after the last it runs on at
    that. A reading lower than the one before is a log that was set back, and one that no boat could have
    sailed to is a slip, or a log set on: neither makes a speed of its own.
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
        elif following is not None:
            kn = _log_kn((at_ms, log_nm), following[1:], kn)
        act = laid[index].act
        if isinstance(act, SteerByHand):
            linked[index] = replace(laid[index], act=replace(act, log_kn=kn))
    return linked


def _log_kn(one: tuple[int, float], other: tuple[int, float | None], before_kn: float | None) -> float | None:
    """Return the speed between two readings, or the one before where these two make none."""
    over_ms, log_nm = other[0] - one[0], other[1]
    if log_nm is None or log_nm < one[1] or over_ms == 0 or no_boat_sails(one, (other[0], log_nm)):
        return before_kn
    return (log_nm - one[1]) * MS_PER_HOUR / over_ms


def no_boat_sails(one: tuple[int, float], other: tuple[int, float]) -> bool:
    """Tell whether no small craft sails from one log reading (ms, nm) to a later one."""
    most_nm = COUNTS_AT_MOST_KN * (other[0] - one[0]) / MS_PER_HOUR
    return other[1] - one[1] - READ_TO_NM > most_nm


def _place(position: Position) -> tuple[float, float]:
    return position.latitude_deg, position.longitude_deg
