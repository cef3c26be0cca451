"""A boat at sea, second by second: where she truly is, and what compass, log, wind and receivers make of it.

A situation is a script: it sails her, changes what happens to her or to an instrument, and gives her orders.
All chance comes from the seed she is given.
"""

import math
from cmath import exp, phase, polar
from collections.abc import Callable
from dataclasses import dataclass
from math import degrees, hypot, radians

from area.model import Chance, chance
from entries.entering import START, Aboard
from middlewatch.navigator.tuning import Tuning, VariationChoice
from middlewatch.quantities.positions import Position
from middlewatch.readings.sentences import ApparentWind, Heading, HeadingKind, Satellite, WaterSpeed, Word
from middlewatch.readings.watch import Started, Tick
from middlewatch.reports import Report
from middlewatch.reports.alert import Priority
from middlewatch.reports.answer import Answer
from middlewatch.reports.area import AreaReport
from middlewatch.reports.position import PositionReport
from middlewatch.reports.satellite import SatelliteReport
from watch.sailed import KN, noise

COMPASS, LOG, RECEIVER = "HCHDM@bow", "VWVHW@bow", "GPRMC@bow"
LASTS_S = 5400
"""No situation lasts longer: the receiver's noise is drawn beforehand."""

TURNS_S, GATHERS_WAY_S = 6.0, 12.0
"""Time constants of a turn and of gathering way (common practice, no source)."""
YAW_DEG, YAW_S = 2.0, 8.0
DIGIT_MIN = 1e-4
"""A receiver gives minutes of arc to four places."""

HOLDS_WITHIN_M = 35.0
"""A receiver on static hold lets go where it would be further off (common practice, no source)."""

Reads = Callable[[float], float | None]
"""What an instrument makes of the truth; None: it is not heard."""


def settings(**changed: object) -> Tuning:
    """Return the settings of most situations: no variation; the area may grow to five miles unremarked."""
    usual: dict[str, object] = {
        "variation": VariationChoice("chart", 0.0, 2026.0),
        "area_warn_nm": 5.0,
        "samples": 2000,
    }
    return Tuning(**{**usual, **changed})  # type: ignore[arg-type]  # the fields are Tuning's own


def towards(degrees_true: float, kn: float) -> complex:
    """Return a velocity, north + east j."""
    return kn * exp(1j * radians(degrees_true))


@dataclass(slots=True)
class Receiver:
    """A receiver on board: `off_m` is its antenna's, its datum's or its echoes' own (north + east j).

    `pinned`: it gives that position whatever happens; `holds_under_kn`: its static hold.
    """

    source: str
    noise_m: list[complex]
    off_m: complex = 0j
    heard: bool = True
    word: Word = Word.GOOD
    pinned: Position | None = None
    holds_under_kn: float = 0.0
    last: Position | None = None

    def tells(self, at_ms: int, second: int, at: Position, made_kn: complex) -> Satellite | None:
        """Return its sentence for this second, None while it is off."""
        if not self.heard:
            return None
        if self.word is Word.NONE:
            return Satellite(at_ms, self.source, gives_position=True, word=Word.NONE)
        place = self.pinned or self._place(second, at, made_kn)
        self.last = place
        kn, course = (0.0, 0.0) if self.pinned is not None else polar(made_kn)
        return Satellite(
            at_ms, self.source, True, self.word, place.latitude_deg, place.longitude_deg,
            degrees(course) % 360.0, round(kn, 1),
        )  # fmt: skip

    def _place(self, second: int, at: Position, made_kn: complex) -> Position:
        held = self.last is not None and abs(made_kn) < self.holds_under_kn
        if self.last is not None and held and hypot(*self.last.offset_to(at)) < HOLDS_WITHIN_M:
            return self.last
        off_m = self.noise_m[second] + self.off_m
        there = at.moved(off_m.real, off_m.imag)
        return Position(_to_digit(there.latitude_deg), _to_digit(there.longitude_deg))


@dataclass(frozen=True, slots=True)
class Second:
    """What was shown at a second, and where she truly was."""

    second: int
    position: PositionReport
    satellite: SatelliteReport
    truly: Position

    @property
    def area(self) -> AreaReport | None:
        """The area shown."""
        return self.position.area


@dataclass(frozen=True, slots=True)
class Raised:
    """A condition raised: at which second, `subject key`, how grave."""

    second: int
    name: str
    priority: Priority


class Boat(Aboard):
    """A boat with one compass, one log and one receiver, each a little wrong; `shown` is a row a second."""

    def __init__(self, seed: int, tuning: Tuning | None = None) -> None:
        super().__init__(tuning or settings())
        self.draw: Chance = chance(seed, 41)
        constant_deg, quarter_deg = self.draw.normal(0.0, (1.0, 1.0)).tolist()
        log_factor = 1.0 + 0.03 * float(self.draw.normal())
        # --- the truth
        self.truly = START
        self.head_deg = self.course_deg = 60.0
        self.way_kn = self.ordered_kn = 5.0
        self.leeway_deg = 0.0  # + she is pushed to starboard
        self.stream = towards(float(self.draw.uniform(0.0, 360.0)), 0.3)
        self.beside = 0j  # what moves her else through the water and no log shows, knots
        self.wind: complex | None = None  # true, where it goes, knots; None: no vane on board
        self.swings: Callable[[int], float] = lambda _second: 0.0
        self.yaw_deg = 0.0
        self.made_kn = 0j
        # --- the instruments
        self.compass: Reads = lambda head: head + constant_deg + quarter_deg * math.sin(radians(head))
        self.log: Reads = lambda kn: abs(kn) * log_factor
        self.sources = [COMPASS], [LOG]
        self.receivers = [self._receiver(RECEIVER)]
        # --- the watch kept on her
        self.shown: list[Second] = []
        self.raised: list[Raised] = []
        self.standing: set[tuple[str, Priority]] = set()
        self.begun: int | None = None
        self.ended: int | None = None

    def _receiver(self, source: str) -> Receiver:
        return Receiver(source, noise(self.draw, LASTS_S).tolist())

    @property
    def receiver(self) -> Receiver:
        """The first receiver."""
        return self.receivers[0]

    def second_receiver(self, off_m: complex) -> None:
        """Carry a second one on another input, so far from the first."""
        self.receivers.append(self._receiver("GNRMC@mast"))
        self.receivers[1].off_m = off_m

    # --- what a script does -----------------------------------------------------------------------------

    def sail(self, seconds: int) -> None:
        """Go on as she goes."""
        self.run(seconds)

    def under_way(self, seconds: int = 300) -> None:
        """Depart where she is, and sail on until all has settled."""
        self.run(10)
        self.depart()
        self.run(seconds)

    def come_to(self, course_deg: float, kn: float | None = None, *, seconds: int = 60) -> None:
        """Turn to a course, and take her time over it."""
        self.course_deg = course_deg
        if kn is not None:
            self.ordered_kn = kn
        self.run(seconds)

    def it_begins(self) -> None:
        """From now on what is shown is the situation's."""
        self.begun = self.seconds

    def it_is_over(self) -> None:
        """From now on it is not."""
        self.ended = self.seconds

    def depart(self, **body: object) -> Answer:
        """Order a departure from where she truly is."""
        place = {"latitude_deg": self.truly.latitude_deg, "longitude_deg": self.truly.longitude_deg}
        return self.order(**{"kind": "departure", **place, **body})

    def restart(self, away_s: int, *, gap_known: bool) -> None:
        """Stop the daemon, and start it again so much later; she sails on meanwhile."""
        fresh = Aboard(self.navigator.room.tuning).navigator
        fresh.thaw(self.navigator.freeze(), self.navigator.drain())
        self.navigator = fresh
        for _ in range(away_s):
            self._move()
            if gap_known:
                # Its length is known: the ticks run through it, and nothing is heard.
                if _ == 0:
                    self._take(fresh.step(Started(self.now_ms + 1000 * away_s, "boot", True, None)))
                self._tick()
            else:
                self.now_ms += 1000
        if not gap_known:
            self._take(fresh.step(Started(self.now_ms, "another boot", False, None)))

    # --- the second -------------------------------------------------------------------------------------

    def second(self) -> list[Report]:
        """Sail one second: she moves, is heard, and the tick falls."""
        self._move()
        step, heading, kn = self.navigator.step, self.compass(self.head_deg), self.log(self.way_kn)
        if heading is not None:
            for source in self.sources[0]:
                degrees_true = round(heading % 360.0, 1) % 360.0
                step(Heading(self.now_ms + 100, source, HeadingKind.MAGNETIC, degrees_true, None, None))
        if kn is not None:
            for source in self.sources[1]:
                step(WaterSpeed(self.now_ms + 200, source, round(kn, 2)))
        if self.wind is not None:
            step(self._felt(self.wind))
        for receiver in self.receivers:
            told = receiver.tells(self.now_ms + 400, self.seconds, self.truly, self.made_kn)
            if told is not None:
                step(told)
        return self._tick()

    def _move(self) -> None:
        off = (self.course_deg - self.head_deg + 180.0) % 360.0 - 180.0
        keep = math.exp(-1.0 / YAW_S)
        yaw = keep * self.yaw_deg + YAW_DEG * math.sqrt(1.0 - keep * keep) * float(self.draw.normal())
        swung = self.swings(self.seconds + 1) - self.swings(self.seconds)
        self.head_deg += off * (1.0 - math.exp(-1.0 / TURNS_S)) + (yaw - self.yaw_deg) + swung
        self.course_deg += swung
        self.yaw_deg = yaw
        self.way_kn += (self.ordered_kn - self.way_kn) * (1.0 - math.exp(-1.0 / GATHERS_WAY_S))
        self.made_kn = towards(self.head_deg + self.leeway_deg, self.way_kn) + self.stream + self.beside
        self.truly = self.truly.moved(self.made_kn.real * KN, self.made_kn.imag * KN)

    def _felt(self, wind: complex) -> ApparentWind:
        felt = self.made_kn - wind  # where it comes from
        angle = (degrees(phase(felt)) - self.head_deg) % 360.0
        return ApparentWind(self.now_ms + 300, "WIMWV@mast", round(angle, 1) % 360.0, round(abs(felt), 1))

    def _tick(self) -> list[Report]:
        self.now_ms += 1000
        said = list(self.navigator.step(Tick(self.now_ms)))
        self._take(tuple(said))
        return said

    def _take(self, said: tuple[Report, ...]) -> None:
        self.said += said
        position = next((each for each in said if isinstance(each, PositionReport)), None)
        satellite = next((each for each in said if isinstance(each, SatelliteReport)), None)
        if position is not None and satellite is not None:
            self.shown.append(Second(self.seconds, position, satellite, self.truly))
        now = {
            (f"{subject} {key}", condition.priority)
            for subject, stands in self.navigator.room.alerts.standing.items()
            for key, condition in stands.conditions.items()
            if condition.over_ms is None
        }
        self.raised += [Raised(self.seconds, *each) for each in sorted(now - self.standing)]
        self.standing = now


def _to_digit(degrees_: float) -> float:
    return round(degrees_ * 60.0 / DIGIT_MIN) * DIGIT_MIN / 60.0
