"""What was steered, watched second by second: when a change of course or speed has lasted, and since when."""

from dataclasses import dataclass, field
from statistics import median

from middlewatch.quantities.angles import direction, turn
from middlewatch.quantities.instants import MS_PER_MINUTE
from middlewatch.quantities.positions import Position
from middlewatch.reports.position import PositionReport

_ALTERED_DEG = 10.0
"""A lasting change of course from which a DR is plotted (judgement: more than yaw, less than a tack)."""

_ALTERED_KN = 1.0
"""The same for speed (judgement)."""

_LASTS_MS = MS_PER_MINUTE
"""How long the new course or speed must have been kept (judgement)."""


@dataclass(frozen=True, slots=True)
class Moment:
    """What was reported at a tick: UTC ms, DR, EP, heading (degrees true), knots, the area's half axis."""

    at_ms: int
    dr: Position
    ep: Position | None
    heading_true_deg: float | None
    speed_kn: float | None
    half_axis_nm: float | None

    @classmethod
    def of(cls, report: PositionReport) -> "Moment | None":
        """Return what a position report says; None before a departure."""
        if report.dr is None:
            return None
        ep = None if report.ep is None else Position(report.ep.latitude_deg, report.ep.longitude_deg)
        return cls(
            report.at.ms,
            Position(report.dr.latitude_deg, report.dr.longitude_deg),
            ep,
            report.heading_true_deg,
            report.speed_kn,
            None if report.area is None else report.area.semi_major_nm,
        )


@dataclass(frozen=True, slots=True)
class Kept:
    """What was kept to over some moments: degrees true and kn; None where never known.

    The middle one of all, so that a swerve of half of them changes nothing.
    """

    heading_true_deg: float | None
    speed_kn: float | None

    @classmethod
    def over(cls, moments: list[Moment]) -> "Kept":
        """Return what was kept to, headings as directions: the middle one of the turns from the first."""
        headings = [each.heading_true_deg for each in moments if each.heading_true_deg is not None]
        speeds = [each.speed_kn for each in moments if each.speed_kn is not None]
        middle = None
        if headings:
            middle = direction(headings[0] + median(turn(headings[0], each) for each in headings))
        return cls(middle, median(speeds) if speeds else None)

    def course_differs(self, other: "Kept") -> bool:
        """Say whether the course is another."""
        one, two = self.heading_true_deg, other.heading_true_deg
        return one is not None and two is not None and abs(turn(one, two)) > _ALTERED_DEG

    def speed_differs(self, other: "Kept") -> bool:
        """Say whether the speed is another."""
        one, two = self.speed_kn, other.speed_kn
        return one is not None and two is not None and abs(one - two) > _ALTERED_KN


@dataclass(slots=True)
class Steered:
    """Watches what is steered on a leg, and finds where the next one began.

    A change counts once two minutes running differ from the leg as steered in its first minute; the leg
    began at the first moment of those that was nearer to the new course or speed than to the old.
    """

    _leg: Kept | None = None
    _minutes: list[list[Moment]] = field(default_factory=list)

    def take(self, moment: Moment) -> tuple[Moment, Kept, bool] | None:
        """Take a moment; return where a new leg began, what is steered, and whether the course changed."""
        if not self._minutes or moment.at_ms - self._minutes[-1][0].at_ms >= _LASTS_MS:
            found = self._altered() if len(self._minutes) > 2 else None
            self._minutes = [*self._minutes[-2:], [moment]]
            return found
        self._minutes[-1].append(moment)
        return None

    def _altered(self) -> tuple[Moment, Kept, bool] | None:
        before, one, two = (Kept.over(minute) for minute in self._minutes)
        leg = self._leg = self._leg or before
        by_course = leg.course_differs(one) and leg.course_differs(two)
        by_speed = leg.speed_differs(one) and leg.speed_differs(two)
        if not (by_course or by_speed):
            return None
        self._leg = two
        moments = [each for minute in self._minutes for each in minute]
        return _began(moments, leg, two, by_course=by_course), two, by_course


def _began(moments: list[Moment], leg: Kept, new: Kept, *, by_course: bool) -> Moment:
    """Return the first moment after the last one that was still nearer to the old than to the new."""
    old = [n for n, moment in enumerate(moments) if not _nearer_to_new(moment, leg, new, by_course=by_course)]
    return moments[min(old[-1] + 1 if old else 0, len(moments) - 1)]


def _nearer_to_new(moment: Moment, leg: Kept, new: Kept, *, by_course: bool) -> bool:
    if by_course:
        heading, was, now = moment.heading_true_deg, leg.heading_true_deg, new.heading_true_deg
        if heading is None or was is None or now is None:
            return True
        return abs(turn(heading, now)) < abs(turn(heading, was))
    speed, was, now = moment.speed_kn, leg.speed_kn, new.speed_kn
    return speed is None or was is None or now is None or abs(speed - now) < abs(speed - was)
