"""Clearing bearings: every bearing of a mark is held against those by which it keeps her off a danger.

A clearing bearing is laid off on the chart, from a danger's edge to a mark: while the mark bears not less (or
not more) than that, she passes clear. The method: US Navy, NAVEDTRA 14220, danger bearings. Less and more are
counted through north: 351 is less than 000.

What stands is worked from the bearings on the plot, so one that is amended, withdrawn or heard late counts as
if it had been so from the first. It stands until a later bearing of the mark is on the right side; until the
mark, by the EP, bears more than a right angle from it; or until she departs anew or lies still.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from math import hypot

from middlewatch.navigator.chartroom import Chartroom
from middlewatch.navigator.position.lines import PositionLine, Ray
from middlewatch.navigator.reckoning.course import HELD_STILL
from middlewatch.quantities.angles import direction, three_figures, turn
from middlewatch.quantities.instants import Instant
from middlewatch.quantities.positions import Position
from middlewatch.readings.dangers import ClearingBearing, Danger
from middlewatch.reports.alert import Priority

SURELY = 1.645
"""So many standard deviations on the right side are kept in 95 of 100, the other side being the only one
that matters (the normal distribution)."""
_ASTERN_DEG = 90.0
"""A mark further round than this from its clearing bearing is past: it clears nothing any more."""


@dataclass(frozen=True, slots=True)
class Stand:
    """How a bearing stands to a clearing bearing: degrees on the right side, and how far it may be out."""

    danger: Danger
    clearing: ClearingBearing
    line: PositionLine
    bearing_true_deg: float
    kept_deg: float
    doubt_deg: float

    @property
    def sure(self) -> bool:
        """Whether it is on the right side by more than its doubt."""
        return self.kept_deg >= self.doubt_deg


def kept_by_deg(clearing: ClearingBearing, bearing_true_deg: float) -> float:
    """Return how many degrees a bearing, true, is on the right side; on the wrong one they are negative."""
    more = turn(clearing.limit_true_deg, bearing_true_deg)
    return more if clearing.rule == "not less than" else -more


def stands(room: Chartroom, line: PositionLine) -> Iterator[Stand]:
    """Yield how a bearing stands to each clearing bearing of its mark that it is not past."""
    if not isinstance(line.shape, Ray):
        return
    bearing_deg = line.shape.bearing_true_deg
    doubt_deg = SURELY * hypot(line.shape.sd_deg, room.tuning.doubts.bearing_shared_deg)
    for danger in room.tuning.dangers:
        for clearing in danger.clearing:
            kept_deg = kept_by_deg(clearing, bearing_deg)
            if clearing.mark == line.mark and abs(kept_deg) <= _ASTERN_DEG:
                yield Stand(danger, clearing, line, bearing_deg, kept_deg, doubt_deg)


def in_words(room: Chartroom, line: PositionLine) -> tuple[str, ...]:
    """Say how a bearing stands to each clearing bearing of its mark, for the pencil."""
    return tuple(
        f"clearing bearing for {stand.danger.name}, {_named(room, stand)}: {_by(stand)}"
        for stand in stands(room, line)
    )


def keep(room: Chartroom) -> None:
    """Raise and clear, from one second to the next."""
    for danger in room.tuning.dangers:
        for clearing in danger.clearing:
            key = f"{danger.name}: {clearing.mark} {clearing.rule} {clearing.limit_true_deg:g}"
            worst = _worst(room, danger, clearing)
            if worst is None or worst.sure:
                room.alerts.clear("clearing-bearing", key, room.now_ms)
                continue
            priority: Priority = "warning" if worst.kept_deg < 0.0 else "caution"
            room.alerts.raise_("clearing-bearing", key, priority, _alert(room, worst), room.now_ms)


def _worst(room: Chartroom, danger: Danger, clearing: ClearingBearing) -> Stand | None:
    """Return how the newest bearing stands; where it is held open, the worse of it and those before it."""
    if room.reckoning.now.way in HELD_STILL or _past(room, clearing):
        return None
    newest_first = sorted(_bearings(room, clearing.mark), key=lambda line: line.order, reverse=True)
    considered: list[Stand] = []
    for line in newest_first:
        considered += [
            stand for stand in stands(room, line) if (stand.danger, stand.clearing) == (danger, clearing)
        ]
        if line.id not in room.ledger.open_ids():
            break
    return min(considered, key=lambda stand: stand.kept_deg, default=None)


def _bearings(room: Chartroom, mark: str) -> list[PositionLine]:
    """Return the bearings of a mark on the plot, of those since the departure."""
    departures = room.reckoning.departures()
    begun = departures[-1].second if departures else 0
    return [
        line
        for line in room.plot.lines.values()
        if line.mark == mark and isinstance(line.shape, Ray) and line.second >= begun
    ]


def _past(room: Chartroom, clearing: ClearingBearing) -> bool:
    """Tell whether the mark, by the EP, is past; without an EP nobody knows."""
    ep, mark = room.reckoning.now.ep, room.marks.get(clearing.mark)
    if ep is None or mark is None:
        return False
    bears_deg = Position(*ep).to(mark.position)[0]
    return abs(turn(clearing.limit_true_deg, bears_deg)) > _ASTERN_DEG


# --- words --------------------------------------------------------------------------------------------------


def _alert(room: Chartroom, stand: Stand) -> str:
    bore = f"{stand.line.mark} bore {three_figures(stand.bearing_true_deg)} T"
    held = ", an entry held open" if stand.line.id in room.ledger.open_ids() else ""
    # Facing the mark, all that lies to the left of a line sees it bear more.
    to_good_side = -90.0 if stand.clearing.rule == "not less than" else 90.0
    good_side = three_figures(direction(stand.clearing.limit_true_deg + to_good_side))
    act = "take it again"
    if stand.kept_deg < 0.0:
        act = f"the side to keep to is {good_side} T of that line: alter towards it, then take it again"
    return (
        f"{bore} at {Instant(stand.line.at_ms).clock}{held}: the clearing bearing for {stand.danger.name}, "
        f"{_named(room, stand)}, is {_by(stand)}; {act}"
    )


def _by(stand: Stand) -> str:
    if stand.kept_deg < 0.0:
        return f"not kept: {-stand.kept_deg:.1f} degrees on the wrong side"
    if stand.sure:
        return f"kept by {stand.kept_deg:.1f} degrees"
    return (
        f"kept by {stand.kept_deg:.1f} degrees only, less than the bearing's doubt of {stand.doubt_deg:.1f}"
    )


def _named(room: Chartroom, stand: Stand) -> str:
    """Say what is to be kept, true, and magnetic by the variation at the bearing's own second."""
    limit_deg = stand.clearing.limit_true_deg
    variation_deg = room.reckoning.course_at(stand.line.second).variation_deg
    # True to magnetic: east variation is taken off.
    magnetic = "" if variation_deg is None else f" ({three_figures(direction(limit_deg - variation_deg))} M)"
    return f"{stand.clearing.rule} {three_figures(limit_deg)} T{magnetic}"
