"""Spells of half a minute: how the receiver moved against the run, for what is weighed later.

A receiver and the reckoning part because one of them is wrong, or because the water moves. Which it is shows
in how their difference goes with heading and speed; so that is kept, spell by spell, for three quarters of an
hour.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from math import hypot
from typing import TYPE_CHECKING, NamedTuple

from middlewatch.navigator.watch.drawn import Moves, summed
from middlewatch.quantities.angles import turn
from middlewatch.quantities.lengths import METRES_PER_SECOND_PER_KNOT as KNOT

if TYPE_CHECKING:  # what it lends holds a stream by order, which is told here
    from middlewatch.navigator.reckoning.leeway import Push
    from middlewatch.navigator.watch.sight import Sight

SPELL_S, KEPT = 30, 90
_ENOUGH_S = 20
"""A spell of which less was heard is left out."""
_LEAP_M = 30.0
"""What no boat runs in a second: an entry worked late moved the run."""
STEP_S = 20
"""A step in a witness is one made in so many seconds (the design's section 7)."""
LOG_STEP_PART, LOG_STEP_KN, HEADING_STEP_DEG = 0.25, 0.8, 10.0
"""What counts as a step of the log, and of the heading (judgement)."""


class StreamByOrder(NamedTuple):
    """A stream by order: towards where (true), how fast, how sure (1 sigma)."""

    towards_deg: float
    kn: float
    sd_kn: float

    @classmethod
    def of(cls, stream: Push) -> StreamByOrder:
        """Return it as it is laid off."""
        return cls(stream.towards_deg, stream.kn, round(stream.sd_kn, 3))


class Spell(NamedTuple):
    """Half a minute that ended at `second`; knots, north and east.

    `apart`: how the receiver moved beyond the run by heading and log, `water`: that run; `laid`: what stream
    and leeway the EP holds; `heading_deg` at its end. `log_stepped`, `turned`: whether the log,
    or the heading, stepped in it; by hand: what the skipper steers by; `ordered`: the stream by order.
    """

    second: int
    apart: tuple[float, float]
    water: tuple[float, float]
    laid: tuple[float, float]
    heading_deg: float
    log_stepped: bool
    turned: bool
    heading_by_hand: bool
    speed_by_hand: bool
    ordered: StreamByOrder | None


@dataclass(slots=True)
class Spells:
    """The spells kept, and the one that is open."""

    second: int = 0
    kept: list[Spell] = field(default_factory=list)
    before: tuple[float, float, float, float] | None = None  # the runs so far: water, EP
    apart_m: tuple[float, float] = (0.0, 0.0)  # how the receiver has moved beyond the run so far
    moved_s: int = 0
    moved_m: tuple[float, float] = (0.0, 0.0)
    run_s: int = 0
    run_m: tuple[float, float] = (0.0, 0.0)
    laid_m: tuple[float, float] = (0.0, 0.0)
    log_stepped: bool = False
    turned: bool = False
    steered: list[tuple[float, float]] = field(default_factory=list)  # heading and speed, second by second

    def tick(self, second: int, moves: Moves | None, sight: Sight) -> None:
        """Take a second, and how the receiver moved beyond the run in it; close the spell where it is over.

        `moves`: None where that cannot be said; empty while the receiver is silent.
        """
        self.second = second
        self._run_on(sight.water_m, sight.ep_run_m)
        if moves is None or sight.heading_deg is None or sight.speed_kn is None:
            self.begin_anew()
            self.steered = []
            return
        self._step(sight.heading_deg, sight.speed_kn)
        self.moved_s += len(moves)
        north_m, east_m = summed(moves)
        self.moved_m = self.moved_m[0] + north_m, self.moved_m[1] + east_m
        # To a millimetre: it is kept every few seconds, and must stay small.
        self.apart_m = round(self.apart_m[0] + north_m, 3), round(self.apart_m[1] + east_m, 3)
        if second % SPELL_S == 0:
            self._close(second, sight, sight.heading_deg)
            self.begin_anew()

    def begin_anew(self) -> None:
        """Leave out what the spell holds so far."""
        self.moved_s = self.run_s = 0
        self.moved_m = self.run_m = self.laid_m = (0.0, 0.0)
        self.log_stepped = self.turned = False

    def leave_out_between(self, second: int, until: int) -> None:
        """Leave out what was kept from a second until another: what set in then is over, and was told."""
        self.kept = [each for each in self.kept if each.second <= second or each.second - SPELL_S >= until]

    def leave_out(self, seconds: int) -> None:
        """Leave out what was kept of the last seconds before now: it was no receiver's way."""
        while self.kept and self.second - self.kept[-1].second < seconds + SPELL_S:
            del self.kept[-1]

    def _run_on(self, water_m: tuple[float, float], ep_run_m: tuple[float, float]) -> None:
        before, self.before = self.before, (*water_m, *ep_run_m)
        if before is None:
            return
        water_north, water_east, ep_north, ep_east = self.before
        north_m, east_m = water_north - before[0], water_east - before[1]
        laid_north_m, laid_east_m = ep_north - before[2] - north_m, ep_east - before[3] - east_m
        if hypot(north_m, east_m) < _LEAP_M and hypot(laid_north_m, laid_east_m) < _LEAP_M:
            self.run_s += 1
            self.run_m = self.run_m[0] + north_m, self.run_m[1] + east_m
            self.laid_m = self.laid_m[0] + laid_north_m, self.laid_m[1] + laid_east_m

    def _step(self, heading_deg: float, speed_kn: float) -> None:
        """See whether heading or log is another than it was twenty seconds ago."""
        self.steered.append((round(heading_deg, 1), round(speed_kn, 2)))
        if len(self.steered) <= STEP_S:
            return
        was_deg, was_kn = self.steered[0]
        del self.steered[0]
        by_kn = abs(speed_kn - was_kn)
        if by_kn > LOG_STEP_KN and by_kn > LOG_STEP_PART * max(speed_kn, was_kn):
            self.log_stepped = True
        if abs(turn(was_deg, heading_deg)) > HEADING_STEP_DEG:
            self.turned = True

    def _close(self, second: int, sight: Sight, heading_deg: float) -> None:
        if self.moved_s < _ENOUGH_S or self.run_s < _ENOUGH_S:
            return
        apart = knots(self.moved_m, self.moved_s)
        laid = knots(self.laid_m, self.run_s)
        self.kept.append(
            Spell(
                second,
                apart,
                knots(self.run_m, self.run_s),
                laid,
                round(heading_deg, 1),
                self.log_stepped,
                self.turned,
                sight.heading_by_hand,
                sight.speed_by_hand,
                sight.stream_ordered,
            )
        )
        del self.kept[:-KEPT]


def knots(run_m: tuple[float, float], over_s: int) -> tuple[float, float]:
    """Return a run as a speed, to the thousandth: it is kept every few seconds, and must stay small."""
    return round(run_m[0] / over_s / KNOT, 3), round(run_m[1] / over_s / KNOT, 3)
