"""The reckoning: DR and EP, second by second, as a function of the water track and the orders laid over it.

Nothing here remembers when an order was *heard*: a late, amended or withdrawn order is worked by going back
to a checkpoint before it and running the same rows forward again, so late equals in time to the last digit.
"""

from bisect import bisect_right
from collections.abc import Callable
from copy import copy
from functools import partial

from middlewatch.navigator.reckoning.asked import AskedCourses
from middlewatch.navigator.reckoning.card import Card
from middlewatch.navigator.reckoning.course import Basis, Course
from middlewatch.navigator.reckoning.integrals import Integrals
from middlewatch.navigator.reckoning.orders import (
    AdoptFix,
    ByOrder,
    CalibrateCompass,
    CalibrateLog,
    CrossGap,
    Depart,
    Laid,
    Metres,
    Moment,
    SetStream,
    SteerByHand,
    with_log_speeds,
)
from middlewatch.navigator.reckoning.origin import Origin
from middlewatch.navigator.reckoning.sums import Sums
from middlewatch.navigator.reckoning.track import Row, WaterTrack
from middlewatch.navigator.reckoning.variation import Found
from middlewatch.navigator.reckoning.waters import Waters
from middlewatch.navigator.tuning import Tuning
from middlewatch.quantities.angles import unit
from middlewatch.quantities.instants import Instant
from middlewatch.quantities.positions import Position

CHECKPOINT_EVERY_S = 600

LogRead = tuple[int, float]
"""A log reading by hand: when (ms), and what it showed (nm)."""


class Reckoning:
    """The course of the boat over the water track, for each second: where DR and EP were, and what they ran.

    `dated` gives the UTC of a second of the scale (for variation).
    """

    def __init__(self, tuning: Tuning, track: WaterTrack, dated: Callable[[int], Instant]) -> None:
        self.basis = Basis(tuning, Card(tuning.steering_card), Waters(tuning), dated)
        self._track = track
        self._laid: list[Laid] = []
        self._laid_seconds: list[int] = []
        self._checkpoints: list[Course] = [Course()]
        self.now = Course()
        self._sums = Sums()
        self._asked = AskedCourses(dated)

    # --- running forward ------------------------------------------------------------------------------

    def run_on(self, until: int | None = None) -> None:
        """Work the rows that the track has grown by, or only those until a second."""
        end = len(self._track.rows) if until is None else self._track.index(until) + 1
        for index in range(len(self._sums), end):
            self._advance(self._track.rows[index])

    def begin_from(self, base: Course) -> None:
        """Begin, before anything is laid, from a course kept whole; the track's first row is its own."""
        self._checkpoints, self.now = [base], copy(base)
        self._sums.append(self.now)

    def checkpoint_before(self, second: int) -> Course | None:
        """Return the newest checkpoint of a second or before; None where that is the oldest there is."""
        keep = bisect_right(self._checkpoints, second, key=lambda course: course.second) - 1
        return self._checkpoints[keep] if keep > 0 else None

    def forget_before(self, base: Course) -> None:
        """Forget the time before a checkpoint: what is older is not worked again."""
        del self._checkpoints[: self._checkpoints.index(base)]
        count = self._track.index(base.second)
        self._sums.drop_first(count)
        self._track.forget(count)
        self._asked.forget_before(base.second)

    @property
    def base(self) -> Course:
        """The oldest course that is kept: everything after it can be worked again."""
        return self._checkpoints[0]

    def lay(self, *laid: Laid) -> None:
        """Lay orders over the track, each from its own second, and work what follows again."""
        self._change([*self._laid, *laid])

    def lift(self, id_: str, until: int | None = None) -> None:
        """Take an order off again and work what follows, or only until a second, another being laid next."""
        self._change([laid for laid in self._laid if laid.id != id_], until)

    def _change(self, laid: list[Laid], until: int | None = None) -> None:
        before = set(self._laid)
        self._laid = with_log_speeds(sorted(laid, key=lambda each: each.order))
        # A log reading by hand changes the speed since the reading before it: compare what each order now
        # does.
        changed = before.symmetric_difference(self._laid)
        self._laid_seconds = [each.second for each in self._laid]
        if changed:
            self._rework(min(each.second for each in changed), until)

    def _advance(self, row: Row) -> None:
        due = self.now.second % CHECKPOINT_EVERY_S == 0 and self.now.second > self._checkpoints[-1].second
        if due:
            self._checkpoints.append(copy(self.now))
        self._work(self.now, row)
        self._sums.append(self.now)
        if row.second in self._asked.kept:
            self._asked.keep(row.second, self.now)

    def _work(self, course: Course, row: Row) -> None:
        due = self._laid_after(course.second, row.second)
        after_gap = bool(due) and any(isinstance(laid.act, CrossGap) for laid in due)
        course.run_on(row, self.basis, after_gap=after_gap)
        for laid in due:
            laid.act(Moment(course, self.basis, partial(self._since, course)))
            # The EP may have come to other waters.
            course.strongest_stream_kn = None

    def _laid_after(self, before: int, second: int) -> list[Laid]:
        """Return what is laid at a row: at its own second, and at the seconds before it that have no row."""
        start = bisect_right(self._laid_seconds, before)
        return self._laid[start : bisect_right(self._laid_seconds, second, lo=start)]

    def _rework(self, second: int, until: int | None) -> None:
        """Go back to the newest checkpoint before a second and work forward again."""
        self._asked.stale_from(second)
        while len(self._checkpoints) > 1 and self._checkpoints[-1].second >= second:
            self._checkpoints.pop()
        self.now = copy(self._checkpoints[-1])
        start = self._track.index(self.now.second) + 1
        self._sums.cut(start)
        self.run_on(until)

    def _since(self, now: Course, second: int) -> tuple[Metres, Metres]:
        """Return the run since a second, through water and over ground, while a newer row is worked."""
        index = self._index(second)
        if second >= now.second or index < 0:
            return (0.0, 0.0), (0.0, 0.0)
        water, ground = self._sums.dr_run_m(index), self._sums.ep_run_m(index)
        return (
            (now.dr_north_m - water[0], now.dr_east_m - water[1]),
            (now.ep_north_m - ground[0], now.ep_east_m - ground[1]),
        )

    # --- looking back ---------------------------------------------------------------------------------

    def course_at(self, second: int) -> Course:
        """Return the whole course as it was at a second (a copy)."""
        if second >= self.now.second:
            return copy(self.now)
        kept = self._asked.at(second)
        if kept is None:
            kept = self._worked_to(second)
            self._asked.keep(second, kept)
        return kept

    def _worked_to(self, second: int) -> Course:
        """Return the course at a second, worked from the checkpoint before it."""
        before = bisect_right(self._checkpoints, second, key=lambda course: course.second) - 1
        course = copy(self._checkpoints[max(before, 0)])
        for row in self._track.rows[self._track.index(course.second) + 1 : self._track.index(second) + 1]:
            self._work(course, row)
        return course

    def departures(self) -> list[Origin]:
        """Return the departures until now, in order; a fix adopted before any of them is one too."""
        origins: list[Origin] = []
        for laid in self._laid:
            if laid.second <= self.now.second and (
                isinstance(laid.act, Depart) or (isinstance(laid.act, AdoptFix) and not origins)
            ):
                origins.append(laid.act.origin)
        return origins

    def calibrations(self, after: int, until: int) -> list[tuple[int, CalibrateLog | CalibrateCompass]]:
        """Return what was ordered of log and compass after a second, until another, each with its second."""
        return [
            (laid.second, laid.act)
            for laid in self._laid
            if after < laid.second <= until and isinstance(laid.act, CalibrateLog | CalibrateCompass)
        ]

    def log_readings_about(self, at_ms: int, id_: str) -> tuple[LogRead | None, LogRead | None]:
        """Return the log readings by hand before and after a moment, besides one order's own.

        None where there is none on that side, or the log was given back between.
        """
        before: LogRead | None = None
        for laid in self._laid:
            if laid.id == id_ or not isinstance(laid.act, SteerByHand) or "log" not in laid.act.order.given:
                continue
            nm = laid.act.order.log_nm
            read = None if nm is None else (laid.at_ms, nm)
            if laid.order > (at_ms, id_):
                return before, read
            before = read
        return before, None

    def stream_at(self, second: int) -> complex:
        """Return the stream by order at a second: knots, north + east j; none where none is ordered."""
        stream = self.by_order_at(second).stream
        if stream is None:
            return 0j
        north, east = unit(stream.towards_deg)
        return stream.kn * complex(north, east)

    def by_order_at(self, second: int) -> ByOrder:
        """Return by what orders she was reckoned at a second, as they stand now."""
        found = ByOrder()
        for laid in self._laid:
            if laid.second > second:
                break
            match laid.act:
                case SteerByHand():
                    found = found.steered(laid.act)
                case SetStream():
                    found = found._replace(stream=laid.act.stream)
                case _:
                    pass
        stream = found.stream
        ended = stream is not None and stream.until_ms < self.basis.dated(second).ms
        return found._replace(stream=None) if ended else found

    def origin_at(self, second: int) -> Origin | None:
        """Return the origin in force at a second, None before a departure."""
        newest = None
        for laid in self._laid:
            if laid.second > second:
                break
            if isinstance(laid.act, Depart | AdoptFix):
                newest = laid.act.origin
        return newest

    def variation_near(self, place: Position, second: int) -> Found | None:
        """Return the variation at a place that is not the boat's, for an entry before any departure."""
        course = self.course_at(second)
        if course.place is None:
            course.place = place
        course.find_variation(self.basis)
        return course.variation

    def dr(self, second: int) -> Position | None:
        """Return the DR at a second, None before a departure."""
        return self._sums.dr(self._index(second)) if self._known(second) else None

    def ep(self, second: int) -> Position | None:
        """Return the EP at a second, None before a departure."""
        return self._sums.ep(self._index(second)) if self._known(second) else None

    def run_m(self, from_second: int, to_second: int) -> tuple[float, float] | None:
        """Return the run over the ground by the EP, (north, east) m; None where something was unknown.

        From EP to EP where one DR runs between: legs summed in metres would leave out that a mile of easting
        is more longitude further north.
        """
        run = self._between(self._sums.ep_run_m, from_second, to_second)
        one, other = self.ep(from_second), self.ep(to_second)
        if (
            run is None
            or one is None
            or other is None
            or self.origin_at(from_second) != self.origin_at(to_second)
        ):
            return run
        return one.offset_to(other)

    def water_run_m(self, from_second: int, to_second: int) -> tuple[float, float] | None:
        """Return the run through the water by the DR, (north, east) m; None where something was unknown."""
        return self._between(self._sums.dr_run_m, from_second, to_second)

    def laid_m(self, from_second: int, to_second: int) -> tuple[float, float] | None:
        """Return what leeway and stream carried the EP off the run, (north, east) m; None where unknown."""
        water = self._between(self._sums.dr_run_m, from_second, to_second)
        ground = self._between(self._sums.ep_run_m, from_second, to_second)
        if water is None or ground is None:
            return None
        return ground[0] - water[0], ground[1] - water[1]

    @property
    def first_second(self) -> int | None:
        """The first second that can be worked, None before any."""
        return self._track.first_second

    def integrals(self, second: int) -> Integrals:
        """Return the integrals of the track at a second."""
        return self.now.integrals if second >= self.now.second else self._sums.integrals(self._index(second))

    def off_m(self, second: int) -> complex:
        """Return where the area's path lies from the EP at a second: metres, north + east j."""
        if second >= self.now.second:
            return complex(self.now.off_north_m, self.now.off_east_m)
        return self._sums.off_m(self._index(second))

    def logged_nm(self, from_second: int, to_second: int) -> float:
        """Return the distance logged between two seconds."""
        if not (self._known(from_second) and self._known(to_second)):
            return 0.0
        return self._sums.run_nm(self._index(to_second)) - self._sums.run_nm(self._index(from_second))

    def _between(
        self, summed: Callable[[int], Metres], from_second: int, to_second: int
    ) -> tuple[float, float] | None:
        if not (self._known(from_second) and self._known(to_second)):
            return None
        a, b = self._index(from_second), self._index(to_second)
        if self._sums.unknown_s(a) != self._sums.unknown_s(b):
            return None
        before, after = summed(a), summed(b)
        return after[0] - before[0], after[1] - before[1]

    def _known(self, second: int) -> bool:
        return 0 <= self._index(second) < len(self._sums)

    def _index(self, second: int) -> int:
        return min(self._track.index(second), len(self._sums) - 1)
