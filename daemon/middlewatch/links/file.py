"""A file read once from its start, or a FIFO that another program writes into."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from middlewatch.links.bytelink import Heard
from middlewatch.links.descriptor import Watched


@dataclass(frozen=True, slots=True)
class FileLink:
    """A path: a regular file has an end; a FIFO outlives its writers and waits for the next."""

    path: Path

    def __str__(self) -> str:
        return f"file {self.path}"

    async def run(self, heard: Heard) -> None:
        """Hand over a regular file and return; a FIFO ends in OSError when its writer goes."""
        with _opened(self.path) as descriptor, Watched(descriptor) as watched:
            while chunk := await watched.read():
                heard(chunk)
        if watched.waits:
            raise BrokenPipeError("its writer has gone")


@contextmanager
def _opened(path: Path) -> Iterator[int]:
    # Non-blocking: opening a FIFO must not wait for its first writer.
    descriptor = os.open(path, os.O_RDONLY | os.O_NONBLOCK)
    try:
        yield descriptor
    finally:
        os.close(descriptor)
