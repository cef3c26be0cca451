"""A bus that brings more than can be worked: nothing that is said grows old."""

import asyncio
from contextlib import suppress
from pathlib import Path

from middlewatch.quantities.instants import Instant
from middlewatch.runtime.clock import utc_ms
from middlewatch.settings import MqttSettings
from stories.story import PATIENCE_S, Bus, running, sealed, settings_file, watcher

FLOOD = (sealed("HCHDG,101.1,,,7.1,W") + b"\r\n") * 5000

OLDEST_MS = 5000
"""How old a position may be that is published in a flood on a busy machine of two cores (judgement).

What else runs there may hold one up, and those after it are as fresh as ever; what lags never comes nearer.
"""


async def test_a_flood_is_said_and_positions_stay_fresh(tmp_path: Path, plain: MqttSettings) -> None:
    """Lines without end are dropped, said on the input's alert, while positions come in their second."""
    async with Bus() as bus, watcher(plain) as watching:
        settings = settings_file(tmp_path, plain, bus.link, stamp="arrival")
        async with running(settings) as run:
            await bus.listener()
            flooding = asyncio.create_task(_pour(bus))
            alert = await watching.report("alert/input", priority="caution")
            newest, age_ms = str(alert["at"]), OLDEST_MS
            async with asyncio.timeout(PATIENCE_S):
                while age_ms >= OLDEST_MS:
                    newest = str((await watching.position_after(newest))["at"])
                    age_ms = utc_ms() - Instant.parse(newest).ms
            flooding.cancel()
            with suppress(asyncio.CancelledError):
                await flooding
            await run.terminate()

    assert "bow brings more lines than can be worked" in alert["text"]


async def _pour(bus: Bus) -> None:
    while True:
        await bus.send(FLOOD)
