"""The satellite check on a bench, and a boat with satellites that follow her."""

from cmath import exp
from math import pi

from entries.entering import START, Aboard, heard
from middlewatch.navigator.tuning import Tuning
from middlewatch.navigator.watch.receivers import Receiver
from middlewatch.navigator.watch.satellites import Check
from middlewatch.navigator.watch.sight import Sight
from middlewatch.quantities.positions import Position
from middlewatch.readings.sentences import Word
from middlewatch.reports.area import AreaReport, Outline
from middlewatch.reports.place import PlaceReport

NM = 1852.0
KNOT = NM / 3600
HERE = Position(50.0, -4.0)


class Bench:
    """The check alone, on a boat that lies or runs as the test says; a tick a second."""

    def __init__(
        self,
        *,
        limit_nm: float = 0.5,
        stream_kn: float = 1.5,
        speed_kn: float | None = 0.5,
    ) -> None:
        self.check = Check()
        self.now_ms = 1_000_000
        self.limit_nm, self.stream_kn, self.speed_kn = limit_nm, stream_kn, speed_kn
        self.heading_deg = 0.0
        self.area: AreaReport | None = None
        self.ep: Position | None = HERE
        self.water_m = (0.0, 0.0)
        self.reckoned = True

    def tick(self) -> None:
        """Let a second pass."""
        self.now_ms += 1000
        self.check.tick(
            self.now_ms,
            Sight(
                ep=self.ep,
                water_m=self.water_m,
                heading_deg=self.heading_deg,
                speed_kn=self.speed_kn,
                reckoned=self.reckoned,
                sailing=True,
                area=self.area,
                limit_nm=self.limit_nm,
                strongest_stream_kn=self.stream_kn,
            ),
        )

    def hear(
        self, place: Position | None, word: Word = Word.GOOD, source: str = "GPGGA@bow", caution: bool = False
    ) -> None:
        """Hear a receiver half a second after the last tick."""
        reading = heard(self.now_ms + 500, place, word, source)
        reading.caution = caution
        self.check.hear(reading, self.water_m, self.stream_kn)

    def off(self, north_nm: float, seconds: int, word: Word = Word.GOOD) -> list[str]:
        """Hear for some seconds that the boat is so far north of her EP; return the states."""
        states: list[str] = []
        for _ in range(seconds):
            self.hear(HERE.moved(north_nm * NM + self.now_ms / 1e6, 0.0), word)
            self.tick()
            states.append(self.check.state)
        return states


def aboard(north_kn: float = 0.0, offset_nm: float = 0.0, tuning: Tuning | None = None) -> Aboard:
    """Return a boat just departed, with satellites that follow her but for an offset and a pull northward."""
    boat = Aboard(
        tuning or Tuning(), satellites=lambda second: with_the_boat(boat, second, north_kn, offset_nm)
    )
    boat.run(10)
    boat.depart()
    return boat


def with_the_boat(boat: Aboard, second: int, north_kn: float, offset_nm: float) -> Position:
    """Return the EP, off by an offset to the north and by a pull that grows from the start on."""
    reckoning = boat.navigator.room.reckoning
    ep = reckoning.ep(reckoning.now.second) or START
    # A receiver's last digit never stands still.
    return ep.moved((offset_nm + north_kn * second / 3600) * NM + 0.1 * (second % 7), 0.0)


def already_there(bench: Bench, north_nm: float) -> Receiver:
    """Return a receiver that has been so far north all along: no jump is made of the tests' beginning."""
    place = HERE.moved(north_nm * NM, 0.0)
    return Receiver("GP@bow", place.latitude_deg, place.longitude_deg, bench.now_ms, (0.0, 0.0), bench.now_ms)


def round_area(about: Position, radius_nm: float) -> AreaReport:
    """Return a round area of 95 in 100 about a place."""
    rim = tuple(radius_nm * NM * exp(2j * pi * corner / 64) for corner in range(64))
    return AreaReport(
        about.latitude_deg,
        about.longitude_deg,
        semi_major_nm=radius_nm,
        semi_minor_nm=radius_nm,
        orientation_deg=0.0,
        probability=0.95,
        shape="ellipse",
        outline=Outline(about.latitude_deg, about.longitude_deg, (rim,)),
        most_probable=PlaceReport(about.latitude_deg, about.longitude_deg),
    )
