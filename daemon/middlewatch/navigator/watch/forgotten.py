"""Forgotten: a heading or speed by hand that stands while the sensor beside it shows something new.

What is ordered by hand is often right against the sensor; that is why it is ordered. But where the sensor
has come to show another course or speed since the order, or is heard again, the order may be forgotten.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import NamedTuple

from middlewatch.navigator.chartroom import Chartroom
from middlewatch.navigator.reckoning.course import Course
from middlewatch.navigator.reckoning.track import HEARD, Row
from middlewatch.navigator.watch.alerts import Matter
from middlewatch.quantities.angles import three_figures, turn
from middlewatch.quantities.instants import MS_PER_SECOND

OF_SPEED_KN, OF_SPEED_PART, OF_HEADING_DEG = 1.0, 0.25, 30.0
"""The sensor shows something new from so much on (judgement: more than waves make, less than a tack)."""
LASTS_S = 120
STEADIED_S = 60.0
"""The sensor is taken steadied over so long: waves swing it."""
_SPEED_BY_HAND = Matter("log", "by hand", "caution")
_HEADING_BY_HAND = Matter("heading", "by hand", "caution")


@dataclass(slots=True)
class Standing:
    """What stands by hand of one quantity, since when, and what its sensor showed then (None: nothing).

    `shows`: the sensor steadied; `new_since`: the second since when it has shown something new.
    """

    ordered: float
    since: int
    showed: float | None = None
    shows: float | None = None
    new_since: int | None = None


@dataclass(slots=True)
class Forgotten:
    """What stands by hand."""

    speed: Standing | None = None
    heading: Standing | None = None


class _Seen(NamedTuple):
    """A second: which, from what change on the sensor shows something new, and how a change is told."""

    second: int
    least: float
    change: Callable[[float, float], float]


def keep(room: Chartroom, forgotten: Forgotten) -> None:
    """Hold what stands by hand against its sensor, each second."""
    row, course = room.reckoning.now.row, room.reckoning.now
    if row is None:
        return
    forgotten.speed = _speed(course, row, forgotten.speed)
    _ask(room, _SPEED_BY_HAND, forgotten.speed, _knots)
    forgotten.heading = _heading(course, row, forgotten.heading)
    _ask(room, _HEADING_BY_HAND, forgotten.heading, three_figures)


def _speed(course: Course, row: Row, standing: Standing | None) -> Standing | None:
    by_hand = course.hand_speed_kn
    if by_hand is None:
        return None
    shown = row.speed_kn if row.speed_state == HEARD else None
    least = max(OF_SPEED_KN, OF_SPEED_PART * abs(by_hand))
    return _followed(standing, by_hand, shown, _Seen(course.second, least, _faster))


def _heading(course: Course, row: Row, standing: Standing | None) -> Standing | None:
    by_hand = course.hand_heading_deg
    if by_hand is None:
        return None
    shown = row.heading_deg if row.heading_state == HEARD else None
    return _followed(standing, by_hand, shown, _Seen(course.second, OF_HEADING_DEG, turn))


def _followed(standing: Standing | None, ordered: float, shown: float | None, seen: _Seen) -> Standing:
    """Follow one quantity for a second."""
    if standing is None or standing.ordered != ordered:
        return Standing(ordered, seen.second, showed=shown, shows=shown)
    if shown is None:
        standing.shows = standing.new_since = None
        return standing
    if standing.shows is None:
        standing.shows = shown
    standing.shows += seen.change(standing.shows, shown) / STEADIED_S
    if not _is_new(standing, seen):
        standing.new_since = None
    elif standing.new_since is None:
        standing.new_since = seen.second
    return standing


def _is_new(standing: Standing, seen: _Seen) -> bool:
    """Tell whether the sensor shows another than when the order was given; heard again it does, always."""
    if standing.shows is None:
        return False
    if standing.showed is None:
        return True
    return abs(seen.change(standing.showed, standing.shows)) > seen.least


def _ask(room: Chartroom, matter: Matter, standing: Standing | None, told: Callable[[float], str]) -> None:
    """Ask after an order that may be forgotten."""
    second, words = room.reckoning.now.second, None
    new_since = None if standing is None else standing.new_since
    long = new_since is not None and second - new_since >= LASTS_S
    if standing is not None and standing.shows is not None and long:
        what, sensor = ("speed", "log") if matter.subject == "log" else ("heading", "compass")
        since = room.scale.utc(standing.since * MS_PER_SECOND).clock
        then = "nothing" if standing.showed is None else told(standing.showed)
        words = (
            f"{what} {told(standing.ordered)} by hand since {since}, when the {sensor} showed {then};"
            f" it shows {told(standing.shows)} now: still so, or give it back"
        )
    room.alerts.stand(matter, words, room.now_ms)


def _knots(kn: float) -> str:
    return f"{kn:.1f} kn"


def _faster(was_kn: float, is_kn: float) -> float:
    return is_kn - was_kn
