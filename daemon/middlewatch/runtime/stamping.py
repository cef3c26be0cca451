"""Stamping: by the board's clock as things arrive, or by the TAG blocks of the lines (demo, drills, tests)."""

from dataclasses import dataclass
from typing import Protocol

from middlewatch.runtime.clock import BoardClock, Stamp
from middlewatch.wire.tag import TagError, split_tag


class Stamping(Protocol):
    """Says when something came."""

    def line(self, text: bytes) -> tuple[Stamp | None, bytes]:
        """Return the stamp of a line (None: not known yet), and the line as it is to be read."""

    def entry(self) -> Stamp | None:
        """Return the stamp of an entry or anything else: it comes after all lines of the same ms."""

    def tick(self) -> Stamp | None:
        """Return how far time has come; None where only lines tell the time."""


class ByArrival:
    """The board's clock."""

    def __init__(self, clock: BoardClock) -> None:
        self._clock = clock
        self._entry_ms = -1

    def line(self, text: bytes) -> tuple[Stamp, bytes]:
        """Return the stamp of arrival; a line that shares its ms with an entry before it takes the next."""
        stamp = self._clock.stamp()
        if stamp.at_ms <= self._entry_ms:
            stamp = self._clock.later_by(stamp, self._entry_ms + 1 - stamp.at_ms)
        return stamp, text

    def entry(self) -> Stamp:
        """Return the stamp of arrival."""
        stamp = self._clock.stamp()
        self._entry_ms = stamp.at_ms
        return stamp

    def tick(self) -> Stamp:
        """Return the present."""
        return self._clock.stamp()


@dataclass(slots=True)
class ByTag:
    """The stamps of the lines; before the first there is no time, and lines without one take the last.

    As in a replay, `r:` drives the scale where it is there.
    """

    last: Stamp | None = None
    offset_ms: int | None = None

    def line(self, text: bytes) -> tuple[Stamp | None, bytes]:
        """Return the stamp of the line's TAG block."""
        try:
            tag, rest = split_tag(text)
        except TagError:
            return self.last, text
        if tag is None or tag.utc_ms is None:
            return self.last, text
        at_ms, monotonic = tag.utc_ms, tag.utc_ms
        if tag.monotonic_ms is not None:
            if self.offset_ms is None:
                self.offset_ms = tag.utc_ms - tag.monotonic_ms
            at_ms, monotonic, text = tag.monotonic_ms + self.offset_ms, tag.monotonic_ms, rest
        if self.last is None or at_ms > self.last.at_ms:
            self.last = Stamp(at_ms, monotonic)
        return self.last, text

    def entry(self) -> Stamp | None:
        """Return the last stamp."""
        return self.last

    def tick(self) -> None:
        """Return nothing: only lines tell the time."""
        return
