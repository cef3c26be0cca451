"""A fault passage through the navigator's own door, second by second, and what it says of satellites."""

import json
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

import numpy as np

from middlewatch.navigator.navigator import Navigator
from middlewatch.navigator.tuning import Tuning, VariationChoice
from middlewatch.readings.entries import Entry
from middlewatch.readings.sentences import (
    ApparentWind,
    Heading,
    HeadingKind,
    LogTotal,
    Satellite,
    WaterSpeed,
    Word,
)
from middlewatch.readings.watch import Tick
from middlewatch.reports import Report
from middlewatch.reports.alert import AlertReport
from middlewatch.reports.answer import Answer
from middlewatch.reports.fix import FixReport
from middlewatch.reports.satellite import SatelliteReport
from middlewatch.wire import entries
from watch.faults.crew import adopts_at
from watch.faults.draft import BEGINS, START, Entered
from watch.faults.voyage import Voyage
from watch.sailed import KN

NO_VARIATION = VariationChoice("chart", 0.0, 2026.0)
SAMPLES = 2000
SUBJECTS = ("satellite", "heading", "log")
STANDING = ("active", "active-unacknowledged", "active-silenced", "active-acknowledged")
SAID_AGAIN = re.compile(r"^\d{4} ")
SPEED_OVER_S = 10
ANSWERED_AFTER_S = 180


@dataclass(frozen=True, slots=True)
class Told:
    """What was told at a second: the satellite report, alerts that got new words, whether any stands."""

    second: int
    satellite: SatelliteReport
    raised: tuple[AlertReport, ...]
    standing: bool

    @property
    def first(self) -> str:
        """The cause that stands first."""
        return self.satellite.causes[0].cause if self.satellite.causes else "none"

    @property
    def weight(self) -> float:
        """Its weight; 0 without one."""
        return self.satellite.causes[0].weight if self.satellite.causes else 0.0


@dataclass(slots=True)
class Aboard:
    """The boat of one passage, her navigator, and how the alerts of heading, log and satellites stand.

    `answers`: the first alert after the onset is answered by two bearings, where there are marks.
    """

    voyage: Voyage
    samples: int = SAMPLES
    answers: bool = False
    navigator: Navigator = field(init=False)
    texts: dict[str, str] = field(default_factory=dict)
    standing: set[str] = field(default_factory=set)
    fixes: set[str] = field(default_factory=set)
    refused: list[Answer] = field(default_factory=list)
    said: list[Report] = field(default_factory=list)

    def __post_init__(self) -> None:
        tuning = Tuning(
            variation=NO_VARIATION, strongest_stream_kn=self.voyage.strongest_kn, samples=self.samples
        )
        self.navigator = Navigator(tuning, self.voyage.marks, entries)

    def sail(self) -> Iterator[Told]:
        """Sail it; yield what is told at the end of each second."""
        due: dict[int, list[Entered]] = {}
        self._plan(due, self.voyage.entries)
        answered = not self.answers
        self.navigator.step(Tick(BEGINS.ms))
        for second in range(self.voyage.seconds - 1):
            at_ms = BEGINS.ms + 1000 * second
            said: list[Report] = []
            for entered in due.get(second, ()):
                said += self._enter(entered, at_ms)
            self._hear(second, at_ms)
            said += self.navigator.step(Tick(at_ms + 1000))
            told = self._told(second + 1, said)
            if told.raised and second > self.voyage.onset and not answered:
                answered = True
                self._plan(due, self._answer(second + ANSWERED_AFTER_S))
            yield told

    def _answer(self, at: int) -> list[Entered]:
        """Return the bearings that answer an alert; none where others are taken just then."""
        near = any(e.channel == "sighting" and abs(e.second - at) < 120 for e in self.voyage.entries)
        if near or at + 120 > self.voyage.seconds:
            return []
        return self.voyage.crew.answer(at, self.voyage.ground_m)

    @staticmethod
    def _plan(due: dict[int, list[Entered]], made: Iterable[Entered]) -> None:
        """Plan when what is made is entered, and when its fix is adopted."""
        for entered in made:
            due.setdefault(entered.second, []).append(entered)
            if entered.adopts:
                fix = f"f-{entered.body['id']}"
                body: dict[str, object] = {"id": f"a-{fix}", "kind": "adopt", "fix": fix}
                at = adopts_at(entered)
                due.setdefault(at, []).append(Entered(at, "order", body))

    def _enter(self, entered: Entered, at_ms: int) -> list[Report]:
        """Enter something; a fix that was not made, or is in doubt, is not adopted."""
        fix = entered.body.get("fix")
        if fix is not None and fix not in self.fixes:
            return []
        said = list(self.navigator.step(Entry(at_ms, entered.channel, json.dumps(entered.body))))
        self.refused += [each for each in said if isinstance(each, Answer) and not each.accepted]
        return said

    def _hear(self, second: int, at_ms: int) -> None:
        voyage, step = self.voyage, self.navigator.step
        heading, log = float(voyage.heading_deg[second]), float(voyage.log_kn[second])
        step(Heading(at_ms + 100, "HCHDM@bow", HeadingKind.MAGNETIC, heading, None, None))
        step(WaterSpeed(at_ms + 200, "VWVHW@bow", log))
        if voyage.total_nm is not None:
            step(LogTotal(at_ms + 250, "VWVLW@bow", float(voyage.total_nm[second])))
        if voyage.angle_deg is not None and voyage.wind_kn is not None:
            angle, wind = float(voyage.angle_deg[second]), float(voyage.wind_kn[second])
            step(ApparentWind(at_ms + 300, "WIMWV@mast", angle, wind))
        step(self._satellite(second, at_ms + 400))

    def _satellite(self, second: int, at_ms: int) -> Satellite:
        told = self.voyage.told_m
        here = complex(told[second])
        way_kn = complex(here - told[max(0, second - SPEED_OVER_S)]) / SPEED_OVER_S / KN
        place = START.moved(here.real, here.imag)
        return Satellite(
            at_ms,
            "GPRMC@bow",
            gives_position=True,
            word=Word.GOOD,
            latitude_deg=round(place.latitude_deg, 7),
            longitude_deg=round(place.longitude_deg, 7),
            course_deg=round(float(np.degrees(np.angle(way_kn))) % 360.0, 1),
            speed_kn=round(abs(way_kn), 1),
            utc_ms=at_ms,
        )

    def _told(self, second: int, said: list[Report]) -> Told:
        raised = []
        for report in said:
            if isinstance(report, FixReport) and report.label == "Fix":
                self.fixes.add(report.id)
            if isinstance(report, AlertReport) and report.name in SUBJECTS:
                if report.state not in STANDING:
                    self.standing.discard(report.name)
                    continue
                self.standing.add(report.name)
                # Said again, an alert begins with the time it was raised.
                text = SAID_AGAIN.sub("", report.text)
                if text != self.texts.get(report.name):
                    self.texts[report.name] = text
                    raised.append(report)
        (satellite,) = (each for each in said if isinstance(each, SatelliteReport))
        return Told(second, satellite, tuple(raised), bool(self.standing))
