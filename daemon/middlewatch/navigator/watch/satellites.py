"""The satellite check: how the satellite position and the reckoning stand to each other.

Nothing here is ever read by the reckoning; the check looks at both and says what it sees.
"""

from dataclasses import dataclass, field
from math import hypot
from typing import NamedTuple

from middlewatch.navigator.reckoning.course import Course
from middlewatch.navigator.reckoning.sources import MOST_SOURCES
from middlewatch.navigator.watch import doubts
from middlewatch.navigator.watch.agreed import Agreed
from middlewatch.navigator.watch.amiss import BLAMED, PARTING, amiss
from middlewatch.navigator.watch.brought_up import BroughtUp
from middlewatch.navigator.watch.drawn import Drawn, Moves, summed
from middlewatch.navigator.watch.gap import Bounds, Gap
from middlewatch.navigator.watch.lasting import Since
from middlewatch.navigator.watch.left import Leaving, Left
from middlewatch.navigator.watch.pull import Moved, Pull
from middlewatch.navigator.watch.quarantine import BEYOND_THE_SEA, FURTHER_OFF, LIKELIEST, Quarantine
from middlewatch.navigator.watch.recalibrated import Before, before
from middlewatch.navigator.watch.receiver_noise import ReceiverNoise
from middlewatch.navigator.watch.receivers import POSITION_FRESH_MS, Receiver, position_in
from middlewatch.navigator.watch.shifts import Shifts
from middlewatch.navigator.watch.sight import Sight
from middlewatch.navigator.watch.spells import Spells
from middlewatch.navigator.watch.swung import Swung
from middlewatch.navigator.watch.turned import Turned
from middlewatch.quantities.angles import direction_of, unit
from middlewatch.quantities.instants import MS_PER_SECOND
from middlewatch.quantities.lengths import METRES_PER_NM, METRES_PER_SECOND_PER_KNOT
from middlewatch.quantities.positions import offset_m
from middlewatch.readings.sentences import Satellite
from middlewatch.reports.satellite import CauseReport, SatelliteState

RECEIVER_GIVEN_UP_MS = 10_000
LOST_AFTER_MS = 60_000
FROZEN_AFTER_MS = 20_000
FROZEN_OVER_KN = 1.0
STILL_AFTER_MS = 300_000
STILL_M = 30.0
AREA_EVERY_S = 5
"""So often the position is held against the outline of the area, which takes its time."""
BETRAYED_MS = 45 * 60_000
_PLANE_NM = 20.0  # so far a plane is good enough for the gap

Reasons = dict[SatelliteState, str]
"""The states that hold, in the order of INTERFACE, each with its reason (empty: it needs none)."""


class Betrayed(NamedTuple):
    """What a receiver showed of itself, when (ms), and how wide the gap was that it made, nm."""

    word: SatelliteState
    at_ms: int
    gap_nm: float


@dataclass(slots=True)
class Check:
    """The satellite check's own state."""

    receivers: dict[str, Receiver] = field(default_factory=dict)
    steering: str | None = None
    heard: bool = False
    last_position_ms: int | None = None
    time: tuple[int, int] | None = None  # (scale ms, UTC ms) of the newest full time heard
    state: SatelliteState = "none"
    also: tuple[SatelliteState, ...] = ()
    reason_of: Reasons = field(default_factory=lambda: {"none": "no receiver"})
    since_ms: int = 0  # 0: before the first tick
    gap_nm: float | None = None
    bearing_deg: float | None = None
    ordinary_gap_nm: float | None = None
    apparent: tuple[float, float] | None = None  # (set deg true, drift kn) over the last minute
    unseen_pull_kn: float | None = None
    still: bool = False
    gap: Gap = field(default_factory=Gap)
    outside: bool = False  # whether the position was outside the area when it was last looked at
    pull: Pull = field(default_factory=Pull)
    unended_ms: int | None = None  # when a parting had stood for its hour without an end
    drawn: Drawn = field(default_factory=Drawn)
    quarrel: Since = field(default_factory=Since)
    racing: Since = field(default_factory=Since)
    turned: Turned = field(default_factory=Turned)
    swung: Swung = field(default_factory=Swung)
    brought_up: BroughtUp = field(default_factory=BroughtUp)
    lay_at: tuple[float, float, int] | None = None  # where the receiver has lain still, and since when (ms)
    logged_since_ms: int | None = None  # since when the log has been over 1 kn
    steering_ms: int = 0  # since when the receiver that steers is looked at
    unreckoned_ms: int | None = None  # the last tick whose run was not known
    spells: Spells = field(default_factory=Spells)
    shifts: Shifts = field(default_factory=Shifts)
    agreed: Agreed = field(default_factory=Agreed)
    leaving: Leaving = field(default_factory=Leaving)
    betrayed: Betrayed | None = None  # what the receiver itself showed, while the gap it made is there
    quarantine: Quarantine = field(default_factory=Quarantine)
    recalibrated: Before | None = None  # what was before log or compass was calibrated last
    causes: tuple[CauseReport, ...] = ()  # the likeliest first, while something stands

    def hear(self, reading: Satellite, water_m: tuple[float, float], stream_kn: float) -> None:
        """Take what a receiver says; `water_m` is the run through the water so far."""
        self.heard = True
        if reading.utc_ms is not None:
            self.time = reading.at_ms, reading.utc_ms
        name = f"{reading.source[:2]}@{reading.source.partition('@')[2]}"
        receiver, place = self.receivers.get(name), position_in(reading)
        if not reading.gives_position:
            if receiver is not None:
                receiver.hear_beside(reading)
            return
        if place is not None:
            self.last_position_ms = reading.at_ms
            if receiver is None:
                self._make_room()
                receiver = Receiver(name, *place, reading.at_ms, water_m, reading.at_ms)
                self.receivers[name] = receiver
        if receiver is not None:
            reckoned = self.unreckoned_ms is None or receiver.at_ms > self.unreckoned_ms
            receiver.hear(reading, water_m, stream_kn, reckoned=reckoned)

    def _make_room(self) -> None:
        """Forget the receiver that has been silent longest, where there are more than a boat has."""
        if len(self.receivers) >= MOST_SOURCES:
            others = (name for name in self.receivers if name != self.steering)
            del self.receivers[min(others, key=lambda name: self.receivers[name].at_ms)]

    def open_by(self, kn: float) -> None:
        """Take it that the apparent stream may be another from now on, by so much an axis (1 sigma)."""
        if self.pull.began:
            self.pull.open_by(kn * METRES_PER_SECOND_PER_KNOT)

    def calibrated(self, second: int, was: Course, *, explained: bool) -> None:
        """Take it that log or compass counts otherwise from a second on: nothing before can be compared.

        `was`: the course before it. What stands of the satellites is not dismissed by that, but a parting of
        which a trial has shown that it is log's and compass's (`explained`).
        """
        # Of two calibrations that follow each other, what was before both is what they are weighed against.
        self.recalibrated = before(self.spells.kept, second, was) or self.recalibrated
        self.drawn, self.spells = Drawn(), Spells()
        if amiss(self, excused=PARTING if explained else frozenset()) is None:
            self.pull = Pull()

    def water_reworked(self, before_m: tuple[float, float], after_m: tuple[float, float]) -> None:
        """Take it that the run so far came out otherwise after an entry: nothing is concluded from that."""
        north_m, east_m = after_m[0] - before_m[0], after_m[1] - before_m[1]
        if not (north_m or east_m):
            return
        for receiver in self.receivers.values():
            receiver.water_m = receiver.water_m[0] + north_m, receiver.water_m[1] + east_m
        self.drawn.water_reworked(north_m, east_m)
        self.spells.begin_anew()

    def tick(self, now_ms: int, sight: Sight) -> None:
        """Look at both and set the state."""
        if not sight.reckoned:
            self.unreckoned_ms = now_ms
        if sight.speed_kn is None or sight.speed_kn <= FROZEN_OVER_KN:
            self.logged_since_ms = None
        elif self.logged_since_ms is None:
            self.logged_since_ms = now_ms
        receiver = self._receiver(now_ms)
        self._measure(receiver, sight)
        self._draw(now_ms, receiver, sight)
        states = self._returning(now_ms, receiver, sight, self._states(now_ms, receiver, sight))
        self._remember(now_ms, receiver, sight, states)
        state, *also = states
        if state != self.state or self.since_ms == 0:
            self.since_ms = now_ms
        self.state, self.also = state, tuple(also)
        self.reason_of = states
        second = now_ms // MS_PER_SECOND
        if amiss(self, excused=PARTING) is not None:
            self.agreed.doubted = second
        if self.pull.parting is not None:
            over = self.agreed.part(second - (self.pull.second - self.pull.parting.onset), second)
            if over is not None:
                # What came and went is no part of the change that has set in now.
                self.spells.leave_out_between(*over)
        self.leaving.tick(second, self.pull)

    def fresh(self, now_ms: int) -> Receiver | None:
        """Return the receiver that a departure may be ordered from: heard just now, in no doubt of itself."""
        receiver = self._receiver(now_ms)
        return receiver if receiver is not None and receiver.doubt(now_ms) is None else None

    def held_against(self, receiver: Receiver, now_ms: int) -> str | None:
        """Return what is held against a receiver though nothing may be reckoned, in words; None: nothing."""
        if receiver.has_jumped(now_ms):
            return f"the satellite position has just jumped by {receiver.jump_nm:.2f} nm"
        if self._frozen_ms(now_ms, receiver) >= FROZEN_AFTER_MS:
            return "the digits of the satellite position stand while the log is over 1 kn"
        farthest, off_nm = doubts.farthest(self, receiver, now_ms)
        if off_nm > doubts.RECEIVERS_APART_NM:
            return f"{farthest} has her {off_nm:.2f} nm from there: two receivers that disagree"
        parting = self.pull.parting
        return None if parting is None else f"the satellites are parting: {parting.words}"

    def utc_now(self, now_ms: int) -> int | None:
        """Return the UTC (ms) that the newest full time heard makes of this moment; None without one."""
        if self.time is None or now_ms - self.time[0] > POSITION_FRESH_MS:
            return None
        return self.time[1] + now_ms - self.time[0]

    def lost(self, now_ms: int) -> bool:
        """Tell whether there has been no position for a minute after one had been heard."""
        return self.last_position_ms is not None and now_ms - self.last_position_ms >= LOST_AFTER_MS

    def silent(self, now_ms: int) -> bool:
        """Tell whether no position is heard just now, and not for so long that it is lost."""
        heard = any(each.has_position(now_ms) for each in self.receivers.values())
        return bool(self.receivers) and not heard and not self.lost(now_ms)

    def _receiver(self, now_ms: int) -> Receiver | None:
        """Return the receiver looked at: the first that had a position, until it is silent for a while."""
        known = self.receivers.get(self.steering) if self.steering is not None else None
        if known is None or now_ms - known.at_ms > RECEIVER_GIVEN_UP_MS:
            alive = [name for name, each in self.receivers.items() if each.has_position(now_ms)]
            if alive and alive[0] != self.steering:
                # Another receiver: how it stood to the run before is not known, nor how restless it is. A
                # parting stands until the new one shows that it is over: it may hear the same satellites.
                self.steering, known = alive[0], self.receivers[alive[0]]
                self.steering_ms = now_ms
                self.drawn, self.pull.noise = Drawn(), ReceiverNoise()
                self.lay_at = None
        return known if known is not None and known.has_position(now_ms) else None

    def _measure(self, receiver: Receiver | None, sight: Sight) -> None:
        self.ordinary_gap_nm = self.gap_nm = self.bearing_deg = None
        if sight.ep is None or sight.waiting:
            return
        self.ordinary_gap_nm = sight.ordinary_gap_nm()
        if receiver is None:
            return
        here = sight.ep.latitude_deg, sight.ep.longitude_deg
        north_m, east_m = offset_m(here, receiver.place)
        self.gap_nm, self.bearing_deg = hypot(north_m, east_m) / METRES_PER_NM, direction_of(north_m, east_m)
        if self.gap_nm > _PLANE_NM:
            self.bearing_deg, self.gap_nm = sight.ep.to(receiver.position)

    def _draw(self, now_ms: int, receiver: Receiver | None, sight: Sight) -> None:
        """Hold the receiver's way of this second against the run, and let the pull test look at it."""
        self.pull.odds = sight.odds
        steers = sight.heading_deg is not None and sight.speed_kn is not None
        # What is not held against the receiver goes as the slow stream does.
        expected = self.pull.rates[-1].way if self.pull.began else (0.0, 0.0)
        comparable = sight.reckoned and sight.sailing and steers
        moves = self.drawn.moves(receiver, expected, comparable=comparable)
        self._spell(now_ms, moves, sight)
        suspected = self._suspected(now_ms, sight, _beyond_mps(moves, expected))
        if moves is None:
            self.pull.begin(sight.strongest_stream_kn)
            self.pull.over = 0
        elif suspected:
            moves = [expected] * len(moves)
        for north_m, east_m in moves or ():
            self.pull.tick(
                Moved(
                    north_m,
                    east_m,
                    sight.heading_deg or 0.0,
                    sight.speed_kn or 0.0,
                    sight.strongest_stream_kn,
                    sight.rough,
                )
            )
        followed = receiver is not None and moves is not None
        if self.pull.unended is None:
            self.unended_ms = None
        elif self.unended_ms is None:
            self.unended_ms = now_ms
        self.apparent = self.pull.minute if followed else None
        self.unseen_pull_kn = self.pull.unseen_kn if followed else None
        self._lie(now_ms, receiver)

    def _spell(self, now_ms: int, moves: Moves | None, sight: Sight) -> None:
        """Keep how the receiver moved, and with what it goes; digits that stand tell of nothing else."""
        if self.state == "frozen" or "frozen" in self.also:
            moves = None
            self.spells.leave_out(FROZEN_AFTER_MS // MS_PER_SECOND)
        self.spells.tick(now_ms // MS_PER_SECOND, moves, sight)
        self.shifts.tick(sight.ep, sight.ep_run_m, self.gap_nm, sight.ep_sd_nm, sight.newest_entry)

    def _suspected(self, now_ms: int, sight: Sight, beyond_mps: complex) -> bool:
        """Tell whether heading or log is to be suspected for what the satellites do in this second."""
        speed_kn, ahead = sight.speed_kn or 0.0, complex(*unit(sight.heading_deg or 0.0))
        swung = self.swung.suspected(speed_kn * ahead)
        # While the state is open another stream is to be learnt, and nothing is concluded anyway.
        opened = self.pull.second < self.pull.opened
        along_kn = (beyond_mps * ahead.conjugate()).real / METRES_PER_SECOND_PER_KNOT
        backs = self.brought_up.may_back(now_ms, speed_kn, by_order=sight.manoeuvring, along_kn=along_kn)
        return backs or (swung and not opened)

    def _lie(self, now_ms: int, receiver: Receiver | None) -> None:
        """See for how long the receiver has lain still."""
        self.still = False
        if receiver is None:
            self.lay_at = None
            return
        here = receiver.place
        if self.lay_at is None or hypot(*offset_m(self.lay_at[:2], here)) > STILL_M:
            self.lay_at = (*here, now_ms)
        self.still = now_ms - self.lay_at[2] >= STILL_AFTER_MS

    def _states(self, now_ms: int, receiver: Receiver | None, sight: Sight) -> Reasons:
        """Return the states that hold; never empty."""
        if receiver is None or sight.ep is None or self.gap_nm is None:
            self.gap.see_nothing(reckoned=sight.ep is not None)
            no_position = "no position" if self.heard else "no receiver"
            return {"none": no_position if receiver is None else "no reckoning"}
        states: Reasons = {}
        doubt = receiver.doubt(now_ms) or doubts.against(self, receiver, sight, now_ms)
        if doubt is not None:
            states["doubtful"] = doubt
        frozen_ms = self._frozen_ms(now_ms, receiver)
        if frozen_ms >= FROZEN_AFTER_MS:
            states["frozen"] = f"the same digits for {frozen_ms // 1000} s with the log over 1 kn"
        if receiver.has_jumped(now_ms):
            states["jumped"] = f"{receiver.jump_nm:.2f} nm between two positions, beyond what the log ran"
        if self.pull.parting is not None:
            states["parting"] = self.pull.parting.words
        self._hold_against(now_ms, self.gap_nm, receiver, sight)
        if self.gap.apart.on:
            states["apart"] = "outside the area that holds the boat 95 times in 100"
        if self.gap.wide.on:
            states["wide"] = f"past the limit of {sight.limit_nm:.2f} nm"
        return states or {"in_step": ""}

    def _hold_against(self, now_ms: int, gap_nm: float, receiver: Receiver, sight: Sight) -> None:
        """Hold the gap against the limit and what is ordinary, now and then the place against the area."""
        shifted = self.shifts.moved
        if shifted or now_ms // MS_PER_SECOND % AREA_EVERY_S == 0:
            self.outside = sight.area is not None and not sight.area.outline.holds(*receiver.place)
        bounds = Bounds(sight.limit_nm, self.ordinary_gap_nm, sight.odds.gap_factor)
        self.gap.tick(now_ms, gap_nm, bounds, outside=self.outside, shifted=shifted)

    def _betray(self, now_ms: int, states: Reasons, receiver: Receiver | None) -> None:
        """Remember a jump or a freeze while the gap that it made is there."""
        if "frozen" in states:
            self.betrayed = Betrayed("frozen", now_ms, self.gap_nm or 0.0)
        elif "jumped" in states and receiver is not None and receiver.jumped_ms is not None:
            self.betrayed = Betrayed("jumped", receiver.jumped_ms, receiver.jump_nm)
        held = self.betrayed
        if held is not None and self.gap_nm is not None:
            over = now_ms - held.at_ms > BETRAYED_MS or self.gap_nm < 0.5 * held.gap_nm
            self.betrayed = None if over and held.word not in states else held

    def _returning(self, now_ms: int, receiver: Receiver | None, sight: Sight, states: Reasons) -> Reasons:
        """Put satellites that come back into quarantine, and keep them there."""
        self._betray(now_ms, states, receiver)
        agrees = "in_step" in states and self.pull.unended is None
        lied = self._lied(now_ms, receiver, states, sight)
        heard = receiver is not None and self.gap_nm is not None
        parting = "parting" in states
        self.quarantine.tick(now_ms, lied, heard=heard, agrees=agrees, parting=parting)
        # Where nothing else shows, what is held against them is not to be read as being in step.
        held = lied is not None and "in_step" in states
        if not heard or not (self.quarantine.returning or held):
            return states
        others: Reasons = {name: reason for name, reason in states.items() if name != "in_step"}
        return {"returning": self.quarantine.words(now_ms), **others}

    def _lied(self, now_ms: int, receiver: Receiver | None, states: Reasons, sight: Sight) -> str | None:
        """Return what puts the satellites into quarantine now, in words."""
        if sight.ep is None:
            return None
        if self.lost(now_ms):
            return "no position for a minute"
        if "frozen" in states:
            return "a position that froze"
        if "jumped" in states:
            return "a position that jumped"
        if receiver is not None and doubts.the_one_before(self, receiver, sight, now_ms) is not None:
            return "one receiver took over from another that had her elsewhere"
        if self.pull.beyond_the_sea:
            return BEYOND_THE_SEA
        if self.gap.parted.on or self.gap.growing:
            return FURTHER_OFF
        if "in_step" in states or "none" in states:
            return None
        if not self.causes:
            # Until the causes are weighed again, after a silence or another change, it is as it was.
            return LIKELIEST if self.quarantine.why == LIKELIEST else None
        first = self.causes[0]
        return LIKELIEST if first.cause == "satellite" and first.weight > BLAMED else None

    def _remember(self, now_ms: int, receiver: Receiver | None, sight: Sight, states: Reasons) -> None:
        """Note how they stand, for the last agreement and for lines of the past."""
        in_step = "in_step" in states and self.pull.unended is None
        if self.agreed.is_due(now_ms):
            place = None if receiver is None or sight.waiting else receiver.position
            self.agreed.tick(now_ms, place, self.ordinary_gap_nm, in_step=in_step)
        if in_step:
            self.agreed.settle()

    def left(self, origin_second: int) -> Left | None:
        """Return what partings that are over have left in the gap, counted from an origin of a second.

        None where it is not there any more, or the origin is newer, or the satellites were trusted since.
        """
        left = self.leaving.left
        if left is None or self.gap_nm is None or self.bearing_deg is None:
            return None
        newest = max(origin_second, self.quarantine.trusted_ms // MS_PER_SECOND)
        there = left.is_there(self.gap_nm, self.bearing_deg)
        return left if there and newest <= left.until else None

    @property
    def reason(self) -> str | None:
        """Why the state holds, in words; None where it needs none."""
        return self.reason_of[self.state] or None

    @property
    def suspect(self) -> bool:
        """Whether something stands that is to be weighed: a state, or a change that never ended."""
        return self.state not in {"none", "in_step"} or self.pull.unended is not None

    def _frozen_ms(self, now_ms: int, receiver: Receiver) -> int:
        """Return for how long the digits have stood while the log showed way."""
        if self.logged_since_ms is None:
            return 0
        return now_ms - max(receiver.digits_since_ms, self.logged_since_ms)


def _beyond_mps(moves: Moves | None, expected: tuple[float, float]) -> complex:
    """Return how a receiver moved beyond the run and the slow stream, m/s, north + east j."""
    if not moves:
        return 0j
    return complex(*summed(moves)) / len(moves) - complex(*expected)
