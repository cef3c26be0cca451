"""Stamping: by the board's clock as things arrive, or by the lines' TAG blocks (demo, drills, tests)."""

from dataclasses import dataclass, field
from typing import Protocol

from middlewatch.quantities.instants import MS_PER_SECOND
from middlewatch.readings.watch import ClockChange
from middlewatch.runtime.clock import BoardClock, Stamp
from middlewatch.wire.recording import JUMP_MS, RecordedLine
from middlewatch.wire.tag import TagError, split_tag


class Stamping(Protocol):
    """Says when something came."""

    def line(self, text: bytes) -> tuple[Stamp | None, bytes]:
        """Return the stamp of a line (None: not known yet), and the line as it is to be read."""

    def entry(self) -> Stamp | None:
        """Return the stamp of an entry or anything else: it comes after all lines of the same ms."""

    def tick(self) -> Stamp | None:
        """Return how far time has come; None where only lines tell the time."""

    def clock_change(self) -> tuple[ClockChange, Stamp] | None:
        """Return how the clock was set since last asked, and the stamp of that; None where it was not."""


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

    def clock_change(self) -> tuple[ClockChange, Stamp] | None:
        """Look whether the board's clock was set."""
        by_ms = self._clock.was_set_by_ms()
        if by_ms is None:
            return None
        stamp = self.entry()
        return ClockChange(stamp.at_ms, by_ms, "the board's clock was set"), stamp


@dataclass(slots=True)
class Scale:
    """The boat's scale of stamped lines: `r:` drives it where it is there, else UTC; a jump is cut out.

    `offset_ms` is what the scale stands ahead of `r:`, None until the first line tells.
    """

    offset_ms: int | None = None
    jumped_ms: int = 0
    last_ms: int | None = None

    def jump(self, line: RecordedLine) -> ClockChange | None:
        """Return how the clock of a recording was set before a line, if it was."""
        if not line.jump or self.last_ms is None:
            return None
        # The labels move by whole seconds; what is left over passes on the scale.
        step_ms = line.at_ms - self.jumped_ms - self.last_ms
        by_ms = step_ms // MS_PER_SECOND * MS_PER_SECOND
        self.jumped_ms += by_ms
        return ClockChange(self.last_ms, by_ms, "the recording's clock jumped")

    def at_ms(self, line: RecordedLine) -> int:
        """Return the moment of a line on the scale; it never goes back."""
        if line.monotonic_ms is None:
            at_ms = line.at_ms - self.jumped_ms
        else:
            if self.offset_ms is None:
                self.offset_ms = line.at_ms - line.monotonic_ms
            at_ms = line.monotonic_ms + self.offset_ms
        self.last_ms = at_ms if self.last_ms is None else max(at_ms, self.last_ms)
        return self.last_ms


@dataclass(slots=True)
class ByTag:
    """The stamps of the lines, as a replay takes them; a line without one takes the last.

    Before the first stamp there is no time: what comes before has to wait for it.
    """

    last: Stamp | None = None
    _utc_ms: int | None = None
    _scale: Scale = field(default_factory=Scale)
    _change: tuple[ClockChange, Stamp] | None = None

    def line(self, text: bytes) -> tuple[Stamp | None, bytes]:
        """Return the stamp of the line's TAG block."""
        try:
            tag, rest = split_tag(text)
        except TagError:
            return self.last, text
        if tag is None or tag.utc_ms is None:
            return self.last, text
        if tag.monotonic_ms is not None:
            text = rest
        before_ms = tag.utc_ms if self._utc_ms is None else self._utc_ms
        jump = tag.monotonic_ms is None and tag.utc_ms - before_ms > JUMP_MS
        self._utc_ms = max(tag.utc_ms, before_ms)
        line = RecordedLine(self._utc_ms, tag.monotonic_ms, tag.source, text, jump)
        change = self._scale.jump(line)
        if change is not None and self.last is not None:
            self._change = change, self.last
        at_ms = self._scale.at_ms(line)
        self.last = Stamp(at_ms, at_ms - (self._scale.offset_ms or 0))
        return self.last, text

    def entry(self) -> Stamp | None:
        """Return the last stamp."""
        return self.last

    def tick(self) -> None:
        """Return nothing: only lines tell the time."""
        return

    def clock_change(self) -> tuple[ClockChange, Stamp] | None:
        """Return the jump of the stamps before the line last stamped, if there was one."""
        change, self._change = self._change, None
        return change
