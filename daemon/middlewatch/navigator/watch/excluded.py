"""Excluded: lines that agree with the reckoning and pass the satellite position by, said as they come.

One such line is a caution: it may be the line that is wrong. Two of different marks that cut well, or a line
and a sounding, are a warning (the design's section 7): that two are wrong and agree with what was reckoned is
a rare thing.
"""

from itertools import combinations
from typing import NamedTuple

from middlewatch.navigator.chartroom import Chartroom
from middlewatch.navigator.position.lines import Point
from middlewatch.navigator.position.regions import ContourBand, InSight, Wedge
from middlewatch.navigator.watch.alerts import Matter
from middlewatch.navigator.watch.quarantine import CUT_DEG
from middlewatch.navigator.watch.witnesses import heard, off_m
from middlewatch.quantities.angles import turn
from middlewatch.quantities.instants import MS_PER_SECOND
from middlewatch.quantities.lengths import METRES_PER_NM

_BY_TWO = Matter("satellite", "excluded", "warning")
_BY_ONE = Matter("satellite", "contradicted", "caution")


class Passing(NamedTuple):
    """What excludes the satellites of its moment: how far off it passes (nm), how it runs (true).

    A contour sounded has no direction.
    """

    named: str
    off_nm: float
    direction_deg: float | None


class Pair(NamedTuple):
    """Two such, and the angle at which they cut, 0 to 90 degrees; None of a line and a sounding."""

    first: Passing
    second: Passing
    cut_deg: float | None


def keep(room: Chartroom) -> None:
    """Raise what lines say against the satellites while they say it."""
    passing = _passing(room)
    pair = _best_cut(passing)
    words = None if pair is None else _of_two(pair, room.check.steering)
    room.alerts.stand(_BY_TWO, words, room.now_ms)
    alone = passing[-1] if passing and pair is None else None
    words = None if alone is None else _of_one(alone, room.check.steering)
    room.alerts.stand(_BY_ONE, words, room.now_ms)


def _passing(room: Chartroom) -> list[Passing]:
    """Return the lines that exclude them, of each mark its newest; none of before they agreed again."""
    met_ms = room.check.quarantine.met_ms
    named = {each.named for each in heard(room).against_satellites}
    found: dict[str, Passing | None] = {}
    if not named:
        return []
    for line in sorted(room.plot.lines.values(), key=lambda line: line.order):
        place = room.check.agreed.place_at(line.second)
        before = line.second * MS_PER_SECOND < met_ms
        if place is None or before or isinstance(line.shape, InSight | Wedge | Point):
            continue
        direction_deg = None if isinstance(line.shape, ContourBand) else line.shape.direction_deg(place)
        passing = Passing(line.named, off_m(line, place) / METRES_PER_NM, direction_deg)
        found[line.mark] = passing if line.named in named else None
    return [each for each in found.values() if each is not None]


def _best_cut(passing: list[Passing]) -> Pair | None:
    """Return the two lines that cut best, where they cut well; else a line and a sounding."""
    lines = [(each.direction_deg, each) for each in passing if each.direction_deg is not None]
    soundings = [each for each in passing if each.direction_deg is None]
    pairs = [
        Pair(one, other, _cut_deg(along, across)) for (along, one), (across, other) in combinations(lines, 2)
    ]
    best = max(pairs, key=lambda pair: pair.cut_deg or 0.0, default=None)
    if best is not None and best.cut_deg is not None and best.cut_deg >= CUT_DEG:
        return best
    return Pair(lines[-1][1], soundings[-1], None) if lines and soundings else None


def _cut_deg(along_deg: float, across_deg: float) -> float:
    apart_deg = abs(turn(along_deg, across_deg))
    return min(apart_deg, 180.0 - apart_deg)


def _of_one(line: Passing, receiver: str | None) -> str:
    return (
        f"{line.named} passes {line.off_nm:.2f} nm off the satellite position ({receiver}) and agrees with"
        " the reckoning: one of the two is wrong; take a bearing of another mark"
    )


def _of_two(pair: Pair, receiver: str | None) -> str:
    first, second, cut_deg = pair
    both = f"exclude the satellite position ({receiver}) and agree with the reckoning"
    if cut_deg is None:
        return (
            f"a line and a sounding {both}: {first.named} passes {first.off_nm:.2f} nm off it, the contour of"
            f" {second.named} {second.off_nm:.2f} nm; go by them, not by the receiver"
        )
    return (
        f"two lines {both}: {first.named} passes {first.off_nm:.2f} nm off it, {second.named}"
        f" {second.off_nm:.2f} nm, they cut at {cut_deg:.0f}; go by the lines, not by the receiver"
    )
