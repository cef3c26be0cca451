"""The board's clock: the only place that reads one.

Readings are stamped on the boat's scale: CLOCK_BOOTTIME, which counts through a suspend and is never set,
carried on from the UTC at the start. A clock that is set moves the labels (a `ClockChange`), never the scale.
"""

import time  # noqa: TID251 -- this is the clock
from dataclasses import dataclass
from pathlib import Path

_MS = 1000
JUMP_MS = 500
"""A step of UTC against the monotonic clock beyond this is a clock that was set, not one that is slewed."""

PAUSE_MS = 20
"""Two readings further apart than this had a pause between them: the program was held up on a busy board."""

BUILT_MS = 1_795_564_800_000
"""2026-11-25T00:00Z: no clock is right that is earlier than this program."""

_BOOT_ID = Path("/proc/sys/kernel/random/boot_id")


@dataclass(frozen=True, slots=True)
class Stamp:
    """When something arrived: ms of the boat's scale, and the monotonic ms they were made of."""

    at_ms: int
    monotonic_ms: int


class BoardClock:
    """Stamps on the boat's scale; never less than the one before."""

    def __init__(self) -> None:
        self._offset_ms = utc_ahead_ms()
        self._utc_offset_ms = self._offset_ms
        self._label_ahead_ms = 0
        self._last = Stamp(0, 0)

    def go_on_from(self, at_ms: int, monotonic: int, utc_offset_ms: int) -> None:
        """Carry on a scale that stood at `at_ms` when the monotonic clock stood at `monotonic`.

        UTC stood `utc_offset_ms` ahead of the monotonic clock then: a clock set since is told of.
        """
        self._offset_ms = at_ms - monotonic
        self._utc_offset_ms = utc_offset_ms

    def now_is(self, at_ms: int, utc: int) -> None:
        """Let the scale stand here at this moment, and this be its UTC, whatever the board's clock says.

        Once that clock is set, what it then says is held against this.
        """
        self._offset_ms = at_ms - monotonic_ms()
        self._label_ahead_ms = utc - utc_ms()

    def stamp(self) -> Stamp:
        """Return the stamp of this moment."""
        monotonic = monotonic_ms()
        self._last = Stamp(
            max(monotonic + self._offset_ms, self._last.at_ms), max(monotonic, self._last.monotonic_ms)
        )
        return self._last

    def later_by(self, stamp: Stamp, ms: int) -> Stamp:
        """Return a stamp moved on a little; none after it will be earlier."""
        self._last = Stamp(stamp.at_ms + ms, stamp.monotonic_ms + ms)
        return self._last

    @property
    def offset_ms(self) -> int:
        """What the scale stands ahead of the monotonic clock."""
        return self._offset_ms

    @property
    def utc_offset_ms(self) -> int:
        """What UTC stands ahead of the monotonic clock, as last looked at."""
        return self._utc_offset_ms

    def was_set_by_ms(self) -> int | None:
        """Return by how much UTC has been set since last asked, in whole seconds; None where it has not.

        The labels move by whole seconds; the rest is remembered against the next time.
        """
        offset_ms = utc_ahead_ms()
        if abs(offset_ms - self._utc_offset_ms) <= JUMP_MS:
            return None
        by_ms = offset_ms - self._utc_offset_ms - self._label_ahead_ms
        whole_ms = round(by_ms / _MS) * _MS
        self._utc_offset_ms, self._label_ahead_ms = offset_ms, whole_ms - by_ms
        return whole_ms or None


def utc_ms() -> int:
    """Return the board's UTC, whole ms."""
    return time.time_ns() // 1_000_000


def monotonic_ms() -> int:
    """Return the ms since the board was booted, time asleep included."""
    return time.clock_gettime_ns(time.CLOCK_BOOTTIME) // 1_000_000


def utc_ahead_ms() -> int:
    """Return what UTC stands ahead of the monotonic clock, read anew where a pause came between the two."""
    while True:
        before_ms, ahead_of_ms = monotonic_ms(), utc_ms()
        if monotonic_ms() - before_ms <= PAUSE_MS:
            return ahead_of_ms - before_ms


def boot() -> str:
    """Return what tells this boot of the board from every other."""
    return _BOOT_ID.read_text(encoding="ascii").strip()
