"""Sentences for the tests: a body in, the line with its checksum out."""

from functools import reduce
from operator import xor


def sealed(body: str, *, tag: str | None = None) -> bytes:
    """Return `$body*hh`, behind a TAG block where one is given; the exclusive or is worked here anew."""
    line = f"${body}*{_exclusive_or(body):02X}"
    if tag is not None:
        line = f"\\{tag}*{_exclusive_or(tag):02X}\\{line}"
    return line.encode("ascii")


def _exclusive_or(text: str) -> int:
    return reduce(xor, text.encode("ascii"), 0)
