"""What waits to be published: the newest word of each state, and every answer and fix in its order.

A broker that is away or slow must cost neither memory nor an answer. A position an hour old is of no use to
anybody, so of a state only the newest waits; an answer or a fix that nobody has seen yet is another matter,
so each of those waits in its place, until there are too many.
"""

import asyncio
from dataclasses import dataclass
from itertools import count

# A busy watch makes an entry a minute: this is most of a day of answers without a broker.
CAPACITY = 1000

# Retained like a state, but each is an event of its own: of two fixes made at once both are wanted.
_RETAINED_EVENTS = frozenset({"fix"})

_Key = tuple[str, int]


@dataclass(frozen=True, slots=True)
class Publication:
    """A message on its way out: the whole topic, its text, and its delivery.

    `qos` is 0 or 1; `correlation` goes with an MQTT 5 response and is None otherwise.
    """

    topic: str
    payload: str
    qos: int
    retain: bool
    correlation: bytes | None = None


class Outbox:
    """An ordered waiting list, one asyncio reader: `put` never waits, `first` waits for something to send."""

    def __init__(self, capacity: int = CAPACITY) -> None:
        self._capacity = capacity
        self._waiting: dict[_Key, Publication] = {}
        self._newest: dict[str, Publication] = {}
        self._serial = count(1)
        self._something = asyncio.Event()
        self._empty = asyncio.Event()
        self._empty.set()

    def put(self, publication: Publication) -> bool:
        """Let a publication wait; False says that the oldest answer or fix was dropped for it."""
        topic = publication.topic
        if publication.retain:
            self._newest[topic] = publication
        is_state = publication.retain and topic.rpartition("/")[2] not in _RETAINED_EVENTS
        # A newer word of a state takes the place of the one that waits, in its turn.
        self._waiting[(topic, 0 if is_state else next(self._serial))] = publication
        self._mark()
        return self._within_capacity()

    def put_again(self) -> None:
        """Let the newest of every retained topic wait once more: the broker may have forgotten them all."""
        for topic, publication in self._newest.items():
            if not any(waiting is publication for waiting in self._waiting.values()):
                self._waiting[(topic, 0)] = publication
        self._mark()

    async def first(self) -> tuple[_Key, Publication]:
        """Wait for the publication whose turn it is; it keeps its place until `sent`."""
        await self._something.wait()
        return next(iter(self._waiting.items()))

    def sent(self, key: _Key, publication: Publication) -> bool:
        """Take a publication off the list, its newer word to the end of it; True if nothing waits now."""
        waiting = self._waiting.pop(key, publication)
        if waiting is not publication:
            self._waiting[key] = waiting
        self._mark()
        return not self._waiting

    async def emptied(self) -> None:
        """Wait until nothing waits."""
        await self._empty.wait()

    def _within_capacity(self) -> bool:
        events = [key for key in self._waiting if key[1]]
        if len(events) <= self._capacity:
            return True
        del self._waiting[events[0]]
        return False

    def _mark(self) -> None:
        """Wake who waits for something to send, or for nothing left."""
        full, idle = (self._something, self._empty) if self._waiting else (self._empty, self._something)
        full.set()
        idle.clear()
