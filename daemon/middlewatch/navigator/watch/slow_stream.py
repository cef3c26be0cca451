"""The apparent stream that changes slowly: the sea's, and the boat's own part in it, learnt apart.

What the receiver moves beyond the run by heading and log is stream, and besides it what log, compass and
leeway are out by. On one heading nobody can tell them apart; after each turn the boat's own part has turned
with her and the stream has not. So both are followed together by a linear filter (Kalman's, in one state):
the stream north and east, the part by which the log is out, and the angle by which the boat goes beside her
heading as a Fourier series of the heading: a constant and three harmonics, compass and leeway in one. What
turns have taught is then expected of the next: after a tack like the last one little is left unknown.

Metres a second, radians; plain lists, the same digits on every machine.
"""

from dataclasses import dataclass, field
from math import atan2, cos, sin
from typing import NamedTuple

from middlewatch.quantities.spreads import Covariance

HARMONICS = 3
COMPASS = (0.5, 0.65)
"""What a compass is out by, as parts of its standard deviation: the constant, and each of the first harmonic
(deviation by the ship's iron goes with the sine and cosine of the heading)."""
LEEWAY = (0.6, 0.45, 0.2)
"""Leeway as parts of its standard deviation: each coefficient of a harmonic, for leeway that is whole
close-hauled, half on a reach and none off the wind, wherever the wind is (worked by hand; judgement)."""
LOG_WANDERS, LEEWAY_WANDERS = 0.01, 0.005
"""How much log factor, and each coefficient, change in half an hour (judgement)."""
HALF_HOUR_S = 1800.0
FRESH = 2.0 / 3.0
"""After a turn leeway may be another by so much of what it was at first: the wind freshens, sails change.
The design's section 4 has it anew on each tack; more than this is seldom forgotten at once (judgement)."""
DIGITS = 7
"""Decimals kept, far below anything that is measured: what is written every few seconds must stay small."""
_STATES = 4 + 2 * HARMONICS


class Way(NamedTuple):
    """A way a second, metres north and east: the run through the water, or a stream."""

    north: float
    east: float


class Rate(NamedTuple):
    """The apparent stream as it was known at a second: metres a second, and its covariance."""

    second: int
    way: Way
    doubt: Covariance


@dataclass(slots=True)
class SlowStream:
    """The filter's state: what is expected, and its covariance, each row up to the diagonal."""

    expected: list[float] = field(default_factory=lambda: [0.0] * _STATES)
    doubts: list[list[float]] = field(default_factory=list)

    def begin(self, stream: float, log_part: float, compass_part: float, leeway_part: float) -> None:
        """Begin with what settings and trade say: one standard deviation each, the stream's in m/s."""
        sds = [stream, stream, log_part, COMPASS[0] * compass_part]
        for harmonic, part in enumerate(LEEWAY):
            compass = COMPASS[1] * compass_part if harmonic == 0 else 0.0
            sds += 2 * [(compass * compass + (part * leeway_part) ** 2) ** 0.5]
        self.expected = [0.0] * _STATES
        self.doubts = [[0.0] * row + [sd * sd] for row, sd in enumerate(sds)]

    def forget_stream(self, sd: float) -> None:
        """Take it that nothing is known of the stream but its standard deviation; her own part is kept."""
        self.expected[:2] = [0.0, 0.0]
        self.doubts[:2] = [[sd * sd], [0.0, sd * sd]]
        for row in self.doubts[2:]:
            row[:2] = [0.0, 0.0]

    def doubt_stream(self, variance: float) -> None:
        """Take it that the stream may have changed by so much."""
        self.doubts[0][0] += variance
        self.doubts[1][1] += variance

    def doubt_witnesses(self, variance: float) -> None:
        """Take it that log and compass may have changed, by parts of the run: each variance."""
        self.doubts[2][2] += variance
        self.doubts[3][3] += variance

    def wander(self, seconds: int, stream: float) -> None:
        """Let time pass; `stream` is how the stream's variance grows in a second."""
        self.doubt_stream(stream * seconds)
        share = seconds / HALF_HOUR_S
        self.doubts[2][2] += LOG_WANDERS * LOG_WANDERS * share
        for each in range(4, _STATES):
            self.doubts[each][each] += LEEWAY_WANDERS * LEEWAY_WANDERS * share

    def turn(self, leeway_part: float) -> None:
        """Take it that leeway may be another since she turned, though never less known than at first."""
        for at in range(4, _STATES):
            variance = (LEEWAY[(at - 4) // 2] * leeway_part) ** 2
            if self.doubts[at][at] < variance:
                self.doubts[at][at] += FRESH * FRESH * variance

    def learn(self, run: Way, apparent: Way, variance: float) -> None:
        """Take in the apparent stream of a while, in which the boat made such a run; its variance an axis."""
        for seen, factors in zip(apparent, _factors(run), strict=True):
            self._weigh(seen, factors, variance)
        self.expected = [round(each, DIGITS) for each in self.expected]
        self.doubts = [[round(each, DIGITS) for each in row] for row in self.doubts]

    def _weigh(self, seen: float, factors: list[float], variance: float) -> None:
        shares = self._times(factors)
        whole = _sum(shares, factors) + variance
        miss = (seen - _sum(self.expected, factors)) / whole
        for row, share in enumerate(shares):
            self.expected[row] += share * miss
            part = share / whole
            doubts = self.doubts[row]
            for column in range(row + 1):
                doubts[column] -= part * shares[column]

    def _times(self, factors: list[float]) -> list[float]:
        """Return the covariance times a vector."""
        result = [0.0] * _STATES
        for row, doubts in enumerate(self.doubts):
            for column, doubt in enumerate(doubts):
                result[row] += doubt * factors[column]
                if column < row:
                    result[column] += doubt * factors[row]
        return result

    def copy(self) -> "SlowStream":
        """Return what is known now, to be kept."""
        return SlowStream(list(self.expected), [list(row) for row in self.doubts])

    def as_if(self, rate: Rate, run: Way) -> list[float]:
        """Return the state's figures with a stream that gives a rate with a run: what was expected then."""
        now = expected_of(self.expected, run)
        north, east = rate.way.north - now.north, rate.way.east - now.east
        return [
            round(each, 6) for each in (self.expected[0] + north, self.expected[1] + east, *self.expected[2:])
        ]

    def rate(self, second: int, run: Way) -> Rate:
        """Return what apparent stream is expected with a run."""
        north, east = _factors(run)
        to_north, to_east = self._times(north), self._times(east)
        doubt = _sum(to_north, north), _sum(to_north, east), _sum(to_east, east)
        way = (round(each, DIGITS) for each in expected_of(self.expected, run))
        return Rate(second, Way(*way), Covariance(*(round(each, DIGITS) for each in doubt)))


def expected_of(expected: list[float], run: Way) -> Way:
    """Return the apparent stream that such a state expects with a run."""
    north, east = _factors(run)
    return Way(_sum(expected, north), _sum(expected, east))


def _factors(run: Way) -> tuple[list[float], list[float]]:
    """Return by what each of the state's figures counts, north and east."""
    heading = atan2(run.east, run.north)
    series = [1.0]
    for harmonic in range(1, HARMONICS + 1):
        series += [sin(harmonic * heading), cos(harmonic * heading)]
    return (
        [1.0, 0.0, run.north, *(-run.east * each for each in series)],
        [0.0, 1.0, run.east, *(run.north * each for each in series)],
    )


def _sum(one: list[float], other: list[float]) -> float:
    # Plainly in order: `sum` of newer Pythons compensates, and would give other last digits.
    total = 0.0
    for each, factor in zip(one, other, strict=True):
        total += each * factor
    return total
