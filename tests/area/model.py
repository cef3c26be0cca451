"""The model of an uncertain passage: what is not known of it, and how large it may be; all of it seeded.

The plane is complex: metres, north + 1j * east, so that turning clockwise by an angle is multiplying by
exp(1j * angle). Angles are radians. The *deviation* is the boat's place less the EP's at the same second.
Figures: the design, section 4 (judgement and common practice).
"""

from dataclasses import dataclass
from math import inf, log, radians

import numpy as np

Floats = np.ndarray[tuple[int, ...], np.dtype[np.float64]]
Places = np.ndarray[tuple[int, ...], np.dtype[np.complex128]]
Flags = np.ndarray[tuple[int, ...], np.dtype[np.bool_]]
Chance = np.random.Generator  # noqa: TID251 -- only the name of the type, for a seeded simulation

METRES_PER_NM = 1852.0
MPS_PER_KN = METRES_PER_NM / 3600.0
STREAM_PART = 0.45
"""One standard deviation of an unknown stream on each axis, as a part of the strongest there is."""
SLOW_KN = 1.5
"""Below this speed the log's threshold begins to tell."""
RANGE_BLUNDER_M = 20 * METRES_PER_NM
"""A range entered by blunder is anything from nothing to this, evenly."""
VARIATION_IN_BEARING = -1.0
"""What one radian of error in variation does to a magnetic hand bearing turned to true.

Where the variation is more easterly than the navigator holds, the boat's true heading is more than shown (so
it turns the run by +1), and the true bearing of a mark is more than shown too: the bearing comes out too
*small*.
"""


@dataclass(frozen=True, slots=True)
class Model:
    """One standard deviation of each unknown; all constant over a passage but `wander` and the stream.

    `log`, `wander`: the log's factor (parts of one); `swing_deg`: the compass by sine and cosine of heading,
    each; `leeway_factor`: leeway by the wind is right but for a factor whose logarithm is normal with sd
    log(leeway_factor); `side_deg`: leeway where no wind tells it; `hand_deg`: shared by all hand bearings.
    `blunder`: the part of all entries that are anything; `repeated`: how often an entry is a blunder, or
    good, because the one before it of the same mark was; else it is chance again. So half of the blunders
    come again, and 3 of 100 entries are blunders in all.
    """

    departure_nm: float = 0.05
    log: float = 0.05
    compass_deg: float = 1.0
    variation_deg: float = 0.4
    swing_deg: float = 1.5
    leeway_factor: float = 1.6
    side_deg: float = 5.0
    threshold_kn: float = 0.15
    hand_deg: float = 1.5
    wander: float = 0.02
    wander_memory_s: float = 1800.0
    stream_memory_s: float = 3 * 3600.0
    blunder: float = 0.03
    repeated: float = 0.5

    def draw(self, count: int, chance: Chance) -> "Errors":
        """Draw the constant errors of so many passages."""

        def normal(sd: float) -> Floats:
            drawn: Floats = sd * chance.standard_normal(count)
            return drawn

        start_m = self.departure_nm * METRES_PER_NM
        return Errors(
            start=normal(start_m) + 1j * normal(start_m),
            log=normal(self.log),
            compass=normal(radians(self.compass_deg)),
            variation=normal(radians(self.variation_deg)),
            sine=normal(radians(self.swing_deg)),
            cosine=normal(radians(self.swing_deg)),
            port=np.exp(normal(log(self.leeway_factor))) - 1.0,
            starboard=np.exp(normal(log(self.leeway_factor))) - 1.0,
            side_sine=normal(radians(self.side_deg)),
            side_cosine=normal(radians(self.side_deg)),
            threshold=normal(self.threshold_kn * MPS_PER_KN),
            hand=normal(radians(self.hand_deg)),
        )


@dataclass(frozen=True, slots=True)
class Errors:
    """The constant errors of many passages, each an array of shape (passages,); metres, radians, m/s.

    `log`, `port`, `starboard` are factors less one; `port` is leeway's on the port tack, where the boat is
    set to starboard.
    """

    start: Places
    log: Floats
    compass: Floats
    variation: Floats
    sine: Floats
    cosine: Floats
    port: Floats
    starboard: Floats
    side_sine: Floats
    side_cosine: Floats
    threshold: Floats
    hand: Floats

    def turn(self, heading: float, leeway: float, untold: float, *, by_wind: bool) -> Floats:
        """Return how far the track through the water is turned clockwise from the reckoned one, radians."""
        sine, cosine = np.sin(heading), np.cos(heading)
        turn: Floats = self.compass + self.variation + self.sine * sine + self.cosine * cosine
        turn = turn + untold * (self.side_sine * sine + self.side_cosine * cosine)
        if by_wind and leeway > 0.0:
            turn = turn + self.port * leeway
        if by_wind and leeway < 0.0:
            turn = turn + self.starboard * leeway
        return turn


class Wander:
    """Ornstein-Uhlenbeck processes of one sd, one for each passage; `now` has shape (passages,).

    A memory of `math.inf` makes them constant.
    """

    def __init__(self, chance: Chance, count: int, sd: float, memory_s: float) -> None:
        self._chance, self._sd, self._memory_s = chance, sd, memory_s
        self.now: Floats = sd * chance.standard_normal(count)

    def over(self, seconds: float) -> Floats:
        """Go on by so many seconds; return the mean of the values before and after."""
        if self._memory_s == inf or self._sd == 0.0:
            return self.now
        before = self.now
        kept = np.exp(-seconds / self._memory_s)
        fresh = self._sd * np.sqrt(1.0 - kept * kept)
        self.now = kept * before + fresh * self._chance.standard_normal(before.size)
        middle: Floats = 0.5 * (before + self.now)
        return middle


def chance(seed: int, purpose: int) -> Chance:
    """Return one stream of numbers: same seed and purpose, same numbers."""
    key = np.array([seed, purpose], dtype=np.uint64)
    return np.random.Generator(np.random.Philox(key=key))  # noqa: TID251 -- seeded, for a simulation
