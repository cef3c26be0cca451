"""Courses of the past that were asked for: a sighting asks for its own again whenever all is worked anew."""

from collections.abc import Callable
from copy import copy
from dataclasses import dataclass, field

from middlewatch.navigator.reckoning.course import Course
from middlewatch.quantities.instants import Instant

_AT_MOST = 400
"""More are let go, those asked for first; they can be worked again."""


@dataclass(slots=True)
class AskedCourses:
    """The course at each second that was asked for, with the UTC it was worked by; None: to be worked."""

    dated: Callable[[int], Instant]
    kept: dict[int, tuple[Instant, Course] | None] = field(default_factory=dict)

    def at(self, second: int) -> Course | None:
        """Return a copy of the course at a second; None where it has to be worked."""
        kept = self.kept.get(second)
        # A clock set since gives the second another date, and that may be another variation.
        return None if kept is None or kept[0] != self.dated(second) else copy(kept[1])

    def keep(self, second: int, course: Course) -> None:
        """Keep a copy of the course at a second."""
        self.kept[second] = self.dated(second), copy(course)
        if len(self.kept) > _AT_MOST:
            del self.kept[next(iter(self.kept))]

    def stale_from(self, second: int) -> None:
        """Let no course of a second or later stand; they are kept again as the track is worked anew."""
        self.kept = {asked: None if asked >= second else kept for asked, kept in self.kept.items()}

    def forget_before(self, second: int) -> None:
        """Forget what is older than the track."""
        self.kept = {asked: kept for asked, kept in self.kept.items() if asked >= second}
