"""Standard input: a pipe, a terminal, or a file given with `<`."""

import os
from collections.abc import Iterator
from contextlib import contextmanager

from middlewatch.links.bytelink import Heard
from middlewatch.links.descriptor import Watched

_STANDARD_INPUT = 0


class StdinLink:
    """Standard input of this process; one reader at a time."""

    def __str__(self) -> str:
        return "standard input"

    async def run(self, heard: Heard) -> None:
        """Hand over what comes in and return at its end; OSError if it cannot be read."""
        with _non_blocking(_STANDARD_INPUT), Watched(_STANDARD_INPUT) as watched:
            while chunk := await watched.read():
                heard(chunk)


@contextmanager
def _non_blocking(descriptor: int) -> Iterator[None]:
    # The shell that started us shares this setting with us, and wants it back as it was.
    blocking = os.get_blocking(descriptor)
    os.set_blocking(descriptor, False)
    try:
        yield
    finally:
        os.set_blocking(descriptor, blocking)
