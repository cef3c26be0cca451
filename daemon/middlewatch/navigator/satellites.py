"""The satellite check, first form: how the satellite position and the reckoning stand to each other.

Nothing here is ever read by the reckoning; the check looks at both and says what it sees.
"""

from dataclasses import dataclass, field
from math import hypot

from middlewatch.navigator.origin import DESIGN_STREAM_KN
from middlewatch.quantities.angles import direction_of
from middlewatch.quantities.lengths import METRES_PER_NM
from middlewatch.quantities.positions import Position
from middlewatch.quantities.spreads import RADIUS_99
from middlewatch.readings.sentences import Satellite, Word
from middlewatch.reports.satellite import SatelliteState

POSITION_FRESH_MS = 5_000
RECEIVER_GIVEN_UP_MS = 10_000
LOST_AFTER_MS = 60_000
WIDE_AFTER_MS = 10_000
CLEAR_AFTER_MS = 60_000
WARN_AFTER_MS = 60_000
CLEAR_BELOW = 0.7
JUMP_M = 0.1 * METRES_PER_NM
AGREES_AGAIN_MS = 60_000
FROZEN_AFTER_MS = 20_000
FROZEN_OVER_KN = 1.0
STILL_AFTER_MS = 300_000
STILL_M = 30.0
APPARENT_OVER_S = 60
ORDINARY_GROWTH_KN = 2.2
"""Gap growing an hour that is exceeded once in a hundred with a strongest stream of 1.5 kn (rough: the design, 7)."""


@dataclass(slots=True)
class Receiver:
    """One receiver's last position, since when its digits stand, and until when a jump is held against it."""

    latitude_deg: float
    longitude_deg: float
    at_ms: int
    word: Word
    caution: bool
    water_m: tuple[float, float]
    digits_since_ms: int
    jumped_ms: int | None = None
    jump_nm: float = 0.0


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


@dataclass(frozen=True, slots=True)
class Sight:
    """What the reckoning lends the check at a tick."""

    ep: Position | None
    water_m: tuple[float, float]
    speed_kn: float | None
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
    since_ms: int = 0
    gap_nm: float | None = None
    bearing_deg: float | None = None
    ordinary_gap_nm: float | None = None
    apparent: tuple[float, float] | None = None  # (set deg true, drift kn) over the last minute
    still: bool = False
    wide: Since = field(default_factory=Since)
    parted: Since = field(default_factory=Since)
    past: list[tuple[float, float, float, float]] = field(default_factory=list)
    lay_at: tuple[float, float, int] | None = None  # where the receiver has lain still, and since when (ms)

    def hear(self, reading: Satellite, water_m: tuple[float, float], stream_kn: float) -> None:
        """Take what a receiver says; `water_m` is the run through the water so far."""
        self.heard = True
        if reading.utc_ms is not None:
            self.time = reading.at_ms, reading.utc_ms
        if not reading.gives_position:
            return
        name = f"{reading.source[:2]}@{reading.source.partition('@')[2]}"
        receiver = self.receivers.get(name)
        if reading.latitude_deg is None or reading.longitude_deg is None:
            if receiver is not None:
                receiver.word = Word.NONE
            return
        self.last_position_ms = reading.at_ms
        if receiver is None:
            self.receivers[name] = Receiver(
                reading.latitude_deg, reading.longitude_deg, reading.at_ms, reading.word, reading.caution, water_m,
                reading.at_ms,
            )  # fmt: skip
            return
        self._compare(receiver, reading, water_m, stream_kn)

    def _compare(
        self, receiver: Receiver, reading: Satellite, water_m: tuple[float, float], stream_kn: float
    ) -> None:
        """Hold a receiver's new position against its last and the log's run between."""
        latitude, longitude = reading.latitude_deg or 0.0, reading.longitude_deg or 0.0
        if (latitude, longitude) != (receiver.latitude_deg, receiver.longitude_deg):
            seconds = (reading.at_ms - receiver.at_ms) / 1000
            north_m, east_m = _offset_m(receiver.latitude_deg, receiver.longitude_deg, latitude, longitude)
            unexplained_m = hypot(
                north_m - (water_m[0] - receiver.water_m[0]), east_m - (water_m[1] - receiver.water_m[1])
            )
            if unexplained_m > JUMP_M + stream_kn * METRES_PER_NM / 3600 * seconds:
                receiver.jumped_ms, receiver.jump_nm = reading.at_ms, unexplained_m / METRES_PER_NM
            receiver.digits_since_ms = reading.at_ms
            receiver.latitude_deg, receiver.longitude_deg = latitude, longitude
            receiver.water_m = water_m
        receiver.at_ms = reading.at_ms
        # GLL and old RMC carry no word of their own: the last word of the same receiver stands.
        if reading.word is not Word.UNSAID:
            receiver.word = reading.word
        receiver.caution = reading.caution

    def tick(self, now_ms: int, sight: Sight) -> None:
        """Look at both and set the state."""
        receiver = self._receiver(now_ms)
        self._measure(receiver, sight)
        self._apparent(now_ms, receiver, sight)
        states = list(self._states(now_ms, receiver, sight))
        state: SatelliteState = states[0][0]
        if state != self.state:
            self.since_ms = now_ms
        self.state, self.reason = states[0]
        self.reason_of = {name: reason or "" for name, reason in states}
        self.also = tuple(name for name, _ in states[1:] if name != "in_step")

    def fresh(self, now_ms: int) -> Receiver | None:
        """Return the receiver whose position may be ordered as a departure: heard just now, in no doubt of itself."""
        receiver = self._receiver(now_ms)
        return receiver if receiver is not None and receiver.word in (Word.GOOD, Word.UNSAID) else None

    def utc_now(self, now_ms: int) -> int | None:
        """Return the UTC (ms) that a receiver's newest full time makes of this moment; None where none is fresh."""
        if self.time is None or now_ms - self.time[0] > POSITION_FRESH_MS:
            return None
        return self.time[1] + now_ms - self.time[0]

    def lost(self, now_ms: int) -> bool:
        """Tell whether there has been no position for a minute after one had been heard."""
        return self.last_position_ms is not None and now_ms - self.last_position_ms >= LOST_AFTER_MS

    def _receiver(self, now_ms: int) -> Receiver | None:
        """Return the receiver looked at: the first that had a position, until it has been silent for a while."""
        known = self.receivers.get(self.steering) if self.steering is not None else None
        if known is None or now_ms - known.at_ms > RECEIVER_GIVEN_UP_MS:
            alive = [n for n, r in self.receivers.items() if now_ms - r.at_ms <= POSITION_FRESH_MS]
            if alive and self.steering not in alive:
                self.steering = alive[0]
                self.past.clear()
            known = self.receivers.get(self.steering) if self.steering is not None else None
        if known is None or now_ms - known.at_ms > POSITION_FRESH_MS or known.word is Word.NONE:
            return None
        return known

    def _measure(self, receiver: Receiver | None, sight: Sight) -> None:
        self.ordinary_gap_nm = self.gap_nm = self.bearing_deg = None
        if sight.ep is None:
            return
        water = max(1.0, sight.strongest_stream_kn / DESIGN_STREAM_KN)
        self.ordinary_gap_nm = RADIUS_99 * sight.origin_sd_nm + ORDINARY_GROWTH_KN * sight.hours * water
        if receiver is None:
            return
        north_m, east_m = _offset_m(
            sight.ep.latitude_deg, sight.ep.longitude_deg, receiver.latitude_deg, receiver.longitude_deg
        )
        if hypot(north_m, east_m) < 20 * METRES_PER_NM:
            self.gap_nm, self.bearing_deg = hypot(north_m, east_m) / METRES_PER_NM, direction_of(north_m, east_m)
        else:  # a receiver led far astray: the plane is too small for it
            self.bearing_deg, self.gap_nm = sight.ep.to(Position(receiver.latitude_deg, receiver.longitude_deg))

    def _apparent(self, now_ms: int, receiver: Receiver | None, sight: Sight) -> None:
        """What stream would make the log's run into the receiver's, over the last minute."""
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
            north_m, east_m = _offset_m(latitude, longitude, *here)
            north_m -= sight.water_m[0] - water_north
            east_m -= sight.water_m[1] - water_east
            kn = hypot(north_m, east_m) / METRES_PER_NM * 3600 / APPARENT_OVER_S
            self.apparent = direction_of(north_m, east_m), kn
        if self.lay_at is None or hypot(*_offset_m(*self.lay_at[:2], *here)) > STILL_M:
            self.lay_at = (*here, now_ms)
        self.still = now_ms - self.lay_at[2] >= STILL_AFTER_MS

    def _states(
        self, now_ms: int, receiver: Receiver | None, sight: Sight
    ) -> list[tuple[SatelliteState, str | None]]:
        """List the states that hold, in the order of INTERFACE, each with its reason; never empty."""
        if receiver is None or sight.ep is None or self.gap_nm is None:
            self.wide, self.parted = Since(), Since()
            reason = "no receiver" if not self.heard else "no position" if receiver is None else "no reckoning"
            return [("none", reason)]
        states: list[tuple[SatelliteState, str | None]] = []
        if receiver.word not in (Word.GOOD, Word.UNSAID):
            states.append(("doubtful", f"the receiver itself says its position is {receiver.word.value}"))
        elif receiver.caution:
            states.append(("doubtful", "the receiver itself says caution"))
        underway = sight.speed_kn is not None and sight.speed_kn > FROZEN_OVER_KN
        stood_ms = now_ms - receiver.digits_since_ms
        if underway and stood_ms >= FROZEN_AFTER_MS:
            states.append(("frozen", f"the same digits for {stood_ms // 1000} s with the log over 1 kn"))
        if receiver.jumped_ms is not None and now_ms - receiver.jumped_ms < AGREES_AGAIN_MS:
            states.append(("jumped", f"{receiver.jump_nm:.2f} nm between two positions, beyond what the log ran"))
        self._widen(now_ms, self.gap_nm, sight)
        if self.wide.on:
            states.append(("wide", f"past the limit of {sight.limit_nm:.2f} nm"))
        return states or [("in_step", None)]

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


def _offset_m(
    latitude_deg: float, longitude_deg: float, to_latitude_deg: float, to_longitude_deg: float
) -> tuple[float, float]:
    return Position(latitude_deg, longitude_deg).offset_to(Position(to_latitude_deg, to_longitude_deg))
