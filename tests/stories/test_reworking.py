"""An entry that takes long to be worked: it is said, and so is the end of it."""

import asyncio
import threading
from collections.abc import Callable
from pathlib import Path

import pytest

from middlewatch.navigator.navigator import Navigator
from middlewatch.readings import Reading
from middlewatch.readings.entries import Entry
from middlewatch.reports import Report
from middlewatch.runtime.run import Daemon, Files
from middlewatch.settings import MqttSettings, load
from stories.story import PATIENCE_S, Bus, settings_file, watcher

Step = Callable[[Reading], tuple[Report, ...]]
DEPARTURE = '{"id": "d1", "kind": "departure", "latitude_deg": 50.0, "longitude_deg": -4.2}'


async def test_a_long_rework_is_said_until_it_is_done(
    tmp_path: Path, plain: MqttSettings, monkeypatch: pytest.MonkeyPatch
) -> None:
    """While an entry is being worked, `status` says reworking; after its answer no more."""
    let_go = threading.Event()
    async with Bus() as bus, watcher(plain) as watching:
        settings = settings_file(tmp_path, plain, bus.link, stamp="arrival")
        daemon = Daemon(load(settings), Files(), lambda _at, _report: None)
        monkeypatch.setattr(daemon.navigator, "step", _slowly(daemon.navigator, let_go))
        running = asyncio.create_task(daemon.run())
        await watching.report("status", state="online", reworking=False)
        await watching.onlooker.say("order", DEPARTURE)
        await watching.report("status", state="online", reworking=True)
        let_go.set()
        answer = await watching.report("order/answer", id="d1")
        await watching.report("status", state="online", reworking=False)
        daemon.stop()
        await running

    assert answer["accepted"]


def _slowly(navigator: Navigator, let_go: threading.Event) -> Step:
    """Return the navigator's `step`, made to work an entry for as long as it is not let go."""
    step = navigator.step

    def slow(reading: Reading) -> tuple[Report, ...]:
        if isinstance(reading, Entry):
            assert let_go.wait(PATIENCE_S)
        return step(reading)

    return slow
