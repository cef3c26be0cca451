"""The fields of a sentence, read strictly: an empty one is None, one that cannot be believed refuses all.

The text comes as printable ASCII from the gate, so that `isdecimal` means 0 to 9.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import lru_cache

from middlewatch.quantities.angles import direction
from middlewatch.quantities.instants import MS_PER_DAY, MS_PER_HOUR, MS_PER_MINUTE, MS_PER_SECOND


class UnreadableError(ValueError):
    """What cannot be believed; `reason` is one of a few fixed phrases, fit for counting."""

    def __init__(self, reason: str) -> None:
        super().__init__(reason)
        self.reason = reason


@dataclass(frozen=True, slots=True)
class Number:
    """A number with its name and range, both ends in it; a sign is allowed only if the range goes below 0."""

    name: str
    lowest: float
    highest: float

    def read(self, text: str) -> float | None:
        """Read digits and at most one point; raise UnreadableError for anything else, or out of range."""
        if not text:
            return None
        digits = text[1:] if self.lowest < 0 and text[0] in "+-" else text
        # float() alone would take 1_000, nan, inf, 1e5 and blanks.
        if not digits.replace(".", "", 1).isdecimal():
            raise UnreadableError(f"{self.name} is no number")
        value = float(text)
        if not self.lowest <= value <= self.highest:
            raise UnreadableError(f"{self.name} out of range")
        return value

    def read_direction(self, text: str) -> float | None:
        """Read a number that is a direction, 360 being north: degrees [0, 360)."""
        value = self.read(text)
        return None if value is None else direction(value)

    def read_east(self, text: str, letter: str) -> float | None:
        """Read a number with its letter E or W: E+. Only a zero may stand without."""
        value = self.read(text)
        if not value:
            return value
        if letter not in {"E", "W"}:
            raise UnreadableError("direction letter")
        return value if letter == "E" else -value


def check_units(letters: Sequence[str], wanted: str) -> None:
    """Refuse other unit letters than the fields' own; an empty one is common and harmless."""
    for letter, own in zip(letters, wanted, strict=False):
        if letter and letter != own:
            raise UnreadableError("unit letter")


def read_position(lat: str, north: str, lon: str, east: str) -> tuple[float | None, float | None]:
    """Read latitude and longitude in degrees, N+ and E+; with any of the four empty there is no position."""
    if not (lat and north and lon and east):
        return None, None
    if north not in {"N", "S"} or east not in {"E", "W"}:
        raise UnreadableError("direction letter")
    latitude, longitude = _read_arc(lat, 2, 90.0, "latitude"), _read_arc(lon, 3, 180.0, "longitude")
    return latitude if north == "N" else 0.0 - latitude, longitude if east == "E" else 0.0 - longitude


def _read_arc(text: str, digits: int, most: float, name: str) -> float:
    """Read `ddmm.mm` (two digits of degrees) or `dddmm.mm` (three), in degrees."""
    if len(text.partition(".")[0]) != digits + 2 or not text.replace(".", "", 1).isdecimal():
        raise UnreadableError(f"{name} is no angle")
    minutes = float(text[digits:])
    value = int(text[:digits]) + minutes / 60.0
    if minutes >= 60.0 or value > most:
        raise UnreadableError(f"{name} out of range")
    return value


def read_moment(time: str, midnight_ms: int | None) -> tuple[int | None, int | None]:
    """Read `hhmmss.ss`: (full UTC in ms, None) where the date is known, else (None, time of day in ms)."""
    if not time:
        return None, None
    since_midnight = _read_since_midnight_ms(time)
    if midnight_ms is None:
        return None, since_midnight % MS_PER_DAY
    return midnight_ms + since_midnight, None


def _read_since_midnight_ms(text: str) -> int:
    if len(text.partition(".")[0]) != 6 or not text.replace(".", "", 1).isdecimal():
        raise UnreadableError("time is no time")
    hours, minutes, second_ms = int(text[:2]), int(text[2:4]), round(float(text[4:]) * MS_PER_SECOND)
    # A leap second runs to 60.99: it is counted into the minute that follows.
    if hours > 23 or minutes > 59 or second_ms >= 61 * MS_PER_SECOND:
        raise UnreadableError("time is no time")
    return hours * MS_PER_HOUR + minutes * MS_PER_MINUTE + second_ms


@lru_cache(maxsize=8)
def read_midnight_ms(day: str, month: str, year: str) -> int | None:
    """Read a date: the midnight (UTC) it begins with, in ms; a year of two digits lies from 1980 to 2079."""
    if not (day and month and year):
        return None
    if not (day + month + year).isdecimal():
        raise UnreadableError("date is no date")
    number = int(year)
    if len(year) == 2:
        number += 1900 if number >= 80 else 2000
    try:
        return int(datetime(number, int(month), int(day), tzinfo=UTC).timestamp()) * MS_PER_SECOND
    except ValueError as fault:
        raise UnreadableError("date is no date") from fault
