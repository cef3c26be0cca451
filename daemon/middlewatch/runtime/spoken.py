"""What is typed at the command line: numbers, positions, marks, times of day, changes of an amendment.

Only what cannot be read at all is refused here; whether a value makes sense is for the daemon to say, whose
refusals know more. Nothing is guessed: what could be read in two ways is refused.
"""

import re
from collections.abc import Iterable, Sequence
from difflib import get_close_matches

from middlewatch.quantities.instants import MS_PER_DAY, MS_PER_HOUR, MS_PER_MINUTE, MS_PER_SECOND, Instant

Place = dict[str, float]
"""A position as entries have it: `latitude_deg`, `longitude_deg`."""

AHEAD_MS = 5 * MS_PER_SECOND
"""How far ahead of now the moment of a sight may lie, as entries allow it."""

# More figures than any instrument shows are no number.
_NUMBER = re.compile(r"[+-]?\d{1,15}(\.\d{1,15})?", re.ASCII)
_OPTION = re.compile(r"--?[A-Za-z].*", re.DOTALL)

# No more figures than a degree has: 5006.0N and 0112.0W, written without a blank, would be read as degrees.
_LATITUDE = r"(?P<lat>\d{1,2}(?:\.\d+)?)(?:(?:°\s*|\s+)(?P<lat_min>\d+(?:\.\d+)?)['′]?|°)?\s*(?P<ns>[NS])"
_LONGITUDE = r"(?P<lon>\d{1,3}(?:\.\d+)?)(?:(?:°\s*|\s+)(?P<lon_min>\d+(?:\.\d+)?)['′]?|°)?\s*(?P<ew>[EW])"
_WITH_LETTERS = re.compile(rf"{_LATITUDE}\s*,?\s*{_LONGITUDE}", re.ASCII | re.IGNORECASE)
# Both with a point: 50 06 is rather the half of a position in degrees and minutes.
_SIGNED = re.compile(r"(?P<lat>[+-]?\d{1,2}\.\d+)(?:\s*,\s*|\s+)(?P<lon>[+-]?\d{1,3}\.\d+)", re.ASCII)
_MEANT_AS_POSITION = re.compile(r"[+-]?\d[\d\s.°'′NSEW+-]*,[\d\s.,°'′NSEW+-]*", re.ASCII | re.IGNORECASE)
_POSITION_WANTED = "a position, as 50 06.0N 004 12.0W, 50.1N 4.2W or 50.1 -4.2"

_DATED = re.compile(r"\d{4}-.*", re.ASCII)
_TIME_OF_DAY = re.compile(
    r"(?P<hours>[01]\d|2[0-3])(?P<colon>:?)(?P<minutes>[0-5]\d)"
    r"(?:(?P=colon)(?P<seconds>[0-5]\d)(?:\.(?P<fraction>\d+))?)?"
    r"(?P<offset>Z|(?P<sign>[+-])(?P<offset_h>[01]\d|2[0-3]):?(?P<offset_min>[0-5]\d))?",
    re.ASCII | re.IGNORECASE,
)
_MOMENT_WANTED = "a time with Z or an offset, as 01:42:07Z, 0142Z or 2026-05-03T01:42:07Z"

_MARKS = frozenset({"mark", "rear_mark"})
_WORDS = frozenset({"note", "text"})


class UnusableError(ValueError):
    """What was typed cannot be read; its text is one line: `what: found X, wanted Y`."""

    def __init__(self, what: str, found: str, wanted: str) -> None:
        super().__init__(" ".join(f"{what}: found {found}, wanted {wanted}".split()))


def check_options(words: Iterable[str], options: Sequence[str]) -> None:
    """Refuse a word that was meant as an option; `options` are those there are."""
    for word in words:
        if _OPTION.fullmatch(word):
            near = get_close_matches(word, options, n=1)
            wanted = f"{near[0]} (did you mean that?)" if near else f"one of {', '.join(options)}"
            raise UnusableError(word, "an unknown option", wanted)


def check_text(words: Iterable[str]) -> None:
    """Refuse bytes that are no text: they could not be sent as they were typed."""
    for word in words:
        if any("\ud800" <= letter <= "\udfff" for letter in word):
            raise UnusableError("the words typed", ascii(word), "text in UTF-8")


def number(what: str, text: str) -> float:
    """Read a number: digits, a point, a sign. Whole ones stay whole, so that 248 goes out as it was typed."""
    if _NUMBER.fullmatch(text) is None:
        raise UnusableError(what, text, "a number, as 248 or -1.5")
    return float(text) if "." in text else int(text)


def number_if(what: str, text: str | None) -> float | None:
    """Read a number where there is one."""
    return None if text is None else number(what, text)


def number_or(word: str, what: str, text: str) -> float | None:
    """Read a number, or None for the word that takes it back."""
    if text.lower() == word:
        return None
    if _NUMBER.fullmatch(text) is None:
        raise UnusableError(what, text, f"a number, or {word}")
    return number(what, text)


def position(words: Sequence[str]) -> Place:
    """Read a position: degrees, or degrees and minutes, with letters; or two signed decimals, N+ and E+."""
    text = " ".join(words).strip()
    signed = _SIGNED.fullmatch(text)
    if signed is not None:
        return {"latitude_deg": float(signed["lat"]), "longitude_deg": float(signed["lon"])}
    lettered = _WITH_LETTERS.fullmatch(text)
    if lettered is None:
        raise UnusableError("position", text or "nothing", _POSITION_WANTED)
    south, west = lettered["ns"] in "Ss", lettered["ew"] in "Ww"
    latitude = _degrees(lettered["lat"], lettered["lat_min"], text)
    longitude = _degrees(lettered["lon"], lettered["lon_min"], text)
    return {
        "latitude_deg": -latitude if south else latitude,
        "longitude_deg": -longitude if west else longitude,
    }


def _degrees(degrees: str, minutes: str | None, text: str) -> float:
    if minutes is None:
        return float(degrees)
    if "." in degrees:
        raise UnusableError("position", text, "whole degrees before minutes")
    if float(minutes) >= 60:
        raise UnusableError("position", text, "minutes under 60")
    # To a tenth of a millimetre: 4 + 12.3 / 60 is not to go out as 4.205000000000001.
    return round(int(degrees) + float(minutes) / 60, 9)


def mark(text: str) -> str | Place:
    """Read a mark: its name, or its position with a comma, as 50.1N,4.2W."""
    return position([text]) if _MEANT_AS_POSITION.fullmatch(text.strip()) else text


def moment(what: str, text: str, now_ms: int) -> str:
    """Read the time of something that has happened; `now_ms` is UTC.

    Date and time go out as they were typed. A time of day is the newest such moment up to `AHEAD_MS` ahead.
    """
    if _DATED.fullmatch(text):
        return _dated(what, text)
    latest_ms = now_ms + AHEAD_MS
    return str(Instant(latest_ms - (latest_ms - _of_day_ms(what, text)) % MS_PER_DAY))


def coming(what: str, text: str, after_ms: int) -> str:
    """Read the time of something to come; a time of day is the first such moment after `after_ms` (UTC)."""
    if _DATED.fullmatch(text):
        return _dated(what, text)
    earliest_ms = after_ms + 1
    try:
        return str(Instant(earliest_ms + (_of_day_ms(what, text) - earliest_ms) % MS_PER_DAY))
    except OverflowError:
        raise UnusableError(what, text, "a date with it, for the entry's own time is out of reach") from None


def _dated(what: str, text: str) -> str:
    try:
        Instant.parse(text)
    except ValueError:
        raise UnusableError(what, text, _MOMENT_WANTED) from None
    return text


def _of_day_ms(what: str, text: str) -> int:
    """Return a time of day as ms of the UTC day; what lies below the millisecond is cut off."""
    spelt = _TIME_OF_DAY.fullmatch(text)
    if spelt is None or spelt["offset"] is None:
        raise UnusableError(what, text, _MOMENT_WANTED)
    here_ms = _ms(spelt["hours"], spelt["minutes"]) + int(spelt["seconds"] or 0) * MS_PER_SECOND
    here_ms += int((spelt["fraction"] or "0").ljust(3, "0")[:3])
    if spelt["sign"] is None:
        return here_ms
    ahead_ms = _ms(spelt["offset_h"], spelt["offset_min"])
    return (here_ms - ahead_ms if spelt["sign"] == "+" else here_ms + ahead_ms) % MS_PER_DAY


def _ms(hours: str, minutes: str) -> int:
    return int(hours) * MS_PER_HOUR + int(minutes) * MS_PER_MINUTE


def changes(pairs: Iterable[str], now_ms: int) -> dict[str, object]:
    """Read `key=value` pairs of an amendment, each key once; `null` takes a field out of the entry."""
    change: dict[str, object] = {}
    for pair in pairs:
        key, sign, text = pair.partition("=")
        if not (key and sign):
            raise UnusableError("change", pair, "key=value, as bearing_deg=248")
        if key in change:
            raise UnusableError(key, "a second value", "each key once")
        change[key] = _value(key, text, now_ms)
    return change


def _value(key: str, text: str, now_ms: int) -> object:
    if text == "null":
        return None
    if key in _MARKS:
        return mark(text)
    if key == "at":
        return moment(key, text, now_ms)
    if key in _WORDS:
        return text
    # No entry that can be amended has a field that is true or false: reference=true is a word.
    return number(key, text) if _NUMBER.fullmatch(text) else text
