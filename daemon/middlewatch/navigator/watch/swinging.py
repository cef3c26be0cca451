"""The circle a boat swings in: anchored by order, with a radius, it is said when satellites have her outside.

It is counted from where the satellites had her as the order was taken, not from the reckoning: so a drag of a
boat's length shows, however wide the area is. Nobody knows where the anchor lies. Ordered as it is let go,
the circle is hers; ordered later, a turn of the tide may carry her out of one that is wide enough. A receiver
drawn away looks the same as an anchor that drags, so it is asked, never asserted.
"""

from dataclasses import dataclass, field
from math import hypot

from middlewatch.navigator.chartroom import Chartroom
from middlewatch.navigator.reckoning.course import Circle
from middlewatch.navigator.watch.alerts import Matter
from middlewatch.navigator.watch.lasting import Since
from middlewatch.navigator.watch.receivers import Receiver
from middlewatch.quantities.angles import direction_of, three_figures
from middlewatch.quantities.positions import Position

OUTSIDE_MS, FAR_OUTSIDE_MS, INSIDE_MS = 30_000, 60_000, 60_000
"""A wall or a cliff throws a receiver out for seconds; inside again for a minute, it is over (judgement)."""
FAR = 2.0
"""So many times the circle's radius off, no swinging explains it: a warning (judgement)."""

_OUTSIDE = Matter("satellite", "circle", "caution")
_FAR_OUTSIDE = Matter("satellite", "circle", "warning")


@dataclass(slots=True)
class Swinging:
    """The circle that is watched, from when (ms) and about where, and for how long she has been outside."""

    ordered: int | None = None  # the second of the order
    since_ms: int = 0
    centre: Position | None = None
    outside: Since = field(default_factory=Since)
    far_outside: Since = field(default_factory=Since)


def keep(room: Chartroom, swinging: Swinging) -> None:
    """Say that satellites have her outside her circle, and when they have her inside again."""
    course = room.reckoning.now
    circle = course.circle if course.way == "anchored" else None
    ordered = None if circle is None else circle.second
    if ordered != swinging.ordered:
        swinging.ordered, swinging.centre = ordered, None
        swinging.outside, swinging.far_outside = Since(), Since()
    receiver = None if circle is None else room.check.fresh(room.now_ms)
    if circle is not None and receiver is not None:
        _look(room, swinging, circle, receiver)
    if not swinging.outside.on:
        room.alerts.stand(_OUTSIDE, None, room.now_ms)


def _look(room: Chartroom, swinging: Swinging, circle: Circle, receiver: Receiver) -> None:
    """Hold a receiver that is in no doubt of itself against the circle; the first position is its middle."""
    now_ms = room.now_ms
    if swinging.centre is None:
        swinging.centre, swinging.since_ms = receiver.position, now_ms
    north_m, east_m = swinging.centre.offset_to(receiver.position)
    off_m = hypot(north_m, east_m)
    inside, far = off_m <= circle.radius_m, off_m > FAR * circle.radius_m
    swinging.outside.watch(
        now_ms, beyond=not inside, below=inside, on_after_ms=OUTSIDE_MS, off_after_ms=INSIDE_MS
    )
    swinging.far_outside.watch(
        now_ms, beyond=far, below=inside, on_after_ms=FAR_OUTSIDE_MS, off_after_ms=INSIDE_MS
    )
    if inside or not swinging.outside.on:
        return  # what is held on for a while keeps the words it had
    anchored, now = (room.scale.utc(each).clock for each in (swinging.since_ms, now_ms))
    off = f"{off_m:.0f} m {three_figures(direction_of(north_m, east_m))} T"
    room.alerts.stand(
        _FAR_OUTSIDE if swinging.far_outside.on else _OUTSIDE,
        f"outside the circle of {circle.radius_m:g} m: at {now} satellites ({receiver.name}) have her"
        f" {off} of where they had her at {anchored}, and she is anchored by order: does the anchor drag?"
        " Feel the cable, take a bearing",
        now_ms,
    )
