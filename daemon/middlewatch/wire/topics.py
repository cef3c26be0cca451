"""Topics: where each report goes and whether the broker keeps it, and where entries come in."""

from middlewatch.quantities.instants import Instant
from middlewatch.readings.entries import Channel
from middlewatch.reports.advice import AdviceReport
from middlewatch.reports.alert import AlertReport, CommandReport, SoundReport
from middlewatch.reports.answer import Answer
from middlewatch.reports.fix import FixReport
from middlewatch.reports.position import PositionReport
from middlewatch.reports.satellite import SatelliteReport
from middlewatch.reports.status import StatusReport
from middlewatch.wire.payloads import Published, instant, payload

ROOT = "middlewatch"
ENTRY_TOPICS: dict[str, Channel] = {"sighting": "sighting", "order": "order"}
"""Where entries come in, below the boat."""

_TOPICS: dict[type, str] = {
    PositionReport: "position",
    SatelliteReport: "satellite",
    FixReport: "fix",
    AdviceReport: "advice",
    StatusReport: "status",
    SoundReport: "sound",
    CommandReport: "alert-command/answer",
}

_SAID_ONCE = (Answer, SoundReport, CommandReport)


def full(boat: str, topic: str) -> str:
    """Return a topic as the broker knows it: `middlewatch/kittiwake/position`."""
    return f"{ROOT}/{boat}/{topic}"


def topic_of(report: Published) -> str:
    """Return a report's topic below `middlewatch/<boat>/`: `position`, `alert/heading`, `order/answer`."""
    if isinstance(report, AlertReport):
        return f"alert/{report.name}"
    if isinstance(report, Answer):
        return f"{report.channel}/answer"
    return _TOPICS[type(report)]


def retained(report: Published) -> bool:
    """Say whether the broker keeps a report for those who come later: all but answers and sounds."""
    return not isinstance(report, _SAID_ONCE)


def channel_of(topic: str) -> Channel | None:
    """Return on which channel entries come in by a full topic, of whatever boat; None where none do."""
    levels = topic.split("/")
    if len(levels) != 3 or levels[0] != ROOT:
        return None
    return ENTRY_TOPICS.get(levels[2])


def reports_line(at: Instant, report: Published) -> str:
    """Return a report as a line of REPORTS, without the line's end: when, where and what `run` publishes."""
    return f'{{"topic":"{topic_of(report)}","at":{instant(at)},"report":{payload(report)}}}'
