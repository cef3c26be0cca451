"""Alerts as sentences: ALF, ALC and ARC out and ACN in (IEC 61162-1 edition 6), or the legacy ALR and ACK.

The field orders are those read from parsers written against that edition. Ours to choose were (judgement):
the identifiers, from the range for what no standard lists, 10000 to 9999999, without a mnemonic, for we
have none registered; category B throughout (nothing more has to be looked at to acknowledge); instance 1 of
each; titles. A caution and an acknowledged warning are both state A; 16 characters of a title and one more
sentence is all there is room for, so a long text is cut, and dots say so: the whole one is told over MQTT.
"""

from collections.abc import Iterable, Mapping

from middlewatch.quantities.instants import MS_PER_SECOND, Instant
from middlewatch.readings.sentences import AlertCommand, AlertCommandWord
from middlewatch.reports.alert import AlertName, AlertReport, AlertState, CommandReport, Priority
from middlewatch.wire.nmea_fields import Number, UnreadableError
from middlewatch.wire.nmea_out import LONGEST, sentence

IDENTIFIERS: Mapping[AlertName, int] = {
    "satellite": 10241, "heading": 10242, "log": 10243, "position": 10244, "danger": 10245, "light": 10246,
    "clearing-bearing": 10247, "clock": 10248, "journal": 10249, "broker": 10250, "input": 10251,
    "output": 10252, "overboard": 10253,
}  # fmt: skip
TITLES: Mapping[AlertName, str] = {
    "satellite": "SATELLITE DOUBT", "heading": "HEADING", "log": "WATER SPEED LOG",
    "position": "RECKONED PLACE", "danger": "DANGER AHEAD", "light": "LIGHT",
    "clearing-bearing": "CLEARING BEARING", "clock": "CLOCK", "journal": "JOURNAL",
    "broker": "MQTT BROKER", "input": "NMEA INPUT", "output": "OUTPUT",
    "overboard": "PERSON OVERBOARD",
}  # fmt: skip
"""At most 16 characters each."""

INSTANCE = 1
ALL = 0
"""The identifier, and the instance, by which a command means all."""
LEGACY_OFFSET = 10_000
"""The legacy number of an alert is its identifier less this: three digits."""
LAST_SEQUENCE, LAST_LIST = 9, 99

_ALERT_OF = {number: name for name, number in IDENTIFIERS.items()}
_STATES: dict[AlertState, str] = {
    "normal": "N", "active": "A", "active-unacknowledged": "V", "active-silenced": "S",
    "active-acknowledged": "A", "rectified-unacknowledged": "U",
}  # fmt: skip
_PRIORITIES: dict[Priority, str] = {"alarm": "A", "warning": "W", "caution": "C"}
_CATEGORY = "B"
_COMMANDS: dict[str, AlertCommandWord] = {
    "A": "acknowledge", "Q": "repeat", "S": "silence", "O": "transfer",
}  # fmt: skip
_LETTERS = {word: letter for letter, word in _COMMANDS.items()}
_COMMAND_FLAG = "C"
_LISTED_IN_ONE = 4
_RESERVED = frozenset("$!*,\\^~")
_CUT = "..."
_LAST_OF_LATIN_1 = 255


# --- out ----------------------------------------------------------------------------------------------------


def sentences(report: AlertReport, sequence: int, *, timed: bool = True) -> tuple[bytes, ...]:
    """Return the ALF of an alert: its title, and but for one that is over a second with its text.

    `sequence` is 0 to 9, one on with each alert told; `timed` false: the clock is doubtful, no time stands.
    """
    over = report.state == "normal"
    identity = "", str(IDENTIFIERS[report.name]), str(INSTANCE), str(report.revision), str(report.escalation)
    kind = ("", "") if over else (_CATEGORY, _PRIORITIES[report.priority])
    time = _time(report.at) if timed else ""
    total = "1" if over else "2"
    first = total, "1", str(sequence), time, *kind, _STATES[report.state], *identity, TITLES[report.name]
    if over:
        return (sentence("ALF", first),)
    second = total, "2", str(sequence), "", "", "", "", *identity
    return sentence("ALF", first), sentence("ALF", (*second, _fitting("ALF", second, report.text)))


def listed(reports: Iterable[AlertReport], sequence: int) -> tuple[bytes, ...]:
    """Return the ALC of the alerts that are not normal, in as many sentences as it takes, one at least.

    `sequence` is 0 to 99. Each sentence says how many alerts stand in it (from memory).
    """
    standing = [each for each in reports if each.state != "normal"]
    starts = range(0, max(1, len(standing)), _LISTED_IN_ONE)
    groups = [standing[start : start + _LISTED_IN_ONE] for start in starts]
    return tuple(
        sentence(
            "ALC",
            (
                f"{len(groups):02d}",
                f"{place:02d}",
                f"{sequence:02d}",
                str(len(group)),
                *(field for each in group for field in _entry(each)),
            ),
        )
        for place, group in enumerate(groups, start=1)
    )


def refused(report: CommandReport, *, timed: bool = True) -> bytes:
    """Return the ARC of a command that was refused."""
    number = ALL if not report.alert else _identifier(report.alert)
    time = _time(report.at) if timed else ""
    return sentence("ARC", (time, "", str(number), str(report.instance), _LETTERS[report.command]))


def legacy(report: AlertReport, *, timed: bool = True) -> bytes:
    """Return the ALR of an alert: number, whether it stands (A) or not (V), acknowledged (A) or not (V)."""
    stands = "A" if report.state.startswith("active") else "V"
    waits = report.state in ("active-unacknowledged", "active-silenced", "rectified-unacknowledged")
    number = IDENTIFIERS[report.name] - LEGACY_OFFSET
    fields = (_time(report.at) if timed else "", f"{number:03d}", stands, "V" if waits else "A")
    text = TITLES[report.name] if report.state == "normal" else f"{TITLES[report.name]}: {report.text}"
    return sentence("ALR", (*fields, _fitting("ALR", fields, text)))


def escaped(text: str) -> list[str]:
    r"""Return the signs of a text, each as it may stand in a sentence: `,` as `^2C`.

    What is reserved, and what ASCII has not but ISO 8859-1 has, becomes `^HH` (the latter from memory); what
    neither has becomes a question mark.
    """
    return [_sign(each) for each in text]


def _sign(sign: str) -> str:
    if sign.isascii() and sign.isprintable() and sign not in _RESERVED:
        return sign
    return f"^{ord(sign):02X}" if ord(sign) <= _LAST_OF_LATIN_1 else "?"


def _fitting(formatter: str, fields: tuple[str, ...], text: str) -> str:
    """Return as much of a text as fits behind these fields: whole words, and dots where it is cut."""
    room = LONGEST - len(sentence(formatter, (*fields, "")))
    if len("".join(escaped(text))) <= room:
        return "".join(escaped(text))
    kept: list[str] = []
    for word in text.split(" "):
        longer = [*kept, word]
        if len("".join(escaped(" ".join(longer)))) + len(_CUT) > room:
            break
        kept = longer
    return "".join(escaped(" ".join(kept))) + _CUT


def _entry(report: AlertReport) -> tuple[str, str, str, str]:
    return "", str(IDENTIFIERS[report.name]), str(INSTANCE), str(report.revision)


def _identifier(alert: str) -> int:
    return next(number for name, number in IDENTIFIERS.items() if name == alert)


def _time(at: Instant) -> str:
    return f"{at.clock_with_seconds.replace(':', '')}.{at.ms % MS_PER_SECOND // 10:02d}"


# --- in -----------------------------------------------------------------------------------------------------

_NUMBER = Number("alert identifier", 0, 9_999_999)
_INSTANCES = Number("alert instance", 0, 999_999)


def read_acn(at_ms: int, source: str, f: tuple[str, ...]) -> tuple[AlertCommand, ...]:
    """Read ACN's fields: a command about an alert of ours, nothing where it is about another's.

    Two readings of the standard differ in the order of its last two fields, command and flag: the flag is C,
    which no command is. Raises UnreadableError.
    """
    command, flag = (f[4], f[5]) if f[5] == _COMMAND_FLAG else (f[5], f[4])
    if flag != _COMMAND_FLAG or command not in _COMMANDS:
        raise UnreadableError("alert command letter")
    number, instance = _whole(_NUMBER, f[2]), _whole(_INSTANCES, f[3])
    if f[1] or (number != ALL and number not in _ALERT_OF):
        return ()  # a maker's mnemonic is never ours
    alert = "" if number == ALL else _ALERT_OF[number]
    return (AlertCommand(at_ms, source, alert, instance, _COMMANDS[command]),)


def read_ack(at_ms: int, source: str, f: tuple[str, ...]) -> tuple[AlertCommand, ...]:
    """Read the legacy ACK: the number of an alert, to be acknowledged; nothing where it is another's."""
    alert = _ALERT_OF.get(_whole(_NUMBER, f[0]) + LEGACY_OFFSET)
    if alert is None:
        return ()
    return (AlertCommand(at_ms, source, alert, INSTANCE, "acknowledge", legacy=True),)


def _whole(number: Number, text: str) -> int:
    value = number.read(text)
    if value is None or not value.is_integer():
        raise UnreadableError(f"{number.name} is no number")
    return int(value)
