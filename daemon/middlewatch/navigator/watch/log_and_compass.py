"""Log and compass found out: by a step that the boat did not make, or a needle that does not turn.

Each is told from its own step: what a log that falls by half, or a heading that leaps, would have done to the
way made good is held against what the receiver shows, and against the apparent wind where that is heard.
"""

from dataclasses import dataclass, field
from math import cos, hypot, radians, sin
from typing import NamedTuple

from middlewatch.quantities.angles import direction_of, turn
from middlewatch.quantities.lengths import METRES_PER_SECOND_PER_KNOT as KNOT

SAMPLE_S, KEPT = 5, 25
BEFORE, BETWEEN, NOW = slice(-13, -7), slice(-7, -4), slice(-4, None)
"""Samples of a minute to half a minute ago, those in between, and those of the last twenty seconds."""
LONG_BEFORE, SOME_BEFORE, LONG_NOW = slice(-25, -19), slice(-19, -11), slice(-8, None)
"""Two minutes ago; for a log, which flickers where a compass swings, longer spells on both sides."""
STUCK_BY_WAY_DEG, AS_FAST = 40.0, 0.2
"""A pull turns the way made good too, but not by so much without making it faster or slower (judgement)."""
FOULED_PART, FOULED_KN = 0.25, 1.0
STEPPED_DEG = 12.0
STRAIGHT_DEG, STUCK_DEG = 8.0, 25.0
LEAST_KN = 1.5
STEADY, FEW = 0.5, 4
"""A log that flickers by more than half its step has not stepped (judgement)."""
STILL_GOING = 0.2
"""A step is over when less than so much of it is still to come within the last twenty seconds."""
FITS = 0.4
"""What is seen may differ from what the step would make by so much of it (judgement)."""
STANDS_S = 30 * 60
"""After so long it is known, and taken for what it is (judgement)."""


class Sample(NamedTuple):
    """How five seconds ended: heading, true and as the compass shows it, and log.

    `north_m`, `east_m`: how the receiver has moved beyond the run so far; `wind_deg`: the apparent wind's
    angle, None where it is not heard.
    """

    second: int
    heading_deg: float
    shown_deg: float
    speed_kn: float
    north_m: float
    east_m: float
    wind_deg: float | None


@dataclass(frozen=True, slots=True)
class Fault:
    """Something found: when, in words, what was shown before it, and by how much it is out (0: not known)."""

    second: int
    words: str
    before: float
    by: float = 0.0

    def undone_by(self, other: "Fault | None") -> bool:
        """Tell whether another step of the log takes this one back, to within four tenths."""
        return other is not None and abs(other.by + self.by) < FITS * abs(self.by)

    def turned_back_by(self, other: "Fault | None") -> bool:
        """Tell whether another step of the compass takes this one back, to within four tenths.

        One by nearly half a circle and the same seen once more look alike: the heading before it tells.
        """
        within = FITS * abs(self.by)
        if other is None or abs(turn(-self.by, other.by)) >= within:
            return False
        may_be_same = abs(turn(self.by, other.by)) < within
        since_deg = abs(turn(self.before + self.by, other.before))
        return not may_be_same or since_deg < abs(turn(self.before, other.before))


@dataclass(slots=True)
class LogAndCompass:
    """The samples of two minutes, and the faults that stand; `lapsed`: which were let go of unmended."""

    samples: list[Sample] = field(default_factory=list)
    fouled: Fault | None = None
    stepped: Fault | None = None
    stuck: Fault | None = None
    lapsed: list[str] = field(default_factory=list)

    def tick(self, second: int, sample: Sample | None) -> None:
        """Take a sample; None where heading, log or receiver are not comparable."""
        self._end(second)
        if sample is None:
            self.samples = []
            return
        self.samples.append(sample)
        del self.samples[:-KEPT]
        if self.stuck is not None and sample.shown_deg != self.stuck.before:
            self.stuck = None
        if len(self.samples) < -(BEFORE.start):
            return
        before, now = self.samples[BEFORE], self.samples[NOW]
        fouled = self._foul(self.samples[SOME_BEFORE], self.samples[LONG_NOW])
        if self.fouled is None:
            self.fouled = fouled if fouled is not None and not self._log_only_back() else None
        elif self.fouled.undone_by(fouled):
            self.fouled, self.samples = None, [sample]
            return
        stepped = self._step(before, now) or self._turn_unseen(before, now)
        if self.stepped is None:
            self.stepped = stepped if stepped is not None and not self._only_back(now) else None
        elif self.stepped.turned_back_by(stepped):
            self.stepped, self.samples = None, [sample]
            return
        if self.stuck is None and len(self.samples) == KEPT:
            self.stuck = self._stick(self.samples[LONG_BEFORE], now)

    def _end(self, second: int) -> None:
        """Let go of what was found long ago, also while nothing can be compared."""
        self.lapsed = []
        if self.fouled is not None and second - self.fouled.second > STANDS_S:
            self.fouled = None
            self.lapsed.append("fouled")
        if self.stepped is not None and second - self.stepped.second > STANDS_S:
            self.stepped = None
            self.lapsed.append("stepped")
        if self.stuck is not None and second - self.stuck.second > STANDS_S:
            self.stuck = None
            self.lapsed.append("stuck")

    def mend(self, *, log: bool, compass: bool) -> None:
        """Let go of what is steered by no more: the skipper gives log, or compass, by hand."""
        if log:
            self.fouled = None
        if compass:
            self.stepped = self.stuck = None

    # --- the log --------------------------------------------------------------------------------------------

    def _foul(self, before: list[Sample], now: list[Sample]) -> Fault | None:
        """Find a log that stepped while the boat went on as she was."""
        if len(self.samples) < KEPT:
            return None
        was_kn, is_kn = _speed(before), _speed(now)
        by_kn = is_kn - was_kn
        # From nothing a log may show again what a boat makes that never stopped: that undoes a fault.
        least_kn = was_kn if self.fouled is None else max(was_kn, is_kn)
        if least_kn < LEAST_KN or abs(by_kn) < max(FOULED_KN, FOULED_PART * was_kn):
            return None
        if abs(turn(_heading(before), _heading(now))) > STRAIGHT_DEG:
            return None
        if max(_flicker(before), _flicker(now)) > STEADY * abs(by_kn):
            return None
        angle = radians(_heading(now))
        seen = _changed(before, now)
        expected = -by_kn * cos(angle), -by_kn * sin(angle)
        if not _fits(seen, expected):
            return None
        words = f"log went from {was_kn:.1f} to {is_kn:.1f} kn within 20 s, the way made good did not"
        return Fault(now[-1].second, words, was_kn, by_kn)

    def _log_only_back(self) -> bool:
        """Tell whether the log only shows again what it showed two minutes ago."""
        was_kn, is_kn = _speed(self.samples[SOME_BEFORE]), _speed(self.samples[LONG_NOW])
        return abs(_speed(self.samples[LONG_BEFORE]) - is_kn) < STEADY * abs(is_kn - was_kn)

    # --- the compass ----------------------------------------------------------------------------------------

    def _step(self, before: list[Sample], now: list[Sample]) -> Fault | None:
        """Find a heading that stepped while the boat went straight on: she is steered by hand."""
        was_deg, is_deg = _heading(before), _heading(now)
        by_deg, kn = turn(was_deg, is_deg), _speed(now)
        if abs(by_deg) < STEPPED_DEG or kn < LEAST_KN:
            return None
        if abs(turn(_heading(now[:2]), _heading(now[2:]))) > STILL_GOING * abs(by_deg):
            return None
        wind_deg = _wind_turned(before, now)
        if wind_deg is not None and abs(wind_deg) > 0.5 * abs(by_deg):
            return None
        was, now_is = radians(was_deg), radians(is_deg)
        expected = kn * (cos(was) - cos(now_is)), kn * (sin(was) - sin(now_is))
        if not _fits(_changed(before, now), expected):
            return None
        words = f"compass stepped {_sided(by_deg)} within 20 s, the way made good did not turn"
        return Fault(now[-1].second, words, was_deg, by_deg)

    def _only_back(self, now: list[Sample]) -> bool:
        """Tell whether the heading is only back to what it was two minutes ago, as along a steel wall."""
        long_ago, before = self.samples[:FEW], self.samples[BEFORE]
        swung = abs(turn(_heading(before), _heading(now))) > STRAIGHT_DEG
        return swung and abs(turn(_heading(long_ago), _heading(now))) < STRAIGHT_DEG

    def _turn_unseen(self, before: list[Sample], now: list[Sample]) -> Fault | None:
        """Find a boat that turned, by wind and receiver, while her compass shows the same: an autopilot's."""
        wind_deg = _wind_turned(before, now)
        if wind_deg is None or abs(wind_deg) < STEPPED_DEG:
            return None
        kn, heading_deg = _speed(now), _heading(now)
        if kn < LEAST_KN:
            return None
        if abs(turn(_heading(before), heading_deg)) > STRAIGHT_DEG:
            return None
        since_deg = _wind_turned(now[:2], now[2:])
        if since_deg is None or abs(since_deg) > STILL_GOING * abs(wind_deg):
            return None
        # A boat that turns to starboard has the wind come so much more from port.
        heading, turned = radians(heading_deg), radians(heading_deg - wind_deg)
        expected = kn * (cos(turned) - cos(heading)), kn * (sin(turned) - sin(heading))
        if not _fits(_changed(before, now), expected):
            return None
        words = (
            f"the boat turned {_sided(-wind_deg)} by wind and satellites, the compass did not (autopilot?)"
        )
        return Fault(now[-1].second, words, heading_deg, wind_deg)

    def _stick(self, before: list[Sample], now: list[Sample]) -> Fault | None:
        """Find a compass whose digits stand while the boat turns, by the wind or by the way made good."""
        shown_deg = now[-1].shown_deg
        if any(each.shown_deg != shown_deg for each in self.samples):
            return None
        if _speed(now) < LEAST_KN:
            return None
        by_wind, by_way = _wind_turned(before, now), _way_turned(before, now)
        turned = max(
            abs(by_wind) if by_wind is not None and abs(by_wind) >= STUCK_DEG else 0.0,
            abs(by_way) if by_way is not None and abs(by_way) >= STUCK_BY_WAY_DEG else 0.0,
        )
        if not turned:
            return None
        going = _way_turned(now[:2], now[2:])
        if going is not None and abs(going) > STILL_GOING * turned:
            return None
        words = f"compass has shown {shown_deg:.1f} for two minutes through a turn of {turned:.0f} degrees"
        return Fault(now[-1].second, words, shown_deg)


def _speed(samples: list[Sample]) -> float:
    return sum([each.speed_kn for each in samples]) / len(samples)


def _flicker(samples: list[Sample]) -> float:
    return max(each.speed_kn for each in samples) - min(each.speed_kn for each in samples)


def _heading(samples: list[Sample]) -> float:
    return _mean_direction([each.heading_deg for each in samples])


def _drawn(samples: list[Sample]) -> tuple[float, float]:
    """Return how the receiver moved beyond the run over some samples, knots, north and east."""
    first, last = samples[0], samples[-1]
    seconds = (last.second - first.second) * KNOT
    return (last.north_m - first.north_m) / seconds, (last.east_m - first.east_m) / seconds


def _changed(before: list[Sample], now: list[Sample]) -> tuple[float, float]:
    was, is_now = _drawn(before), _drawn(now)
    return is_now[0] - was[0], is_now[1] - was[1]


def _fits(seen: tuple[float, float], expected: tuple[float, float]) -> bool:
    size = hypot(*expected)
    return size > FOULED_KN * FITS and hypot(seen[0] - expected[0], seen[1] - expected[1]) < FITS * size


def _wind_turned(before: list[Sample], now: list[Sample]) -> float | None:
    """Return by how many degrees the apparent wind turned, + clockwise; None where it is not heard."""
    if now[-1].wind_deg is None:
        return None
    was = [each.wind_deg for each in before if each.wind_deg is not None]
    is_now = [each.wind_deg for each in now if each.wind_deg is not None]
    if len(was) < len(before) or len(is_now) < len(now):
        return None
    return turn(_mean_direction(was), _mean_direction(is_now))


def _mean_direction(degrees: list[float]) -> float:
    angles = [radians(each) for each in degrees]
    return direction_of(sum(map(cos, angles)), sum(map(sin, angles)))


def _way_turned(before: list[Sample], now: list[Sample]) -> float | None:
    """Return by how many degrees the way made good turned; None where there is none, or it is another."""
    ways = []
    for samples in (before, now):
        kn, angle, drawn = _speed(samples), radians(_heading(samples)), _drawn(samples)
        ways.append((kn * cos(angle) + drawn[0], kn * sin(angle) + drawn[1]))
    was_kn, is_kn = (hypot(*way) for way in ways)
    if min(was_kn, is_kn) < LEAST_KN or abs(is_kn - was_kn) > AS_FAST * was_kn:
        return None
    return turn(*(direction_of(*way) for way in ways))


def _sided(degrees: float) -> str:
    return f"{abs(degrees):.0f} degrees to {'starboard' if degrees > 0.0 else 'port'}"
