"""The bulletin: what an output says each second, and what it leaves out."""

from dataclasses import replace

import pytest

from middlewatch.quantities.instants import Instant
from middlewatch.wire.nmea_bulletin import Bulletin, Reckoned, SentenceName, integrity
from middlewatch.wire.nmea_out import LONGEST

EVERY: frozenset[SentenceName] = frozenset(("RMC", "GLL", "VTG", "VDR", "HDT", "THS", "NSR", "TXT", "ALERTS"))
RUNS = Reckoned(
    at=Instant.parse("2026-06-25T14:25:36Z"),
    state="runs",
    kind="ep",
    place=(50.14, -5.3),
    course_true_deg=78.5,
    speed_kn=4.8,
    variation_deg=-2.1,
    heading_true_deg=75.2,
    heading_by="sensor",
    speed_by="sensor",
    stream=(110.0, 0.7),
    since=Instant.parse("2026-06-25T13:15:00Z"),
    within_nm=1.21,
)
BEFORE = replace(
    RUNS, state="no departure", place=None, course_true_deg=None, speed_kn=None, stream=None, since=None,
    within_nm=None,
)  # fmt: skip
WAITS = replace(RUNS, state="waits", place=None, course_true_deg=None, speed_kn=None, stream=None)


def formatters(lines: tuple[bytes, ...]) -> list[str]:
    """Return which sentences these are."""
    return [line[3:6].decode() for line in lines]


def test_a_second_says_what_was_asked_for() -> None:
    """Only the sentences chosen go out, the doubt first and the position after it."""
    assert formatters(Bulletin(EVERY, "").second(RUNS)) == [
        "NSR", "TXT", "TXT", "TXT", "HDT", "THS", "RMC", "GLL", "VTG", "VDR",
    ]  # fmt: skip
    assert formatters(Bulletin(frozenset({"GLL"}), "").second(RUNS)) == ["GLL"]


def test_before_a_departure_only_the_heading_and_that_nothing_is_reckoned() -> None:
    """Nothing at all of a position, not even an empty one."""
    lines = Bulletin(EVERY, "").second(BEFORE)

    assert formatters(lines) == ["TXT", "TXT", "HDT", "THS"]
    assert b"NO RECKONING: NO DEPARTURE HAS BEEN ORDERED" in lines[0]


def test_a_reckoning_that_waits_sends_no_position_and_says_so() -> None:
    """On a display its last point would pass for where the boat is now: empty fields, mode N, position F."""
    lines = Bulletin(EVERY, "").second(WAITS)
    told = dict(zip(formatters(lines), lines, strict=True))

    assert told["GLL"].startswith(b"$INGLL,,,,,142536.00,V,N*")
    assert told["RMC"].startswith(b"$INRMC,142536.00,V,,,,,,,250626,2.1,W,N,V*")
    assert told["VTG"].startswith(b"$INVTG,,T,,M,,N,,K,N*")
    assert "VDR" not in told
    assert any(b"THE RECKONING SINCE 1315 WAITS: NO POSITION IS SENT" in line for line in lines)
    assert integrity(WAITS)[2:4] == ("F", "V")


def test_a_stream_is_told_only_where_the_reckoning_holds_one() -> None:
    """No VDR without a stream: a drift of nothing would be a claim."""
    assert "VDR" not in formatters(Bulletin(EVERY, "").second(replace(RUNS, stream=None)))


def test_the_text_says_what_it_is_and_how_far_out_it_may_be() -> None:
    """The area is told rounded up: 1.21 nm is not told as 1.2."""
    lines = Bulletin(frozenset({"TXT"}), "").second(RUNS)

    assert b"EP BY HEADING AND LOG SINCE 1315 - NOT A SATELLITE POSITION" in lines[0]
    assert b"95 TIMES IN 100 THE BOAT IS WITHIN 1.3 NM OF THIS EP" in lines[1]
    assert b"AN AID ONLY" in lines[2]
    by_satellite = Bulletin(frozenset({"TXT"}), "").second(replace(RUNS, by_satellite=True))
    assert any(b"THE RECKONING BEGAN AT A POSITION BY SATELLITE" in line for line in by_satellite)


def test_texts_come_each_ten_seconds_and_at_once_when_the_state_changes() -> None:
    """A listener that joins late knows within ten seconds what it hears."""
    bulletin = Bulletin(frozenset({"TXT"}), "")
    told = [bool(bulletin.second(RUNS)) for _ in range(21)]

    assert [second for second, any_ in enumerate(told) if any_] == [0, 10, 20]
    assert bulletin.second(WAITS)
    assert not bulletin.second(WAITS)


def test_the_doubt_is_told_each_thirty_seconds_and_before_what_it_is_about() -> None:
    """NSR at least each 30 s, and ahead of the sentences of the second that it changes in (61162-1 ed. 6)."""
    bulletin = Bulletin(frozenset({"NSR", "RMC"}), "")
    told = [formatters(bulletin.second(RUNS)) for _ in range(31)]

    assert [second for second, lines in enumerate(told) if lines == ["NSR", "RMC"]] == [0, 30]
    assert formatters(bulletin.second(WAITS)) == ["NSR", "RMC"]


@pytest.mark.parametrize(
    ("told", "letters"),
    [
        (RUNS, "DADADADANNWDA"),
        (WAITS, "DAFVDAFVNNWDA"),
        (replace(RUNS, heading_by="held", speed_by="hand"), "DVDADADANNMDA"),
        (replace(RUNS, speed_by="held"), "DADADVDANNEDA"),
        (replace(RUNS, heading_true_deg=None, speed_by="none"), "FVDAFVDANNNDA"),
        (replace(RUNS, at=None), "DADADADANNWFV"),
        (replace(RUNS, doubted=frozenset({"satellite"})), "DADVDADANNWDA"),
        (replace(RUNS, doubted=frozenset({"heading", "log"})), "DVDADVDANNWDA"),
        (replace(RUNS, speed_kn=None), "DADADAFVNNWDA"),
    ],
)
def test_which_letters_say_which_doubt(told: Reckoned, letters: str) -> None:
    """Never P: nothing of ours is verified by a second source of its kind (our choice; judgement)."""
    assert "".join(integrity(told)) == letters


@pytest.mark.parametrize(("by", "modes"), [("sensor", ["HDT", b"A"]), ("held", [b"E"]), ("hand", [b"M"])])
def test_a_heading_that_stands_still_is_not_sent_to_a_pilot(by: str, modes: list[object]) -> None:
    """HDT has neither mode nor status: it goes out only while the heading is heard; THS says how it is."""
    told = replace(RUNS, heading_by=by)  # type: ignore[arg-type]  # parametrised: mypy sees any text
    lines = Bulletin(frozenset({"HDT", "THS"}), "").second(told)

    assert ("HDT" in formatters(lines)) is (by == "sensor")
    assert lines[-1].split(b",")[2][:1] == modes[-1]


def test_while_the_clock_is_doubtful_no_time_is_told() -> None:
    """A display may set its own clock by ours: time and date stay empty."""
    lines = Bulletin(frozenset({"RMC", "GLL"}), "middlewatch").second(replace(RUNS, at=None))

    assert lines[0].startswith(b"\\s:middlewatch*")
    assert b"$INRMC,,V,5008.4000,N,00518.0000,W,4.8,078.5,,2.1,W,E,V*" in lines[0]
    assert b"$INGLL,5008.4000,N,00518.0000,W,,V,E*" in lines[1]


@pytest.mark.parametrize("told", [RUNS, WAITS, BEFORE, replace(RUNS, by_satellite=True, within_nm=99.96)])
def test_every_line_is_within_the_limit(told: Reckoned) -> None:
    """82 characters, the TAG block not counted."""
    for line in Bulletin(EVERY, "middlewatch").second(told):
        assert line.startswith(b"\\s:middlewatch,c:1782397536*")
        assert len(line[line.index(b"$") :]) <= LONGEST
