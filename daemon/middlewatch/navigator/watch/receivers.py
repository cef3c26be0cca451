"""Satellite receivers as they are heard: where each says it is, its word for that, and whether it jumped."""

from dataclasses import dataclass, field
from math import hypot

from middlewatch.navigator.watch.receiver_time import ReceiverTime
from middlewatch.navigator.watch.smoothness import Smoothness
from middlewatch.quantities.lengths import METRES_PER_NM
from middlewatch.quantities.positions import Position, offset_m
from middlewatch.readings.sentences import Satellite, Word

POSITION_FRESH_MS = 5_000
AGREES_AGAIN_MS = 60_000
"""A jump is held against a receiver until its positions have agreed for so long."""

FEWEST = 4
"""Satellites for latitude, longitude, height and time (any textbook)."""

COARSEST_M = 0.02 * METRES_PER_NM
"""Over it, one standard deviation, the receiver itself calls its position coarse (common practice)."""
ERRORS_FRESH_MS = 30_000
"""So long what a receiver said of its errors is held against it."""

COARSEST_HDOP = 5.0
"""Over it a position is good to some 0.02 nm at best (common practice)."""

_CONTENT = Word.GOOD, Word.UNSAID

_JUMP_M = 0.095 * METRES_PER_NM
"""A tenth of a mile as it is rounded."""
# What log and leeway may be wrong by, as a part of the run (judgement: 5 % and 5 degrees).
_RUN_PART = 0.1
# Where heading or log is not known, nothing is a jump that a small craft could run (judgement).
_UNRECKONED_KN = 15.0


@dataclass(frozen=True, slots=True)
class Told:
    """The newest sentence of one kind: its position (None: it says there is none) and its word for it."""

    at_ms: int
    position: tuple[float, float] | None
    word: Word
    caution: bool
    satellites: int | None = None
    hdop: float | None = None

    def stands(self, now_ms: int) -> bool:
        """Return whether it gives a position, and was heard just now."""
        return self.position is not None and now_ms - self.at_ms <= POSITION_FRESH_MS


@dataclass(slots=True)
class Receiver:
    """One receiver, told apart by talker and input; `water_m` is the run through the water at its position.

    Its sentences round differently, so digits are compared between sentences of one kind, kept in `told`.
    """

    name: str
    latitude_deg: float
    longitude_deg: float
    at_ms: int
    water_m: tuple[float, float]
    digits_since_ms: int
    told: dict[str, Told] = field(default_factory=dict)
    jumped_ms: int | None = None
    jump_nm: float = 0.0
    speed: tuple[int, float] | None = None  # when it told its speed (ms), over the ground (kn)
    time: ReceiverTime = field(default_factory=ReceiverTime)
    smoothness: Smoothness = field(default_factory=Smoothness)
    coarse: tuple[int, float] | None = None  # when it called its position coarse (ms), and how coarse (m)
    suspects: tuple[int, str] | None = None  # when it suspected a satellite (ms), and which, in words

    @property
    def place(self) -> tuple[float, float]:
        """Where it says it is: latitude and longitude in degrees."""
        return self.latitude_deg, self.longitude_deg

    @property
    def position(self) -> Position:
        """Where it says it is."""
        return Position(self.latitude_deg, self.longitude_deg)

    def speed_kn(self, now_ms: int) -> float | None:
        """Return what speed over the ground it tells just now; None where it tells none."""
        fresh = self.speed is not None and now_ms - self.speed[0] <= POSITION_FRESH_MS
        return self.speed[1] if fresh and self.speed is not None else None

    def has_jumped(self, now_ms: int) -> bool:
        """Tell whether its position has jumped, and not agreed for long enough since."""
        return self.jumped_ms is not None and now_ms - self.jumped_ms < AGREES_AGAIN_MS

    def has_position(self, now_ms: int) -> bool:
        """Tell whether a sentence heard just now gives a position."""
        return any(told.stands(now_ms) for told in self.told.values())

    def doubt(self, now_ms: int) -> str | None:
        """Return what the receiver itself says against its position, in words; None where it is content.

        GLL and old RMC carry no word of their own, and say nothing against the words of the others.
        """
        with_position = [told for told in self.told.values() if told.stands(now_ms)]
        for told in with_position:
            if told.word not in _CONTENT:
                return f"the receiver itself calls its position {told.word.value}"
        for told in with_position:
            if told.caution:
                return "the receiver itself says caution"
        for told in with_position:
            if told.satellites is not None and told.satellites < FEWEST:
                return f"its position is by {told.satellites} satellites, and {FEWEST} are needed"
            if told.hdop is not None and told.hdop > COARSEST_HDOP:
                return f"its satellites stand badly: HDOP {told.hdop:.1f}"
        return self._own_errors(now_ms) or self.time.doubt(now_ms)

    def _own_errors(self, now_ms: int) -> str | None:
        if self.coarse is not None and now_ms - self.coarse[0] <= ERRORS_FRESH_MS:
            return f"by its own word its position is good to {self.coarse[1]:.0f} m, one standard deviation"
        if self.suspects is not None and now_ms - self.suspects[0] <= ERRORS_FRESH_MS:
            return f"it suspects satellite {self.suspects[1]}"
        return None

    def hear_beside(self, reading: Satellite) -> None:
        """Take what it says beside its position.

        Its time (ZDA, and RMC), its speed (VTG, and RMC), its own errors (GST, GBS).
        """
        if reading.utc_ms is not None:
            self.time.hear(reading.at_ms, reading.utc_ms)
        if reading.speed_kn is not None:
            self.speed = reading.at_ms, reading.speed_kn
        if reading.sd_m is not None:
            self.coarse = (reading.at_ms, reading.sd_m) if reading.sd_m > COARSEST_M else None
        if reading.suspects is not None:
            self.suspects = reading.at_ms, reading.suspects

    def hear(
        self, reading: Satellite, water_m: tuple[float, float], stream_kn: float, *, reckoned: bool
    ) -> None:
        """Take a sentence, and hold a new position against the last one and the run between.

        `reckoned`: the run through the water since the last position is known.
        """
        place = position_in(reading)
        kind = reading.source[2:5]
        before = self.told.get(kind)
        self.told[kind] = Told(
            reading.at_ms, place, reading.word, reading.caution, reading.satellites, reading.hdop
        )
        self.hear_beside(reading)
        if place is None:
            return
        if before is None or before.position != place:
            self.digits_since_ms = reading.at_ms
        if place != self.place:
            self._compare(place, reading.at_ms, water_m, stream_kn, reckoned=reckoned)
            self.latitude_deg, self.longitude_deg = place
            self.water_m = water_m
        self.smoothness.hear(place, reading.at_ms)
        self.at_ms = reading.at_ms

    def _compare(
        self,
        place: tuple[float, float],
        at_ms: int,
        water_m: tuple[float, float],
        stream_kn: float,
        *,
        reckoned: bool,
    ) -> None:
        hours = (at_ms - self.at_ms) / 3_600_000
        run_m = water_m[0] - self.water_m[0], water_m[1] - self.water_m[1]
        north_m, east_m = offset_m(self.place, place)
        unexplained_m = hypot(north_m - run_m[0], east_m - run_m[1])
        unlogged_kn = stream_kn if reckoned else stream_kn + _UNRECKONED_KN
        if unexplained_m > _JUMP_M + unlogged_kn * METRES_PER_NM * hours + _RUN_PART * hypot(*run_m):
            self.jumped_ms, self.jump_nm = at_ms, unexplained_m / METRES_PER_NM


def position_in(reading: Satellite) -> tuple[float, float] | None:
    """Return the position a sentence gives; None where it gives none, or says itself that it has none."""
    if reading.latitude_deg is None or reading.longitude_deg is None or reading.word is Word.NONE:
        return None
    return reading.latitude_deg, reading.longitude_deg
