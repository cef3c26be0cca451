"""The broker link: the skipper's entries come in over MQTT, every report goes out.

The link outlives its broker. It connects, subscribes, speaks and listens; when the broker goes it says so
once, tries again at growing intervals, and on its return publishes the newest of every retained topic again.
Three failures raise nothing in MQTT and are looked for: a subscription the broker refuses; a publication its
access list drops, which shows only by our own `status` not coming back to us; and another daemon of the same
boat's name, which shows by a `status` that is not ours.
"""

import asyncio
import json
import secrets
from collections import deque
from collections.abc import Callable, Iterable
from contextlib import suppress
from dataclasses import dataclass
from enum import Enum
from random import SystemRandom

import aiomqtt
from paho.mqtt.packettypes import PacketTypes
from paho.mqtt.properties import Properties

from middlewatch.links.broker_connection import (
    BrokerAwayError,
    BrokerRefusedError,
    connection,
    place,
    reason,
)
from middlewatch.links.delays import Delays
from middlewatch.links.outbox import CAPACITY, Outbox, Publication
from middlewatch.readings.entries import Channel
from middlewatch.reports.status import StatusReport
from middlewatch.settings import MqttSettings
from middlewatch.wire.payloads import payload
from middlewatch.wire.topics import AT_MOST_ONCE, ENTRY_TOPICS, full

ENTRY_LIMIT = 64 * 1024
"""The longest entry that is read, in bytes; of a longer one this and one byte more are handed up."""


@dataclass(frozen=True, slots=True)
class Patience:
    """How long the link waits, in seconds.

    `echo_s`: for our own status to come back. `refused_s`: at least, before it tries again after a refusal
    that only a changed setting cures. `steady_s`: until a connection forgives the failures before it.
    `farewell_s`: for a clean end, at most. `twin_s`: until another daemon of our boat's name, which says its
    status each ten seconds, is taken for gone.
    """

    echo_s: float = 5.0
    refused_s: float = 15.0
    steady_s: float = 30.0
    farewell_s: float = 2.0
    twin_s: float = 35.0


@dataclass(frozen=True, slots=True)
class Reply:
    """Where an MQTT 5 sender wants the answer besides the answer topic, and the correlation data it gave."""

    topic: str
    correlation: bytes | None


class _Trouble(Enum):
    """What can be wrong between us and the skipper; each is noted once while it stands."""

    AWAY = "away"
    REFUSED = "refused"
    DEAF = "a subscription is refused"
    MUTE = "what we publish does not arrive"
    CROWDED = "too much waits"
    TWIN = "another daemon has our boat's name"


class Broker:
    """The connection of one boat's daemon to its broker; every method belongs to the event loop's thread.

    `entry` is called with each message on `sighting` and `order` as it comes: channel, payload (cut after
    `ENTRY_LIMIT` + 1 bytes, not decoded), whether it was retained, and where an MQTT 5 sender wants the
    answer. `note` is called with (failed, text) when the link fails and when all is well again. `version`
    goes into the last will. `delays` are the endless waits between attempts to connect, in seconds.
    `connected` is set while the link is up and subscribed.
    """

    def __init__(  # noqa: PLR0913 - five of them are named at every call
        self,
        settings: MqttSettings,
        boat: str,
        *,
        entry: Callable[[Channel, bytes, bool, Reply | None], None],
        note: Callable[[bool, str], None],
        version: str,
        delays: Iterable[float] | None = None,
        patience: Patience | None = None,
    ) -> None:
        self._settings = settings
        self._boat = boat
        self._entry = entry
        self._note = note
        self._delays = delays or Delays(SystemRandom())
        self._waits = iter(self._delays)
        self._patience = patience or Patience()
        # One name for all our connections: a broker that still holds the last one ends it, its will first.
        self._client_id = f"middlewatch-{boat}-{secrets.token_hex(4)}"
        # Nobody can say beforehand since when we shall have been gone.
        self._offline = payload(StatusReport("offline", version, None, ()))
        self._channels = {full(boat, topic): channel for topic, channel in ENTRY_TOPICS.items()}
        self._status_topic = full(boat, "status")
        self._status: Publication | None = None
        self._statuses_sent: deque[bytes] = deque(maxlen=16)
        self._outbox = Outbox()
        self._troubles: set[_Trouble] = set()
        self._twin: asyncio.TimerHandle | None = None
        self._spoken = asyncio.Event()
        self._echoed = asyncio.Event()
        self._leaving = asyncio.Event()
        self._ended = asyncio.Event()
        self._ended.set()
        self.connected = asyncio.Event()

    async def run(self) -> None:
        """Keep the link until `farewell` or cancellation; faults of broker and network are only noted."""
        self._ended.clear()
        try:
            while not self._leaving.is_set():
                try:
                    await self._hold_connection()
                except BrokerAwayError as fault:
                    self._stands(_Trouble.AWAY, str(fault))
                    await self._pause(0.0)
                except BrokerRefusedError as fault:
                    self._stands(_Trouble.REFUSED, str(fault))
                    await self._pause(self._patience.refused_s)
        finally:
            if self._twin is not None:
                self._twin.cancel()
            self._ended.set()

    def publish(self, topic_below_boat: str, payload: str, *, retain: bool) -> None:
        """Let a report go out as soon as the broker takes it.

        Of a retained topic the newest goes out, of `fix` and of what is not retained each one, until
        `CAPACITY` of these wait: then the oldest is dropped, and that is noted.
        """
        qos = 0 if topic_below_boat in AT_MOST_ONCE else 1
        publication = Publication(full(self._boat, topic_below_boat), payload, qos, retain)
        if publication.topic == self._status_topic:
            self._status = publication
        self._put(publication)

    def answer(self, reply: Reply, payload: str) -> None:
        """Let an answer go out to the response topic of the MQTT 5 sender who asked for it there."""
        self._put(Publication(reply.topic, payload, 1, retain=False, correlation=reply.correlation))

    async def farewell(self, offline: str) -> None:
        """Send what waits, publish this last `status`, disconnect and end `run`: within `farewell_s`."""
        self._offline = offline
        if self.connected.is_set():
            with suppress(TimeoutError):
                async with asyncio.timeout(self._patience.farewell_s / 2):
                    await self._outbox.emptied()
        self._leaving.set()
        with suppress(TimeoutError):
            async with asyncio.timeout(self._patience.farewell_s / 2):
                await self._ended.wait()

    # --- one connection ------------------------------------------------------------------------------------

    async def _hold_connection(self) -> None:
        """Connect, and serve until the broker is lost or we leave."""
        will = aiomqtt.Will(self._status_topic, self._offline, qos=1, retain=True)
        async with connection(self._settings, self._client_id, will) as client:
            await self._subscribe(client)
            self._outbox.put_again()
            self.connected.set()
            try:
                async with asyncio.TaskGroup() as tasks:
                    serving = [
                        tasks.create_task(self._listen(client)),
                        tasks.create_task(self._speak(client)),
                        tasks.create_task(self._await_echoes()),
                        tasks.create_task(self._forgive_failures()),
                    ]
                    await self._leaving.wait()
                    for task in serving:
                        task.cancel()
            finally:
                self.connected.clear()
                # What holds of one connection is not known of the next.
                self._troubles -= {_Trouble.DEAF, _Trouble.MUTE}
                await self._say_offline(client)

    async def _subscribe(self, client: aiomqtt.Client) -> None:
        """Ask for the entries and for our own status, and say which of them the broker refuses."""
        topics = [*self._channels, self._status_topic]
        granted = await client.subscribe([(topic, 1) for topic in topics])
        reasons = [reason(code) for code in granted]
        refused = [topic for topic, code in zip(topics, reasons, strict=True) if code >= 0x80]
        if refused:
            self._stands(
                _Trouble.DEAF,
                f"connected, but {place(self._settings)} refuses us {' and '.join(refused)}: "
                "entries may not be heard; check the broker's access list",
            )
        self._over(_Trouble.AWAY, _Trouble.REFUSED, text=f"{place(self._settings)} is there again")

    async def _listen(self, client: aiomqtt.Client) -> None:
        async for message in client.messages:
            topic, payload, retained = message.topic.value, bytes(message.payload), bool(message.retain)
            if channel := self._channels.get(topic):
                reply = self._reply(topic, message.properties)
                self._entry(channel, payload[: ENTRY_LIMIT + 1], retained, reply)
            elif topic == self._status_topic and not retained:
                self._hear_status(payload)

    def _reply(self, asked_on: str, properties: Properties | None) -> Reply | None:
        """Where an MQTT 5 sender wants its answer, where that is a place an answer may go.

        Not a filter, none of the broker's own (`$...`), and none of ours but below the answer topic: no
        sender may have us overwrite, with the rights the broker gives us, what others read there.
        """
        topic = getattr(properties, "ResponseTopic", None)
        if not topic or topic.startswith("$") or set("+#") & set(topic):
            return None
        if topic.startswith(full(self._boat, "")) and not topic.startswith(f"{asked_on}/answer/"):
            return None
        return Reply(topic, getattr(properties, "CorrelationData", None))

    async def _speak(self, client: aiomqtt.Client) -> None:
        """Send what waits, one by one: while one is on its way, newer words replace those behind it."""
        while True:
            key, publication = await self._outbox.first()
            if publication.topic == self._status_topic:
                self._statuses_sent.append(publication.payload.encode())
                self._echoed.clear()
                self._spoken.set()
            await client.publish(
                publication.topic,
                publication.payload,
                qos=publication.qos,
                retain=publication.retain,
                properties=_correlated(publication.correlation),
            )
            if self._outbox.sent(key, publication):
                self._over(_Trouble.CROWDED, text="all that waited for the broker has been published")

    async def _say_offline(self, client: aiomqtt.Client) -> None:
        """End as `offline`, for a clean end discards the last will; of no effect where the broker is lost."""
        with suppress(aiomqtt.MqttError, TimeoutError):
            async with asyncio.timeout(self._patience.farewell_s / 2):
                await client.publish(self._status_topic, self._offline, qos=1, retain=True)

    # --- what MQTT does not tell -------------------------------------------------------------------------

    async def _await_echoes(self) -> None:
        """After each status sent, wait for it to come back; while none does, send it again and again."""
        while True:
            await self._spoken.wait()
            self._spoken.clear()
            try:
                async with asyncio.timeout(self._patience.echo_s):
                    await self._echoed.wait()
            except TimeoutError:
                self._stands(
                    _Trouble.MUTE,
                    "connected, but what we publish does not arrive: check the broker's access list "
                    f"(we must be let write and read below {full(self._boat, '')})",
                )
                self._publish_status_again()
            else:
                self._over(_Trouble.MUTE, text="what we publish arrives again")

    def _hear_status(self, payload: bytes) -> None:
        if payload in self._statuses_sent:
            self._echoed.set()
            return
        status = _status_in(payload)
        if status.get("state") == "offline":
            # The last will of a connection that had died unnoticed: it must not stand while we are here.
            self._publish_status_again()
        elif status.get("state") == "online":
            self._hear_twin(status)

    def _hear_twin(self, status: dict[str, object]) -> None:
        """Say that somebody else speaks under our name: entries are answered twice, states alternate."""
        self._stands(
            _Trouble.TWIN,
            f"another daemon called {self._boat} is on {place(self._settings)}, online since "
            f"{status.get('since')}: what is shown under this name comes from both of us, and both answer; "
            "end one of them, or give it another [boat] name",
        )
        loop = asyncio.get_running_loop()
        if self._twin is not None:
            self._twin.cancel()
        self._twin = loop.call_later(self._patience.twin_s, self._twin_gone)

    def _twin_gone(self) -> None:
        self._over(_Trouble.TWIN, text=f"no other daemon called {self._boat} is heard any more")

    def _publish_status_again(self) -> None:
        if self._status is not None:
            self._put(self._status)

    # --- troubles and patience ---------------------------------------------------------------------------

    def _put(self, publication: Publication) -> None:
        if not self._outbox.put(publication):
            text = f"{CAPACITY} answers and fixes wait for the broker: the oldest are dropped, unpublished"
            self._stands(_Trouble.CROWDED, text)

    def _stands(self, trouble: _Trouble, text: str) -> None:
        if trouble not in self._troubles:
            self._troubles.add(trouble)
            self._note(True, text)  # noqa: FBT003 - a callable's arguments have no names

    def _over(self, *troubles: _Trouble, text: str) -> None:
        ended = self._troubles.intersection(troubles)
        self._troubles -= ended
        if ended and not self._troubles:
            self._note(False, text)  # noqa: FBT003 - a callable's arguments have no names

    async def _pause(self, at_least_s: float) -> None:
        """Wait before the next attempt to connect, or until we leave."""
        with suppress(TimeoutError):
            async with asyncio.timeout(max(at_least_s, next(self._waits))):
                await self._leaving.wait()

    async def _forgive_failures(self) -> None:
        await asyncio.sleep(self._patience.steady_s)
        self._waits = iter(self._delays)


def _status_in(payload: bytes) -> dict[str, object]:
    try:
        status = json.loads(payload)
    except ValueError:
        return {}
    return status if isinstance(status, dict) else {}


def _correlated(correlation: bytes | None) -> Properties | None:
    if correlation is None:
        return None
    properties = Properties(PacketTypes.PUBLISH)  # type: ignore[no-untyped-call] # paho leaves it so
    properties.CorrelationData = correlation
    return properties
