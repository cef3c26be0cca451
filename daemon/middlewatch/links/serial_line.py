"""A serial line: the bus itself, or the adapter it comes through."""

import errno
from dataclasses import dataclass

from serial import Serial, SerialException

from middlewatch.links.bytelink import Heard
from middlewatch.links.descriptor import Watched


@dataclass(frozen=True, slots=True)
class SerialLine:
    """A serial port by its path, eight data bits, no parity, at `baud` bits a second (the bus: 4800)."""

    port: str
    baud: int = 4800

    def __str__(self) -> str:
        return f"serial line {self.port}"

    async def run(self, heard: Heard) -> None:
        """Listen until the line fails; OSError when it cannot be opened, is taken, hangs up, is unplugged."""
        with opened(self.port, self.baud) as line, Watched(line.fileno()) as watched:
            while chunk := await watched.read():
                heard(chunk)
        raise OSError("hung up")


def opened(port: str, baud: int) -> Serial:
    """Open a serial port for us alone, non-blocking; OSError where it cannot be had."""
    try:
        # Exclusive, for a second reader would take bytes out of our sentences. An inter-byte timeout of
        # nil sets VMIN to 1: then a read before anything has come says so, and no bytes mean hung up.
        return Serial(port, baud, exclusive=True, inter_byte_timeout=0)
    except SerialException as fault:
        if fault.errno == errno.EWOULDBLOCK:
            raise OSError("held by another program") from fault
        raise
    except ValueError as fault:
        # A speed this adapter cannot do: the library counts it as the caller's fault, it is the device's.
        raise OSError(str(fault)) from fault
