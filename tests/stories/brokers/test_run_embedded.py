"""`middlewatch run` with its own broker: the same watch, with nothing else running on board."""

import asyncio
from pathlib import Path

from broker.mosquitto import free_port
from middlewatch.links.embedded import EmbeddedBroker
from middlewatch.settings import MqttSettings
from stories.brokers.shore import Ashore, online, watch_kept
from stories.story import PATIENCE_S, Bus, running, settings_file, watcher


async def test_a_watch_is_kept_on_our_own_broker(tmp_path: Path) -> None:
    """Entries are answered, the newest reports wait for whoever comes later, and SIGTERM says offline."""
    broker = MqttSettings(port=free_port(), embedded=True)
    ashore = Ashore(broker)
    async with Bus() as bus, running(settings_file(tmp_path, broker, bus.link)) as run:
        await bus.listener()
        async with watcher(broker) as watching:
            await online(watching)
            answers = await watch_kept(bus, watching, ashore)
            kept = await ashore.retained("position", "satellite", "fix", "status")
            ending = asyncio.create_task(run.terminate())
            left = await watching.report("status", state="offline")
        await ending

    assert {id_: answer["accepted"] for id_, answer in answers.items()} == {
        "d1": True,
        "b1": True,
        "b2": True,
    }
    assert answers["b2"]["fix"] == kept["fix"]["id"] == "f-b2"
    assert kept["position"]["at"] == kept["satellite"]["at"] == "2026-05-03T02:05:00.000Z"
    assert kept["status"]["state"] == "online"
    assert left["version"] == kept["status"]["version"]


async def test_a_port_that_is_taken(tmp_path: Path) -> None:
    """Where the port of our own broker is another's, the daemon says so in one line and ends with 2."""
    with EmbeddedBroker() as port:
        async with (
            Bus() as bus,
            running(settings_file(tmp_path, MqttSettings(port=port, embedded=True), bus.link)) as run,
        ):
            async with asyncio.timeout(PATIENCE_S):
                _, complaint = await run.process.communicate()

    assert run.process.returncode == 2
    assert len(complaint.splitlines()) == 1
    assert str(port) in complaint.decode()
