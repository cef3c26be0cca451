"""A real daemon over mosquitto says what the AsyncAPI document promises, and a newcomer has it at once."""

import asyncio
from pathlib import Path

from middlewatch.settings import MqttSettings
from middlewatch.wire.topics import OUTLETS
from stories.brokers.everything_said import BOAT, bystander, everything_said
from stories.story import PATIENCE_S
from wire.as_described import judge

WHOLE_PICTURE_S = 1.0
NEWCOMERS = 5
"""So many come one after the other until one is told in time: what else runs on the machine may delay one."""
KEPT = {outlet.topic for outlet in OUTLETS.values() if outlet.retained and "{" not in outlet.topic}


async def _told_after_s(broker: MqttSettings, promised: set[str]) -> float:
    """Return how long a newcomer waits for something on each of these topics, seconds."""
    loop = asyncio.get_running_loop()
    began_s = loop.time()
    async with bystander(broker, BOAT) as newcomer, asyncio.timeout(PATIENCE_S):
        while not promised <= {topic for topic, _, _ in newcomer.messages}:
            newcomer.newer.clear()
            await newcomer.newer.wait()
    return loop.time() - began_s


async def test_all_that_is_published_is_as_described(tmp_path: Path, plain: MqttSettings) -> None:
    """Every message of a watch with every kind of entry fits its schema; a newcomer has all of it in 1 s.

    The last will's own words fit too: they are a daemon's `offline`.
    """
    async with everything_said(tmp_path, plain) as heard:
        promised = KEPT | {topic for topic, _, _ in heard.messages if topic.startswith("alert/")}
        took_s = [await _told_after_s(plain, promised)]
        while took_s[-1] >= WHOLE_PICTURE_S and len(took_s) < NEWCOMERS:
            took_s.append(await _told_after_s(plain, promised))
    in_ms = f"in {1000 * took_s[-1]:.0f} ms"
    print(f"the whole picture, {len(promised)} topics, {in_ms}; {len(heard.messages)} said")  # noqa: T201 -- measured
    for topic, payload, _ in heard.messages:
        if topic not in {"sighting", "order"}:
            judge().check(topic, payload)

    assert took_s[-1] < WHOLE_PICTURE_S, took_s
    will = judge().document["servers"]["broker"]["bindings"]["mqtt"]["lastWill"]
    judge().check("status", will["message"])
    unmet = {name for name in judge().document["components"]["schemas"] if not name.endswith("Entry")}
    print("schemas no message met:", sorted(unmet - judge().met))  # noqa: T201 -- measured
    assert {"Position", "Satellite", "Fix", "Advice", "Alert", "Status", "Sound", "Command"} <= judge().met
    assert {"SightingAnswers", "OrderAnswers", "RefusedEntry"} <= judge().met
