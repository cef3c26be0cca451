"""Topics: where each report goes and whether the broker keeps it, and where entries come in."""

from dataclasses import dataclass
from typing import Literal

from middlewatch.quantities.instants import Instant
from middlewatch.readings.entries import Channel
from middlewatch.reports.advice import AdviceReport
from middlewatch.reports.alert import AlertReport, CommandReport, SoundReport
from middlewatch.reports.answer import Answer
from middlewatch.reports.fix import FixReport
from middlewatch.reports.overboard import OverboardReport
from middlewatch.reports.position import PositionReport
from middlewatch.reports.satellite import SatelliteReport
from middlewatch.reports.status import StatusReport
from middlewatch.wire.payloads import Published, instant, payload

ROOT = "middlewatch"
ENTRY_TOPICS: dict[str, Channel] = {"sighting": "sighting", "order": "order"}
"""Where entries come in, below the boat."""


@dataclass(frozen=True, slots=True)
class Outlet:
    """Where a class of report goes, how surely (MQTT's QoS), when, and whether the broker keeps it.

    `topic` is below the boat; a name in braces is a field of the report.
    """

    topic: str
    qos: Literal[0, 1]
    when: str
    retained: bool


OUTLETS: dict[type, Outlet] = {
    PositionReport: Outlet("position", 0, "each second", retained=True),
    SatelliteReport: Outlet("satellite", 0, "each second", retained=True),
    FixReport: Outlet("fix", 1, "at each new, revised or withdrawn fix", retained=True),
    AdviceReport: Outlet("advice", 1, "when the advice changes", retained=True),
    AlertReport: Outlet("alert/{name}", 1, "when the alert is raised and whenever it changes", retained=True),
    StatusReport: Outlet(
        "status", 1, "each ten seconds, and when it changes; offline at the end", retained=True
    ),
    OverboardReport: Outlet(
        "overboard", 0, "each second while somebody is overboard, and once after", retained=True
    ),
    SoundReport: Outlet("sound", 1, "when an alert is to be heard", retained=False),
    CommandReport: Outlet(
        "alert-command/answer", 1, "when the bus gave a command about an alert", retained=False
    ),
    Answer: Outlet("{channel}/answer", 1, "once the entry is committed", retained=False),
}
"""Every topic that goes out."""

AT_MOST_ONCE = frozenset(outlet.topic for outlet in OUTLETS.values() if outlet.qos == 0)
"""The topics whose next word comes before a lost one could be sent again."""


def full(boat: str, topic: str) -> str:
    """Return a topic as the broker knows it: `middlewatch/kittiwake/position`."""
    return f"{ROOT}/{boat}/{topic}"


def topic_of(report: Published) -> str:
    """Return a report's topic below `middlewatch/<boat>/`: `position`, `alert/heading`, `order/answer`."""
    if isinstance(report, AlertReport):
        return f"alert/{report.name}"
    if isinstance(report, Answer):
        return f"{report.channel}/answer"
    return OUTLETS[type(report)].topic


def retained(report: Published) -> bool:
    """Say whether the broker keeps a report for those who come later: all but answers and sounds."""
    return OUTLETS[type(report)].retained


def channel_of(topic: str) -> Channel | None:
    """Return on which channel entries come in by a full topic, of whatever boat; None where none do."""
    levels = topic.split("/")
    if len(levels) != 3 or levels[0] != ROOT:
        return None
    return ENTRY_TOPICS.get(levels[2])


def reports_line(at: Instant, report: Published) -> str:
    """Return a report as a line of REPORTS, without the line's end: when, where and what `run` publishes."""
    return f'{{"topic":"{topic_of(report)}","at":{instant(at)},"report":{payload(report)}}}'
