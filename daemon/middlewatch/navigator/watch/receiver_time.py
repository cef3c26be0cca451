"""A receiver's time held against the boat's own scale, which never jumps."""

from dataclasses import dataclass

from middlewatch.quantities.instants import MS_PER_SECOND

ROLLOVER_MS = 1024 * 7 * 24 * 3600 * MS_PER_SECOND
"""Satellite weeks are counted to 1024 and begin again; a receiver that misses it is so much early."""

_LAID_UP_MS = 365 * 24 * 3600 * MS_PER_SECOND
"""A board without a battery wakes at the time it last saved, which may be last year's."""
_WENT_OFF_MS = 15_000
"""Some receivers move their time on only each ten seconds; more than that is a jump, or a clock that runs."""
_DOUBTED_MS = 60_000


@dataclass(slots=True)
class ReceiverTime:
    """How far its time stands before the boat's scale, and what was last wrong with it."""

    ahead_ms: int | None = None
    went_off: tuple[int, int] | None = None  # (scale ms, by how many ms)

    def hear(self, at_ms: int, utc_ms: int) -> None:
        """Take a full time, date and all."""
        ahead_ms = utc_ms - at_ms
        if self.ahead_ms is None:
            self.ahead_ms = ahead_ms
        elif abs(ahead_ms - self.ahead_ms) > _WENT_OFF_MS:
            self.went_off = at_ms, ahead_ms - self.ahead_ms
            self.ahead_ms = ahead_ms

    def doubt(self, now_ms: int) -> str | None:
        """Return what is wrong with its time, in words; None where nothing is."""
        if self.ahead_ms is not None and abs(self.ahead_ms + ROLLOVER_MS) < _LAID_UP_MS:
            return "its date is 1024 weeks early: it missed the rollover of the week"
        if self.went_off is not None and now_ms - self.went_off[0] < _DOUBTED_MS:
            return f"its time went {self.went_off[1] / MS_PER_SECOND:+.0f} s off the boat's clock"
        return None
