"""A boat for tests of entries: she sails as she is told, hears what is entered, and her navigator answers."""

import json
from collections.abc import Callable, Iterable, Mapping

from middlewatch.navigator.navigator import Navigator
from middlewatch.navigator.tuning import Tuning, VariationChoice
from middlewatch.quantities.instants import Instant
from middlewatch.quantities.positions import Position
from middlewatch.readings.entries import Channel, Entry
from middlewatch.readings.marks import Mark
from middlewatch.readings.sentences import Heading, HeadingKind, Satellite, WaterSpeed, Word
from middlewatch.readings.watch import Tick
from middlewatch.reports import Report
from middlewatch.reports.alert import AlertReport
from middlewatch.reports.answer import Answer
from middlewatch.reports.fix import FixReport
from middlewatch.reports.position import PositionReport
from middlewatch.reports.satellite import SatelliteReport
from middlewatch.wire import entries
from middlewatch.wire.payloads import payload

START_MS = Instant.parse("2026-05-03T01:00:00Z").ms
START = Position(50.0, -4.0)
FIVE_WEST = VariationChoice("chart", value_deg=-5.0, year=2026.0)
"""A rose of 5 W without annual change: what is 248 magnetic is 243 true."""

MARKS = {
    mark.name: mark
    for mark in (
        Mark("Start Point", Position(50.10, -4.05)),
        Mark("Stoke Point", Position(50.08, -3.85)),
        Mark("Bolt Head", Position(49.95, -4.20)),
        Mark("Gammon Beacon", Position(50.02, -3.90)),
    )
}

Place = Callable[[int], Position | None]
"""Where a receiver says it is, by the seconds since the start; None: it has no position."""


def utc(seconds: float) -> str:
    """Return the time so many seconds after the start, as an entry writes it."""
    return str(Instant(START_MS + round(seconds * 1000)))


class Aboard:
    """A navigator and the bus before it: heading and log each second, satellites where there are any."""

    def __init__(self, tuning: Tuning | None = None, *, satellites: Place | None = None) -> None:
        self.navigator = Navigator(tuning or Tuning(variation=FIVE_WEST), MARKS, entries)
        self.now_ms = START_MS
        self.heading_magnetic_deg: float | None = 95.0
        self.speed_kn: float | None = 6.0
        self.satellites = satellites
        self.word = Word.GOOD
        self.said: list[Report] = []

    @property
    def seconds(self) -> int:
        """The seconds since the start."""
        return (self.now_ms - START_MS) // 1000

    def run(self, seconds: int) -> list[Report]:
        """Sail on; return what is said."""
        said: list[Report] = []
        for _ in range(seconds):
            said += self.second()
        return said

    def second(self) -> list[Report]:
        """Sail one second, and tick."""
        step = self.navigator.step
        if self.heading_magnetic_deg is not None:
            step(
                Heading(
                    self.now_ms + 100,
                    "HCHDM@bow",
                    HeadingKind.MAGNETIC,
                    self.heading_magnetic_deg,
                    None,
                    None,
                )
            )
        if self.speed_kn is not None:
            step(WaterSpeed(self.now_ms + 200, "VWVHW@bow", self.speed_kn))
        if self.satellites is not None:
            step(heard(self.now_ms + 400, self.satellites(self.seconds), self.word))
        self.now_ms += 1000
        said = list(step(Tick(self.now_ms)))
        self.said += said
        return said

    def hear(
        self,
        channel: Channel,
        body: Mapping[str, object] | str,
        *,
        after_ms: int = 0,
        retained: bool = False,
        token: int = 0,
    ) -> list[Report]:
        """Hear an entry so many ms after the last tick; return all that is said."""
        text = body if isinstance(body, str) else json.dumps(body)
        said = list(self.navigator.step(Entry(self.now_ms + after_ms, channel, text, retained, token)))
        self.said += said
        return said

    def sighting(self, **body: object) -> Answer:
        """Enter a sighting; return its answer."""
        return answer_in(self.hear("sighting", body))

    def order(self, **body: object) -> Answer:
        """Enter an order; return its answer."""
        return answer_in(self.hear("order", body))

    def depart(self, **body: object) -> Answer:
        """Enter a departure from the start, unless told otherwise."""
        place = {"latitude_deg": START.latitude_deg, "longitude_deg": START.longitude_deg}
        return self.order(**{"id": "d1", "kind": "departure", **place, **body})

    # --- what is asked of the navigator -----------------------------------------------------------------

    @property
    def position(self) -> PositionReport:
        """The position as last reported."""
        return next(report for report in reversed(self.said) if isinstance(report, PositionReport))

    @property
    def satellite(self) -> SatelliteReport:
        """The satellite report as last given."""
        return next(report for report in reversed(self.said) if isinstance(report, SatelliteReport))

    def alerts(self, name: str | None = None) -> list[AlertReport]:
        """Return the alerts said so far, of one subject or of all."""
        return [each for each in self.said if isinstance(each, AlertReport) and name in (None, each.name)]

    def fixes(self) -> list[FixReport]:
        """Return the fixes said so far."""
        return [each for each in self.said if isinstance(each, FixReport)]

    def ep_at(self, seconds: int) -> Position:
        """Return the EP at a second since the start; there must be one."""
        ep = self.navigator.room.reckoning.ep(START_MS // 1000 + seconds)
        assert ep is not None
        return ep

    def dr_at(self, seconds: int) -> Position:
        """Return the DR at a second since the start; there must be one."""
        dr = self.navigator.room.reckoning.dr(START_MS // 1000 + seconds)
        assert dr is not None
        return dr

    def all_there_is(self) -> tuple[object, ...]:
        """Return the whole state: snapshot, ledger, plot and reckoning, to compare two moments."""
        room = self.navigator.room
        ledger = {
            each.id: (each.order, each.said, each.open, each.withdrawn, each.origin, each.answer)
            for each in room.ledger.entries.values()
        }
        reckoned = [(room.reckoning.dr(row.second), room.reckoning.ep(row.second)) for row in room.track.rows]
        plot = dict(room.plot.lines), dict(room.plot.published), dict(room.plot.choices)
        waiting = [each.id for each in room.ledger.waiting]
        return self.navigator.freeze(), ledger, waiting, plot, reckoned


def heard(at_ms: int, place: Position | None, word: Word = Word.GOOD, source: str = "GPRMC@bow") -> Satellite:
    """Return what a receiver says; without a place, that it has none."""
    if place is None:
        return Satellite(at_ms, source, gives_position=True, word=Word.NONE)
    return Satellite(at_ms, source, True, word, place.latitude_deg, place.longitude_deg)


def answer_in(reports: Iterable[Report]) -> Answer:
    """Return the first answer among reports."""
    return next(report for report in reports if isinstance(report, Answer))


def payloads(reports: Iterable[Report]) -> list[str]:
    """Return reports as they would be published."""
    return [payload(report) for report in reports]
