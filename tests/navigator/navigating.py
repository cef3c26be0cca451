"""A navigator at sea for tests: readings second by second, orders as JSON, and what is said kept.

A second's readings are stamped on the whole second, after its tick: what is heard then holds for the second
that follows, so the expected run is easily worked by hand.
"""

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict

from middlewatch.navigator.keeping import Kept, KeptEntry, KeptEvent
from middlewatch.navigator.navigator import Navigator
from middlewatch.navigator.reckoning.track import Row
from middlewatch.navigator.tuning import Tuning, VariationChoice
from middlewatch.quantities.instants import Instant
from middlewatch.readings import Reading
from middlewatch.readings.entries import Channel, Entry
from middlewatch.readings.marks import Mark
from middlewatch.readings.sentences import ApparentWind, Heading, HeadingKind, WaterSpeed
from middlewatch.readings.watch import Started, Tick
from middlewatch.reports import Report
from middlewatch.reports.alert import AlertName, AlertReport
from middlewatch.reports.answer import Answer
from middlewatch.reports.position import PositionReport
from middlewatch.wire import entries

START = Instant.parse("2026-05-03T01:55:00Z")
"""The first tick; a checkpoint of the reckoning falls five minutes after it."""

TRUE_COMPASS = Tuning(variation=VariationChoice("chart", 0.0, 2026.0))
"""A boat where no variation is to be reckoned with: magnetic headings are true ones."""

COMPASS, LOG = "HCHDM@bow", "VWVHW@bow"
DEPARTURE = (50.0, -4.2)


def magnetic(
    at_ms: int, heading_deg: float, source: str = COMPASS, variation_deg: float | None = None
) -> Heading:
    """Return a magnetic heading heard."""
    return Heading(at_ms, source, HeadingKind.MAGNETIC, heading_deg, None, variation_deg)


def after(seconds: float) -> str:
    """Return the time so many seconds after the start, as an entry says it."""
    return str(Instant(START.ms + round(seconds * 1000)))


class Aboard:
    """A navigator and the time aboard; `said` is all that it said, `kept` what was kept at restarts."""

    def __init__(
        self,
        tuning: Tuning = TRUE_COMPASS,
        marks: Mapping[str, Mark] | None = None,
        *,
        begin: bool = True,
    ) -> None:
        self.navigator = Navigator(tuning, marks or {}, entries)
        self.now_ms = START.ms
        self.said: list[Report] = []
        self.kept = Kept()
        if begin:
            self.step(Tick(self.now_ms))

    def step(self, reading: Reading) -> tuple[Report, ...]:
        """Hand over one reading."""
        reports = self.navigator.step(reading)
        self.said += reports
        return reports

    def second(self, *readings: Reading) -> PositionReport:
        """Hear readings, let the second end, and return the position report of the tick."""
        for reading in readings:
            self.step(reading)
        self.now_ms += 1000
        (position,) = (r for r in self.step(Tick(self.now_ms)) if isinstance(r, PositionReport))
        return position

    def sail(
        self,
        seconds: int,
        heading_deg: float | None = None,
        speed_kn: float | None = None,
        *,
        wind: tuple[float, float] | None = None,
    ) -> PositionReport:
        """Sail so long, hear these each second (wind: from the bow, kn), return the last position report."""
        position: PositionReport | None = None
        for _ in range(seconds):
            readings: list[Reading] = []
            if heading_deg is not None:
                readings.append(magnetic(self.now_ms, heading_deg))
            if speed_kn is not None:
                readings.append(WaterSpeed(self.now_ms, LOG, speed_kn))
            if wind is not None:
                readings.append(ApparentWind(self.now_ms, "WIMWV@mast", *wind))
            position = self.second(*readings)
        assert position is not None
        return position

    def enter(self, channel: Channel, **fields: object) -> Answer:
        """Enter now, and return the answer that comes at once."""
        reports = self.step(Entry(self.now_ms, channel, json.dumps(fields)))
        return next(report for report in reports if isinstance(report, Answer))

    def order(self, kind: str, **fields: object) -> Answer:
        """Give an order that is accepted."""
        answer = self.enter("order", kind=kind, **fields)
        assert answer.accepted, answer.refusal
        return answer

    def depart(self, place: tuple[float, float] = DEPARTURE, **fields: object) -> Answer:
        """Start the DR here and now."""
        return self.order("departure", latitude_deg=place[0], longitude_deg=place[1], **fields)

    def restart(self, away_s: int, *, gap_known: bool, clock_doubt: str | None = None) -> None:
        """Stop now and start anew so many seconds later on the scale, by way of what was kept."""
        kept = self.navigator.drain()
        self.kept.entries += kept.entries
        self.kept.events += kept.events
        self.kept.rows += kept.rows
        self.navigator = taken_up(self.navigator, self.navigator.freeze(), self.kept)
        if gap_known:
            # The runtime ticks through a gap whose length it knows.
            self.step(Started(self.now_ms + away_s * 1000, "boot", gap_known=True, clock_doubt=clock_doubt))
            for _ in range(away_s):
                self.second()
        else:
            self.now_ms += away_s * 1000
            self.step(Started(self.now_ms, "another boot", gap_known=False, clock_doubt=clock_doubt))

    def alerts(self, name: AlertName) -> Sequence[AlertReport]:
        """Return all that was said in an alert so far."""
        return [r for r in self.said if isinstance(r, AlertReport) and r.name == name]

    def standing(self, name: AlertName) -> str | None:
        """Return the text of an alert that stands now, None where it does not."""
        said = self.alerts(name)
        if not said or said[-1].state in ("normal", "rectified-unacknowledged"):
            return None
        return said[-1].text


def dr_of(position: PositionReport) -> tuple[float, float]:
    """Return the DR of a report that has one."""
    assert position.dr is not None
    return position.dr.latitude_deg, position.dr.longitude_deg


def ep_of(position: PositionReport) -> tuple[float, float]:
    """Return the EP of a report that has one."""
    assert position.ep is not None
    return position.ep.latitude_deg, position.ep.longitude_deg


def holds_of(position: PositionReport) -> tuple[str, ...]:
    """Return what the EP of a report holds."""
    assert position.ep is not None
    return position.ep.holds


def stowed(kept: Kept) -> Kept:
    """Return what was kept as a journal gives it back: plain tuples and texts, by way of JSON."""
    plain = json.loads(json.dumps([
        [asdict(entry) for entry in kept.entries], [asdict(event) for event in kept.events], kept.rows,
    ]))  # fmt: skip
    return Kept(
        [KeptEntry(**entry) for entry in plain[0]],
        [KeptEvent(**event) for event in plain[1]],
        [Row(*row) for row in plain[2]],
    )


def taken_up(navigator: Navigator, snapshot: str, kept: Kept) -> Navigator:
    """Return a new navigator, set like the old one, that takes up a snapshot and what was kept."""
    room = navigator.room
    fresh = Navigator(room.tuning, room.marks, room.reader)
    fresh.thaw(snapshot, stowed(kept))
    return fresh
