"""Forgotten: a heading or speed by hand that stands while the sensor beside it shows something new.

What is ordered by hand is often right against the sensor; that is why it is ordered. But where the sensor
has come to show another course or speed since the order, or is heard again, the order may be forgotten.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import NamedTuple

from middlewatch.navigator.chartroom import Chartroom
from middlewatch.navigator.reckoning.track import HEARD
from middlewatch.navigator.watch.alerts import Matter
from middlewatch.quantities.angles import three_figures, turn
from middlewatch.quantities.instants import MS_PER_SECOND
from middlewatch.reports.alert import AlertName

OF_SPEED_KN, OF_SPEED_PART, OF_HEADING_DEG = 1.0, 0.25, 30.0
"""The sensor shows something new from so much on (judgement: more than waves make, less than a tack)."""
LASTS_S = 120
STEADIED_S = 60.0
"""The sensor is taken steadied over so long: waves swing it."""


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
    shown = row.speed_kn if row.speed_state == HEARD else None
    by_hand = course.hand_speed_kn
    least = max(OF_SPEED_KN, OF_SPEED_PART * abs(by_hand or 0.0))
    forgotten.speed = _followed(forgotten.speed, by_hand, shown, _Seen(course.second, least, _faster))
    _ask(room, "log", forgotten.speed, _knots)
    shown = row.heading_deg if row.heading_state == HEARD else None
    by_hand, seen = course.hand_heading_deg, _Seen(course.second, OF_HEADING_DEG, turn)
    forgotten.heading = _followed(forgotten.heading, by_hand, shown, seen)
    _ask(room, "heading", forgotten.heading, three_figures)


def _followed(
    standing: Standing | None, ordered: float | None, shown: float | None, seen: _Seen
) -> Standing | None:
    """Follow one quantity for a second."""
    if ordered is None:
        return None
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


def _ask(
    room: Chartroom, subject: AlertName, standing: Standing | None, told: Callable[[float], str]
) -> None:
    """Ask after an order that may be forgotten."""
    second, text = room.reckoning.now.second, ""
    holds = standing is not None and standing.new_since is not None and second - standing.new_since >= LASTS_S
    if standing is not None and standing.shows is not None and holds:
        what = "speed" if subject == "log" else "heading"
        since = room.scale.utc(standing.since * MS_PER_SECOND).clock
        then = "nothing" if standing.showed is None else told(standing.showed)
        text = (
            f"{what} {told(standing.ordered)} by hand since {since}, when the {_SENSOR[subject]} showed"
            f" {then}; it shows {told(standing.shows)} now: still so, or give it back"
        )
    room.alerts.stand(Matter(subject, "by hand", "caution", text), room.now_ms, holds=holds)


_SENSOR: dict[AlertName, str] = {"log": "log", "heading": "compass"}


def _knots(kn: float) -> str:
    return f"{kn:.1f} kn"


def _faster(was_kn: float, is_kn: float) -> float:
    return is_kn - was_kn
