"""Alert sentences: field by field as IEC 61162-1 orders them, within 82 characters, and commands read.

Field orders, letters and the examples are those of the project's page of standards, read there from parsers
written against edition 6; the alert identifiers and titles are ours.
"""

import json
from functools import reduce
from operator import xor
from typing import get_args

import pynmea2
import pytest
from hypothesis import given
from hypothesis import strategies as st

from middlewatch.quantities.instants import Instant
from middlewatch.readings.sentences import AlertCommand, AlertCommandWord
from middlewatch.reports.alert import (
    AlertName,
    AlertReport,
    AlertState,
    CommandReport,
    Priority,
    SoundReport,
)
from middlewatch.wire.nmea import Decoder
from middlewatch.wire.nmea_alert_list import AlertList
from middlewatch.wire.nmea_alerts import IDENTIFIERS, TITLES, escaped, legacy, listed, refused, sentences
from middlewatch.wire.payloads import payload
from middlewatch.wire.topics import retained, topic_of
from wire.sealing import sealed

AT = Instant.parse("2026-06-25T14:25:36Z")
TEXT = "satellite position (GPRMC@bow) 0.90 nm 214 T of the EP, past 0.5 nm; take a bearing"


class ALF(pynmea2.TalkerSentence):  # type: ignore[misc]  # pynmea2 has no types, and not this sentence
    """As the standard's page lists its thirteen fields."""

    fields = tuple((name, name) for name in (
        "total", "number", "sequence", "time", "category", "priority", "state", "mnemonic", "identifier",
        "instance", "revision", "escalation", "text",
    ))  # fmt: skip


class ALC(pynmea2.TalkerSentence):  # type: ignore[misc]  # as ALF
    """Its first four; four to an alert follow."""

    fields = tuple((name, name) for name in ("total", "number", "sequence", "alerts"))


class ARC(pynmea2.TalkerSentence):  # type: ignore[misc]  # as ALF
    """A command refused."""

    fields = tuple((name, name) for name in ("time", "mnemonic", "identifier", "instance", "command"))


class ALR(pynmea2.TalkerSentence):  # type: ignore[misc]  # as ALF
    """The legacy sentence."""

    fields = tuple((name, name) for name in ("time", "number", "condition", "acknowledged", "text"))


def alert(
    state: AlertState = "active-unacknowledged",
    priority: Priority = "warning",
    name: AlertName = "satellite",
    text: str = TEXT,
    revision: int = 1,
) -> AlertReport:
    """Return an alert report."""
    return AlertReport(name, AT, priority, state, text, AT, revision)


def fields(line: bytes) -> list[str]:
    """Return the fields of a sentence as pynmea2 splits it, checksum checked, its length held to the 82."""
    assert len(line) <= 82
    assert line.endswith(b"\r\n")
    parsed = pynmea2.parse(line.decode("ascii").strip(), check=True)
    assert parsed.talker == "IN"
    data: list[str] = parsed.data
    return data


# --- out ----------------------------------------------------------------------------------------------------


def test_an_alert_in_two_sentences() -> None:
    """Title, then the text as far as it goes; 4 to 7 empty in the second, the identity in both."""
    first, second = sentences(alert(), 3)

    identity = ["", "10241", "1", "1", "0"]
    assert fields(first) == ["2", "1", "3", "142536.00", "B", "W", "V", *identity, "SATELLITE DOUBT"]
    assert fields(second)[:12] == ["2", "2", "3", "", "", "", "", *identity]
    assert fields(second)[12] == "satellite position (GPRMC@bow) 0.90 nm 214 T..."


@pytest.mark.parametrize(
    ("state", "letter"),
    [
        ("active-unacknowledged", "V"),
        ("active-silenced", "S"),
        ("active-acknowledged", "A"),
        ("active", "A"),
        ("rectified-unacknowledged", "U"),
    ],
)
def test_state_letters(state: AlertState, letter: str) -> None:
    """V S A U as edition 6 has them (one maker's manual permutes V, A and N)."""
    assert fields(sentences(alert(state), 0)[0])[6] == letter


def test_over_is_one_sentence_without_category_and_priority() -> None:
    """As the example `$INALF,1,1,6,143110.00,,,N,...,10241,1,4,0,...`: field for field."""
    (line,) = sentences(alert("normal", revision=4), 6)

    assert fields(line) == [
        "1",
        "1",
        "6",
        "142536.00",
        "",
        "",
        "N",
        "",
        "10241",
        "1",
        "4",
        "0",
        "SATELLITE DOUBT",
    ]


@pytest.mark.parametrize(("priority", "letter"), [("alarm", "A"), ("warning", "W"), ("caution", "C")])
def test_priority_letters(priority: Priority, letter: str) -> None:
    """A W C; E, the emergency alarm, we never raise."""
    assert fields(sentences(alert(priority=priority), 0)[0])[5] == letter


def test_a_doubtful_clock_leaves_the_time_empty() -> None:
    """No time rather than a wrong one."""
    assert fields(sentences(alert(), 0, timed=False)[0])[3] == ""


def test_every_subject_has_an_identifier_and_a_title() -> None:
    """Proprietary identifiers run from 10000 to 9999999; a title has at most 16 characters."""
    assert set(IDENTIFIERS) == set(TITLES) == set(get_args(AlertName))
    assert len(set(IDENTIFIERS.values())) == len(IDENTIFIERS)
    assert all(10_000 <= each <= 9_999_999 for each in IDENTIFIERS.values())
    assert all(1 <= len(each) <= 16 and each.isascii() for each in TITLES.values())
    # The legacy number has three digits.
    assert all(each - 10_000 <= 999 for each in IDENTIFIERS.values())


def test_the_list_of_what_stands() -> None:
    """Four fields an alert, what is normal left out; the sequence counts lists."""
    alerts = [
        alert(revision=7),
        alert("normal", name="log"),
        alert("active", "caution", "clock", revision=99),
    ]

    (line,) = listed(alerts, 7)

    assert fields(line) == ["01", "01", "07", "2", "", "10241", "1", "7", "", "10248", "1", "99"]


def test_an_empty_list_is_told() -> None:
    """`$INALC,01,01,08,0*71`, checksum and all, as the standard's page has it."""
    assert listed([], 8) == (b"$INALC,01,01,08,0*71\r\n",)


def test_a_list_of_all_there_are_takes_four_sentences() -> None:
    """Thirteen subjects, none left out, none over the length."""
    lines = listed([alert(name=name, revision=99) for name in get_args(AlertName)], 99)
    told = [fields(line) for line in lines]

    assert [each[:4] for each in told] == [
        ["04", "01", "99", "4"], ["04", "02", "99", "4"], ["04", "03", "99", "4"], ["04", "04", "99", "1"],
    ]  # fmt: skip
    assert [number for each in told for number in each[5::4]] == [str(n) for n in IDENTIFIERS.values()]


@pytest.mark.parametrize(
    ("command", "letter"), [("acknowledge", "A"), ("silence", "S"), ("repeat", "Q"), ("transfer", "O")]
)
def test_a_refusal(command: AlertCommandWord, letter: str) -> None:
    """Time, no mnemonic, identifier, instance, the letter of what was asked."""
    report = CommandReport(AT, "CAACN@bridge", command, "satellite", 2, accepted=False, text="no")

    assert fields(refused(report)) == ["142536.00", "", "10241", "2", letter]


def test_a_refusal_of_what_was_meant_for_all() -> None:
    """Identifier 0, instance 0."""
    report = CommandReport(AT, "CAACN@bridge", "acknowledge", "", 0, accepted=False, text="one by one")

    assert fields(refused(report, timed=False)) == ["", "", "0", "0", "A"]


@pytest.mark.parametrize(
    ("state", "letters"),
    [
        ("active-unacknowledged", ["A", "V"]),
        ("active-silenced", ["A", "V"]),
        ("active-acknowledged", ["A", "A"]),
        ("active", ["A", "A"]),
        ("rectified-unacknowledged", ["V", "V"]),
        ("normal", ["V", "A"]),
    ],
)
def test_legacy(state: AlertState, letters: list[str]) -> None:
    """ALR: time, number, whether it stands, whether it is acknowledged, text."""
    told = fields(legacy(alert(state)))

    assert told[:4] == ["142536.00", "241", *letters]
    assert told[4].startswith("SATELLITE DOUBT")


def test_what_is_reserved_is_escaped() -> None:
    r"""`^HH` for `, * $ ! \\ ^ ~` (the spec's own example has `^21` for `!`); the list is from memory."""
    assert "".join(escaped("FAULT!")) == "FAULT^21"
    assert "".join(escaped("a,b*c$d\\e^f~g")) == "a^2Cb^2Ac^24d^5Ce^5Ef^7Eg"
    assert "".join(escaped("Île\n\u03b1")) == "^CEle^0A?"


def unescaped(text: str) -> str:
    """Read a text as the standard says: `^HH` is a sign of ISO 8859-1."""
    head, *rest = text.split("^")
    return head + "".join(chr(int(each[:2], 16)) + each[2:] for each in rest)


@given(
    text=st.text(max_size=200),
    name=st.sampled_from(get_args(AlertName)),
    revision=st.integers(1, 99),
    state=st.sampled_from(get_args(AlertState)),
)
def test_any_text_fits(text: str, name: AlertName, revision: int, state: AlertState) -> None:
    """Whatever it says: 82 characters, good checksum, thirteen fields, and what is told is how it begins."""
    report = alert(state, "alarm", name, text, revision)
    for line in (*sentences(report, 9), legacy(report)):
        body = line[1 : line.rindex(b"*")]
        assert int(line[line.rindex(b"*") + 1 :].strip(), 16) == reduce(xor, body, 0)
        assert len(fields(line)) == (13 if line.startswith(b"$INALF") else 5)
    if state == "normal":
        return
    told = unescaped(fields(sentences(report, 9)[1])[12])
    latin = "".join(sign if ord(sign) < 256 else "?" for sign in text)
    assert told == latin or (told.endswith("...") and latin.startswith(told[:-3]))


# --- in -----------------------------------------------------------------------------------------------------


def gate() -> Decoder:
    """Return the decoder of an input."""
    return Decoder("bridge", checksum_required=True, satellite_talkers=frozenset())


@pytest.mark.parametrize(
    ("letter", "command"), [("A", "acknowledge"), ("S", "silence"), ("Q", "repeat"), ("O", "transfer")]
)
@pytest.mark.parametrize("order", ["{letter},C", "C,{letter}"])
def test_a_command_in_both_field_orders(letter: str, command: AlertCommandWord, order: str) -> None:
    """The flag C before the command or behind it, as two readings of the standard have it."""
    line = sealed("CAACN,142602.00,,10241,1," + order.format(letter=letter))

    assert gate().read(line, 7) == (AlertCommand(7, "CAACN@bridge", "satellite", 1, command),)


@pytest.mark.parametrize("talker", ["II", "CA", "EI"])
def test_whoever_commands(talker: str) -> None:
    """From any talker but a satellite's and a reckoning's."""
    (command,) = gate().read(sealed(f"{talker}ACN,,,0,0,S,C"), 7)

    assert command == AlertCommand(7, f"{talker}ACN@bridge", "", 0, "silence")


@pytest.mark.parametrize(
    "body", ["CAACN,142602.00,XYZ,10241,1,A,C", "CAACN,142602.00,,3052,1,A,C", "IIACK,001"]
)
def test_another_s_alert_is_left_alone(body: str) -> None:
    """A maker's mnemonic, an identifier or a number that is none of ours: no command, and no refusal."""
    decoder = gate()

    assert decoder.read(sealed(body), 7) == ()
    assert decoder.passed_over == {"about an alert of another's": 1}


@pytest.mark.parametrize(
    ("body", "reason"),
    [
        ("CAACN,,,10241,1,A,R", "alert command letter"),
        ("CAACN,,,10241,1,X,C", "alert command letter"),
        ("CAACN,,,10241,1,C,C", "alert command letter"),
        ("CAACN,,,10241,1,,", "alert command letter"),
        ("CAACN,,,,1,A,C", "alert identifier is no number"),
        ("CAACN,,,10241.5,1,A,C", "alert identifier is no number"),
        ("CAACN,,,10241,,A,C", "alert instance is no number"),
        ("CAACN,,,10241,-1,A,C", "alert instance is no number"),
        ("CAACN,,,99999999,1,A,C", "alert identifier out of range"),
    ],
)
def test_what_is_no_command(body: str, reason: str) -> None:
    """Refused whole, with its reason counted."""
    decoder = gate()

    assert decoder.read(sealed(body), 7) == ()
    assert decoder.rejected == {reason: 1}


def test_the_legacy_acknowledgement() -> None:
    """`$IIACK,241*52`, as the standard's page has it; whether it is obeyed is a setting."""
    assert gate().read(b"$IIACK,241*52", 7) == (
        AlertCommand(7, "IIACK@bridge", "satellite", 1, "acknowledge", legacy=True),
    )


# --- the list kept ------------------------------------------------------------------------------------------


def test_the_list_is_told_each_thirty_seconds() -> None:
    """At the first second and each thirtieth after it, empty or not; its own sequence from 0 to 99 and on."""
    list_ = AlertList()
    told = [list_.second() for _ in range(30 * 101)]

    assert all((lines != ()) == (second % 30 == 0) for second, lines in enumerate(told))
    numbers = [int(fields(lines[0])[2]) for lines in told[::30]]
    assert numbers == [*range(100), 0]


def test_the_sequence_runs_from_0_to_9() -> None:
    """Both sentences of an alert have one; after 9 comes 0."""
    list_ = AlertList()
    told = [list_.told(alert(revision=each)) for each in range(1, 13)]

    assert [{fields(line)[2] for line in lines} for lines in told] == [{str(n % 10)} for n in range(12)]


def test_a_warning_that_sounds_again_is_told_again() -> None:
    """Once as it is raised, and once for each sound after that; a note and an alarm's beat are not."""
    list_ = AlertList()
    list_.told(alert())
    at_once = SoundReport(AT, "satellite", 1, "warning", TEXT)
    later = SoundReport(Instant(AT.ms + 60_000), "satellite", 1, "warning", TEXT)
    beat = SoundReport(Instant(AT.ms + 70_000), "satellite", 1, "alarm", TEXT)

    assert list_.told(at_once) == ()
    assert list_.told(beat) == ()
    assert [fields(line)[8] for line in list_.told(later)] == ["10241", "10241"]


def test_what_was_asked_for_is_said_again() -> None:
    """Q: the alert as it stands, under its revision; of all where all are meant; refused: ARC."""
    list_ = AlertList()
    list_.told(alert(revision=5))
    list_.told(alert("normal", name="log", revision=2))
    one = CommandReport(AT, "CAACN@bridge", "repeat", "satellite", 1, accepted=True, text="said again")
    every = CommandReport(AT, "CAACN@bridge", "repeat", "", 0, accepted=True, text="said again")
    not_one = CommandReport(AT, "CAACN@bridge", "repeat", "danger", 1, accepted=False, text="none stands")

    assert [fields(line)[10] for line in list_.told(one)] == ["5", "5"]
    assert [fields(line)[8] for line in list_.told(every)] == ["10241", "10241", "10243"]
    assert list_.told(not_one)[0].startswith(b"$INARC,")


def test_legacy_instead() -> None:
    """In ALR alone: each change, and all that stands each thirty seconds; no ARC."""
    list_ = AlertList(legacy=True)
    lines = [*list_.told(alert()), *list_.told(alert("active", "caution", "clock")), *list_.second()]
    refusal = CommandReport(AT, "CAACN@bridge", "transfer", "satellite", 1, accepted=False, text="no")

    assert [line[3:6] for line in lines] == [b"ALR"] * 4
    assert list_.told(refusal) == ()


def test_the_heartbeat_of_an_alert_manager_is_passed_over_without_complaint() -> None:
    """HBT wants nothing of us: it is for whom an alert was transferred to, and none of ours ever is.

    A device that may be transferred raises its alert again when the heartbeat ends (the page of standards).
    We answer a transfer with ARC, the alert stays unacknowledged and goes on sounding here, so there is
    nothing to raise again; the sentence is neither taken nor counted as damaged.
    """
    decoder = Decoder("bridge", checksum_required=True, satellite_talkers=frozenset())
    heard = [decoder.read(line, 0) for line in (b"$INHBT,30,A,3*04", sealed("CAHBT,60,V,0"))]
    transferred = CommandReport(AT, "CAACN@bridge", "transfer", "log", 1, accepted=False, text="no")
    answered = AlertList(legacy=False).told(transferred)

    assert heard == [(), ()]
    assert (sum(decoder.passed_over.values()), decoder.rejected) == (2, {})
    assert [line[3:6] for line in answered] == [b"ARC"]


# --- over MQTT ----------------------------------------------------------------------------------------------


def test_a_sound_over_mqtt() -> None:
    """Topic `sound`, not retained: who comes later is not to ring for what is past."""
    report = SoundReport(AT, "danger", 3, "alarm", "rock")

    assert (topic_of(report), retained(report)) == ("sound", False)
    assert payload(report) == (
        '{"at":"2026-06-25T14:25:36.000Z","alert":"danger","revision":3,"pattern":"alarm","text":"rock"}'
    )


def test_what_came_of_a_command_over_mqtt() -> None:
    """Each command from the bus is answered, taken or refused."""
    report = CommandReport(AT, "CAACN@bridge", "transfer", "log", 1, accepted=False, text="no")

    assert (topic_of(report), retained(report)) == ("alert-command/answer", False)
    assert json.loads(payload(report)) == {
        "at": "2026-06-25T14:25:36.000Z", "source": "CAACN@bridge", "command": "transfer", "alert": "log",
        "instance": 1, "accepted": False, "text": "no",
    }  # fmt: skip


def test_who_acknowledged_is_told_where_somebody_did() -> None:
    """`by` is left out of every other alert."""
    acknowledged = AlertReport("log", AT, "warning", "active-acknowledged", TEXT, AT, 2, by="CAACN@bridge")

    assert json.loads(payload(acknowledged))["by"] == "CAACN@bridge"
    assert "by" not in json.loads(payload(alert()))
