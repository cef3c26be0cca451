"""Instants of universal time, in whole milliseconds."""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
MS_PER_SECOND = 1000
MS_PER_MINUTE = 60 * MS_PER_SECOND
MS_PER_HOUR = 60 * MS_PER_MINUTE
MS_PER_DAY = 24 * MS_PER_HOUR


@dataclass(frozen=True, slots=True, order=True)
class Instant:
    """A moment of UTC: whole milliseconds since 1970-01-01T00:00Z, leap seconds not counted."""

    ms: int

    def __str__(self) -> str:
        """RFC 3339, always with milliseconds and Z: `2026-05-03T01:42:07.000Z`."""
        moment = _EPOCH + timedelta(milliseconds=self.ms)
        return f"{moment:%Y-%m-%dT%H:%M:%S}.{self.ms % MS_PER_SECOND:03d}Z"

    @classmethod
    def parse(cls, text: str) -> "Instant":
        """Read RFC 3339 with an offset; ValueError where the offset is missing or the text is no time."""
        moment = datetime.fromisoformat(text)
        if moment.tzinfo is None:
            raise ValueError(f"{text!r} has no offset from UTC (Z or +hh:mm)")
        return cls((moment - _EPOCH) // timedelta(milliseconds=1))

    @property
    def clock(self) -> str:
        """The time of day as a deck log has it: `0142`."""
        return f"{_EPOCH + timedelta(milliseconds=self.ms):%H%M}"

    @property
    def clock_with_seconds(self) -> str:
        """The time of day to the second: `01:42:07`."""
        return f"{_EPOCH + timedelta(milliseconds=self.ms):%H:%M:%S}"

    @property
    def decimal_year(self) -> float:
        """The year with its fraction, as magnetic models want it: `2026.34`."""
        year = (_EPOCH + timedelta(milliseconds=self.ms)).year
        start, following = datetime(year, 1, 1, tzinfo=UTC), datetime(year + 1, 1, 1, tzinfo=UTC)
        into_year = self.ms - (start - _EPOCH) // timedelta(milliseconds=1)
        return year + into_year / ((following - start) // timedelta(milliseconds=1))
