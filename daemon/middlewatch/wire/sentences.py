"""The sentences we read, and what each of their fields means. The one module that touches pynmea2.

pynmea2 splits a sentence into its fields and no more: they are taken from `.data` by position, for its own
conversions are not for navigating by (an empty latitude reads 0.0, a number that is none comes back as text,
an RMC with navigational status V counts as invalid).

Field orders are those of IEC 61162-1 (edition 6 where it still has the sentence). What passes from here to
the reckoning is only what compass and log say: RMC GGA GLL GNS VTG ZDA GST GBS are `Satellite` whoever sends
them, RMC's variation is not read at all, and MWD and MWV-T, made with the speed over ground, become nothing.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

import pynmea2

from middlewatch.quantities.angles import turn
from middlewatch.quantities.lengths import METRES_PER_NM, METRES_PER_SECOND_PER_KNOT
from middlewatch.readings.sentences import (
    ApparentWind,
    Attitude,
    Depth,
    Heading,
    HeadingKind,
    LogTotal,
    Satellite,
    SentenceReading,
    TurnRate,
    WaterSpeed,
    Word,
)
from middlewatch.wire.nmea_alerts import read_ack, read_acn
from middlewatch.wire.nmea_fields import (
    Number,
    UnreadableError,
    check_units,
    read_midnight_ms,
    read_moment,
    read_position,
)
from middlewatch.wire.nmea_receiver_doubt import read_gbs, read_gst


@dataclass(frozen=True, slots=True)
class PassedOver:
    """A sound sentence that gives no reading, and why."""

    reason: str


NO_VALUE = PassedOver("no value in it")
NOT_VALID = PassedOver("its sender says not valid")
GROUND_SPEED_IN_IT = PassedOver("made with ground speed")
OTHERS_ALERT = PassedOver("about an alert of another's")

Read = tuple[SentenceReading, ...] | PassedOver
Fields = tuple[str, ...]
Reader = Callable[[int, str, Fields], Read]
"""(stamp in ms, source, fields) -> readings. Raises UnreadableError."""


class THS(pynmea2.TalkerSentence):  # type: ignore[misc]  # pynmea2 has no types: its classes are Any to mypy
    """True heading and its mode, which pynmea2 1.19 lacks; defining the class registers it."""

    fields = (("Heading true", "heading"), ("Mode", "mode"))


class ACN(pynmea2.TalkerSentence):  # type: ignore[misc]  # as THS
    """A command about an alert; its fields are in `nmea_alerts`."""


class ACK(pynmea2.TalkerSentence):  # type: ignore[misc]  # as THS
    """An alert acknowledged, before ACN was."""


# The longest sentence read by position is RMC: fields left off at the end read as empty.
_MISSING = ("",) * 13


# Instruments repeat themselves: half of what a boat's bus says is word for word what it said lately.
@lru_cache(maxsize=256)
def fields_of(body: str) -> Fields:
    """Return the fields of `HCHDG,98.3,...`, empty ones added at its end; raise UnreadableError."""
    try:
        fields: list[str] = pynmea2.parse(body).data
    except pynmea2.ParseError as fault:
        raise UnreadableError("form") from fault
    return (*fields, *_MISSING)


# What a boat's instruments can mean; wide on purpose, since a sentence beyond a range is refused whole.
_HEADING = Number("heading", 0, 360)
_CORRECTION = Number("deviation or variation", 0, 180)
_WATER_SPEED = Number("water speed", 0, 100)
_WATER_SPEED_KMH = Number("water speed", 0, 200)
_ALONG_KEEL = Number("water speed", -100, 100)
_LOG_TOTAL = Number("log total", 0, 1e7)
_WIND_ANGLE = Number("wind angle", 0, 360)
_WIND_SPEED = Number("wind speed", 0, 500)
_DEPTH = Number("depth", 0, 12_000)
_DEPTH_FT = Number("depth", 0, 40_000)
_DEPTH_FATHOMS = Number("depth", 0, 6_600)
_OFFSET = Number("depth offset", -100, 100)
_TURN_RATE = Number("rate of turn", -10_000, 10_000)
_ANGLE = Number("angle", -360, 360)
_COURSE = Number("course", 0, 360)
_GROUND_SPEED = Number("ground speed", 0, 2_000)
_GROUND_SPEED_KMH = Number("ground speed", 0, 4_000)
_SATELLITES = Number("number of satellites", 0, 999)
_HDOP = Number("dilution of precision", 0, 1e6)

_KMH_PER_KNOT = METRES_PER_NM / 1000.0
_METRES_PER_FOOT = 0.3048  # exact: the international foot of 1959 (from memory)
_METRES_PER_FATHOM = 6 * _METRES_PER_FOOT
_KNOTS_PER_WIND_UNIT = {
    "N": 1.0,
    "K": 1.0 / _KMH_PER_KNOT,
    "M": 1.0 / METRES_PER_SECOND_PER_KNOT,
    "S": 1609.344 / METRES_PER_NM,  # statute miles an hour, exact (from memory)
}

# --- what a receiver says of itself --------------------

_WORD_OF_MODE = {
    **dict.fromkeys("ADPRF", Word.GOOD),
    "E": Word.ESTIMATED,
    "M": Word.MANUAL,
    "S": Word.SIMULATOR,
    "N": Word.NONE,
}
_WORD_OF_QUALITY = {
    **dict.fromkeys("12345", Word.GOOD),
    "6": Word.ESTIMATED,
    "7": Word.MANUAL,
    "8": Word.SIMULATOR,
    "0": Word.NONE,
}


def _word(mode: str, status: str = "") -> Word:
    """Go by the mode letter, if any: receivers in dead reckoning send E with status A, or V."""
    unsaid = Word.NONE if status == "V" else Word.UNSAID
    return _WORD_OF_MODE.get(mode, unsaid)


def _word_of_modes(modes: str) -> Word:
    """Read GNS's letters, one a system: a single one that has a fix makes the position."""
    words = {_WORD_OF_MODE.get(mode, Word.UNSAID) for mode in modes}
    for word in (Word.GOOD, Word.ESTIMATED, Word.MANUAL, Word.SIMULATOR, Word.NONE):
        if word in words:
            return word
    return Word.UNSAID


def _cautions(status: str, mode: str) -> bool:
    """Say whether V stands beside A or D, a contradiction; beside P, R and F older wording asks for it."""
    return status == "V" and mode in {"A", "D"}


_CAUTIOUS = frozenset("CU")  # navigational status: caution, unsafe; V only says that the receiver cannot tell

# --- compass --------------------


def _hdg(at_ms: int, source: str, f: Fields) -> Read:
    heading = _HEADING.read_direction(f[0])
    deviation, variation = _CORRECTION.read_east(f[1], f[2]), _CORRECTION.read_east(f[3], f[4])
    if heading is None:
        return NO_VALUE
    return (Heading(at_ms, source, HeadingKind.SENSOR, heading, deviation, variation),)


def _hdm(at_ms: int, source: str, f: Fields) -> Read:
    return _plain_heading(at_ms, source, f, HeadingKind.MAGNETIC, "M")


def _hdt(at_ms: int, source: str, f: Fields) -> Read:
    return _plain_heading(at_ms, source, f, HeadingKind.TRUE, "T")


def _plain_heading(at_ms: int, source: str, f: Fields, kind: HeadingKind, letter: str) -> Read:
    check_units(f[1:2], letter)
    heading = _HEADING.read_direction(f[0])
    return NO_VALUE if heading is None else (Heading(at_ms, source, kind, heading, None, None),)


def _ths(at_ms: int, source: str, f: Fields) -> Read:
    heading = _HEADING.read_direction(f[0])
    # Estimated, by hand and simulated are no measurement of where the bow points.
    if f[1] != "A":
        return NOT_VALID
    return NO_VALUE if heading is None else (Heading(at_ms, source, HeadingKind.TRUE, heading, None, None),)


def _rot(at_ms: int, source: str, f: Fields) -> Read:
    rate = _TURN_RATE.read(f[0])
    if f[1] != "A":
        return NOT_VALID
    return NO_VALUE if rate is None else (TurnRate(at_ms, source, rate),)


def _xdr(at_ms: int, source: str, f: Fields) -> Read:
    angles: list[SentenceReading] = []
    for kind, value, unit, name in zip(f[0::4], f[1::4], f[2::4], f[3::4], strict=False):
        if kind != "A":
            continue
        check_units([unit], "D")
        angle = _ANGLE.read(value)
        if angle is not None:
            angles.append(Attitude(at_ms, source, name, angle))
    return tuple(angles) or NO_VALUE


# --- log --------------------


def _vhw(at_ms: int, source: str, f: Fields) -> Read:
    """Take the magnetic heading, from which the true one was made: their difference is the variation."""
    check_units(f[1:8:2], "TMNK")
    readings: list[SentenceReading] = []
    true, magnetic = _HEADING.read_direction(f[0]), _HEADING.read_direction(f[2])
    if magnetic is not None:
        variation = None if true is None else turn(magnetic, true)
        readings.append(Heading(at_ms, source, HeadingKind.MAGNETIC, magnetic, None, variation))
    elif true is not None:
        readings.append(Heading(at_ms, source, HeadingKind.TRUE, true, None, None))
    speed = _in_knots(_WATER_SPEED.read(f[4]), _WATER_SPEED_KMH.read(f[6]))
    if speed is not None:
        readings.append(WaterSpeed(at_ms, source, speed))
    return tuple(readings) or NO_VALUE


def _in_knots(knots: float | None, kmh: float | None) -> float | None:
    if knots is not None or kmh is None:
        return knots
    return kmh / _KMH_PER_KNOT


def _vbw(at_ms: int, source: str, f: Fields) -> Read:
    """Take the speed along the keel through the water; the others (athwart, stern, ground) are not read."""
    speed = _ALONG_KEEL.read(f[0])
    if f[2] != "A":
        return NOT_VALID
    return NO_VALUE if speed is None else (WaterSpeed(at_ms, source, speed),)


def _vlw(at_ms: int, source: str, f: Fields) -> Read:
    """Take the total through the water; the trip is set back by hand, the other fields are over ground."""
    check_units(f[1:2], "N")
    total = _LOG_TOTAL.read(f[0])
    return NO_VALUE if total is None else (LogTotal(at_ms, source, total),)


# --- depth and wind --------------------


def _dpt(at_ms: int, source: str, f: Fields) -> Read:
    depth, offset = _DEPTH.read(f[0]), _OFFSET.read(f[1])
    return NO_VALUE if depth is None else (Depth(at_ms, source, depth, offset),)


def _dbt(at_ms: int, source: str, f: Fields) -> Read:
    """Take one of three units for the same depth, metres for choice: the others are rounded from it."""
    check_units(f[1:6:2], "fMF")
    for text, number, metres in (
        (f[2], _DEPTH, 1.0),
        (f[0], _DEPTH_FT, _METRES_PER_FOOT),
        (f[4], _DEPTH_FATHOMS, _METRES_PER_FATHOM),
    ):
        depth = number.read(text)
        if depth is not None:
            return (Depth(at_ms, source, depth * metres, None),)
    return NO_VALUE


def _mwv(at_ms: int, source: str, f: Fields) -> Read:
    angle, speed = _WIND_ANGLE.read_direction(f[0]), _WIND_SPEED.read(f[2])
    if f[1] == "T":
        return GROUND_SPEED_IN_IT
    if f[1] != "R":
        raise UnreadableError("wind reference letter")
    if f[4] != "A":
        return NOT_VALID
    if angle is None or speed is None:
        return NO_VALUE
    if f[3] not in _KNOTS_PER_WIND_UNIT:
        raise UnreadableError("unit letter")
    return (ApparentWind(at_ms, source, angle, speed * _KNOTS_PER_WIND_UNIT[f[3]]),)


def _mwd(_at_ms: int, _source: str, _f: Fields) -> Read:
    return GROUND_SPEED_IN_IT


# --- satellites --------------------


def _rmc(at_ms: int, source: str, f: Fields) -> Read:
    latitude, longitude = read_position(*f[2:6])
    date, mode = f[8], f[11]
    if date and len(date) != 6:
        raise UnreadableError("date is no date")
    utc_ms, time_of_day_ms = read_moment(f[0], read_midnight_ms(date[:2], date[2:4], date[4:]))
    return (
        Satellite(
            at_ms,
            source,
            gives_position=True,
            word=_word(mode, f[1]),
            latitude_deg=latitude,
            longitude_deg=longitude,
            course_deg=_COURSE.read_direction(f[7]),
            speed_kn=_GROUND_SPEED.read(f[6]),
            utc_ms=utc_ms,
            time_of_day_ms=time_of_day_ms,
            caution=f[12] in _CAUTIOUS or _cautions(f[1], mode),
        ),
    )


def _gll(at_ms: int, source: str, f: Fields) -> Read:
    latitude, longitude = read_position(*f[0:4])
    _, time_of_day_ms = read_moment(f[4], None)
    return (
        Satellite(
            at_ms,
            source,
            gives_position=True,
            word=_word(f[6], f[5]),
            latitude_deg=latitude,
            longitude_deg=longitude,
            time_of_day_ms=time_of_day_ms,
            caution=_cautions(f[5], f[6]),
        ),
    )


def _gga(at_ms: int, source: str, f: Fields) -> Read:
    return _with_geometry(at_ms, source, f, _WORD_OF_QUALITY.get(f[5], Word.UNSAID), caution=False)


def _gns(at_ms: int, source: str, f: Fields) -> Read:
    return _with_geometry(at_ms, source, f, _word_of_modes(f[5]), caution=f[12] in _CAUTIOUS)


def _with_geometry(at_ms: int, source: str, f: Fields, word: Word, *, caution: bool) -> Read:
    """Read GGA or GNS: the same fields in the same places, but for how they say what the fix is worth."""
    latitude, longitude = read_position(*f[1:5])
    _, time_of_day_ms = read_moment(f[0], None)
    satellites = _SATELLITES.read(f[6])
    return (
        Satellite(
            at_ms,
            source,
            gives_position=True,
            word=word,
            latitude_deg=latitude,
            longitude_deg=longitude,
            time_of_day_ms=time_of_day_ms,
            satellites=None if satellites is None else int(satellites),
            hdop=_HDOP.read(f[7]),
            caution=caution,
        ),
    )


def _vtg(at_ms: int, source: str, f: Fields) -> Read:
    # Before 2.0 there were four numbers and no letters: read by these places they would mean something else.
    check_units(f[1:8:2], "TMNK")
    course = _COURSE.read_direction(f[0])
    speed = _in_knots(_GROUND_SPEED.read(f[4]), _GROUND_SPEED_KMH.read(f[6]))
    word = _word(f[8])
    return (Satellite(at_ms, source, gives_position=False, word=word, course_deg=course, speed_kn=speed),)


def _zda(at_ms: int, source: str, f: Fields) -> Read:
    if f[3] and len(f[3]) != 4:
        raise UnreadableError("date is no date")
    utc_ms, time_of_day_ms = read_moment(f[0], read_midnight_ms(f[1], f[2], f[3]))
    if utc_ms is None and time_of_day_ms is None:
        return NO_VALUE
    return (
        Satellite(
            at_ms,
            source,
            gives_position=False,
            word=Word.UNSAID,
            utc_ms=utc_ms,
            time_of_day_ms=time_of_day_ms,
        ),
    )


def _gst(at_ms: int, source: str, f: Fields) -> Read:
    told = read_gst(at_ms, source, f)
    return NO_VALUE if told is None else (told,)


def _gbs(at_ms: int, source: str, f: Fields) -> Read:
    told = read_gbs(at_ms, source, f)
    return NO_VALUE if told is None else (told,)


# --- alerts --------------------


def _acn(at_ms: int, source: str, f: Fields) -> Read:
    return read_acn(at_ms, source, f) or OTHERS_ALERT


def _ack(at_ms: int, source: str, f: Fields) -> Read:
    return read_ack(at_ms, source, f) or OTHERS_ALERT


SATELLITE_READERS: dict[str, Reader] = {
    "RMC": _rmc, "GGA": _gga, "GLL": _gll, "GNS": _gns, "VTG": _vtg, "ZDA": _zda,
    "GST": _gst, "GBS": _gbs,
}  # fmt: skip
"""Formatters that are `Satellite` whoever sends them, the only ones heard from a satellite talker."""

READERS: dict[str, Reader] = {
    "HDG": _hdg, "HDM": _hdm, "HDT": _hdt, "THS": _ths, "ROT": _rot, "XDR": _xdr,
    "VHW": _vhw, "VBW": _vbw, "VLW": _vlw,
    "DPT": _dpt, "DBT": _dbt, "MWV": _mwv, "MWD": _mwd,
    "ACN": _acn, "ACK": _ack,
    **SATELLITE_READERS,
}  # fmt: skip
"""Every formatter we read, with its reader."""
