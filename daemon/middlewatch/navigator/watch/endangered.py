"""Endangered: a doubt about the satellites matters where a danger lies inside either area.

She may be where the reckoning has her or where the satellites do. Where a danger is in one of the two, what
was a caution while there was time to settle it is a warning (the design's section 7).
"""

from middlewatch.navigator.chartroom import Chartroom
from middlewatch.navigator.reckoning.course import HELD_STILL
from middlewatch.navigator.watch.alerts import Matter
from middlewatch.navigator.watch.lasting import Since
from middlewatch.navigator.watch.witnesses import RECEIVER_M
from middlewatch.quantities.spreads import RADIUS_95
from middlewatch.reports.ahead import DangerReport

DOUBTS = ("parting", "unended", "unusual", "contradicted")
"""The cautions that have her in two places at once. A gap within the ordinary has her in one area, and a
receiver that is silent, or doubts itself, in none of its own (judgement)."""
EVERY_MS, OVER_AFTER_MS = 10_000, 60_000
_MATTERS = Matter("satellite", "matters", "warning")
_OWN = frozenset({_MATTERS.key})


def keep(room: Chartroom, danger: DangerReport | None, lasting: Since) -> None:
    """Raise a caution to a warning where it matters; `danger`: how the dangers stand by the reckoning."""
    speaks = room.alerts.speaks("satellite", besides=_OWN)
    if not speaks and not lasting.on:
        return
    doubted = speaks and any(room.alerts.stands("satellite", key) for key in DOUBTS)
    if not doubted or room.reckoning.now.way in HELD_STILL:
        lasting.on, lasting.began_ms = False, None
        room.alerts.stand(_MATTERS, None, room.now_ms)
        return
    if room.now_ms % EVERY_MS:
        return
    words = _inside(room, danger)
    lasting.watch(
        room.now_ms,
        beyond=words is not None,
        below=words is None,
        on_after_ms=0,
        off_after_ms=OVER_AFTER_MS,
    )
    if words is not None or not lasting.on:
        room.alerts.stand(_MATTERS, words, room.now_ms)


def _inside(room: Chartroom, danger: DangerReport | None) -> str | None:
    """Say which danger lies inside which of the two areas; None where none does."""
    if danger is not None and danger.distance_nm == 0.0:
        return _in_words(danger.name, "the area of the reckoning reaches into that")
    receiver = room.check.fresh(room.now_ms)
    # The satellites' own area is as wide as a receiver's noise.
    near = [] if receiver is None else room.coast.about(receiver.place, RADIUS_95 * RECEIVER_M)
    if receiver is None or not near:
        return None
    return _in_words(near[0].danger.name, f"the satellites ({receiver.name}) have her in that")


def _in_words(name: str, where: str) -> str:
    doubt = "which place is right is in doubt; keep off by both, take a bearing"
    return f"clearance of {name}: {where}, and {doubt}"
