r"""TAG blocks, `\s:bow,c:1665920455220,r:81234*hh\`: who sent a line, and when (IEC 61162-450)."""

from functools import lru_cache
from typing import NamedTuple

from middlewatch.wire.lines import checksum
from middlewatch.wire.nmea_fields import UnreadableError

_LONGEST_BLOCK = 128
# A number of ms from 1e11 up has twelve digits or more. Counted in digits, so that a board whose clock woke
# up in 1970 can still write ms, with zeros in front.
_DIGITS_OF_MS = 12
_LAST_MS = 253_402_300_799_999  # the end of the year 9999, where calendars of the standard library end
_RESERVED = frozenset(",:*$!\\^~")


class TagError(UnreadableError):
    """A TAG block that cannot be believed."""


class Tag(NamedTuple):
    """What a TAG block says: `s:`, `c:` and `r:`, each None where it is not there. Times in whole ms."""

    source: str | None
    utc_ms: int | None
    monotonic_ms: int | None


def split_tag(line: bytes) -> tuple[Tag | None, bytes]:
    """Split the first TAG block off a line and return both; noise before it is dropped, no block is None.

    Raises TagError where the block is broken.
    """
    start = line.find(b"\\")
    if start < 0:
        return None, line
    end = line.find(b"\\", start + 1)
    if end < 0:
        raise TagError("TAG block cut short")
    return read_tag(line[start + 1 : end]), line[end + 1 :]


def read_tag(block: bytes) -> Tag:
    """Read what stands between the backslashes; keys other than s, c and r are left alone.

    `c:` is UNIX time in s, or in ms from 1e11 up. Raises TagError.
    """
    body = checked_body(block)
    source = utc_ms = monotonic_ms = None
    for item in body.split(","):
        key, _, value = item.partition(":")
        if key == "s":
            source = value
        elif key == "c":
            utc_ms = _whole(value) * (1 if len(value) >= _DIGITS_OF_MS else 1000)
            if utc_ms > _LAST_MS:
                raise TagError("TAG time out of range")
        elif key == "r":
            monotonic_ms = _whole(value)
    return Tag(source, utc_ms, monotonic_ms)


# A stamped recording's block is looked at twice, for its stamp and at the gate, one right after the other.
@lru_cache(maxsize=4)
def checked_body(block: bytes) -> str:
    """Return a block without its checksum once that has been found right; raises TagError."""
    body, star, given = block.rpartition(b"*")
    if not star:
        raise TagError("TAG block without checksum")
    if len(block) > _LONGEST_BLOCK:
        raise TagError("TAG block too long")
    if not block.isascii():
        raise TagError("TAG block not ASCII")
    if checksum(body) != given.decode("ascii").upper():
        raise TagError("TAG checksum")
    return body.decode("ascii")


def write_tag(source: str, utc_ms: int, monotonic_ms: int) -> bytes:
    """Return the TAG block, backslashes included, for a line heard on input `source` then.

    Raises ValueError for a source that would break the block, or a time before 1970.
    """
    if not source.isascii() or not source.isprintable() or not _RESERVED.isdisjoint(source):
        raise ValueError(f"{source!r} cannot stand in a TAG block")
    if utc_ms < 0 or monotonic_ms < 0:
        raise ValueError(f"a TAG block cannot hold the time {min(utc_ms, monotonic_ms)} ms")
    body = f"s:{source},c:{utc_ms:0{_DIGITS_OF_MS}d},r:{monotonic_ms}".encode("ascii")
    return b"\\%b*%b\\" % (body, checksum(body).encode("ascii"))


def _whole(digits: str) -> int:
    # ASCII is known by now, so that no other script's digits pass.
    if not digits.isdecimal():
        raise TagError("TAG time is no number")
    return int(digits)
