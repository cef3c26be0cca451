"""The pull test: whether the apparent stream changed abruptly, or is more than the sea can do.

The apparent stream is the change of (satellite position - run by heading and log). Stream, leeway and the
errors of log and compass make one that changes slowly; a receiver that is drawn away makes one that sets in.
So the slow stream is followed by a filter of its own (`slow_stream`), and for a grid of onsets the way made
since is held against what the slow stream of that moment, with its doubt and the receiver's noise, would
have made: a generalised likelihood ratio over onset, size and direction (for a step whose size is not known
its logarithm is half the squared miss in standard deviations, which is what is compared here).

Plain floats in metres, seconds and metres a second, north and east; knots only in what is told.
"""

from dataclasses import dataclass, field
from math import atan2, cos, degrees, hypot, log, radians, sin, sqrt
from typing import NamedTuple

from middlewatch.navigator.watch.parting import Parting
from middlewatch.navigator.watch.receiver_noise import MINUTE_S, TENS_S, ReceiverNoise, noise_gone
from middlewatch.navigator.watch.slow_stream import Rate, SlowStream, Way, expected_of
from middlewatch.quantities.lengths import METRES_PER_SECOND_PER_KNOT as KNOT
from middlewatch.quantities.spreads import Covariance

SHORT_S = (10, 20, 30, 45, 60)
LONG_S = (90, 120, 180, 300, 450, 600, 900)
"""How long ago a change may have set in, seconds; the long ones are looked at each ten seconds."""
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
TURNED_S = 60
"""So long after a turn she has found her new way: what was expected of it is held against that."""
SET_IN_KN = 1.0
"""What set in may be the stream's, the log's or the compass's; one standard deviation (judgement)."""
ROUGH_PART = 0.3
"""In a race the stream changes within a minute by so much of the most the sea can do (judgement)."""
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
    slow: SlowStream = field(default_factory=SlowStream)
    rates: list[Rate] = field(default_factory=list)
    run_north_m: float = 0.0  # by heading and log, since the block began
    run_east_m: float = 0.0
    block: tuple[int, float, float] = (0, 0.0, 0.0)
    at_turn: tuple[int, SlowStream] | None = None  # what was known when she turned, for a minute
    unturned: tuple[int, list[float]] | None = None  # when she turned last, and what was expected till then
    opened: int = 0
    learnt: int = 0  # since when the slow stream has been learnt; nothing is held against what was before
    head: tuple[float, float] | None = None  # settled heading (deg) and speed (kn)
    way_kn: float = 0.0
    turned: int = 0  # for how many seconds heading or speed has been another
    parting: Parting | None = None
    partings: int = 0  # how many were found
    unended: Parting | None = None
    over: int = 0  # for how many seconds the apparent stream has been more than the sea can do
    most_kn: float = 0.0  # what the sea can do at most, with three sigma of log, compass, leeway and noise
    rough: bool = False
    began: bool = False
    noise: ReceiverNoise = field(default_factory=ReceiverNoise)
    unseen: float = 0.0  # in smooth waters, kn

    # --- the second ---------------------------------------------------------------------------------------

    def tick(self, moved: Moved) -> None:
        """Take a second, and look whether the apparent stream of it is still the slow one."""
        if not self.began:
            self.begin(moved.strongest_kn)
        self._carry(moved)
        self._steer(moved.heading_deg, moved.speed_kn)
        if self.second - self.block[0] >= (QUARTER_S if self.second <= self.opened else MINUTE_S):
            self._end(self._learn())
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
            self.noise.learn(self.tens, self.odds.noise_m)
            self._say_unseen()

    def _carry(self, moved: Moved) -> None:
        """Carry the way made, and the run, on by a second."""
        self.second += 1
        self.north_m = round(self.north_m + moved.north_m, 6)
        self.east_m = round(self.east_m + moved.east_m, 6)
        heading, metres = radians(moved.heading_deg), moved.speed_kn * KNOT
        self.run_north_m = round(self.run_north_m + metres * cos(heading), 6)
        self.run_east_m = round(self.run_east_m + metres * sin(heading), 6)
        # Few digits: it is kept every few seconds, and must stay small.
        here = round(self.north_m, 2), round(self.east_m, 2)
        self.seconds.append(here)
        if len(self.seconds) > MINUTE_S + 1:
            del self.seconds[0]
        if self.second % TENS_S == 0:
            self.tens.append(here)
            if len(self.tens) > LONG_S[-1] // TENS_S + 1:
                del self.tens[0]

    def begin(self, strongest_kn: float) -> None:
        """Begin anew: nothing is known of the stream but what the sea can do; her own part is kept."""
        odds, sd = self.odds, 0.45 * strongest_kn * KNOT
        if not self.began:
            self.slow.begin(sd, odds.log_part, odds.compass_part, odds.leeway_part)
        self.began = True
        self.slow.forget_stream(sd)
        self.seconds, self.tens = [], []
        self._open()

    def open_by(self, sd: float) -> None:
        """Open the state: the stream may now be another, by so many metres a second an axis."""
        self.slow.doubt_stream(sd * sd)
        self._open()

    def _open(self) -> None:
        """Hold nothing against what was before, and conclude nothing for a while."""
        self.rates = [self.slow.rate(self.second, self._run_now)]
        self.at_turn = None
        self.learnt = self.second
        self._begin_block()
        self.opened = self.second + OPENED_S
        self._say_unseen()

    def _begin_block(self) -> None:
        self.block = self.second, self.north_m, self.east_m
        self.run_north_m = self.run_east_m = 0.0

    # --- heading and speed --------------------------------------------------------------------------------

    @property
    def _run_now(self) -> Way:
        """The run a second as she goes now: that of the block so far, or as she is settled."""
        seconds = self.second - self.block[0]
        if seconds >= SHORT_S[0]:
            return Way(self.run_north_m / seconds, self.run_east_m / seconds)
        if self.head is None:
            return Way(0.0, 0.0)
        heading, metres = radians(self.head[0]), self.head[1] * KNOT
        return Way(metres * cos(heading), metres * sin(heading))

    def _steer(self, heading_deg: float, speed_kn: float) -> None:
        """Watch for a lasting change of heading or speed."""
        self.way_kn = round(self.way_kn + (speed_kn - self.way_kn) / 10.0, 6)
        if self.head is None:
            self.head, self.way_kn = (round(heading_deg, 3), round(speed_kn, 3)), speed_kn
        settled_deg, settled_kn = self.head
        off = (heading_deg - settled_deg + 180.0) % 360.0 - 180.0
        if abs(off) < TURN_DEG and abs(self.way_kn - settled_kn) < SPEED_KN:
            self.turned = 0
            return
        self.turned += 1
        if self.turned < LASTING_S:
            return
        self.turned = 0
        self.head, self.way_kn = (round(heading_deg, 3), round(speed_kn, 3)), speed_kn
        self._turn()

    def _turn(self) -> None:
        """Expect on the new heading what all before have taught; a change at the turn is held to that."""
        if self.second - self.block[0] >= QUARTER_S:
            self._learn()
        self._begin_block()
        self.slow.turn(self.odds.leeway_part)
        self._open()
        self.at_turn = self.second, self.slow.copy()
        self.unturned = self.second, list(self.slow.expected)

    # --- the slow stream ----------------------------------------------------------------------------------

    def _learn(self) -> Way:
        """Take a while's way into the slow stream; return the run a second in it."""
        began, north_m, east_m = self.block
        span, run = self.second - began, self._run_now
        way = Way((self.north_m - north_m) / span, (self.east_m - east_m) / span)
        self.slow.wander(span, self._wander)
        self.slow.learn(run, way, self._teaches(span))
        self.rates.append(self.slow.rate(self.second, run))
        if self.at_turn is not None and self.second - self.at_turn[0] >= TURNED_S:
            # Now that she has found her way, what was expected of just this heading is told.
            turned, before = self.at_turn
            self.rates[0], self.at_turn = before.rate(turned, run), None
        while len(self.rates) > 1 and self.rates[1].second <= self.second - LONG_S[-1]:
            del self.rates[0]
        self._begin_block()
        return run

    @property
    def _wander(self) -> float:
        """How the variance of the slow stream grows in a second."""
        if self.rough:
            return (ROUGH_PART * self.most_kn * KNOT) ** 2 / MINUTE_S
        per_ten_minutes = self.odds.wander_kn * KNOT
        return per_ten_minutes * per_ten_minutes / 600.0

    def _teaches(self, span_s: int) -> float:
        """Return how far off the rate of a span may be, an axis; a quiet receiver teaches no more."""
        noise = self.odds.noise_m * self.odds.noise_m * max(1.0, self.restless) * noise_gone(span_s)
        return noise / (span_s * span_s)

    def _before(self, second: int) -> Rate:
        """Return the slow stream as it was known at a second."""
        for rate in reversed(self.rates):
            if rate.second <= second:
                return rate
        return self.rates[0]

    def _known(self, onset: int) -> SlowStream:
        """Return what is to be expected of other headings by what was known before a change set in.

        What has been learnt of her own part since she turned is the change's own where it came with the turn.
        """
        if self.unturned is None or onset - self.unturned[0] >= QUARTER_S:
            return self.slow
        return SlowStream(self.unturned[1])

    def expected_before(self, parting: Parting) -> Way:
        """Return the apparent stream that was expected before a parting, as she goes now."""
        return expected_of(parting.before, self._run_now)

    # --- the test -----------------------------------------------------------------------------------------

    def _look(self, spans_s: tuple[int, ...], ring: list[tuple[float, float]], step_s: int) -> None:
        """Hold the way made in each span against what the slow stream would have made."""
        worst, found = self.odds.parting, 0
        for span in spans_s:
            index = span // step_s
            if index >= len(ring) or self.second - span < self.learnt:
                break
            rate = self._before(self.second - span)
            north_m, east_m = ring[-1 - index]
            north_m = self.north_m - north_m - span * rate.way.north
            east_m = self.east_m - east_m - span * rate.way.east
            spread = self._spread(span, rate)
            miss = (
                spread.east * north_m * north_m
                - 2.0 * spread.shared * north_m * east_m
                + spread.north * east_m * east_m
            ) / (spread.north * spread.east - spread.shared * spread.shared)
            if span < MINUTE_S:
                # A short span has more chances an hour to be out by accident.
                miss -= self.odds.short * log(MINUTE_S / span)
            if miss > worst and self._lasts(ring, index, rate, (north_m, east_m)):
                worst, found = miss, span
        if found:
            self._part(found, worst)

    def _lasts(
        self, ring: list[tuple[float, float]], index: int, rate: Rate, miss_m: tuple[float, float]
    ) -> bool:
        """Tell whether a miss was made in both halves of its span: a step of the position was not."""
        step_s = 1 if ring is self.seconds else TENS_S
        half = index // 2
        north_m, east_m = ring[-1 - half]
        north_m = self.north_m - north_m - half * step_s * rate.way.north
        east_m = self.east_m - east_m - half * step_s * rate.way.east
        north, east = miss_m
        share = (north_m * north + east_m * east) / (north * north + east * east)
        return BOTH_HALVES < share < 1.0 - BOTH_HALVES

    def _spread(self, span: int, rate: Rate) -> Covariance:
        """Return how far off the way made in a span may be, square metres."""
        noise = self.odds.noise_m * self.odds.noise_m * noise_gone(span)
        north, shared, east = self.noise.taken
        squared, doubt = span * span, rate.doubt
        wander = self._wander * (max(0, self.second - span - rate.second) + span / 3.0)
        return Covariance(
            noise * north + squared * (doubt.north + wander),
            noise * shared + squared * doubt.shared,
            noise * east + squared * (doubt.east + wander),
        )

    def _part(self, span: int, miss: float) -> None:
        """Take it that the apparent stream has been another since a span ago."""
        was, run = self._before(self.second - span), self._run_now
        # What was made in the second half is all of the new rate; the first may have begun before it set in.
        ring, step_s = (self.seconds, 1) if span <= MINUTE_S else (self.tens, TENS_S)
        half = span // step_s // 2
        north_m, east_m = ring[-1 - half]
        seconds = half * step_s
        rate = Way((self.north_m - north_m) / seconds, (self.east_m - east_m) / seconds)
        part = self.parting
        if part is not None and part.brought_back(rate, run):
            self.parting = None
        else:
            # What stood before the first change is what a second one may bring back.
            before = self._known(self.second - span).as_if(was, run) if part is None else part.before
            expected = expected_of(before, run)
            set_in = Way(round(rate.north - expected.north, 5), round(rate.east - expected.east, 5))
            unlike, onset, found = round(miss, 2), self.second - span, self.second
            if part is None or not part.known_better(onset, found, set_in, unlike):
                self.partings += 1
                self.parting = Parting(onset, found, before, unlike, *set_in, found, self.partings)
        self._relearn(rate, run, self._teaches(seconds))

    def _relearn(self, rate: Way, run: Way, variance: float) -> None:
        """Learn anew from now on: the stream, and what log and compass may now be out by."""
        new = (SET_IN_KN * KNOT) ** 2
        self.slow.doubt_stream(new)
        self.slow.doubt_witnesses(new / max(new, run.north * run.north + run.east * run.east))
        self.slow.learn(run, rate, variance)
        self._open()

    def _end(self, run: Way) -> None:
        """End a parting once the rate is what it was before; one that has stood for an hour stays unended."""
        part, unended, now = self.parting, self.unended, self.rates[-1].way
        if self.second < self.opened:
            return
        if unended is not None and unended.brought_back(now, run):
            self.unended = None
        if part is None:
            return
        if part.brought_back(now, run):
            self.parting = None
            # What was expected while it stood is held against nothing that is made now.
            self.rates, self.at_turn, self.learnt = self.rates[-1:], None, self.second
        elif self.second - part.found > KEPT_S:
            self.parting, self.unended = None, part

    # --- more than the sea can do ---------------------------------------------------------------------------

    def _straight(self, speed_kn: float, strongest_kn: float) -> None:
        odds = self.odds
        by_way = hypot(odds.log_part, hypot(odds.compass_part, odds.leeway_part)) * speed_kn
        self.most_kn = round(strongest_kn + 3.0 * hypot(by_way, odds.noise_m / MINUTE_S / KNOT), 6)
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
        if self.rough:
            rate = self.rates[-1]
            return self.most_kn + hypot(rate.way.north, rate.way.east) / KNOT
        return self.unseen

    def _say_unseen(self) -> None:
        rate = self.rates[-1]
        least = min(self._spread(span, rate).most / (span * span) for span in (*SHORT_S, *LONG_S))
        # To a hundred-thousandth of a knot: it is kept every few seconds, and must stay small.
        self.unseen = round((sqrt(self.odds.parting) + 1.28) * sqrt(least) / KNOT, 5)

    @property
    def restless(self) -> float:
        """This receiver's noise as a part of the one assumed, squared, on its worse axis."""
        return self.noise.most

    @property
    def minute(self) -> tuple[float, float] | None:
        """The apparent stream of the last minute, set (degrees true) and drift (kn); None before that."""
        if len(self.seconds) <= MINUTE_S:
            return None
        north_m, east_m = self.seconds[0]
        north_m, east_m = self.north_m - north_m, self.east_m - east_m
        return degrees(atan2(east_m, north_m)) % 360.0, hypot(north_m, east_m) / MINUTE_S / KNOT
