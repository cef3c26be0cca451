"""A passage as its reports told it: tracks, fixes, lines and areas, read out of a REPORTS file."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Literal

from middlewatch.quantities.instants import MS_PER_HOUR, MS_PER_SECOND, Instant
from middlewatch.quantities.positions import Position
from middlewatch.runtime.reports_told import BadReports, Json, told

TrackOf = Literal["dr", "ep", "former_dr", "satellite"]

TRACK_EVERY_S = 10
AREA_EVERY_MS = MS_PER_HOUR
_A_GAP_MS = 60 * MS_PER_SECOND


@dataclass(frozen=True, slots=True)
class Point:
    """Where a track was, and when."""

    at: Instant
    place: Position


@dataclass(slots=True)
class Track:
    """A stretch of one track without a gap; `origin` is the id of the DR's origin, None of satellites."""

    of: TrackOf
    origin: str | None
    points: list[Point] = field(default_factory=list)
    newest: Point | None = None

    def add(self, point: Point, every_s: int) -> None:
        """Take a point where the last is so many seconds old; the newest is kept in any case."""
        if not self.points or point.at.ms - self.points[-1].at.ms >= every_s * MS_PER_SECOND:
            self.points.append(point)
            self.newest = None
        else:
            self.newest = point

    @property
    def whole(self) -> list[Point]:
        """The points, the newest with them."""
        return self.points if self.newest is None else [*self.points, self.newest]


@dataclass(slots=True)
class Area:
    """An area's report at a moment, and the fix it belongs to."""

    at: Instant
    report: Json
    fix: str | None = None


@dataclass(slots=True)
class Sighted:
    """A sighting's answer with its line, where the EP was then, and whether it was withdrawn later."""

    answer: Json
    ep: Position | None
    withdrawn: bool = False


@dataclass(slots=True)
class Passage:
    """Everything that is drawn of a passage; `fixes` by id, each as it was told last."""

    tracks: list[Track] = field(default_factory=list)
    fixes: dict[str, Json] = field(default_factory=dict)
    sightings: dict[str, Sighted] = field(default_factory=dict)
    areas: list[Area] = field(default_factory=list)


def superseded(passage: Passage) -> frozenset[str]:
    """Return the ids of fixes that a later one revises, or whose lines do not make them any more."""
    revised = {fix["revises"] for fix in passage.fixes.values() if fix.get("revises")}
    return frozenset(id_ for id_, fix in passage.fixes.items() if id_ in revised or fix.get("withdrawn"))


def read_passage(file: str, *, track_every_s: int = TRACK_EVERY_S) -> Passage:
    """Read a REPORTS file; OSError where it cannot be read, BadReports where it is something else."""
    passage = passage_of(((topic, said) for _, topic, said in told(file)), track_every_s=track_every_s)
    if not passage.tracks:
        raise BadReports(file, 0, "no position", "the reports of a passage with a departure")
    return passage


def passage_of(reports: Iterable[tuple[str, Json]], *, track_every_s: int = TRACK_EVERY_S) -> Passage:
    """Gather a passage from (topic, report) in order."""
    logbook = _Logbook(track_every_s)
    for topic, report in reports:
        logbook.take(topic, report)
    return logbook.done()


class _Logbook:
    """Gathers a passage, report after report."""

    def __init__(self, track_every_s: int) -> None:
        self._every_s = track_every_s
        self._passage = Passage()
        self._open: dict[TrackOf, Track] = {}
        self._last_ms: dict[TrackOf, int] = {}
        self._ep: Position | None = None
        self._area: Area | None = None

    def take(self, topic: str, report: Json) -> None:
        """Take one report."""
        if topic == "position":
            self._position(report)
        elif topic == "satellite":
            self._satellite(report)
        elif topic == "fix":
            self._fix(report)
        elif topic in ("sighting/answer", "order/answer"):
            self._answer(report)

    def done(self) -> Passage:
        """Return it, with the last area told."""
        areas = self._passage.areas
        if self._area is not None and (not areas or areas[-1].at != self._area.at):
            areas.append(self._area)
        return self._passage

    def _position(self, report: Json) -> None:
        at = Instant.parse(report["at"])
        self._ep = None if report["ep"] is None else _place(report["ep"])
        origin = report["origin"]
        if origin is None:
            return
        self._go_on("dr", at, _place(report["dr"]), f"{origin['id']} {origin['at']}")
        self._go_on("ep", at, _place(report["ep"]), f"{origin['id']} {origin['at']}")
        if (former := report.get("former")) is not None:
            self._go_on("former_dr", at, _place(former), f"former {former['since']}")
        if report["area"] is not None:
            self._area = Area(at, report["area"])
            if not self._passage.areas or at.ms - self._passage.areas[-1].at.ms >= AREA_EVERY_MS:
                self._passage.areas.append(self._area)

    def _satellite(self, report: Json) -> None:
        """Take the satellite position, which is told by its bearing and distance from the EP."""
        if self._ep is not None and report["gap_nm"] is not None and report["bearing_deg"] is not None:
            place = self._ep.along(report["bearing_deg"], report["gap_nm"])
            self._go_on("satellite", Instant.parse(report["at"]), place, None)

    def _go_on(self, of: TrackOf, at: Instant, place: Position, origin: str | None) -> None:
        track, last_ms = self._open.get(of), self._last_ms.get(of, 0)
        if track is None or track.origin != origin or not 0 < at.ms - last_ms <= _A_GAP_MS:
            track = self._open[of] = Track(of, origin)
            self._passage.tracks.append(track)
        track.add(Point(at, place), self._every_s)
        self._last_ms[of] = at.ms

    def _fix(self, report: Json) -> None:
        self._passage.fixes[report["id"]] = report
        if report["area"] is not None and not report.get("withdrawn"):
            self._passage.areas.append(Area(Instant.parse(report["at"]), report["area"], report["id"]))

    def _answer(self, answer: Json) -> None:
        sightings = self._passage.sightings
        if answer.get("line") is not None:
            sightings[answer["id"]] = Sighted(answer, self._ep)
        if answer["kind"] == "withdraw" and answer.get("about") in sightings:
            sightings[answer["about"]].withdrawn = True


def _place(report: Json) -> Position:
    return Position(report["latitude_deg"], report["longitude_deg"])
