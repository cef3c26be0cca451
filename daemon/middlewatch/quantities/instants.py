"""Instants of universal time, in whole milliseconds."""

import re
from calendar import isleap
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_RFC_3339 = re.compile(r"\d{4}-\d\d-\d\d[Tt ]\d\d:\d\d:\d\d(\.\d+)?(?P<offset>[Zz]|[+-]\d\d:\d\d)?", re.ASCII)
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
        return moment.isoformat(timespec="milliseconds").removesuffix("+00:00") + "Z"

    @classmethod
    def parse(cls, text: str) -> "Instant":
        """Read RFC 3339 with an offset; ValueError where the offset is missing or the text is no time.

        What lies below the millisecond is cut off. A leap second (:60) is no time here.
        """
        # ISO 8601 knows more spellings (week dates, no separators, no seconds) than RFC 3339, section 5.6.
        spelt = _RFC_3339.fullmatch(text)
        if spelt is None:
            raise ValueError(f"{text!r} is not a date and time as 2026-05-03T01:42:07Z")
        if spelt["offset"] is None:
            raise ValueError(f"{text!r} has no offset from UTC (Z or +hh:mm)")
        try:
            moment = datetime.fromisoformat(text.upper()).astimezone(UTC)
        except OverflowError:
            raise ValueError(f"{text!r} is outside the years 1 to 9999") from None
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
        into_year = self.ms - (datetime(year, 1, 1, tzinfo=UTC) - _EPOCH) // timedelta(milliseconds=1)
        return year + into_year / ((366 if isleap(year) else 365) * MS_PER_DAY)
