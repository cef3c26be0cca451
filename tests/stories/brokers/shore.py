"""The other end of the broker: Debian's clients, and a short watch that is kept over any broker."""

import asyncio
import json
from asyncio.subprocess import PIPE, STDOUT, Process
from dataclasses import dataclass
from pathlib import Path

from middlewatch.links.sender import send
from middlewatch.settings import MqttSettings
from stories.story import PATIENCE_S, Bus, Json, Run, Watcher, stamped_second

BOAT = "kittiwake"
ACCESS_LIST = Path(__file__).parents[3] / "configs" / "mosquitto.acl"
"""The one that is given to owners as an example."""

DEPARTURE: Json = {"id": "d1", "kind": "departure", "latitude_deg": 50.0, "longitude_deg": -4.2}
ABEAM_TO_PORT: Json = {"latitude_deg": 50.01, "longitude_deg": -4.21}
SECOND_BEARING_S = 600


@dataclass(frozen=True, slots=True)
class BothEnds:
    """How the daemon reaches the broker, and how the skipper does."""

    daemon: MqttSettings
    skipper: MqttSettings


@dataclass(frozen=True, slots=True)
class Ashore:
    """Somebody with Debian's clients, who reaches the broker as `settings` say."""

    settings: MqttSettings

    async def publish(self, channel: str, entry: Json, *options: str) -> None:
        """Make an entry with `mosquitto_pub`."""
        topic = f"middlewatch/{BOAT}/{channel}"
        process = await self._start(
            "mosquitto_pub", "-t", topic, "-m", json.dumps(entry), "-q", "1", *options
        )
        async with asyncio.timeout(PATIENCE_S):
            said, _ = await process.communicate()
        assert process.returncode == 0, said.decode()

    async def retained(self, *topics: str) -> dict[str, Json]:
        """Return what a fresh `mosquitto_sub` is given at once on these topics.

        amqtt gives a new client also what others have subscribed to: that is passed over.
        """
        filters = [word for topic in topics for word in ("-t", f"middlewatch/{BOAT}/{topic}")]
        process = await self._start("mosquitto_sub", *filters, "--retained-only", "-v", "-q", "1")
        assert process.stdout is not None
        found: dict[str, Json] = {}
        async with asyncio.timeout(PATIENCE_S):
            while not found.keys() >= set(topics):
                topic, _, payload = (await process.stdout.readline()).decode().partition(" ")
                found[topic.removeprefix(f"middlewatch/{BOAT}/")] = json.loads(payload)
        process.terminate()
        await process.wait()
        return {topic: found[topic] for topic in topics}

    async def _start(self, *words: str) -> Process:
        settings = self.settings
        version = "5" if settings.protocol == "5" else "mqttv311"
        command = [*words, "-h", "127.0.0.1", "-p", str(settings.port), "-V", version]
        if settings.user and settings.password_file:
            command += ["-u", settings.user, "-P", settings.password_file.read_text().strip()]
        if settings.ca_file:
            command += ["--cafile", str(settings.ca_file)]
        return await asyncio.create_subprocess_exec(*command, stdout=PIPE, stderr=STDOUT)


async def online(watching: Watcher) -> None:
    """Wait until the daemon says that it is there."""
    await watching.report("status", state="online")


async def watch_begun(bus: Bus, watching: Watcher) -> None:
    """Let the first seconds be heard: before them nobody knows the time."""
    await bus.send(b"".join(map(stamped_second, range(3))))
    await watching.report("satellite")


async def watch_kept(bus: Bus, watching: Watcher, ashore: Ashore) -> dict[str, Json]:
    """Play ten minutes with a departure and two bearings, and return each answer by its id.

    The departure and the first bearing come from `mosquitto_pub`, the second from the package's own sender.
    """
    await watch_begun(bus, watching)
    answers = {}
    await ashore.publish("order", DEPARTURE)
    answers["d1"] = await watching.report("order/answer", id="d1")
    first = {"id": "b1", "kind": "bearing", "mark": ABEAM_TO_PORT, "bearing_deg": 327, "reference": "true"}
    await ashore.publish("sighting", first)
    answers["b1"] = await watching.report("sighting/answer", id="b1")
    await bus.send(b"".join(map(stamped_second, range(3, SECOND_BEARING_S))))
    await watching.position_at("2026-05-03T02:04:59")
    second = first | {"id": "b2", "bearing_deg": 266}
    answers["b2"] = dict(await send(ashore.settings, BOAT, "sighting", second) or {})
    await bus.send(stamped_second(SECOND_BEARING_S))
    await watching.position_at("2026-05-03T02:05:00")
    await watching.report("satellite", at="2026-05-03T02:05:00.000Z")
    return answers


async def said_until(run: Run, words: str) -> str:
    """Return the line of the daemon's terminal in which these words stand first."""
    assert run.process.stdout is not None
    async with asyncio.timeout(PATIENCE_S):
        async for line in run.process.stdout:
            if words in line.decode():
                return line.decode()
    raise AssertionError(f"it ended and never said {words!r}")
