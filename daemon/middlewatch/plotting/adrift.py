"""Somebody overboard on the sheet: where she was at the press, and where the casualty has drifted.

A saltire where it was, a saltire in a ring where it is reckoned now, and the drift between them with the
convention's heads of a stream: ours, so that it is taken for no fix and no mark of any convention.
"""

from math import hypot

from middlewatch.plotting.draft import Draft, name_in_svg
from middlewatch.plotting.labels import Label
from middlewatch.plotting.pen import Dot
from middlewatch.plotting.symbols import REACH_MM, arrowheads, bearing_of
from middlewatch.quantities.positions import Position
from middlewatch.reports.overboard import CasualtyReport
from middlewatch.reports.place import PlaceReport

_ARM_MM = 1.3
_SHORTEST_MM = 5.0


def draw_overboard(draft: Draft) -> None:
    """Draw everybody who is overboard, by heading and log; what satellites marked stays off the sheet."""
    told = draft.plot.overboard
    for each in () if told is None else told.casualties:
        if each.state == "standing" and each.was is not None:
            with draft.pen.group(
                "overboard", id=f"overboard-{name_in_svg(each.id)}", data_at=str(each.since)
            ):
                _draw(draft, each, each.was)


def _draw(draft: Draft, casualty: CasualtyReport, was: PlaceReport) -> None:
    start = draft.at(Position(was.latitude_deg, was.longitude_deg))
    _saltire(draft, start)
    _label(draft, start, f"{casualty.since.clock} overboard", "overboard-was")
    if casualty.drifted is None or draft.plot.overboard is None:
        return
    now = draft.at(Position(casualty.drifted.latitude_deg, casualty.drifted.longitude_deg))
    _saltire(draft, now)
    draft.pen.ring(now, 1.9, draft.pencil(0.35))
    _label(draft, now, f"{draft.plot.overboard.at.clock} adrift", "overboard-adrift")
    if hypot(now[0] - start[0], now[1] - start[1]) >= _SHORTEST_MM:
        east, north = bearing_of(start, now)
        tip = now[0] - east * REACH_MM, now[1] + north * REACH_MM
        draft.pen.line((start, tip), draft.pencil(0.2, "1 0.8"))
        arrowheads(draft.pen, tip, start, draft.sheet.convention.stream, draft.pencil(0.2))
        draft.ground.ink((start, tip))


def _saltire(draft: Draft, at: Dot) -> None:
    (x, y), a = at, _ARM_MM
    arms = (((x - a, y - a), (x + a, y + a)), ((x - a, y + a), (x + a, y - a)))
    draft.pen.shape(arms, draft.pencil(0.45))
    draft.sign(at, REACH_MM)


def _label(draft: Draft, at: Dot, words: str, kind: str) -> None:
    draft.labels.append(Label((words,), at, draft.hand(2.8), 1, kind, REACH_MM))
