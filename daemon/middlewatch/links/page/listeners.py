"""Who has the page open: each is sent what happens at once, and of each second's reports the newest."""

import asyncio
from collections import deque
from collections.abc import AsyncIterator, Iterable

from middlewatch.wire.topics import AT_MOST_ONCE

MOST_LISTENERS = 40
"""Pages open at one time; more than any boat has people."""

PACE_S = 0.1
"""Reports of each second go out no faster: a passage played faster than life would drown a slow tablet."""

BACKLOG = 1000
"""Messages that may wait for a page; one that takes none of them is let go, and comes again by itself."""


class Listener:
    """One open page, and what it is still to be sent."""

    def __init__(self, first: Iterable[str]) -> None:
        self._waiting = deque(first)
        self._newest: dict[str, str] = {}
        self._some = asyncio.Event()
        self._some.set()
        self._paced_until = 0.0
        self.over = False

    def put(self, topic: str, message: str) -> None:
        """Let a message be sent; never waits."""
        if topic in AT_MOST_ONCE:
            self._newest[topic] = message
        else:
            self._waiting.append(message)
        if len(self._waiting) > BACKLOG:
            self.over = True
        self._some.set()

    def end(self) -> None:
        """Send what waits, and no more."""
        self.over = True
        self._some.set()

    async def messages(self) -> AsyncIterator[str]:
        """Yield each message as its time comes, until the end."""
        loop = asyncio.get_running_loop()
        while True:
            await self._some.wait()
            self._some.clear()
            while self._waiting:
                yield self._waiting.popleft()
            if self.over:
                return
            if self._newest and loop.time() >= self._paced_until:
                newest, self._newest = self._newest, {}
                self._paced_until = loop.time() + PACE_S
                loop.call_at(self._paced_until, self._some.set)
                for message in newest.values():
                    yield message


class Listeners:
    """Everybody who has the page open, and what is told to whoever comes late.

    `keep`: so many of the newest messages that are remembered.
    """

    def __init__(self, keep: int = 600) -> None:
        self._open: set[Listener] = set()
        self._retained: dict[str, str] = {}
        self._past: deque[str] = deque(maxlen=keep)

    @property
    def count(self) -> int:
        """How many pages are open."""
        return len(self._open)

    @property
    def full(self) -> bool:
        """Whether no more are let in."""
        return len(self._open) >= MOST_LISTENERS

    def retain(self, topic: str, message: str) -> None:
        """Tell everybody, and whoever comes later, until something newer is told on the topic."""
        self._retained[topic] = message
        self.tell(topic, message)

    def remember(self, topic: str, message: str) -> None:
        """Tell everybody, and whoever comes later as a thing of the past."""
        self._past.append(message)
        self.tell(topic, message)

    def tell(self, topic: str, message: str) -> None:
        """Tell everybody who is here now."""
        for listener in self._open:
            listener.put(topic, message)

    def admit(self, present: str) -> Listener:
        """Let a page listen: the past first, then how things stand, then `present`."""
        listener = Listener((*self._past, *self._retained.values(), present))
        self._open.add(listener)
        return listener

    def leave(self, listener: Listener) -> None:
        """Let a page go."""
        self._open.discard(listener)

    def end(self) -> None:
        """Let everybody go, once they have been sent what waits for them."""
        for listener in self._open:
            listener.end()
