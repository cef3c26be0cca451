"""What every link that brings bytes is: one connection's life, and someone to hand the bytes to."""

from collections.abc import Callable
from typing import Protocol

Heard = Callable[[bytes], None]
"""Takes a chunk of 1 to 65,536 bytes the moment it has arrived, so that it can be stamped; must not block."""


class ByteLink(Protocol):
    """A source of bytes; `str(link)` names it as a skipper would: `serial line /dev/ttyUSB0`."""

    async def run(self, heard: Heard) -> None:
        """Open, hand over each chunk at once, and close whatever was opened, also when cancelled.

        Returns at the end of a file or of standard input; raises OSError (TimeoutError is one) when the
        network or a device fails. Chunks cut lines anywhere; a life may begin and end in the middle of one.
        """
