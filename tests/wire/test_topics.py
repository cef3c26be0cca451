"""Topics: where reports go, which of them stay, and where entries come in."""

import json

import pytest

from middlewatch.quantities.instants import Instant
from middlewatch.readings.entries import Channel
from middlewatch.reports.advice import AdviceReport
from middlewatch.reports.alert import AlertReport
from middlewatch.reports.answer import Answer
from middlewatch.reports.fix import FixReport
from middlewatch.reports.position import BasisReport, PositionReport, SourceReport
from middlewatch.reports.satellite import SatelliteReport
from middlewatch.reports.status import StatusReport
from middlewatch.wire.payloads import Published, payload
from middlewatch.wire.topics import channel_of, full, reports_line, retained, topic_of

NOW = Instant.parse("2026-05-03T01:42:07Z")
NOTHING = SourceReport("none", None)
POSITION = PositionReport(
    NOW, "under_way", None, None, None, None, None, None, "water", BasisReport(NOTHING, NOTHING), None
)
SATELLITE = SatelliteReport(
    NOW, "none", (), NOW, None, None, None, 0.5, None, None, None, reason="no receiver"
)
FIX = FixReport(
    "f-b2",
    NOW,
    "Fix",
    50.0,
    -4.0,
    ("b1", "b2"),
    (),
    45.0,
    None,
    None,
    None,
    None,
    None,
    None,
    None,
    (),
    "good",
)
ALERT = AlertReport("clearing-bearing", NOW, "warning", "normal", "", NOW, 1)
STATUS = StatusReport("online", "0.1.0", NOW, ())


def _answer(channel: Channel) -> Answer:
    return Answer(channel, "q", "quiet", NOW, NOW, True, True, False, False, effect="quiet")


@pytest.mark.parametrize(
    ("report", "topic", "stays"),
    [
        (POSITION, "position", True),
        (SATELLITE, "satellite", True),
        (FIX, "fix", True),
        (AdviceReport(NOW, "nothing", None), "advice", True),
        (ALERT, "alert/clearing-bearing", True),
        (STATUS, "status", True),
        (_answer("sighting"), "sighting/answer", False),
        (_answer("order"), "order/answer", False),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_reports_go_where_the_interface_says(report: Published, topic: str, stays: bool) -> None:
    """Each report has INTERFACE's topic; all but answers are retained."""
    assert (topic_of(report), retained(report)) == (topic, stays)


def test_a_full_topic_names_the_boat() -> None:
    """What the broker sees begins with the daemon and the boat."""
    assert full("kittiwake", "alert/log") == "middlewatch/kittiwake/alert/log"


@pytest.mark.parametrize(
    ("topic", "channel"),
    [
        ("middlewatch/kittiwake/sighting", "sighting"),
        ("middlewatch/kittiwake/order", "order"),
        ("middlewatch/kittiwake/sighting/answer", None),
        ("middlewatch/kittiwake/position", None),
        ("elsewhere/kittiwake/order", None),
        ("order", None),
    ],
)
def test_entries_come_in_on_two_topics_only(topic: str, channel: Channel | None) -> None:
    """Sightings and orders have a channel; everything else, answers too, has none."""
    assert channel_of(topic) == channel


@pytest.mark.parametrize("report", [POSITION, SATELLITE, FIX, ALERT, _answer("order")], ids=topic_of)
def test_a_line_of_reports_says_where_when_and_what(report: Published) -> None:
    """A line of REPORTS has topic, at and report, in this order, and the report as it would be published."""
    line = reports_line(NOW, report)
    assert list(json.loads(line)) == ["topic", "at", "report"]
    assert (
        line == f'{{"topic":"{topic_of(report)}","at":"2026-05-03T01:42:07.000Z","report":{payload(report)}}}'
    )
