"""The pull test: whether the apparent stream changed abruptly, or is more than the sea can do.

The apparent stream is the change of (satellite position - run by heading and log). Stream, leeway and the
errors of log and compass make one that changes slowly; a receiver that is drawn away makes one that sets in.
So the slow stream is followed by a filter of its own, and for a grid of onsets the way made since is held
against what the slow stream of that moment, with its doubt and the receiver's noise, would have made: a
generalised likelihood ratio over onset, size and direction (for a step whose size is not known its logarithm
is half the squared miss in standard deviations, which is what is compared here).

Plain floats in metres, seconds and metres a second, north and east; knots only in what is told.
"""

from dataclasses import dataclass, field
from functools import cache
from math import atan2, degrees, exp, hypot, log, radians, sin, sqrt
from typing import NamedTuple

from middlewatch.quantities.lengths import METRES_PER_SECOND_PER_KNOT as KNOT

SHORT_S = (10, 20, 30, 45, 60)
LONG_S = (90, 120, 180, 300, 450, 600, 900)
"""How long ago a change may have set in, seconds; the long ones are looked at each ten seconds."""
TENS_S, MINUTE_S = 10, 60
QUARTER_S = 15
"""While the state is open the slow stream is learnt in steps of so many seconds, else of a minute."""
OPENED_S = 90
"""After a lasting change of heading or speed nothing is concluded for so long (the design's section 7)."""
LASTING_S = 10
TURN_DEG, SPEED_KN = 30.0, 1.0
BOTH_HALVES = 0.2
"""At least so much of a change is made in each half of the time since it set in (judgement)."""
KEPT_S = 3600
"""A parting stands for so long, unless it ends before; then the new rate is what is expected, and the parting
stays unended, which is said: nothing but the gap would tell that it was no stream (judgement)."""
RESTLESS_OF, MOST_RESTLESS = 30, 25.0
"""A receiver's own noise is learnt over five minutes, up to five times that assumed (judgement)."""
STRAIGHT_S = 60
"""For so long an apparent stream must be more than the sea can do."""


@dataclass(frozen=True, slots=True)
class Odds:
    """How unlike the slow stream a change must be to be told; what the noise and the slow stream are.

    `parting`: squared miss in standard deviations, `short` more of it for each e-fold that a span is under a
    minute; `gap_factor`: how many times the ordinary gap is worth a warning. `noise_m`: how far the
    receiver's noise goes in a minute an axis, one standard deviation: 0.17 kn, the worse axis of a yacht's
    recording. `wander_kn`: how much the slow stream changes in ten minutes (judgement); log, compass and
    leeway as the design's section 4 has them, as parts of the speed.
    """

    parting: float = 20.0
    short: float = 2.0
    gap_factor: float = 1.0
    noise_m: float = 5.25
    wander_kn: float = 0.1
    log_part: float = 0.05
    compass_part: float = 0.04
    leeway_part: float = 0.09


SLOW_S, QUICK_S = 70.0, 15.0
"""Time constants of the receiver's noise: twice smoothed, as in that recording."""


@cache
def noise_gone(span_s: int) -> float:
    """Return how far the noise goes in a span, as a part of how far it goes in a minute, squared."""
    spans = span_s, MINUTE_S
    kept = [SLOW_S * exp(-each / SLOW_S) - QUICK_S * exp(-each / QUICK_S) for each in spans]
    return (SLOW_S - QUICK_S - kept[0]) / (SLOW_S - QUICK_S - kept[1])


class Moved(NamedTuple):
    """What a receiver moved in one second beyond the run by heading and log, metres; heading true, log speed.

    `strongest_kn`: what the sea can do here; `rough`: in a race or river, where it may do it abruptly.
    """

    north_m: float
    east_m: float
    heading_deg: float
    speed_kn: float
    strongest_kn: float
    rough: bool = False


class Rate(NamedTuple):
    """A slow stream as it was known at a second: metres a second, and its variance an axis."""

    second: int
    north: float
    east: float
    variance: float


@dataclass(slots=True)
class Parting:
    """A change that was found: when it set in and when it was found, the rate before, and how unlike."""

    onset: int
    found: int
    before: Rate
    miss: float
    pull_north: float
    pull_east: float

    @property
    def stream(self) -> str:
        """Say what set in."""
        kn = hypot(self.pull_north, self.pull_east) / KNOT
        towards = degrees(atan2(self.pull_east, self.pull_north)) % 360.0
        return f"an apparent stream of {kn:.1f} kn towards {round(towards) % 360:03d} T"

    @property
    def words(self) -> str:
        """Say what set in, and how long before it was found."""
        return f"{self.stream} set in abruptly, about {self.found - self.onset} s before it was found"

    def brought_back(self, north: float, east: float) -> bool:
        """Tell whether a rate is again what it was before, all but four tenths of the change."""
        off = hypot(north - self.before.north, east - self.before.east)
        return off < 0.4 * hypot(self.pull_north, self.pull_east)


@dataclass(slots=True)
class Pull:
    """The test's own state.

    `opened`: until when nothing is concluded; `unended`: a parting that stood for its hour and never ended.
    """

    odds: Odds = field(default_factory=Odds)
    second: int = 0
    north_m: float = 0.0
    east_m: float = 0.0
    seconds: list[tuple[float, float]] = field(default_factory=list)
    tens: list[tuple[float, float]] = field(default_factory=list)
    rates: list[Rate] = field(default_factory=list)
    block: tuple[int, float, float] = (0, 0.0, 0.0)
    opened: int = 0
    learnt: int = 0  # since when the slow stream has been learnt; nothing is held against what was before
    head: tuple[float, float] | None = None  # settled heading (deg) and speed (kn)
    way_kn: float = 0.0
    turned: int = 0  # for how many seconds heading or speed has been another
    parting: Parting | None = None
    unended: Parting | None = None
    over: int = 0  # for how many seconds the apparent stream has been more than the sea can do
    most_kn: float = 0.0  # what the sea can do at most, with three sigma of log, compass, leeway and noise
    rough: bool = False
    began: bool = False
    restless: float = 1.0  # this receiver's noise as a part of the one assumed, squared
    restless_of: int = 0  # of how many samples

    # --- the second ---------------------------------------------------------------------------------------

    def tick(self, moved: Moved) -> None:
        """Take a second, and look whether the apparent stream of it is still the slow one."""
        if not self.began:
            self.begin(moved.strongest_kn)
        self._carry(moved.north_m, moved.east_m)
        self._steer(moved.heading_deg, moved.speed_kn)
        if self.second - self.block[0] >= (QUARTER_S if self.second <= self.opened else MINUTE_S):
            self._learn()
        if moved.rough != self.rough:
            self.open_by(0.45 * max(moved.strongest_kn, self.most_kn) * KNOT)
        self.rough = moved.rough
        self._straight(moved.speed_kn, moved.strongest_kn)
        if moved.rough:
            self.opened = self.second + OPENED_S
        elif self.second >= self.opened and not self.turned:
            self._look(SHORT_S, self.seconds, 1)
            if self.second % TENS_S == 0:
                self._look(LONG_S, self.tens, TENS_S)
        if self.second % TENS_S == 0:
            self._rest()
        self._end()

    def _carry(self, north_m: float, east_m: float) -> None:
        """Carry the way made on by a second."""
        self.second += 1
        self.north_m += north_m
        self.east_m += east_m
        # To the millimetre: it is kept every few seconds, and must stay small.
        here = round(self.north_m, 3), round(self.east_m, 3)
        self.seconds.append(here)
        if len(self.seconds) > MINUTE_S + 1:
            del self.seconds[0]
        if self.second % TENS_S == 0:
            self.tens.append(here)
            if len(self.tens) > LONG_S[-1] // TENS_S + 1:
                del self.tens[0]

    def begin(self, strongest_kn: float) -> None:
        """Begin anew: nothing is known of the stream but what the sea can do."""
        self.began = True
        sd = 0.45 * strongest_kn * KNOT
        self.rates = [Rate(self.second, 0.0, 0.0, sd * sd)]
        self.seconds, self.tens = [], []
        self.block = self.second, self.north_m, self.east_m
        self.opened = self.second + OPENED_S

    def open_by(self, sd: float) -> None:
        """Open the state: the slow stream may now be another, by so many metres a second an axis."""
        last = self.rates[-1]
        self.rates = [
            Rate(each.second, each.north, each.east, max(each.variance, sd * sd)) for each in self.rates[:-1]
        ] + [Rate(last.second, last.north, last.east, last.variance + sd * sd)]
        self.block = self.second, self.north_m, self.east_m
        self.opened = self.second + OPENED_S

    # --- heading and speed --------------------------------------------------------------------------------

    def _steer(self, heading_deg: float, speed_kn: float) -> None:
        """Watch for a lasting change of heading or speed."""
        self.way_kn += (speed_kn - self.way_kn) / 10.0
        if self.head is None:
            self.head, self.way_kn = (heading_deg, speed_kn), speed_kn
        settled_deg, settled_kn = self.head
        off = (heading_deg - settled_deg + 180.0) % 360.0 - 180.0
        if abs(off) < TURN_DEG and abs(self.way_kn - settled_kn) < SPEED_KN:
            self.turned = 0
            return
        self.turned += 1
        if self.turned < LASTING_S:
            return
        self.turned = 0
        self.head, self.way_kn = (heading_deg, speed_kn), speed_kn
        odds, half = self.odds, radians(off) / 2.0
        # Log and compass are wrong in proportion to how the run changed, leeway is another altogether.
        change = hypot(2.0 * sin(half) * (speed_kn + settled_kn) / 2.0, speed_kn - settled_kn)
        leeway = 1.4 * odds.leeway_part * max(speed_kn, settled_kn)
        self.open_by(hypot(hypot(odds.log_part, odds.compass_part) * change, leeway) * KNOT)

    # --- the slow stream ----------------------------------------------------------------------------------

    def _learn(self) -> None:
        """Take a minute's way into the slow stream."""
        began, north_m, east_m = self.block
        span = self.second - began
        last = self.rates[-1]
        wander = self._wander * (self.second - last.second)
        variance = last.variance + wander
        noise = self._noise(span) / (span * span)
        gain = variance / (variance + noise)
        north, east = (self.north_m - north_m) / span, (self.east_m - east_m) / span
        self.rates.append(
            Rate(
                self.second,
                last.north + gain * (north - last.north),
                last.east + gain * (east - last.east),
                (1.0 - gain) * variance,
            )
        )
        del self.rates[:-32]
        self.block = self.second, self.north_m, self.east_m

    @property
    def _wander(self) -> float:
        """How the variance of the slow stream grows in a second."""
        per_ten_minutes = self.odds.wander_kn * KNOT
        return per_ten_minutes * per_ten_minutes / 600.0

    def _noise(self, span_s: int) -> float:
        """Return how far the receiver's noise goes in a span: variance an axis, square metres."""
        return self.odds.noise_m * self.odds.noise_m * max(1.0, self.restless) * noise_gone(span_s)

    def _rest(self) -> None:
        """Learn how restless this receiver is: by how its way of ten seconds differs from that before.

        A stream has no part in that, and a pull only at its onset; so no single sample counts for much.
        """
        if len(self.tens) < 3:
            return
        (a, b), (c, d), (e, f) = self.tens[-3:]
        noise = self.odds.noise_m * self.odds.noise_m
        usual = 2.0 * noise * (4.0 * noise_gone(TENS_S) - noise_gone(2 * TENS_S))
        sample = ((a - 2.0 * c + e) ** 2 + (b - 2.0 * d + f) ** 2) / usual
        self.restless_of = min(self.restless_of + 1, RESTLESS_OF)
        self.restless += (min(sample, 9.0 * max(1.0, self.restless)) - self.restless) / (self.restless_of + 1)
        self.restless = min(self.restless, MOST_RESTLESS)

    def _before(self, second: int) -> Rate:
        """Return the slow stream as it was known at a second."""
        for rate in reversed(self.rates):
            if rate.second <= second:
                return rate
        return self.rates[0]

    # --- the test -----------------------------------------------------------------------------------------

    def _look(self, spans_s: tuple[int, ...], ring: list[tuple[float, float]], step_s: int) -> None:
        """Hold the way made in each span against what the slow stream would have made."""
        odds = self.odds
        worst, found = 0.0, 0
        for span in spans_s:
            index = span // step_s
            if index >= len(ring) or self.second - span < self.learnt:
                break
            rate = self._before(self.second - span)
            north_m, east_m = ring[-1 - index]
            north_m = self.north_m - north_m - span * rate.north
            east_m = self.east_m - east_m - span * rate.east
            miss = (north_m * north_m + east_m * east_m) / self._spread(span, rate)
            if span < MINUTE_S:
                # A short span has more chances an hour to be out by accident.
                miss -= odds.short * log(MINUTE_S / span)
            if miss > worst and self._lasts(ring, index, rate, (north_m, east_m)):
                worst, found = miss, span
        if worst < odds.parting:
            return
        self._part(found, worst)

    def _lasts(
        self, ring: list[tuple[float, float]], index: int, rate: Rate, miss_m: tuple[float, float]
    ) -> bool:
        """Tell whether a miss was made in both halves of its span: a step of the position was not."""
        step_s = 1 if ring is self.seconds else TENS_S
        half = index // 2
        north_m, east_m = ring[-1 - half]
        north_m = self.north_m - north_m - half * step_s * rate.north
        east_m = self.east_m - east_m - half * step_s * rate.east
        north, east = miss_m
        share = (north_m * north + east_m * east) / (north * north + east * east)
        return BOTH_HALVES < share < 1.0 - BOTH_HALVES

    def _spread(self, span: int, rate: Rate) -> float:
        """Return the variance an axis of the way made in a span, square metres."""
        age = max(0, self.second - span - rate.second)
        wander = self._wander
        return self._noise(span) + span * span * (rate.variance + wander * (age + span / 3.0))

    def _part(self, span: int, miss: float) -> None:
        before = self._before(self.second - span)
        # What was made in the second half is all of the new rate; the first may have begun before it set in.
        ring, step_s = (self.seconds, 1) if span <= MINUTE_S else (self.tens, TENS_S)
        half = span // step_s // 2
        north_m, east_m = ring[-1 - half]
        rate = (self.north_m - north_m) / (half * step_s), (self.east_m - east_m) / (half * step_s)
        part = self.parting
        if part is not None and part.brought_back(*rate):
            self.parting = None
        else:
            # What stood before the first change is what a second one may bring back.
            before = before if part is None else part.before
            pull = rate[0] - before.north, rate[1] - before.east
            self.parting = Parting(self.second - span, self.second, before, miss, *pull)
        self._relearn(rate)

    def _relearn(self, rate: tuple[float, float]) -> None:
        """Learn the slow stream anew from now on."""
        sd = 1.0 * KNOT
        self.rates = [Rate(self.second, *rate, sd * sd)]
        self.block = self.second, self.north_m, self.east_m
        self.learnt = self.second
        self.opened = self.second + OPENED_S

    def _end(self) -> None:
        """End a parting once the rate is what it was before; one that has stood for an hour stays unended."""
        part, unended, rate = self.parting, self.unended, self.rates[-1]
        if self.second < self.opened:
            return
        if unended is not None and unended.brought_back(rate.north, rate.east):
            self.unended = None
        if part is None:
            return
        if part.brought_back(rate.north, rate.east):
            self.parting = None
        elif self.second - part.found > KEPT_S:
            self.parting, self.unended = None, part

    # --- more than the sea can do ---------------------------------------------------------------------------

    def _straight(self, speed_kn: float, strongest_kn: float) -> None:
        odds = self.odds
        by_way = hypot(odds.log_part, hypot(odds.compass_part, odds.leeway_part)) * speed_kn
        self.most_kn = strongest_kn + 3.0 * hypot(by_way, odds.noise_m / MINUTE_S / KNOT)
        if len(self.seconds) <= MINUTE_S:
            self.over = 0
            return
        north_m, east_m = self.seconds[0]
        kn = hypot(self.north_m - north_m, self.east_m - east_m) / MINUTE_S / KNOT
        self.over = self.over + 1 if kn > self.most_kn else 0

    @property
    def beyond_the_sea(self) -> bool:
        """Whether the apparent stream has for a minute been more than the sea can do."""
        return self.over >= STRAIGHT_S

    # --- what is told ---------------------------------------------------------------------------------------

    @property
    def unseen_kn(self) -> float:
        """The pull that nine times in ten would show in fifteen minutes; a smaller one would not.

        In rough waters only what drives the apparent stream past the strongest shows.
        """
        rate = self.rates[-1]
        if self.rough:
            return self.most_kn + hypot(rate.north, rate.east) / KNOT
        least = min(self._spread(span, rate) / (span * span) for span in (*SHORT_S, *LONG_S))
        return (sqrt(self.odds.parting) + 1.28) * sqrt(least) / KNOT

    @property
    def minute(self) -> tuple[float, float] | None:
        """The apparent stream of the last minute, set (degrees true) and drift (kn); None before that."""
        if len(self.seconds) <= MINUTE_S:
            return None
        north_m, east_m = self.seconds[0]
        north_m, east_m = self.north_m - north_m, self.east_m - east_m
        return degrees(atan2(east_m, north_m)) % 360.0, hypot(north_m, east_m) / MINUTE_S / KNOT
