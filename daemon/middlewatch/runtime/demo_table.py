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


@dataclass(frozen=True, slots=True)
class Raised:
    """A satellite alert as it was raised, and how the satellite position stood in that second."""

    alert: AlertReport
    satellite: SatelliteReport


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
                if self.back is None and report.at.ms >= DEMO_STORY.back_ms and report.state != "none":
                    self.back = report
                self.satellite = report

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
            title="What the passage came to", title_justify="left", title_style="bold", box=SIMPLE_HEAD
        )
        for heading in ("UTC", "what", "how it stood"):
            table.add_column(heading)
        table.add_column("off the truth", justify="right")
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
        ):
            continue
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
            words = f"refused: {answer.refusal.reason}"
            yield Row(answer.heard_at.ms, f"{answer.kind or answer.channel} {answer.id}", words)


def _accepted(seen: Seen, kind: str) -> Iterator[Answer]:
    return (answer for answer in seen.answers.values() if answer.kind == kind and answer.accepted)


def _fixes(passage: Passage, seen: Seen) -> Iterator[Row]:
    for fix in seen.fixes.values():
        if fix.withdrawn:
            continue
        parts = []
        if (ep := seen.eps.get(fix.at.ms // MS_PER_SECOND * MS_PER_SECOND)) is not None:
            parts.append(f"the EP was {_off_nm(passage, fix.at, ep):.2f} nm off")
        if fix.set_deg is not None and fix.drift_kn is not None:
            parts.append(f"set {three_figures(fix.set_deg)} T, drift {fix.drift_kn:.1f} kn")
        if fix.area is not None:
            parts.append(_area(passage, fix.at, fix.area))
        off_nm = passage.error_nm(fix.at.ms, Position(fix.latitude_deg, fix.longitude_deg))
        yield Row(fix.at.ms, f"{fix.label} {fix.id}", "; ".join(parts), off_nm)


def _end(passage: Passage, seen: Seen) -> Iterator[Row]:
    last, satellite = seen.position, seen.satellite
    if last is None or last.ep is None or last.at.ms < passage.ends_ms:
        return
    words = "" if last.area is None else _area(passage, last.at, last.area)
    yield Row(last.at.ms, "EP at the end", words, _off_nm(passage, last.at, last.ep))
    if satellite is None or satellite.gap_nm is None or satellite.bearing_deg is None:
        return
    place = Position(last.ep.latitude_deg, last.ep.longitude_deg).along(
        satellite.bearing_deg, satellite.gap_nm
    )
    words = f"gap {satellite.gap_nm:.2f} nm, {three_figures(satellite.bearing_deg)} T of the EP"
    yield Row(last.at.ms, "satellites at the end", words, passage.error_nm(last.at.ms, place))


def _area(passage: Passage, at: Instant, area: AreaReport) -> str:
    """Say how large the area was, and whether it held the boat."""
    truth = passage.truth_at(at.ms).position
    held = (
        "the boat inside" if area.outline.holds(truth.latitude_deg, truth.longitude_deg) else "BOAT OUTSIDE"
    )
    return f"area {2 * area.semi_major_nm:.1f} by {2 * area.semi_minor_nm:.1f} nm, {held}"


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


def _after(when_ms: int, alert: AlertReport) -> str:
    return f"after {(alert.at.ms - when_ms) / MS_PER_MINUTE:.1f} min"


def _gap(raised: Raised) -> str:
    return "" if raised.satellite.gap_nm is None else f", gap {raised.satellite.gap_nm:.2f} nm"
