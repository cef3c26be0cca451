"""A boat whose log and compass are off, sailed through the navigator's own door on a trial and after it.

What log and compass show is drawn; the truth is what they show with the errors they have: those under trial,
a log that wanders by 2 % over half an hour, and a stream of 0.45 of the strongest on each axis with a memory
of three hours (the design's section 4).
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from math import exp

import numpy as np

from area.model import chance
from middlewatch.navigator.area.unknowns import STREAM_MEMORY_S, WANDER_MEMORY_S
from middlewatch.navigator.tuning import Tuning
from middlewatch.quantities.positions import Position
from middlewatch.readings import Reading
from middlewatch.readings.sentences import Satellite, WaterSpeed, Word
from middlewatch.reports.area import AreaReport
from middlewatch.reports.position import PositionReport
from navigator.navigating import DEPARTURE, LOG, TRUE_COMPASS, Aboard, magnetic
from watch.sailed import KN, noise

SETTINGS = replace(TRUE_COMPASS, samples=2000)
NEVER_CALIBRATED = replace(SETTINGS, compass_card=False, log_calibrated=False)
RECEIVER = "GPRMC@bow"

Legs = Sequence[tuple[float, int]]
"""Headings as the compass shows them, degrees, and for how many seconds each is steered."""

BOX: Legs = ((20.0, 480), (110.0, 480), (200.0, 480), (290.0, 480))
RECIPROCAL: Legs = ((20.0, 600), (200.0, 600))
ONE_HEADING: Legs = ((20.0, 1800),)


@dataclass(frozen=True, slots=True)
class Wrong:
    """What is wrong: way through the water = factor x log; of the deviation constant, sine, cosine, E+.

    `double_deg`: what goes with sine and cosine of twice the heading, as soft iron makes it.
    """

    factor: float = 1.0
    deviation_deg: float = 0.0
    sine_deg: float = 0.0
    cosine_deg: float = 0.0
    double_deg: tuple[float, float] = (0.0, 0.0)

    def turn(self, heading_deg: float) -> float:
        """Return the deviation on a heading."""
        head = np.radians(heading_deg)
        swing = self.sine_deg * np.sin(head) + self.cosine_deg * np.cos(head)
        double = self.double_deg[0] * np.sin(2.0 * head) + self.double_deg[1] * np.cos(2.0 * head)
        return float(self.deviation_deg + swing + double)


@dataclass(slots=True)
class OnTrial:
    """A boat on trial; `truly_m` is how far she truly is from her departure (north + east j).

    `strongest_kn` None: no stream and a log that does not wander, so that what is wrong must be found.
    """

    seed: int
    wrong: Wrong = Wrong()
    strongest_kn: float | None = 1.5
    log_kn: float = 5.0
    tuning: Tuning = SETTINGS
    heard: bool = True  # the receiver
    lasts_s: int = 7200
    boat: Aboard = field(init=False)
    truly_m: complex = 0j
    second: int = 0
    drifts: np.ndarray = field(init=False)
    wanders: np.ndarray = field(init=False)
    noise_m: np.ndarray = field(init=False)

    def __post_init__(self) -> None:
        self.boat = Aboard(self.tuning)
        draw = chance(self.seed, 7)
        strongest = 0.0 if self.strongest_kn is None else self.strongest_kn
        sd = 0.45 * strongest * KN
        north, east = (sd * _wandering(draw.normal(size=self.lasts_s), STREAM_MEMORY_S) for _ in range(2))
        self.drifts = north + 1j * east
        steady = self.strongest_kn is None
        self.wanders = (0.0 if steady else 0.02) * _wandering(draw.normal(size=self.lasts_s), WANDER_MEMORY_S)
        self.noise_m = noise(draw, self.lasts_s)

    def depart(self) -> None:
        """Depart here, known to 0.05 nm, and be that far off."""
        off = chance(self.seed, 8).normal(size=2) * 0.05 * 1852.0
        place = self.at
        wrong = place if self.strongest_kn is None else place.moved(float(off[0]), float(off[1]))
        self.boat.depart((wrong.latitude_deg, wrong.longitude_deg))

    @property
    def at(self) -> Position:
        """Where she truly is."""
        return Position(*DEPARTURE).moved(self.truly_m.real, self.truly_m.imag)

    def draw_off(self, after_s: float, towards: complex, kn: float, *, grows_s: float = 0.0) -> None:
        """Let the receiver be drawn off from so long after the start on, in a direction (north + east j).

        `grows_s`: for so long the pull grows, evenly, to its full strength.
        """
        since = np.clip(np.arange(self.lasts_s) - after_s, 0.0, None)
        growing = np.clip(since, 0.0, grows_s)
        lost_s = growing - growing * growing / (2.0 * grows_s) if grows_s else 0.0
        self.noise_m = self.noise_m + (since - lost_s) * kn * KN * towards / abs(towards)

    def sail(self, legs: Legs) -> PositionReport:
        """Steer these headings by compass; return the last report."""
        position: PositionReport | None = None
        for heading_deg, seconds in legs:
            for _ in range(seconds):
                position = self._second(heading_deg)
        assert position is not None
        return position

    def _second(self, heading_deg: float) -> PositionReport:
        boat = self.boat
        readings: list[Reading] = [
            magnetic(boat.now_ms, heading_deg),
            WaterSpeed(boat.now_ms, LOG, self.log_kn),
        ]
        way = self.wrong.factor * (1.0 + float(self.wanders[self.second])) * self.log_kn * KN
        head = np.radians(heading_deg + self.wrong.turn(heading_deg))
        self.truly_m += way * complex(np.cos(head), np.sin(head)) + complex(self.drifts[self.second])
        if self.heard:
            readings.append(self._told(boat.now_ms))
        self.second += 1
        return boat.second(*readings)

    def _told(self, at_ms: int) -> Satellite:
        off = complex(self.noise_m[self.second])
        place = self.at.moved(off.real, off.imag)
        return Satellite(
            at_ms + 900,
            RECEIVER,
            True,
            Word.GOOD,
            round(place.latitude_deg, 7),
            round(place.longitude_deg, 7),
        )

    def holds(self, area: AreaReport | None) -> bool:
        """Tell whether the area holds her."""
        assert area is not None
        return area.outline.holds(self.at.latitude_deg, self.at.longitude_deg)


def _wandering(normal: np.ndarray, memory_s: float) -> np.ndarray:
    """Return an Ornstein-Uhlenbeck process of standard deviation one, a value a second."""
    kept = exp(-1.0 / memory_s)
    steps = normal * (1.0 - kept * kept) ** 0.5
    values, value = np.empty(normal.size), float(normal[0])
    for second in range(normal.size):
        value = kept * value + float(steps[second])
        values[second] = value
    return values
