"""A real daemon over mosquitto says what the AsyncAPI document promises, and a newcomer has it at once."""

import asyncio
from pathlib import Path

from middlewatch.settings import MqttSettings
from middlewatch.wire.topics import OUTLETS
from stories.brokers.everything_said import BOAT, bystander, everything_said
from wire.as_described import judge

WHOLE_PICTURE_S = 1.0
KEPT = {outlet.topic for outlet in OUTLETS.values() if outlet.retained and "{" not in outlet.topic}


async def test_all_that_is_published_is_as_described(tmp_path: Path, plain: MqttSettings) -> None:
    """Every message of a watch with every kind of entry fits its schema; a newcomer has all of it in 1 s.

    The last will's own words fit too: they are a daemon's `offline`.
    """
    async with everything_said(tmp_path, plain) as heard:
        promised = KEPT | {topic for topic, _, _ in heard.messages if topic.startswith("alert/")}
        loop = asyncio.get_running_loop()
        began_s = loop.time()
        async with bystander(plain, BOAT) as newcomer, asyncio.timeout(10):
            while not promised <= {topic for topic, _, _ in newcomer.messages}:
                newcomer.newer.clear()
                await newcomer.newer.wait()
        took_s = loop.time() - began_s
    print(f"the whole picture, {len(promised)} topics, in {1000 * took_s:.0f} ms; {len(heard.messages)} said")  # noqa: T201 -- measured
    for topic, payload, _ in heard.messages:
        if topic not in {"sighting", "order"}:
            judge().check(topic, payload)

    assert took_s < WHOLE_PICTURE_S
    will = judge().document["servers"]["broker"]["bindings"]["mqtt"]["lastWill"]
    judge().check("status", will["message"])
    unmet = {name for name in judge().document["components"]["schemas"] if not name.endswith("Entry")}
    print("schemas no message met:", sorted(unmet - judge().met))  # noqa: T201 -- measured
    assert {"Position", "Satellite", "Fix", "Advice", "Alert", "Status", "Sound", "Command"} <= judge().met
    assert {"SightingAnswers", "OrderAnswers", "RefusedEntry"} <= judge().met
