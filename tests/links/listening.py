"""The hearer's side of a link under test: what was heard and noted, and waiting for more without guessing."""

import asyncio
from collections.abc import AsyncIterator, Callable, Coroutine
from contextlib import asynccontextmanager, suppress
from pathlib import Path
from typing import TypeVar

T = TypeVar("T")

PATIENCE_S = 60.0
"""How long a test waits for what must come; nothing waits this long unless it fails."""

HAIL = b"hail\r\n"


class Ear:
    """Keeps every chunk, and wakes whoever waits for something to be heard."""

    def __init__(self) -> None:
        self.chunks: list[bytes] = []
        self._more = asyncio.Event()

    def __call__(self, chunk: bytes) -> None:
        """Hear one chunk."""
        self.chunks.append(chunk)
        self._more.set()

    @property
    def heard(self) -> bytes:
        """All bytes so far."""
        return b"".join(self.chunks)

    async def until(self, ends_with: bytes) -> bytes:
        """Wait until what was heard ends so, and return all of it."""
        await _until(lambda: self.heard.endswith(ends_with), self._more)
        return self.heard


class Log:
    """Keeps what was noted of a link, and wakes whoever waits for a note."""

    def __init__(self) -> None:
        self.notes: list[tuple[bool, str]] = []
        self._more = asyncio.Event()

    def __call__(self, failed: bool, words: str) -> None:
        """Take one note."""
        self.notes.append((failed, words))
        self._more.set()

    async def until(self, count: int) -> list[tuple[bool, str]]:
        """Wait for so many notes, and return all of them."""
        await _until(lambda: len(self.notes) >= count, self._more)
        return self.notes


async def _until(reached: Callable[[], bool], more: asyncio.Event) -> None:
    async with asyncio.timeout(PATIENCE_S):
        while not reached():
            more.clear()
            await more.wait()


@asynccontextmanager
async def running(life: Coroutine[None, None, T]) -> AsyncIterator[asyncio.Task[T]]:
    """Run a link or its supervisor beside the test; cancelled at the end, its own failure raised.

    It has had its first turn, up to its first wait: serial lines, files and FIFOs are open by then.
    """
    task = asyncio.create_task(life)
    turn = asyncio.Event()
    asyncio.get_running_loop().call_soon(turn.set)
    await turn.wait()
    try:
        yield task
    finally:
        task.cancel()
        with suppress(asyncio.CancelledError):
            await task


async def fault_of(life: Coroutine[None, None, None]) -> OSError:
    """Run a link to the fault that must end it, and return that."""
    task = asyncio.create_task(life)
    ended, _ = await asyncio.wait({task}, timeout=PATIENCE_S)
    assert ended, "the link goes on where a fault was due"
    fault = task.exception()
    assert isinstance(fault, OSError), f"{fault!r} is no fault of a link"
    return fault


async def hail(send: Callable[[bytes], object], ear: Ear) -> None:
    """Call until the link is there and hears it: before it listens, a word is lost on it."""
    async with asyncio.timeout(PATIENCE_S):
        while not ear.heard.endswith(HAIL):
            send(HAIL)
            with suppress(TimeoutError):
                async with asyncio.timeout(0.02):
                    await ear.until(HAIL)


def open_descriptors() -> dict[str, str]:
    """Return what this process has open: descriptor -> what it leads to."""
    found = {}
    for entry in Path("/proc/self/fd").iterdir():
        with suppress(FileNotFoundError):
            found[entry.name] = str(entry.readlink())
    return found
