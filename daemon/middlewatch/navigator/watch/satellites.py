"""The satellite check, first form: how the satellite position and the reckoning stand to each other.

Nothing here is ever read by the reckoning; the check looks at both and says what it sees.
"""

from dataclasses import dataclass, field
from math import hypot

from middlewatch.navigator.reckoning.origin import DESIGN_STREAM_KN
from middlewatch.navigator.watch.receivers import (
    AGREES_AGAIN_MS,
    POSITION_FRESH_MS,
    Receiver,
    position_in,
)
from middlewatch.quantities.angles import direction_of
from middlewatch.quantities.lengths import METRES_PER_NM
from middlewatch.quantities.positions import Position, offset_m
from middlewatch.quantities.spreads import RADIUS_99
from middlewatch.readings.sentences import Satellite
from middlewatch.reports.satellite import SatelliteState

RECEIVER_GIVEN_UP_MS = 10_000
LOST_AFTER_MS = 60_000
WIDE_AFTER_MS = 10_000
CLEAR_AFTER_MS = 60_000
WARN_AFTER_MS = 60_000
CLEAR_BELOW = 0.7
FROZEN_AFTER_MS = 20_000
FROZEN_OVER_KN = 1.0
STILL_AFTER_MS = 300_000
STILL_M = 30.0
APPARENT_OVER_S = 60
ORDINARY_GROWTH_KN = 2.2
"""What the gap grows an hour, exceeded once in a hundred with a strongest stream of 1.5 kn (rough)."""

_PLANE_NM = 20.0  # so far a plane is good enough for the gap

Reasoned = tuple[SatelliteState, str | None]


@dataclass(slots=True)
class Since:
    """A condition that must last before it counts: when it began, and whether it counts."""

    began_ms: int | None = None
    on: bool = False

    def watch(self, now_ms: int, *, beyond: bool, below: bool, on_after_ms: int, off_after_ms: int) -> None:
        """Turn on after `beyond` has lasted, off after `below` has lasted."""
        turning = below if self.on else beyond
        if not turning:
            self.began_ms = None
            return
        if self.began_ms is None:
            self.began_ms = now_ms
        if now_ms - self.began_ms >= (off_after_ms if self.on else on_after_ms):
            self.on, self.began_ms = not self.on, None

    def pause(self) -> None:
        """Leave it as it is while nothing can be seen; what had begun must begin again."""
        self.began_ms = None


@dataclass(frozen=True, slots=True)
class Sight:
    """What the reckoning lends the check at a tick; `reckoned`: the run of this second is known."""

    ep: Position | None
    water_m: tuple[float, float]
    speed_kn: float | None
    reckoned: bool
    origin_sd_nm: float
    hours: float
    limit_nm: float
    strongest_stream_kn: float


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
    reason: str | None = "no receiver"
    reason_of: dict[str, str] = field(default_factory=dict)
    since_ms: int = 0  # 0: before the first tick
    gap_nm: float | None = None
    bearing_deg: float | None = None
    ordinary_gap_nm: float | None = None
    apparent: tuple[float, float] | None = None  # (set deg true, drift kn) over the last minute
    still: bool = False
    wide: Since = field(default_factory=Since)
    parted: Since = field(default_factory=Since)
    past: list[tuple[float, float, float, float]] = field(default_factory=list)
    lay_at: tuple[float, float, int] | None = None  # where the receiver has lain still, and since when (ms)
    logged_since_ms: int | None = None  # since when the log has been over 1 kn
    unreckoned_ms: int | None = None  # the last tick whose run was not known

    def hear(self, reading: Satellite, water_m: tuple[float, float], stream_kn: float) -> None:
        """Take what a receiver says; `water_m` is the run through the water so far."""
        self.heard = True
        if reading.utc_ms is not None:
            self.time = reading.at_ms, reading.utc_ms
        if not reading.gives_position:
            return
        name = f"{reading.source[:2]}@{reading.source.partition('@')[2]}"
        receiver, place = self.receivers.get(name), position_in(reading)
        if place is not None:
            self.last_position_ms = reading.at_ms
            if receiver is None:
                receiver = Receiver(name, *place, reading.at_ms, water_m, reading.at_ms)
                self.receivers[name] = receiver
        if receiver is not None:
            reckoned = self.unreckoned_ms is None or receiver.at_ms > self.unreckoned_ms
            receiver.hear(reading, water_m, stream_kn, reckoned=reckoned)

    def water_reworked(self, before_m: tuple[float, float], after_m: tuple[float, float]) -> None:
        """Take it that the run so far came out otherwise after an entry: nothing is concluded from that."""
        north_m, east_m = after_m[0] - before_m[0], after_m[1] - before_m[1]
        if not (north_m or east_m):
            return
        for receiver in self.receivers.values():
            receiver.water_m = receiver.water_m[0] + north_m, receiver.water_m[1] + east_m
        self.past = [
            (latitude, longitude, run_north_m + north_m, run_east_m + east_m)
            for latitude, longitude, run_north_m, run_east_m in self.past
        ]

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
        self._apparent(now_ms, receiver, sight)
        states = self._states(now_ms, receiver, sight)
        if states[0][0] != self.state or self.since_ms == 0:
            self.since_ms = now_ms
        self.state, self.reason = states[0]
        self.reason_of = {name: reason or "" for name, reason in states}
        self.also = tuple(name for name, _ in states[1:])

    def fresh(self, now_ms: int) -> Receiver | None:
        """Return the receiver that a departure may be ordered from: heard just now, in no doubt of itself."""
        receiver = self._receiver(now_ms)
        return receiver if receiver is not None and receiver.doubt(now_ms) is None else None

    def utc_now(self, now_ms: int) -> int | None:
        """Return the UTC (ms) that the newest full time heard makes of this moment; None without one."""
        if self.time is None or now_ms - self.time[0] > POSITION_FRESH_MS:
            return None
        return self.time[1] + now_ms - self.time[0]

    def lost(self, now_ms: int) -> bool:
        """Tell whether there has been no position for a minute after one had been heard."""
        return self.last_position_ms is not None and now_ms - self.last_position_ms >= LOST_AFTER_MS

    def _receiver(self, now_ms: int) -> Receiver | None:
        """Return the receiver looked at: the first that had a position, until it is silent for a while."""
        known = self.receivers.get(self.steering) if self.steering is not None else None
        if known is None or now_ms - known.at_ms > RECEIVER_GIVEN_UP_MS:
            alive = [name for name, each in self.receivers.items() if each.has_position(now_ms)]
            if alive:
                self.steering, known = alive[0], self.receivers[alive[0]]
                self.past.clear()
                self.lay_at = None
        return known if known is not None and known.has_position(now_ms) else None

    def _measure(self, receiver: Receiver | None, sight: Sight) -> None:
        self.ordinary_gap_nm = self.gap_nm = self.bearing_deg = None
        if sight.ep is None:
            return
        water = max(1.0, sight.strongest_stream_kn / DESIGN_STREAM_KN)
        self.ordinary_gap_nm = RADIUS_99 * sight.origin_sd_nm + ORDINARY_GROWTH_KN * sight.hours * water
        if receiver is None:
            return
        north_m, east_m = sight.ep.offset_to(receiver.position)
        self.gap_nm, self.bearing_deg = hypot(north_m, east_m) / METRES_PER_NM, direction_of(north_m, east_m)
        if self.gap_nm > _PLANE_NM:
            self.bearing_deg, self.gap_nm = sight.ep.to(receiver.position)

    def _apparent(self, now_ms: int, receiver: Receiver | None, sight: Sight) -> None:
        """Work what stream would make the log's run into the receiver's, over the last minute."""
        self.apparent, self.still = None, False
        if receiver is None:
            self.past.clear()
            self.lay_at = None
            return
        here = (receiver.latitude_deg, receiver.longitude_deg)
        self.past.append((*here, *sight.water_m))
        del self.past[: -1 - APPARENT_OVER_S]
        if len(self.past) > APPARENT_OVER_S:
            latitude, longitude, water_north, water_east = self.past[0]
            north_m, east_m = offset_m((latitude, longitude), here)
            north_m -= sight.water_m[0] - water_north
            east_m -= sight.water_m[1] - water_east
            kn = hypot(north_m, east_m) / METRES_PER_NM * 3600 / APPARENT_OVER_S
            self.apparent = direction_of(north_m, east_m), kn
        if self.lay_at is None or hypot(*offset_m(self.lay_at[:2], here)) > STILL_M:
            self.lay_at = (*here, now_ms)
        self.still = now_ms - self.lay_at[2] >= STILL_AFTER_MS

    def _states(self, now_ms: int, receiver: Receiver | None, sight: Sight) -> list[Reasoned]:
        """List the states that hold, in the order of INTERFACE, each with its reason; never empty."""
        if receiver is None or sight.ep is None or self.gap_nm is None:
            self._see_nothing(sight)
            no_position = "no position" if self.heard else "no receiver"
            return [("none", no_position if receiver is None else "no reckoning")]
        states: list[Reasoned] = []
        doubt = receiver.doubt(now_ms)
        if doubt is not None:
            states.append(("doubtful", doubt))
        frozen_ms = self._frozen_ms(now_ms, receiver)
        if frozen_ms >= FROZEN_AFTER_MS:
            states.append(("frozen", f"the same digits for {frozen_ms // 1000} s with the log over 1 kn"))
        if receiver.jumped_ms is not None and now_ms - receiver.jumped_ms < AGREES_AGAIN_MS:
            words = f"{receiver.jump_nm:.2f} nm between two positions, beyond what the log ran"
            states.append(("jumped", words))
        self._widen(now_ms, self.gap_nm, sight)
        if self.wide.on:
            states.append(("wide", f"past the limit of {sight.limit_nm:.2f} nm"))
        return states or [("in_step", None)]

    def _frozen_ms(self, now_ms: int, receiver: Receiver) -> int:
        """Return for how long the digits have stood while the log showed way."""
        if self.logged_since_ms is None:
            return 0
        return now_ms - max(receiver.digits_since_ms, self.logged_since_ms)

    def _see_nothing(self, sight: Sight) -> None:
        """Keep a gap wide through a silence: a position that comes back as far off is not in step."""
        if sight.ep is None:
            self.wide, self.parted = Since(), Since()
        self.wide.pause()
        self.parted.pause()

    def _widen(self, now_ms: int, gap_nm: float, sight: Sight) -> None:
        self.wide.watch(
            now_ms,
            beyond=gap_nm > sight.limit_nm,
            below=gap_nm < CLEAR_BELOW * sight.limit_nm,
            on_after_ms=WIDE_AFTER_MS,
            off_after_ms=CLEAR_AFTER_MS,
        )
        bound_nm = max(sight.limit_nm, self.ordinary_gap_nm or 0.0)
        self.parted.watch(
            now_ms,
            beyond=gap_nm > bound_nm,
            below=gap_nm < CLEAR_BELOW * bound_nm,
            on_after_ms=WARN_AFTER_MS,
            off_after_ms=CLEAR_AFTER_MS,
        )
