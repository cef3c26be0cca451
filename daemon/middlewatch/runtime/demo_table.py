"""What the demo came to: a short table of what was entered and noticed, marked by the simulated truth."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from rich.box import SIMPLE_HEAD
from rich.table import Table

from middlewatch.practice.demo_passage import DEMO_STORY
from middlewatch.practice.passage import Passage
from middlewatch.quantities.angles import three_figures
from middlewatch.quantities.instants import MS_PER_MINUTE, MS_PER_SECOND, Instant
from middlewatch.quantities.positions import Position
from middlewatch.reports import Report
from middlewatch.reports.alert import AlertReport
from middlewatch.reports.answer import Answer
from middlewatch.reports.area import AreaReport
from middlewatch.reports.fix import FixReport
from middlewatch.reports.position import EpReport, OriginReport, PositionReport
from middlewatch.reports.satellite import SatelliteReport

_WITNESS = {
    "entry": "an entry",
    "satellite": "satellites",
    "log": "log",
    "compass": "compass",
    "stream": "stream",
}


@dataclass(frozen=True, slots=True)
class Raised:
    """A satellite alert as it was raised, and how the satellite position stood in that second."""

    alert: AlertReport
    satellite: SatelliteReport


@dataclass(frozen=True, slots=True)
class Compared:
    """How the satellite position stood to the EP of the same second."""

    satellite: SatelliteReport
    ep: EpReport


@dataclass(slots=True)
class Seen:
    """What was heard from the daemon on the way."""

    answers: dict[str, Answer] = field(default_factory=dict)
    fixes: dict[str, FixReport] = field(default_factory=dict)
    raised: list[Raised] = field(default_factory=list)
    origins: dict[str, OriginReport] = field(default_factory=dict)
    eps: dict[int, EpReport] = field(default_factory=dict)
    position: PositionReport | None = None
    satellite: SatelliteReport | None = None
    back: SatelliteReport | None = None
    verdicts: list[SatelliteReport] = field(default_factory=list)
    worst: Compared | None = None
    returning: SatelliteReport | None = None

    def take(self, report: Report) -> None:
        """Note a report."""
        match report:
            case FixReport():
                self.fixes[report.id] = report
            case Answer():
                self.answers[report.id or ""] = report
            case AlertReport():
                if (
                    report.name == "satellite"
                    and report.state.startswith("active")
                    and self.satellite is not None
                ):
                    self.raised.append(Raised(report, self.satellite))
            case PositionReport():
                self._position(report)
            case SatelliteReport():
                self._satellite(report)

    def _satellite(self, report: SatelliteReport) -> None:
        self.satellite = report
        if self.back is None and report.at.ms >= DEMO_STORY.back_ms and report.state != "none":
            self.back = report
        if DEMO_STORY.pulled_ms <= report.at.ms < DEMO_STORY.let_go_ms:
            first = report.causes[0].cause if report.causes else None
            if first is not None and (not self.verdicts or self.verdicts[-1].causes[0].cause != first):
                self.verdicts.append(report)
            if (ep := self.eps.get(report.at.ms)) is not None:
                self.worst = Compared(report, ep)
        if self.returning is None and report.at.ms >= DEMO_STORY.let_go_ms and report.state == "returning":
            self.returning = report

    def _position(self, report: PositionReport) -> None:
        self.position = report
        if report.ep is not None:
            self.eps[report.at.ms] = report.ep
        if report.origin is not None:
            self.origins.setdefault(report.origin.id, report.origin)


@dataclass(frozen=True, slots=True)
class Row:
    """When (UTC, ms), what, how it stood, and how far off the truth in nm, None where that means nothing."""

    at_ms: int
    what: str
    how: str
    off_nm: float | None = None


@dataclass(frozen=True, slots=True)
class DemoTable:
    """The rows in order of time, and what was promised and did not come."""

    rows: tuple[Row, ...]
    missing: tuple[str, ...]

    def drawn(self) -> Table:
        """Draw it, to be printed."""
        table = Table(
            title="What the passage came to, and how far off the truth it was",
            title_justify="left",
            title_style="bold",
            box=SIMPLE_HEAD,
        )
        for heading in ("UTC", "what", "how it stood"):
            table.add_column(heading)
        table.add_column("off", justify="right")
        for row in self.rows:
            off = "" if row.off_nm is None else f"{row.off_nm:.2f} nm"
            table.add_row(Instant(row.at_ms).clock, row.what, row.how, off)
        return table


def demo_table(passage: Passage, seen: Seen, unanswered: Iterable[str] = ()) -> DemoTable:
    """Mark what was seen by the truth of the passage; `unanswered` are the ids of entries nobody answered."""
    missing = [f"an answer to {id_}" for id_ in unanswered]
    parts = {
        "a departure": list(_departure(passage, seen)),
        "a bearing": list(_sightings(seen)),
        "a running fix": [row for row in _fixes(passage, seen) if row.what.startswith("R Fix")],
        "a word on satellites lost": list(_lost(seen)),
        "a word on satellites back": list(_back(seen)),
        "a warning of satellites drawn off": list(_drawn_off(seen)),
        "a word on what is likeliest wrong": list(_likeliest(seen)),
        "satellites drawn off to the last": list(_worst(passage, seen)),
        "satellites in quarantine": list(_returning(seen)),
        "satellites trusted again": list(_trusted(seen)),
        "the reckoning to the end": list(_end(passage, seen)),
    }
    missing += [what for what, rows in parts.items() if not rows]
    if not any(fix.set_deg is not None and not fix.withdrawn for fix in seen.fixes.values()):
        missing.append("set and drift")
    rows = [row for part in parts.values() for row in part]
    rows += [row for row in _fixes(passage, seen) if not row.what.startswith("R Fix")]
    rows += _refusals(seen)
    return DemoTable(tuple(sorted(rows, key=lambda row: row.at_ms)), tuple(missing))


# --- the skipper's work -----------------------------------------------------------------------------


def _departure(passage: Passage, seen: Seen) -> Iterator[Row]:
    for answer in _accepted(seen, "departure"):
        origin = seen.origins.get(answer.id or "")
        if origin is not None:
            place = Position(origin.latitude_deg, origin.longitude_deg)
            yield Row(origin.at.ms, "departure", f"{place}", passage.error_nm(origin.at.ms, place))


def _sightings(seen: Seen) -> Iterator[Row]:
    for answer in _accepted(seen, "bearing"):
        sighting = answer.sighting
        if (
            answer.at is None
            or sighting is None
            or sighting.chain is None
            or sighting.chain.magnetic_deg is None
            or f"f-{answer.id}" in seen.fixes
        ):
            continue  # of a bearing that makes a fix the fix tells
        words = f"{three_figures(sighting.chain.magnetic_deg)} M"
        if sighting.residual_deg is not None:
            words += f", residual {sighting.residual_deg:+.1f} degrees"
        yield Row(answer.at.ms, f"bearing {answer.id}", f"{words}{_late(answer.at, answer.heard_at)}")


def _late(at: Instant, heard_at: Instant) -> str:
    late_s = (heard_at.ms - at.ms) // MS_PER_SECOND
    if late_s < 1:
        return ""
    return f", entered {late_s} s late" if late_s < 120 else f", entered {late_s // 60} min late"


def _refusals(seen: Seen) -> Iterator[Row]:
    for answer in seen.answers.values():
        if answer.refusal is not None:
            refusal = answer.refusal
            words = f"refused: {refusal.reason}"
            if answer.kind == "trust_satellites":
                words = f"refused, wanted: {refusal.wanted.partition(';')[0]}"
            what = "order" if answer.channel == "order" else answer.kind or answer.channel
            yield Row(answer.heard_at.ms, f"{what} {answer.id}", words)


def _accepted(seen: Seen, kind: str) -> Iterator[Answer]:
    return (answer for answer in seen.answers.values() if answer.kind == kind and answer.accepted)


def _fixes(passage: Passage, seen: Seen) -> Iterator[Row]:
    for fix in seen.fixes.values():
        if fix.withdrawn:
            continue
        parts = []
        if (ep := seen.eps.get(fix.at.ms // MS_PER_SECOND * MS_PER_SECOND)) is not None:
            parts.append(f"EP off {_off_nm(passage, fix.at, ep):.2f} nm")
        if fix.set_deg is not None and fix.drift_kn is not None and _shows(fix):
            parts.append(f"set {three_figures(fix.set_deg)} T {fix.drift_kn:.1f} kn")
        if fix.area is not None:
            parts.append(_area(passage, fix.at, fix.area))
        off_nm = passage.error_nm(fix.at.ms, Position(fix.latitude_deg, fix.longitude_deg))
        yield Row(fix.at.ms, f"{fix.label} {fix.id}", "; ".join(parts), off_nm)


def _shows(fix: FixReport) -> bool:
    """Say whether set and drift are more than their doubt."""
    return fix.drift_kn is not None and fix.drift_kn >= 2.0 * (fix.drift_sd_kn or 0.0)


def _end(passage: Passage, seen: Seen) -> Iterator[Row]:
    last, satellite = seen.position, seen.satellite
    if last is None or last.ep is None or last.at.ms < passage.ends_ms:
        return
    words = "" if last.area is None else _area(passage, last.at, last.area)
    yield Row(last.at.ms, "EP at the end", words, _off_nm(passage, last.at, last.ep))
    if satellite is None or satellite.gap_nm is None or satellite.bearing_deg is None:
        return
    off_nm = _satellites_off_nm(passage, Compared(satellite, last.ep))
    yield Row(last.at.ms, "satellites at the end", _gap_of(satellite), off_nm)


def _area(passage: Passage, at: Instant, area: AreaReport) -> str:
    """Say how large the area was, and whether it held the boat."""
    truth = passage.truth_at(at.ms).position
    held = "holds" if area.outline.holds(truth.latitude_deg, truth.longitude_deg) else "DOES NOT HOLD HER"
    return f"area {2 * area.semi_major_nm:.1f} by {2 * area.semi_minor_nm:.1f} {held}"


def _off_nm(passage: Passage, at: Instant, ep: EpReport) -> float:
    return passage.error_nm(at.ms, Position(ep.latitude_deg, ep.longitude_deg))


# --- satellites -------------------------------------------------------------------------------------


def _lost(seen: Seen) -> Iterator[Row]:
    """Say when it was noticed that no position came; what still stood from before does not count."""
    for raised in seen.raised:
        if DEMO_STORY.lost_ms <= raised.alert.at.ms < DEMO_STORY.back_ms and raised.satellite.state == "none":
            words = f"{raised.alert.priority} {_after(DEMO_STORY.lost_ms, raised.alert)}"
            yield Row(DEMO_STORY.lost_ms, "satellites lost", words)
            return


def _back(seen: Seen) -> Iterator[Row]:
    if seen.back is not None:
        late_s = (seen.back.at.ms - DEMO_STORY.back_ms) // MS_PER_SECOND
        gap = "" if seen.back.gap_nm is None else f", gap {seen.back.gap_nm:.2f} nm"
        yield Row(DEMO_STORY.back_ms, "satellites back", f"seen after {late_s} s{gap}")


def _drawn_off(seen: Seen) -> Iterator[Row]:
    """Say when the pull was noticed: the first caution after it began, and the warning, which is wanted."""
    after = [raised for raised in seen.raised if raised.alert.at.ms >= DEMO_STORY.pulled_ms]
    warning = next((raised for raised in after if raised.alert.priority == "warning"), None)
    if warning is None:
        return
    first = [after[0]] if after[0] is not warning else []
    words = [
        f"{each.alert.priority} {_after(DEMO_STORY.pulled_ms, each.alert)}{_gap(each)}"
        for each in (*first, warning)
    ]
    yield Row(DEMO_STORY.pulled_ms, "satellites drawn off", "; ".join(words))


def _likeliest(seen: Seen) -> Iterator[Row]:
    """Say which witness was held to be wrong, each time that it was another, and how surely in the end."""
    if not seen.verdicts or seen.worst is None or not seen.worst.satellite.causes:
        return
    words = [_verdict(report) for report in (*seen.verdicts, seen.worst.satellite)]
    yield Row(seen.verdicts[0].at.ms, "likeliest wrong", "; ".join(words))


def _verdict(report: SatelliteReport) -> str:
    first = report.causes[0]
    # A weight is never told as certain.
    weight = "over 99 %" if first.weight > 0.99 else f"{100.0 * first.weight:.0f} %"
    return f"{_WITNESS[first.cause]} at {report.at.clock} ({weight})"


def _worst(passage: Passage, seen: Seen) -> Iterator[Row]:
    """Say how far satellites and EP were off at the last moment of the pull."""
    if seen.worst is None:
        return
    at = seen.worst.satellite.at
    words = f"EP off {_off_nm(passage, at, seen.worst.ep):.2f} nm; {_gap_of(seen.worst.satellite)}"
    yield Row(at.ms, "satellites astray", words, _satellites_off_nm(passage, seen.worst))


def _returning(seen: Seen) -> Iterator[Row]:
    if seen.returning is not None:
        words = f"in quarantine from {seen.returning.at.clock}, {_gap_of(seen.returning)}"
        yield Row(DEMO_STORY.let_go_ms, "satellites return", words)


def _trusted(seen: Seen) -> Iterator[Row]:
    for answer in _accepted(seen, "trust_satellites"):
        yield Row(answer.heard_at.ms, f"order {answer.id}", (answer.effect or "taken").partition(",")[0])


def _gap_of(satellite: SatelliteReport) -> str:
    if satellite.gap_nm is None or satellite.bearing_deg is None:
        return "no gap known"
    return f"gap {satellite.gap_nm:.2f} nm, {three_figures(satellite.bearing_deg)} T of the EP"


def _satellites_off_nm(passage: Passage, seen: Compared) -> float | None:
    """Return how far the satellite position lay off the truth."""
    satellite = seen.satellite
    if satellite.gap_nm is None or satellite.bearing_deg is None:
        return None
    ep = Position(seen.ep.latitude_deg, seen.ep.longitude_deg)
    return passage.error_nm(satellite.at.ms, ep.along(satellite.bearing_deg, satellite.gap_nm))


def _after(when_ms: int, alert: AlertReport) -> str:
    return f"after {(alert.at.ms - when_ms) / MS_PER_MINUTE:.1f} min"


def _gap(raised: Raised) -> str:
    return "" if raised.satellite.gap_nm is None else f", gap {raised.satellite.gap_nm:.2f} nm"
