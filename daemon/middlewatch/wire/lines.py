"""Bytes to lines, and the checksum that a line and its TAG block share."""

_HEXADECIMAL = tuple(f"{byte:02X}" for byte in range(256))

LONGEST_LINE = 4096
"""The most that is held while waiting for a line feed, in bytes: fifty sentences."""


class LineSplitter:
    """Cut a stream of bytes into lines at line feeds, however the stream itself was cut.

    Of a line longer than `LONGEST_LINE` (a bus at the wrong speed, a burst of NULs) the last bytes are kept,
    for a sentence may stand at its end; `dropped` counts the others. A datagram is a stream of its own: feed
    it with a line feed added.
    """

    def __init__(self) -> None:
        self.dropped = 0
        self._held = b""

    def feed(self, chunk: bytes) -> list[bytes]:
        """Take the next bytes; return the lines they complete, without CR LF, empty ones left out."""
        *whole, rest = (self._held + chunk).split(b"\n")
        self._held = self._trimmed(rest)
        return [line for line in (self._trimmed(line).rstrip(b"\r") for line in whole) if line]

    def _trimmed(self, line: bytes) -> bytes:
        if len(line) <= LONGEST_LINE:
            return line
        self.dropped += len(line) - LONGEST_LINE
        return line[-LONGEST_LINE:]


def checksum(body: bytes) -> str:
    """Return the exclusive or of up to 128 bytes as two upper-case hexadecimal digits: `hh` behind a `*`."""
    # One long number folded in halves: twice as fast as walking over the bytes, and every line pays for it.
    folded = int.from_bytes(body, "big")
    folded ^= folded >> 512
    folded ^= folded >> 256
    folded ^= folded >> 128
    folded ^= folded >> 64
    folded ^= folded >> 32
    folded ^= folded >> 16
    return _HEXADECIMAL[(folded ^ folded >> 8) & 0xFF]
