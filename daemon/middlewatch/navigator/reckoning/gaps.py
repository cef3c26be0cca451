"""Gaps that are not run through: the daemon was down for nobody knows how long, or for days.

The board was booted, and its clock is not to be trusted; or the boat was laid up, and by the last heading and
speed she would be hundreds of miles off. The DR waits at its last point until something tells: a clock set by
order, the log's total grown for the distance, or a new departure or adopted fix. A boat that lay held still
lies so still, and waits for nothing.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from middlewatch.navigator.reckoning.course import HELD_STILL
from middlewatch.navigator.reckoning.orders import CrossGap, Laid
from middlewatch.quantities.instants import MS_PER_DAY, MS_PER_HOUR, MS_PER_SECOND

if TYPE_CHECKING:  # the chart room holds the gap
    from middlewatch.navigator.chartroom import Chartroom


LONGEST_MS = 2 * MS_PER_DAY
"""A gap is run on by the last heading and speed up to here: so long the track is kept whole (judgement). A
winter, second by second, would take hours."""


@dataclass(frozen=True, slots=True)
class Gap:
    """A gap that waits to be told: when it ended (scale), and how things stood when it began.

    `log_nm` is the log's total then, None where that can tell nothing; `logged_nm` the speed summed until
    then.
    """

    second: int
    left_utc_ms: int
    log_nm: float | None
    logged_nm: float

    def crossed(self, *, run_nm: float | None = None, lasted_s: int | None = None) -> Laid:
        """Return the gap laid over the track, with what has been told of it."""
        return Laid(self.second * MS_PER_SECOND, f"gap-{self.second}", CrossGap(run_nm, lasted_s))


def begin(room: Chartroom, at_ms: int, *, known: bool) -> None:
    """Let the DR wait; one that waits already waits on, for the gap has only grown.

    `known`: how long it was is known, and is too long.
    """
    now = room.reckoning.now
    if now.row is None:
        return
    if room.gap is None:
        left_utc = room.scale.utc(now.second * MS_PER_SECOND)
        # The first tick after this closes the first row that is known again.
        second = -(-at_ms // MS_PER_SECOND)
        room.gap = Gap(second, left_utc.ms, now.row.log_nm, room.instruments.logged_nm)
        room.reckoning.lay(room.gap.crossed())
        if now.origin is not None and now.way not in HELD_STILL:
            hours = (at_ms - now.second * MS_PER_SECOND) / MS_PER_HOUR
            why, act = (
                (f"started anew after {hours:.0f} h, too long to run on", "order a departure")
                if known
                else ("started anew on another boot, the clock is not trusted", "order clock")
            )
            text = (
                f"{why}: the DR waits at its point of {left_utc.clock}; {act}, or the log's total will tell"
            )
            room.alerts.raise_("position", "gap", "warning", text, at_ms)
    room.instruments.forget_log()


def told_by_log(room: Chartroom, now_ms: int) -> None:
    """Cross the gap by what the log's total has grown, at the first total that is heard after it.

    What has been summed from speed since the gap is no part of it. A total lower than before tells nothing,
    for the log has lost power: neither it nor any later one is asked again.
    """
    gap, log_nm = room.gap, room.instruments.log_nm
    if gap is None or gap.log_nm is None or log_nm is None:
        return
    run_nm = log_nm - gap.log_nm
    told = run_nm >= 0.0 and _cross(
        room, gap.crossed(run_nm=max(0.0, run_nm - (room.instruments.logged_nm - gap.logged_nm))), now_ms
    )
    if not told:
        room.gap = replace(gap, log_nm=None)


def told_by_clock(room: Chartroom, now_ms: int) -> str:
    """Cross the gap by its length, now that the clock is right; return what that did, in words."""
    gap, track = room.gap, room.track
    if gap is None:
        return ""
    first = track.index(gap.second - 1) + 1
    if first == len(track.rows):
        return ""
    # Of the time since, what lies after the first row has rows of its own.
    since_s = (room.scale.utc(now_ms).ms - gap.left_utc_ms) // MS_PER_SECOND
    lasted_s = max(0, since_s - (len(track.rows) - 1 - first))
    if lasted_s * MS_PER_SECOND > LONGEST_MS:
        return f"; the gap was {lasted_s // 3600} h, too long to run on: the DR waits for a departure"
    second = track.rows[first].second
    before_nm = room.reckoning.course_at(second).run_nm
    if not _cross(room, gap.crossed(lasted_s=lasted_s), now_ms):
        return ""
    run_nm = room.reckoning.course_at(second).run_nm - before_nm
    return f"; the gap was {lasted_s // 60} min, run on by the last heading and speed: {run_nm:.2f} nm"


def over(room: Chartroom, now_ms: int) -> None:
    """Close a gap that nothing told of: a departure or an adoption made it good, or the boat lay still."""
    gap, now = room.gap, room.reckoning.now
    if gap is not None and not now.waiting and now.second > gap.second:
        _close(room, gap.crossed(), now_ms)


def _cross(room: Chartroom, laid: Laid, now_ms: int) -> bool:
    """Lay the gap as told; return whether that let the DR go on."""
    room.reckoning.lift(laid.id)
    room.reckoning.lay(laid)
    if room.reckoning.now.waiting:
        return False
    _close(room, laid, now_ms)
    return True


def _close(room: Chartroom, laid: Laid, now_ms: int) -> None:
    room.crossed.append(laid)
    room.gap = None
    room.alerts.clear("position", "gap", now_ms)
