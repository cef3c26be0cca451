"""Gaps of unknown length: the daemon was down, the board was booted, and its clock is not to be trusted.

The DR waits at its last point until something tells: a clock set by order, the log's total grown for the distance, or
a new departure or adopted fix.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from middlewatch.navigator.orders import CrossGap, Laid

if TYPE_CHECKING:  # the chart room holds the gap
    from middlewatch.navigator.chartroom import Chartroom


@dataclass(frozen=True, slots=True)
class Gap:
    """A gap that waits to be told: when it ended (scale), and how things stood when it began."""

    second: int
    last_utc_ms: int
    heading_true_deg: float | None
    speed_kn: float | None
    log_nm: float | None

    def crossed(self, run_nm: float | None, lasted_s: int) -> Laid:
        """Return the gap laid over the track, with its run once that is known."""
        return Laid(self.second * 1000, f"gap-{self.second}", CrossGap(self.heading_true_deg, run_nm, lasted_s))


def begin(room: Chartroom, at_ms: int) -> None:
    """Let the DR wait, if there is one."""
    now = room.reckoning.now
    if now.origin is None or now.row is None:
        return
    last_utc = room.scale.utc(now.second * 1000)
    room.gap = Gap(-(-at_ms // 1000), last_utc.ms, now.heading_true_deg, now.speed_kn, now.row.log_nm)
    room.reckoning.lay(room.gap.crossed(None, 0))
    room.instruments.forget_log()
    room.alerts.raise_("position", "gap", "warning",
        f"started anew on another boot, the clock is not trusted: the DR waits at its point of {last_utc.clock}; "
        "order clock, or the log's total will tell", at_ms)  # fmt: skip


def told_by_log(room: Chartroom, now_ms: int) -> None:
    """Cross the gap by what the log's total has grown, once the log speaks again."""
    gap, log_nm = room.gap, room.instruments.log_nm
    if gap is None or gap.log_nm is None or log_nm is None:
        return
    if log_nm >= gap.log_nm:
        _cross(room, gap, log_nm - gap.log_nm, 0, now_ms)


def told_by_clock(room: Chartroom, now_ms: int) -> str:
    """Cross the gap by its length, now that the clock is right; return what that did, in words."""
    gap = room.gap
    if gap is None or gap.speed_kn is None:
        return ""
    began_anew = room.scale.utc(now_ms).ms - (now_ms - gap.second * 1000)
    lasted_s = max(0, (began_anew - gap.last_utc_ms) // 1000)
    run_nm = gap.speed_kn * lasted_s / 3600
    _cross(room, gap, run_nm, lasted_s, now_ms)
    return f"; the gap was {lasted_s // 60} min, run on by the last heading and speed: {run_nm:.2f} nm"


def over(room: Chartroom, now_ms: int) -> None:
    """Forget a gap that a departure or an adoption has made good."""
    if room.gap is not None and not room.reckoning.now.waiting and room.reckoning.now.second > room.gap.second:
        room.gap = None
        room.alerts.clear("position", "gap", now_ms)


def _cross(room: Chartroom, gap: Gap, run_nm: float, lasted_s: int, now_ms: int) -> None:
    laid = gap.crossed(run_nm, lasted_s)
    room.reckoning.lift(laid.id)
    room.reckoning.lay(laid)
    room.crossed.append(laid)
    room.gap = None
    room.alerts.clear("position", "gap", now_ms)
