"""The satellite watch on real recordings: honest receivers, of which nothing is said, and a stuck log."""

import json
import os
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from middlewatch.navigator.navigator import Navigator
from middlewatch.navigator.tuning import Tuning, VariationChoice
from middlewatch.readings.entries import Entry
from middlewatch.readings.sentences import Satellite
from middlewatch.readings.watch import Tick
from middlewatch.reports.alert import AlertReport
from middlewatch.reports.satellite import SatelliteReport
from middlewatch.wire import entries
from middlewatch.wire.nmea import Decoder
from watch.test_independence import recorded

FOLDER = Path(os.environ.get("MIDDLEWATCH_RECORDINGS", ""))
pytestmark = pytest.mark.skipif(
    not os.environ.get("MIDDLEWATCH_RECORDINGS"),
    reason="MIDDLEWATCH_RECORDINGS names no folder of recordings",
)


@dataclass
class Played:
    """What was said of a recording, and when the receiver first told of way."""

    reports: list[SatelliteReport] = field(default_factory=list)
    alerts: list[AlertReport] = field(default_factory=list)
    way_ms: int | None = None

    def about(self, words: str) -> list[AlertReport]:
        """Return the alerts with such words."""
        return [alert for alert in self.alerts if words in alert.text]


def play(name: str, variation_deg: float, satellite: frozenset[str] = frozenset()) -> Played:
    """Play a recording from a departure at the first satellite position."""
    lines, _ = recorded(FOLDER / f"{name}.nmea")
    navigator = Navigator(
        Tuning(variation=VariationChoice("chart", variation_deg, 2022.0), samples=1000), {}, entries
    )
    decoder = Decoder("bow", checksum_required=False, satellite_talkers=satellite)
    played, coming, departed = Played(), iter(lines), False
    line = next(coming, None)
    for tick_ms in range(lines[0].at_ms // 1000 * 1000 + 1000, lines[-1].at_ms + 1, 1000):
        while line is not None and line.at_ms < tick_ms:
            for reading in decoder.read(line.text, line.at_ms):
                navigator.step(reading)
                if isinstance(reading, Satellite) and reading.latitude_deg is not None and not departed:
                    departed = True
                    place = {"latitude_deg": reading.latitude_deg, "longitude_deg": reading.longitude_deg}
                    body = json.dumps({"id": "d1", "kind": "departure", **place})
                    navigator.step(Entry(line.at_ms, "order", body))
                if (
                    played.way_ms is None
                    and isinstance(reading, Satellite)
                    and (reading.speed_kn or 0.0) > 3.0
                ):
                    played.way_ms = line.at_ms
            line = next(coming, None)
        for report in navigator.step(Tick(tick_ms)):
            if isinstance(report, SatelliteReport):
                played.reports.append(report)
            elif isinstance(report, AlertReport) and report.name in ("satellite", "log"):
                played.alerts.append(report)
    return played


def test_an_honest_receiver_on_a_yacht_under_way() -> None:
    """Ten minutes in the Adriatic: in step from beginning to end, and nothing is said."""
    played = play("adriatic_yacht_2022-10-16", 3.8, frozenset({"GP"}))

    assert {report.state for report in played.reports[5:]} == {"in_step"}
    assert played.alerts == []
    last = played.reports[-1]
    assert last.gap_nm is not None
    assert last.ordinary_gap_nm is not None
    assert last.gap_nm < last.ordinary_gap_nm / 3


@pytest.mark.parametrize("name", ["berth_2017-04-25", "berth_2020-02-08"])
def test_an_honest_receiver_alongside(name: str) -> None:
    """Alongside, nothing ordered, one of them restless by metres: nothing is made of it."""
    played = play(name, 13.0)

    assert {report.state for report in played.reports[5:]} == {"in_step"}
    assert played.alerts == []


def test_a_stuck_log_is_asked_after_in_ten_seconds() -> None:
    """The wheel stands at 0.00 while satellites tell of five knots: its own alert, with what to do."""
    played = play("bay_stucklog_2020-05-10", 13.0)

    asked = played.about("log 0, check wheel")
    assert asked[0].name == "log"
    assert asked[0].priority == "warning"
    assert "order speed by hand" in asked[0].text
    assert played.way_ms is not None
    assert asked[0].at.ms - played.way_ms <= 10_000
