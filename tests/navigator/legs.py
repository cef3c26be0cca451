"""A reckoning for tests: straight legs from a start, and lines of position taken from a known truth."""

from collections.abc import Sequence
from dataclasses import dataclass

from middlewatch.navigator.position.crossing import Origin
from middlewatch.navigator.position.lines import Circle, PositionLine, Ray, Shape
from middlewatch.quantities.angles import unit
from middlewatch.quantities.lengths import METRES_PER_NM
from middlewatch.quantities.positions import Position

Leg = tuple[float, float, float]
"""Seconds, then metres run north and east."""


def leg(course_deg: float, speed_kn: float, seconds: float) -> Leg:
    """Return the leg of a course and speed held for some seconds."""
    north, east = unit(course_deg)
    run_m = speed_kn * METRES_PER_NM * seconds / 3600
    return seconds, run_m * north, run_m * east


def off(place: Position, north_nm: float, east_nm: float) -> Position:
    """Return the place some miles north and east of another."""
    return place.moved(north_nm * METRES_PER_NM, east_nm * METRES_PER_NM)


def stream_mps(set_deg: float, drift_kn: float) -> tuple[float, float]:
    """Return a stream as metres a second (north, east)."""
    north, east = unit(set_deg)
    return drift_kn * METRES_PER_NM / 3600 * north, drift_kn * METRES_PER_NM / 3600 * east


@dataclass(frozen=True)
class Legs:
    """A passage from `start` at `start_second`, a leg after another, the last one run on for ever.

    It is a truth (with the true stream) and a reckoning alike, and answers what `Run` asks. `stream` is in
    m/s (north, east): the true one in a truth, the ordered one in a reckoning's EP.
    """

    start: Position
    legs: Sequence[Leg]
    stream: tuple[float, float] = (0.0, 0.0)
    start_second: int = 0
    sd_nm: float = 0.05
    by_sight: bool = True
    departed: bool = True

    def place(self, second: int, *, streaming: bool = True) -> Position:
        """Return where the boat was at a second."""
        place, left = self.start, float(second - self.start_second)
        for number, (seconds, north_m, east_m) in enumerate(self.legs):
            part = left if number == len(self.legs) - 1 else min(left, seconds)
            north, east = north_m * part / seconds, east_m * part / seconds
            if streaming:
                north, east = north + self.stream[0] * part, east + self.stream[1] * part
            place = place.moved(north, east)
            left -= part
        return place

    def ep(self, second: int) -> Position | None:
        """Return the EP: legs and stream."""
        return self.place(second) if self.departed else None

    def dr(self, second: int) -> Position | None:
        """Return the DR: legs alone."""
        return self.place(second, streaming=False) if self.departed else None

    def run_m(self, from_second: int, to_second: int) -> tuple[float, float] | None:
        """Return the run between by the EP; none is known before a departure."""
        return self.place(from_second).offset_to(self.place(to_second)) if self.departed else None

    def origin(self, second: int) -> Origin | None:
        """Return the departure."""
        if not self.departed or second < self.start_second:
            return None
        return Origin(self.start_second, self.start, self.sd_nm, self.by_sight)


def line(name: str, second: int, mark: str, shape: Shape, kind: str = "bearing") -> PositionLine:
    """Return a line taken on the whole second."""
    return PositionLine(name, second * 1000, second, kind, mark, shape)


def seen(boat: Position, mark: Position, error_deg: float = 0.0, sd_deg: float = 2.5) -> Ray:
    """Return the bearing of a mark from the boat, true but for an error."""
    return Ray(mark, boat.to(mark)[0] + error_deg, sd_deg)


def ranged(boat: Position, centre: Position, sd_nm: float = 0.1) -> Circle:
    """Return the true distance of a mark from the boat."""
    return Circle(centre, boat.to(centre)[1], sd_nm)


def metres_between(one: Position, other: Position) -> float:
    """Return how far apart two places are, in metres."""
    return one.to(other)[1] * METRES_PER_NM
