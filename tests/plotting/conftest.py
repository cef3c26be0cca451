"""The demo's passage, sailed once through the real core, as it stands on the sheet at its end."""

import json
from dataclasses import dataclass, replace

import pytest

from middlewatch.navigator.navigator import Navigator
from middlewatch.plotting.plot import Charted, Plot
from middlewatch.plotting.plotter import Plotter
from middlewatch.practice.demo_passage import DEMO_MARKS, DEMO_SENSOR_CARD, demo
from middlewatch.practice.skipper import SkipperEntry
from middlewatch.quantities.instants import Instant
from middlewatch.readings.entries import Entry
from middlewatch.reports import Report
from middlewatch.reports.position import PositionReport
from middlewatch.runtime.replay import Replay
from middlewatch.runtime.sheet import charted
from middlewatch.settings import AreaSettings, CompassSettings, InputSettings, defaults
from middlewatch.wire import entries as entry_reader
from middlewatch.wire.recording import Recording


@dataclass(frozen=True, slots=True)
class Sailed:
    """What stands on the sheet after a passage, what the files bear, and every position reported."""

    plot: Plot
    charted: Charted
    positions: tuple[PositionReport, ...]


@pytest.fixture(scope="session")
def sailed() -> Sailed:
    """Sail the demo's passage; a thousand samples do for what is drawn of an area."""
    settings = replace(
        defaults(),
        inputs=(InputSettings(name="bow", link="stdin", stamp="tag"),),
        marks={mark.name: mark for mark in DEMO_MARKS},
        compass=CompassSettings(sensor_card=DEMO_SENSOR_CARD),
        area=AreaSettings(samples=1000),
    )
    events = tuple(demo().events())
    entries = [
        Entry(event.at_ms, event.channel, json.dumps(event.body))
        for event in events
        if isinstance(event, SkipperEntry)
    ]
    lines = [event.text for event in events if not isinstance(event, SkipperEntry)]
    plotter, positions = Plotter(), list[PositionReport]()

    def said(_at: Instant, reports: tuple[Report, ...]) -> None:
        for report in reports:
            plotter.take(report)
            if isinstance(report, PositionReport):
                positions.append(report)

    navigator = Navigator(settings.tuning(), settings.marks, entry_reader)
    Replay(settings, navigator).run(Recording(iter(lines)), said, entries)
    plot = plotter.plot()
    return Sailed(plot, charted(settings, plot), tuple(positions))
