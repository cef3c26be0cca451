r"""The sentences we send: the reckoning told to the boat's own displays, never to be taken for a satellite's.

What keeps them apart from a receiver's (field orders and letters: IEC 61162-1 edition 6, through parsers
written against it; the choice between them is judgement): talker IN, mode E (estimated), status V, which that
standard asks for in every mode but A and D, navigational status V (no such indication), a TAG block with our
own source, and none of the sentences that tell of satellites. What is not known is an empty field.
"""

from collections.abc import Iterable
from typing import Literal

from middlewatch.quantities.angles import direction
from middlewatch.quantities.instants import MS_PER_SECOND, Instant
from middlewatch.quantities.lengths import METRES_PER_NM
from middlewatch.wire.lines import checksum

TALKER = "IN"
LONGEST = 82
"""Characters of a sentence, from `$` to CR LF with both (IEC 61162-1)."""

LONGEST_TEXT = 61
"""Characters of a TXT's text, escapes counted: what then fills the 82."""

Place = tuple[float, float]
"""Latitude N+, longitude E+, degrees."""

HeadingMode = Literal["A", "E", "M", "V"]
"""THS: measured, estimated, by hand, not valid."""

_UNITS_OF_A_MINUTE = 10_000
_UNITS_OF_A_DEGREE = 60 * _UNITS_OF_A_MINUTE
_KMH_PER_KNOT = METRES_PER_NM / 1000.0
_RESERVED = frozenset('$!*,\\^~"')


def sentence(formatter: str, fields: Iterable[str]) -> bytes:
    r"""Return `$IN<formatter>,<fields>*hh\r\n`; ValueError where it is none, or over 82 characters."""
    body = ",".join((TALKER + formatter, *fields))
    if not (body.isascii() and body.isprintable()):
        raise ValueError(f"{body!r} cannot stand in a sentence")
    made = f"${body}*{checksum(body.encode('ascii'))}\r\n".encode("ascii")
    if len(made) > LONGEST:
        raise ValueError(f"{body!r} makes {len(made)} characters, {LONGEST} are allowed")
    return made


def tagged(line: bytes, source: str, at: Instant | None) -> bytes:
    r"""Put a TAG block `\s:<source>,c:<UNIX s>*hh\` before a sentence; no `c:` where no time is known."""
    block = f"s:{source}" if at is None else f"s:{source},c:{at.ms // MS_PER_SECOND}"
    return f"\\{block}*{checksum(block.encode('ascii'))}\\".encode("ascii") + line


def body_of(line: bytes) -> str:
    """Return a sentence of ours without TAG block, `$`, talker and checksum: `GLL,5008.4300,N,...`."""
    start = line.rfind(b"$") + 1 + len(TALKER)
    return line[start : line.rfind(b"*")].decode("ascii")


def gll(place: Place | None, at: Instant | None) -> bytes:
    """Return the position; mode E, or N where there is none."""
    return sentence("GLL", (*_place(place), _time(at), "V", _mode(place)))


def rmc(
    place: Place | None,
    at: Instant | None,
    course_true_deg: float | None,
    speed_kn: float | None,
    variation_deg: float | None,
) -> bytes:
    """Return position, course and speed made good, date, variation (E+ in degrees)."""
    return sentence(
        "RMC",
        (
            _time(at),
            "V",
            *_place(place),
            _figure(speed_kn, ".1f"),
            _direction(course_true_deg, 1),
            _date(at),
            *_east(variation_deg),
            _mode(place),
            "V",
        ),
    )


def vtg(course_true_deg: float | None, speed_kn: float | None, variation_deg: float | None) -> bytes:
    """Return course and speed made good; mode N where neither is known. It has no status field."""
    kmh = None if speed_kn is None else speed_kn * _KMH_PER_KNOT
    magnetic_deg = _magnetic(course_true_deg, variation_deg)
    mode = "N" if course_true_deg is None and speed_kn is None else "E"
    return sentence(
        "VTG",
        (
            _direction(course_true_deg, 1), "T", _direction(magnetic_deg, 1), "M",
            _figure(speed_kn, ".1f"), "N", _figure(kmh, ".1f"), "K", mode,
        ),
    )  # fmt: skip


def vdr(set_true_deg: float, drift_kn: float, variation_deg: float | None) -> bytes:
    """Return the stream the reckoning holds: set (true, towards) and drift in knots."""
    magnetic_deg = _magnetic(set_true_deg, variation_deg)
    return sentence(
        "VDR",
        (_direction(set_true_deg, 1), "T", _direction(magnetic_deg, 1), "M", _figure(drift_kn, ".1f"), "N"),
    )


# No instrument sends five decimals: should the heading come back under another's talker, it is known by them
# (`wire/nmea_own.py`), and a gyro that says the same tenth of a degree is not taken for ours.
_HEADING_DECIMALS = 5


def hdt(heading_true_deg: float) -> bytes:
    """Return the true heading. It has neither mode nor status: for a heading that was measured just now."""
    return sentence("HDT", (_direction(heading_true_deg, _HEADING_DECIMALS), "T"))


def ths(heading_true_deg: float | None, mode: HeadingMode) -> bytes:
    """Return the true heading and how it was come by."""
    return sentence("THS", (_direction(heading_true_deg, _HEADING_DECIMALS), mode))


def nsr(letters: Iterable[str]) -> bytes:
    """Return how far heading, position, speed and time are to be trusted: 13 letters, see `nmea_bulletin`."""
    return sentence("NSR", letters)


def txt(identifier: int, text: str) -> bytes:
    """Return a text of up to 61 characters, what is reserved written as `^HH`; ValueError where longer."""
    escaped = "".join(f"^{ord(sign):02X}" if sign in _RESERVED else sign for sign in text)
    return sentence("TXT", ("01", "01", f"{identifier:02d}", escaped))


# --- fields --------------------


def _place(place: Place | None) -> tuple[str, str, str, str]:
    if place is None:
        return "", "", "", ""
    latitude, longitude = place
    return (
        _minutes(latitude, 2), "S" if latitude < 0.0 else "N",
        _minutes(longitude, 3), "W" if longitude < 0.0 else "E",
    )  # fmt: skip


def _minutes(degrees: float, width: int) -> str:
    """Write `ddmm.mmmm`, rounded as a whole so that no minute reads 60."""
    whole_degrees, rest = divmod(round(abs(degrees) * _UNITS_OF_A_DEGREE), _UNITS_OF_A_DEGREE)
    minutes, parts = divmod(rest, _UNITS_OF_A_MINUTE)
    return f"{whole_degrees:0{width}d}{minutes:02d}.{parts:04d}"


def _mode(place: Place | None) -> str:
    return "N" if place is None else "E"


def _time(at: Instant | None) -> str:
    if at is None:
        return ""
    return f"{at.clock_with_seconds.replace(':', '')}.{at.ms % MS_PER_SECOND // 10:02d}"


def _date(at: Instant | None) -> str:
    if at is None:
        return ""
    text = str(at)
    return text[8:10] + text[5:7] + text[2:4]


def _figure(number: float | None, form: str) -> str:
    return "" if number is None else format(number, form)


def _direction(degrees: float | None, decimals: int) -> str:
    if degrees is None:
        return ""
    rounded = round(direction(degrees), decimals) % 360.0
    return f"{rounded:0{4 + decimals}.{decimals}f}"


def _east(degrees: float | None) -> tuple[str, str]:
    if degrees is None:
        return "", ""
    return f"{abs(degrees):.1f}", "W" if degrees < 0.0 else "E"


def _magnetic(true_deg: float | None, variation_deg: float | None) -> float | None:
    # True to magnetic: east variation is taken off.
    return None if true_deg is None or variation_deg is None else true_deg - variation_deg
