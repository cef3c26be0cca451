"""The other end of the line: whoever makes an entry over MQTT, and waits for its answer.

Nothing is queued for the daemon while it is away, and an entry that the broker has taken may not have been
stored yet. So an entry carries an id, and is sent again, the same to the letter, until it is answered.
"""

import asyncio
import json
import secrets
from contextlib import AsyncExitStack
from types import TracebackType
from typing import Self

import aiomqtt

from middlewatch.links.broker_connection import BrokerAwayError, connection, place
from middlewatch.readings.entries import Channel
from middlewatch.settings import MqttSettings
from middlewatch.wire.topics import ENTRY_TOPICS, full

Body = dict[str, object]
"""An entry or an answer, as the JSON object it is."""


async def send(  # noqa: PLR0913 - two of them are named at every call
    settings: MqttSettings, boat: str, channel: Channel, body: Body, *, tries: int = 5, wait_s: float = 2.0
) -> Body | None:
    """Make one entry and return its answer; None if none of `tries`, `wait_s` seconds apart, was answered.

    The entry gets an id if it has none. Raises BrokerRefusedError at once where the broker will not have us,
    BrokerAwayError where it could not be reached, or was lost again, each time.
    """
    entry = with_id(body)
    for left in reversed(range(tries)):
        try:
            async with Skipper(settings, boat) as skipper:
                return await skipper.send(channel, entry, tries=left + 1, wait_s=wait_s)
        except BrokerAwayError:
            if not left:
                raise
            await asyncio.sleep(wait_s)
    return None


class Skipper:
    """One connection for many entries, open as long as the context is; entries may be under way side by side.

    Entering raises BrokerRefusedError or BrokerAwayError.
    """

    def __init__(self, settings: MqttSettings, boat: str) -> None:
        self._settings = settings
        self._boat = boat
        self._awaited: dict[object, asyncio.Future[Body]] = {}
        self._open = AsyncExitStack()

    async def __aenter__(self) -> Self:
        name = f"middlewatch-skipper-{secrets.token_hex(4)}"
        async with AsyncExitStack() as opening:
            self._client = await opening.enter_async_context(connection(self._settings, name))
            # Before the first entry: an answer is not retained, and comes only once.
            await self._client.subscribe([(full(self._boat, f"{topic}/answer"), 1) for topic in ENTRY_TOPICS])
            self._listening = asyncio.create_task(self._listen(self._client))
            opening.callback(self._listening.cancel)
            self._open = opening.pop_all()
        return self

    async def __aexit__(
        self, kind: type[BaseException] | None, raised: BaseException | None, trace: TracebackType | None
    ) -> None:
        await self._open.aclose()

    async def send(self, channel: Channel, body: Body, *, tries: int = 5, wait_s: float = 2.0) -> Body | None:
        """Make an entry and return its answer, as `send` does; BrokerAwayError once the broker is lost."""
        entry = with_id(body)
        text = json.dumps(entry, ensure_ascii=False)
        answer = self._awaited.setdefault(entry["id"], asyncio.get_running_loop().create_future())
        try:
            for _ in range(tries):
                await self._client.publish(full(self._boat, channel), text, qos=1)
                if await self._answered(answer, wait_s):
                    return answer.result()
        except aiomqtt.MqttError as lost:
            where = place(self._settings)
            raise BrokerAwayError(f"lost {where}; entry {entry['id']} is not answered") from lost
        finally:
            self._awaited.pop(entry["id"], None)
        return None

    async def _answered(self, answer: asyncio.Future[Body], wait_s: float) -> bool:
        """Wait for an answer; MqttError as soon as the broker is lost, since none can come then."""
        done, _ = await asyncio.wait(
            (answer, self._listening), timeout=wait_s, return_when=asyncio.FIRST_COMPLETED
        )
        if self._listening in done and answer not in done:
            self._listening.result()
        return answer in done

    async def _listen(self, client: aiomqtt.Client) -> None:
        async for message in client.messages:
            answer = _object(bytes(message.payload))
            awaited = self._awaited.get(answer.get("id"))
            if awaited is not None and not awaited.done():
                awaited.set_result(answer)


def with_id(body: Body) -> Body:
    """Return an entry with an id: its own, or one made here, short enough to type (`adopt f-5c1e90ab`)."""
    return body if "id" in body else {"id": secrets.token_hex(4), **body}


def _object(payload: bytes) -> Body:
    """Return the JSON object of a message, an empty one if it is no such thing."""
    try:
        value = json.loads(payload)
    except ValueError:
        return {}
    return value if isinstance(value, dict) else {}
