"""An open file descriptor read by the event loop: what all the links that bring bytes have in common."""

import asyncio
import os
from types import TracebackType
from typing import Self

CHUNK_BYTES = 65536
"""The most read at once; larger than any datagram, so that none is cut."""


class Watched:
    """A non-blocking descriptor under the event loop's eye, to be closed by whoever opened it.

    `waits` is false for what never keeps a reader waiting (regular files, /dev/null): epoll refuses those,
    and they are read straight on, a chunk at each turn of the loop.
    """

    def __init__(self, descriptor: int) -> None:
        self.waits = True
        self._descriptor = descriptor
        self._ready = asyncio.Event()

    def __enter__(self) -> Self:
        try:
            asyncio.get_running_loop().add_reader(self._descriptor, self._ready.set)
        except PermissionError:
            self.waits = False
        return self

    def __exit__(
        self, kind: type[BaseException] | None, raised: BaseException | None, trace: TracebackType | None
    ) -> None:
        asyncio.get_running_loop().remove_reader(self._descriptor)

    async def read(self) -> bytes:
        """Return the next chunk once it is there, or empty bytes at the end; OSError if the device fails.

        Gives the loop its turn before every chunk: no sender, however fast, drowns out the others.
        """
        while True:
            await self._turn()
            try:
                return os.read(self._descriptor, CHUNK_BYTES)
            except BlockingIOError:
                # The loop may call once more for what has just been read.
                continue

    async def _turn(self) -> None:
        if self.waits:
            await self._ready.wait()
            self._ready.clear()
        else:
            await asyncio.sleep(0)
