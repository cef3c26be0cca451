"""Set and drift: what a stream must have done, if heading, log and lines were all right.

Against the DR, which knows heading and log only: so what comes out holds leeway and the errors of log and
steering besides the stream, and says so. A running fix cannot be read off against the DR: the run that
carried its earlier line lacked the same stream. There the boat at t is DR(t) + v (t - t0), and both lines are
solved for v.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot

from middlewatch.navigator.position.crossing import Carried, Origin, Pull, Run, Spread, best_step, spread_of
from middlewatch.navigator.position.misses import Miss
from middlewatch.quantities.angles import direction_of
from middlewatch.quantities.lengths import METRES_PER_NM, METRES_PER_SECOND_PER_KNOT
from middlewatch.quantities.positions import Position

LEAST_S = 600
"""No set and drift from a shorter run: the errors of lines and origin would be all of it."""

_STEADY_MPS = 1e-7
_LEAST_DRIFT_KN = 0.0005
_MOST_STEPS = 50


@dataclass(frozen=True, slots=True)
class SetDrift:
    """A stream: towards where (true), knots, one standard deviation of them, over how long; None: not known.

    `remarks` say what goes with it, or why there is none.
    """

    set_deg: float | None = None
    drift_kn: float | None = None
    drift_sd_kn: float | None = None
    over_s: float | None = None
    remarks: tuple[str, ...] = ()


def of_fix(place: Position, spread: Spread, second: int, run: Run) -> SetDrift:
    """Return set and drift from the DR to a fix whose lines are of one moment; `spread` in square metres."""
    origin, dr = run.origin(second), run.dr(second)
    if origin is None or dr is None:
        return SetDrift()
    if refusal := _refused(origin, second):
        return refusal
    elapsed = float(second - origin.second)
    north, east = dr.offset_to(place)
    variance = (origin.sd_nm * METRES_PER_NM) ** 2
    whole = Spread(spread.north + variance, spread.shared, spread.east + variance)
    rate = Spread(whole.north / elapsed**2, whole.shared / elapsed**2, whole.east / elapsed**2)
    return _stream((north / elapsed, east / elapsed), rate, elapsed)


def of_running_fix(lines: Sequence[Carried], place: Position, second: int, run: Run) -> SetDrift:
    """Return set and drift from lines of different moments, the same unknown stream between them."""
    origin, dr = run.origin(second), run.dr(second)
    if origin is None or dr is None:
        return SetDrift()
    if refusal := _refused(origin, second):
        return refusal
    if any(line.line.second < origin.second for line in lines):
        return SetDrift(remarks=("no set and drift: a line is older than the DR's origin",))
    elapsed = float(second - origin.second)
    north, east = dr.offset_to(place)
    # The fix read off against the DR is wrong, but near enough to start from.
    rate = _solved(lines, (north / elapsed, east / elapsed), origin, run)
    spread = _rate_spread(lines, rate, origin, run) if rate else None
    if rate is None or spread is None:
        return SetDrift(remarks=("no set and drift: the lines do not fix it",))
    return _stream(rate, spread, elapsed)


def _refused(origin: Origin, second: int) -> SetDrift | None:
    if not origin.by_sight:
        return SetDrift(remarks=("no set and drift: the DR began from a satellite position",))
    if second - origin.second < LEAST_S:
        return SetDrift(remarks=(f"no set and drift: under {LEAST_S // 60} min since the DR's origin",))
    return None


@dataclass(frozen=True, slots=True)
class _Sight:
    """One equation of a line at its own moment: the miss, how long the stream ran, one standard deviation."""

    miss: Miss
    elapsed_s: float
    sd_m: float

    def pull(self, miss_m: float) -> Pull:
        """Return the equation for a stream in m/s of this or another miss, weighted by the line's doubt."""
        return Pull(miss_m, self.miss.north * self.elapsed_s, self.miss.east * self.elapsed_s, self.sd_m**-2)


def _solved(
    lines: Sequence[Carried], start: tuple[float, float], origin: Origin, run: Run
) -> tuple[float, float] | None:
    """Search for the stream (north, east) in m/s that lays the boat on every line at its own moment."""
    rate = start
    for _ in range(_MOST_STEPS):
        step = best_step(sight.pull(sight.miss.metres) for sight in _sights(lines, rate, origin, run))
        if step is None:
            return None
        rate = rate[0] + step[0], rate[1] + step[1]
        if hypot(*step) < _STEADY_MPS:
            return rate
    return None


def _sights(
    lines: Sequence[Carried], rate: tuple[float, float], origin: Origin, run: Run
) -> tuple[_Sight, ...]:
    """Return what each line says of a boat under that stream; a moment without a DR says nothing."""
    found: list[_Sight] = []
    for line in (carried.line for carried in lines):
        if dr := run.dr(line.second):
            elapsed = float(line.second - origin.second)
            boat = dr.moved(rate[0] * elapsed, rate[1] * elapsed)
            sd_m = line.shape.sd_m(boat)
            found += [_Sight(miss, elapsed, sd_m) for miss in line.shape.misses(boat)]
    return tuple(found)


def _rate_spread(
    lines: Sequence[Carried], rate: tuple[float, float], origin: Origin, run: Run
) -> Spread | None:
    """Return how errors of the lines and of the origin spread the stream, in squares of m/s."""
    sights = _sights(lines, rate, origin, run)
    # An origin a metre off moves the misses of all lines at once, each by what a metre that way does to it.
    by_north = best_step(sight.pull(sight.miss.north) for sight in sights)
    by_east = best_step(sight.pull(sight.miss.east) for sight in sights)
    if by_north is None or by_east is None:
        return None
    by_lines = spread_of(
        [sight.pull(sight.miss.metres) for sight in sights], [sight.sd_m for sight in sights]
    )
    variance = (origin.sd_nm * METRES_PER_NM) ** 2
    return Spread(
        by_lines.north + variance * (by_north[0] ** 2 + by_east[0] ** 2),
        by_lines.shared + variance * (by_north[0] * by_north[1] + by_east[0] * by_east[1]),
        by_lines.east + variance * (by_north[1] ** 2 + by_east[1] ** 2),
    )


def _stream(rate: tuple[float, float], spread: Spread, elapsed: float) -> SetDrift:
    """Word a stream of (north, east) m/s with its spread in squares of m/s."""
    drift_kn = hypot(*rate) / METRES_PER_SECOND_PER_KNOT
    # A drift that is nothing to its last published figure has no set: a rounding error points nowhere.
    set_deg = direction_of(*rate) if drift_kn >= _LEAST_DRIFT_KN else None
    sd_kn = (spread.longer if set_deg is None else spread.along(set_deg)) / METRES_PER_SECOND_PER_KNOT
    remarks = ["set and drift includes log and steering error, and leeway"]
    if drift_kn < 2 * sd_kn:
        remarks.append("set and drift not distinguishable from none")
    return SetDrift(set_deg, drift_kn, sd_kn, elapsed, tuple(remarks))
