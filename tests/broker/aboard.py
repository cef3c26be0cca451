"""The two ends of a broker link under test: the daemon's, with all it is told, and somebody else's."""

import asyncio
import json
from collections.abc import AsyncIterator, Awaitable
from contextlib import asynccontextmanager
from itertools import repeat
from typing import TypeVar

import aiomqtt

from broker.mosquitto import PATIENCE_S
from middlewatch.links.broker import Broker, Patience, Reply
from middlewatch.links.broker_connection import connection
from middlewatch.readings.entries import Channel
from middlewatch.settings import MqttSettings

T = TypeVar("T")

BOAT = "kittiwake"
ONLINE = '{"state": "online"}'
SOON = Patience(echo_s=PATIENCE_S, refused_s=0.1, farewell_s=PATIENCE_S, twin_s=0.5)
"""Tries again at once; what a broker must do itself it has time for, however busy the machine."""

Heard = tuple[Channel, bytes, bool, Reply | None]
Noted = tuple[bool, str]


class Daemon:
    """The daemon's end: a broker link, what it handed up and what it noted, each in its order."""

    def __init__(self, settings: MqttSettings, patience: Patience = SOON) -> None:
        self.heard: asyncio.Queue[Heard] = asyncio.Queue()
        self.noted: asyncio.Queue[Noted] = asyncio.Queue()
        self.broker = Broker(
            settings,
            BOAT,
            entry=lambda *heard: self.heard.put_nowait(heard),
            note=lambda *noted: self.noted.put_nowait(noted),
            version="0.0.0",
            delays=repeat(0.05),
            patience=patience,
        )

    @asynccontextmanager
    async def at_sea(self) -> AsyncIterator[None]:
        """Run the link, and say farewell at the end."""
        task = asyncio.create_task(self.broker.run())
        try:
            yield
        finally:
            await self.broker.farewell('{"state": "offline"}')
            await soon(task)

    async def answer_entries(self) -> None:
        """Answer each entry on its answer topic, and where an MQTT 5 sender asked for it."""
        while True:
            channel, payload, _, reply = await self.heard.get()
            answer = json.dumps({"id": json.loads(payload)["id"], "accepted": True})
            self.broker.publish(f"{channel}/answer", answer, retain=False)
            if reply is not None:
                self.broker.answer(reply, answer)


@asynccontextmanager
async def running(settings: MqttSettings, patience: Patience = SOON) -> AsyncIterator[Daemon]:
    """Run a daemon's end, without waiting for its connection; it says farewell at the end."""
    daemon = Daemon(settings, patience)
    async with daemon.at_sea():
        yield daemon


@asynccontextmanager
async def at_work(settings: MqttSettings, patience: Patience = SOON) -> AsyncIterator[Daemon]:
    """Run a daemon's end that is connected and has published its status."""
    async with running(settings, patience) as daemon:
        await soon(daemon.broker.connected.wait())
        daemon.broker.publish("status", ONLINE, retain=True)
        yield daemon


class Onlooker:
    """Somebody else on the broker, who hears everything of the boat."""

    def __init__(self, client: aiomqtt.Client) -> None:
        self.client = client

    async def hear(self, topic: str) -> aiomqtt.Message:
        """Return the next message on a topic below the boat's, passing over the others."""
        async with asyncio.timeout(PATIENCE_S):
            async for message in self.client.messages:
                if message.topic.value == f"middlewatch/{BOAT}/{topic}":
                    return message
        raise AssertionError("the connection ended")

    async def hear_each(self, *topics: str) -> dict[str, bytes]:
        """Return what is heard first on each of these topics, in whatever order."""
        wanted = {f"middlewatch/{BOAT}/{topic}": topic for topic in topics}
        heard: dict[str, bytes] = {}
        async with asyncio.timeout(PATIENCE_S):
            while len(heard) < len(topics):
                message = await anext(aiter(self.client.messages))
                if message.topic.value in wanted:
                    heard.setdefault(wanted[message.topic.value], bytes(message.payload))
        return heard

    async def hear_until(self, topic: str, payload: str) -> list[str]:
        """Return the payloads on a topic up to and with this one."""
        heard = [await self._text(topic)]
        while heard[-1] != payload:
            heard.append(await self._text(topic))
        return heard

    async def _text(self, topic: str) -> str:
        return bytes((await self.hear(topic)).payload).decode()

    async def say(self, topic: str, payload: str | bytes, *, retain: bool = False) -> None:
        """Publish below the boat's topic."""
        await self.client.publish(f"middlewatch/{BOAT}/{topic}", payload, qos=1, retain=retain)


@asynccontextmanager
async def onlooker(settings: MqttSettings) -> AsyncIterator[Onlooker]:
    """Connect somebody who hears everything of the boat."""
    async with connection(settings, "onlooker") as client:
        await client.subscribe(f"middlewatch/{BOAT}/#", qos=1)
        yield Onlooker(client)


async def soon(awaitable: Awaitable[T]) -> T:
    """Wait for what must come."""
    async with asyncio.timeout(PATIENCE_S):
        return await awaitable
