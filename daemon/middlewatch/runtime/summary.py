"""The summary that closes a replay: what was heard, what steered, and how it ended."""

from collections import Counter
from collections.abc import Iterator

from middlewatch.quantities.instants import MS_PER_SECOND, Instant
from middlewatch.reports import Report
from middlewatch.reports.alert import AlertReport, SoundReport
from middlewatch.reports.answer import Answer
from middlewatch.reports.fix import FixReport
from middlewatch.reports.position import PositionReport
from middlewatch.reports.satellite import SatelliteReport
from middlewatch.runtime.alarm_report import aggregated
from middlewatch.runtime.replay import Replay
from middlewatch.wire.recording import RecordingSummary


class Summary:
    """Takes the reports of a replay and sums them up."""

    def __init__(self) -> None:
        self._position: PositionReport | None = None
        self._satellite: SatelliteReport | None = None
        self._fixes: set[str] = set()
        self._answers: Counter[str] = Counter()
        self._alerts: list[AlertReport | SoundReport] = []
        self._states: Counter[str] = Counter()

    def take(self, report: Report) -> None:
        """Note a report."""
        match report:
            case PositionReport():
                self._position = report
            case SatelliteReport():
                self._satellite = report
                self._states[report.state] += 1
            case FixReport():
                self._fixes.add(report.id)
            case Answer():
                self._answers["accepted" if report.accepted else "refused"] += 1
            case AlertReport() | SoundReport():
                self._alerts.append(report)

    def sentences(self, replay: Replay, recording: RecordingSummary) -> Iterator[str]:
        """Yield the summary, a sentence each."""
        first, last = replay.first_ms or 0, replay.last_ms
        source = (
            "its TAG stamps"
            if recording.stamped
            else f"{recording.time_source} (unstamped: its times stay in when satellites are blanked)"
        )
        minutes = (last - first) / MS_PER_SECOND / 60
        yield f"{replay.lines} lines over {minutes:.1f} min from {Instant(first)}, time by {source}"
        if recording.went_back:
            yield f"time told that went back and was not followed: {recording.went_back}"
        yield from self._heard(replay)
        yield from self._reckoned()
        yield from self._watched()

    def _heard(self, replay: Replay) -> Iterator[str]:
        for name, decoder in replay.decoders.items():
            reasons = ", ".join(f"{n} {why}" for why, n in decoder.rejected.most_common())
            rejected = f"; rejected {reasons}" if reasons else ""
            passed_over = sum(decoder.passed_over.values())
            yield f"input {name}: {decoder.sentences} sentences taken, {passed_over} passed over{rejected}"
        heading, speed = replay.navigator.steering()
        yield f"heading by {heading or 'nothing'}, speed by {speed or 'nothing'}"

    def _reckoned(self) -> Iterator[str]:
        answers = ", ".join(f"{n} {what}" for what, n in sorted(self._answers.items()))
        if answers:
            yield f"entries: {answers}; fixes: {len(self._fixes)}"
        position = self._position
        if position is None:
            yield "no whole second passed: nothing was reckoned"
        elif position.dr is None:
            yield "no departure: no reckoned position"
        else:
            yield f"DR ran {position.dr.run_nm:.2f} nm from {position.dr.since.clock_with_seconds}"

    def _watched(self) -> Iterator[str]:
        if self._satellite is not None:
            spent = ", ".join(f"{state} {n} s" for state, n in self._states.most_common())
            gap_nm, bearing_deg = self._satellite.gap_nm, self._satellite.bearing_deg
            known = gap_nm is not None and bearing_deg is not None
            gap = f"; gap at the end {gap_nm:.3f} nm, {bearing_deg:03.0f} T of the EP" if known else ""
            yield f"satellites: {spent}{gap}"
        yield from aggregated(self._alerts)
