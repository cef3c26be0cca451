"""Narration: what is said, as a navigator would note it in the deck log. A line an event, nothing each second."""

from middlewatch.quantities.angles import three_figures
from middlewatch.quantities.positions import Position
from middlewatch.reports import Report
from middlewatch.reports.alert import AlertReport
from middlewatch.reports.answer import Answer, ChainReport, SightingAnswer
from middlewatch.reports.fix import FixReport
from middlewatch.reports.position import PositionReport
from middlewatch.reports.satellite import SatelliteReport, SatelliteState


class Narrator:
    """Turns reports into sentences; remembers only what was said last, so as not to say it twice."""

    def __init__(self) -> None:
        self._satellite_state: SatelliteState | None = None
        self._way: str | None = None

    def says(self, report: Report) -> tuple[str, ...]:
        """Return the sentences of a report, none where there is nothing new."""
        match report:
            case Answer():
                return _answer(report)
            case FixReport():
                return _fix(report)
            case AlertReport():
                return _alert(report)
            case SatelliteReport():
                return self._satellite(report)
            case PositionReport():
                return self._position(report)

    def _satellite(self, report: SatelliteReport) -> tuple[str, ...]:
        before, self._satellite_state = self._satellite_state, report.state
        if report.state == before:
            return ()
        when = report.at.clock_with_seconds
        if report.state == "in_step":
            gap = "" if report.gap_nm is None else f": gap {report.gap_nm:.2f} nm"
            return (f"{when}  satellites in step with the reckoning{gap}",)
        if before is None and report.state == "none":
            return ()
        return (f"{when}  satellites {report.state.replace('_', ' ')}: {report.reason}",)

    def _position(self, report: PositionReport) -> tuple[str, ...]:
        before, self._way = self._way, report.way
        if before is None or report.way == before:
            return ()
        return (f"{report.at.clock_with_seconds}  way: {report.way.replace('_', ' ')}",)


def _answer(answer: Answer) -> tuple[str, ...]:
    when = answer.heard_at.clock_with_seconds
    name = f"{answer.kind or answer.channel} {answer.id or ''}".rstrip()
    if answer.refusal is not None:
        refusal = answer.refusal
        return (f"{when}  {name} refused: {refusal.reason} ({refusal.field}: found {refusal.found}, wanted {refusal.wanted})",)
    if answer.repeat:
        return (f"{when}  {name} heard again, answered again",)
    taken = "" if answer.at is None or answer.at == answer.heard_at else f" of {answer.at.clock_with_seconds}"
    if answer.sighting is None:
        return (f"{when}  {name}{taken}: {answer.effect}",)
    return (f"{when}  {name}{taken}: {_sighting(answer.sighting)}",)


def _sighting(sighting: SightingAnswer) -> str:
    parts = []
    if sighting.chain is not None:
        parts.append(_chain(sighting.chain))
    if sighting.residual_deg is not None:
        parts.append(f"the EP expected {three_figures(sighting.expected_deg or 0.0)} T, residual {sighting.residual_deg:+.1f} degrees")
    elif sighting.residual_nm is not None:
        parts.append(f"residual {sighting.residual_nm:+.2f} nm from the EP")
    if sighting.pencil is not None:
        parts.append(f"pencil: {sighting.pencil}")
    return "; ".join(parts)


def _chain(chain: ChainReport) -> str:
    links = []
    if chain.compass_deg is not None:
        links.append(f"{three_figures(chain.compass_deg)} C")
    if chain.magnetic_deg is not None:
        links.append(f"{three_figures(chain.magnetic_deg)} M")
    if chain.true_deg is not None:
        links.append(f"{three_figures(chain.true_deg)} T")
    return " = ".join(links)


def _fix(fix: FixReport) -> tuple[str, ...]:
    when = fix.at.clock_with_seconds
    if fix.withdrawn:
        return (f"{when}  {fix.label} {fix.id} withdrawn: the lines it was made of do not make it any more",)
    place = Position(fix.latitude_deg, fix.longitude_deg)
    first = f"{when}  {fix.label} {fix.id}: {place}"
    if fix.distance_off_nm is not None:
        first += f", {fix.distance_off_nm:.1f} nm off"
    if fix.cut_deg is not None:
        first += f", cut {fix.cut_deg:.0f} degrees"
    if fix.revises is not None:
        first += f"; revises {fix.revises}"
    lines = [first, f"          {fix.worth}"]
    if fix.set_deg is not None and fix.drift_kn is not None:
        doubt = "" if fix.drift_sd_kn is None else f" +-{fix.drift_sd_kn:.1f}"
        lines.append(f"          set {three_figures(fix.set_deg)} T, drift {fix.drift_kn:.1f}{doubt} kn over {(fix.over_s or 0) / 60:.0f} min")
    lines += [f"          {flag}" for flag in fix.flags]
    return tuple(lines)


def _alert(alert: AlertReport) -> tuple[str, ...]:
    when = alert.at.clock_with_seconds
    if alert.state == "normal":
        return (f"{when}  {alert.name}: normal again",)
    if alert.state in ("active", "active-unacknowledged"):
        return (f"{when}  {alert.priority.upper()} {alert.name}: {alert.text}",)
    return (f"{when}  {alert.name} {alert.priority}: {alert.state}",)
