"""Recordings: each line gets its time, stamped or not."""

import os
from io import BytesIO
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from middlewatch.quantities.instants import Instant
from middlewatch.readings.sentences import Heading, LogTotal, Satellite, WaterSpeed, Word
from middlewatch.wire.nmea import Decoder
from middlewatch.wire.recording import JUMP_MS, NoTime, RecordedLine, Recording, record_line
from wire.sealing import sealed

HDM = sealed("HCHDM,172.5,M")
NOON = Instant.parse("2022-10-16T12:00:00Z").ms


def zda(utc_ms: int, talker: str = "GP") -> bytes:
    """Write a ZDA of this moment."""
    return sealed(f"{talker}ZDA,{_clock(utc_ms)},{_date(utc_ms, ',')},,")


def rmc(utc_ms: int, talker: str = "GP") -> bytes:
    """Write an RMC of this moment, without a position."""
    day, month, year = _date(utc_ms, ",").split(",")
    return sealed(f"{talker}RMC,{_clock(utc_ms)},V,,,,,,,{day}{month}{year[2:]},,,N")


def gll(utc_ms: int) -> bytes:
    """Write a GLL of this time of day."""
    return sealed(f"GPGLL,,,,,{_clock(utc_ms)},V,N")


def _clock(utc_ms: int) -> str:
    return str(Instant(utc_ms))[11:23].replace(":", "")


def _date(utc_ms: int, between: str) -> str:
    return between.join(reversed(str(Instant(utc_ms))[:10].split("-")))


def stamped(utc_ms: int, line: bytes = HDM) -> bytes:
    """Put another recorder's stamp before a line."""
    return sealed("X", tag=f"c:{utc_ms}").removesuffix(sealed("X")) + line


def times(*lines: bytes) -> list[int]:
    """Return the times of a recording's lines, in ms after noon."""
    return [line.at_ms - NOON for line in Recording(lines)]


# --- stamped --------------------


def test_stamped_lines_take_their_stamp_and_others_the_one_before() -> None:
    """A line without TAG takes the stamp before it; lines before the first stamp take the first."""
    assert times(HDM, stamped(NOON), HDM, HDM, stamped(NOON + 250), HDM) == [0, 0, 0, 0, 250, 250]


def test_a_stamp_in_seconds() -> None:
    """`c:` in whole seconds is read as such."""
    recording = Recording([sealed("HCHDM,172.5,M", tag=f"c:{NOON // 1000}")])

    assert [line.at_ms for line in recording] == [NOON]


def test_another_recorder_s_tag_stays_on_the_line() -> None:
    """What another recorder stamped is handed on as it is, for the gate to check; its source is the input."""
    line = sealed("HCHDM,172.5,M", tag=f"s:GP0001,c:{NOON}")

    assert list(Recording([line])) == [RecordedLine(NOON, None, "GP0001", line)]


def test_a_broken_tag_gives_no_stamp_and_stays_for_the_gate() -> None:
    """A stamp with a wrong checksum is not believed: the line takes the one before and is rejected later."""
    broken = stamped(NOON + 99_000).replace(b"\\c:1", b"\\c:2")

    first, second = Recording([stamped(NOON), broken + b"\r\n"])

    assert first.at_ms == NOON
    assert second == RecordedLine(NOON, None, None, broken)


def test_stamps_never_go_back() -> None:
    """A stamp earlier than the one before is not followed, and counted."""
    recording = Recording([stamped(NOON), stamped(NOON - 500), stamped(NOON + 500)])

    assert [line.at_ms - NOON for line in recording] == [0, 0, 500]
    assert recording.summary.went_back == 1


def test_a_stamped_clock_that_jumps_is_marked() -> None:
    """A recorder that woke up in 1970 and was set: the years between did not pass on board."""
    lines = list(Recording([stamped(100_000_000_000), stamped(NOON), HDM]))

    assert [line.jump for line in lines] == [False, True, False]


TEXTS = st.binary(min_size=1, max_size=100).filter(lambda text: b"\n" not in text and text[-1:] != b"\r")
HEARD = st.tuples(
    st.sampled_from(["bow", "mast-2"]), st.integers(0, 4_000_000_000_000), st.integers(0, 10**12), TEXTS
)


@given(st.lists(HEARD, min_size=1))
def test_what_is_recorded_is_read_again(heard: list[tuple[str, int, int, bytes]]) -> None:
    """Any line, broken, with a TAG of its own or no ASCII at all, comes back to the byte with its times."""
    file = BytesIO(b"".join(record_line(*line) for line in heard))

    assert [(line.input, line.at_ms, line.monotonic_ms, line.text) for line in Recording(file)] == heard


def test_our_own_recording_keeps_utc_as_it_was() -> None:
    """Where `r:` stands UTC may step either way: a clock set back while recording is told as it was."""
    lines = [record_line("bow", NOON, 1000, HDM), record_line("bow", NOON - JUMP_MS * 2, 2000, HDM)]
    recording = Recording(lines)

    assert [(line.at_ms - NOON, line.monotonic_ms, line.jump) for line in recording] == [
        (0, 1000, False),
        (-JUMP_MS * 2, 2000, False),
    ]
    assert recording.summary.went_back == 0


def test_a_line_that_came_with_a_tag_keeps_it_through_a_recording() -> None:
    """Only the recording's own block is taken off: the gate sees what the input heard."""
    heard = sealed("HCHDM,172.5,M", tag="s:GP0001,c:1665920455")

    (line,) = Recording([record_line("bow", NOON, 5, heard)])

    assert line == RecordedLine(NOON, 5, "bow", heard)


# --- unstamped --------------------


def test_sentences_before_the_first_time_take_it() -> None:
    """Nothing is invented before the first time told."""
    assert times(HDM, HDM, zda(NOON), zda(NOON + 1000)) == [0, 0, 0, 1000]


def test_short_steps_are_spread_evenly_over_the_lines_between() -> None:
    """Four lines in a second are a quarter of a second apart; after the last time told time stands."""
    assert times(zda(NOON), HDM, HDM, HDM, zda(NOON + 1000), HDM) == [0, 250, 500, 750, 1000, 1000]


def test_utc_that_advances_every_ten_seconds_is_spread() -> None:
    """Some receivers repeat the same UTC for ten seconds: the repeats are lines between, not times."""
    lines = [rmc(NOON), *(rmc(NOON) for _ in range(9)), rmc(NOON + 10_000)]

    assert times(*lines) == [1000 * n for n in range(11)]


def test_a_step_of_15_seconds_is_not_spread() -> None:
    """From 15 s on nobody knows when the lines between came: they keep the time before."""
    assert times(zda(NOON), HDM, zda(NOON + 14_998)) == [0, 7499, 14_998]
    assert times(zda(NOON), HDM, zda(NOON + 15_000)) == [0, 0, 15_000]


def test_time_never_goes_back() -> None:
    """Two receivers out of step: the later one leads, each earlier time is counted."""
    recording = Recording([zda(NOON + 2000), zda(NOON), zda(NOON + 3000), zda(NOON + 2500)])

    assert [line.at_ms - NOON for line in recording] == [2000, 2500, 3000, 3000]
    assert recording.summary.went_back == 2


def test_a_jump_over_six_hours_is_a_clock_reading() -> None:
    """Six hours are ticked through, a ms more is the setting of a clock, marked on the line that tells it."""
    exact = list(Recording([zda(NOON), HDM, zda(NOON + JUMP_MS), HDM]))
    over = list(Recording([zda(NOON), HDM, zda(NOON + JUMP_MS + 1), HDM, zda(NOON + JUMP_MS + 1001)]))

    assert [line.jump for line in exact] == [False] * 4
    assert [line.jump for line in over] == [False, False, True, False, False]
    assert [line.at_ms - NOON for line in over] == [0, 0, JUMP_MS + 1, JUMP_MS + 501, JUMP_MS + 1001]


def test_the_source_whose_time_advances_most_often_is_taken() -> None:
    """RMC each second beats ZDA each other second; on a tie ZDA is taken, though heard later."""
    often = Recording([line for n in range(6) for line in (rmc(NOON + n * 1000), zda(NOON + n // 2 * 2000))])
    tie = Recording([line for n in range(6) for line in (rmc(NOON + n * 1000), zda(NOON + n * 1000))])

    assert often.summary.time_source == "GPRMC"
    assert tie.summary.time_source == "GPZDA"


def test_talkers_are_told_apart() -> None:
    """The same sentence from two talkers is two sources: a stopped receiver does not lend its time."""
    lines = [line for n in range(6) for line in (zda(NOON - 60_000, "GN"), zda(NOON + n * 1000))]
    recording = Recording(lines)

    assert recording.summary.time_source == "GPZDA"
    assert [line.at_ms - NOON for line in recording][:3] == [0, 0, 500]


def test_only_the_first_200_sentences_choose() -> None:
    """What begins after them, however often, is not the source."""
    first = [HDM if n % 10 else rmc(NOON + n * 100) for n in range(200)]
    later = [zda(NOON + 20_000 + n * 100) for n in range(500)]

    assert Recording([*first, *later]).summary.time_source == "GPRMC"


def test_a_time_that_comes_after_the_first_200_sentences_is_still_found() -> None:
    """A receiver switched on late: there is time after all, and what came before takes it."""
    recording = Recording([*[HDM] * 300, zda(NOON)])

    assert recording.summary.time_source == "GPZDA"
    assert {line.at_ms for line in recording} == {NOON}


def test_a_time_of_day_needs_a_date_told_before() -> None:
    """GLL ten times a second with one RMC for the date: GLL is the source, over midnight too."""
    midnight = Instant.parse("2022-10-17T00:00:00Z").ms
    recording = Recording([rmc(midnight - 300), *(gll(midnight + n * 100) for n in range(-2, 4))])

    assert recording.summary.time_source == "GPGLL"
    assert [line.at_ms - midnight for line in recording] == [-200, -200, -100, 0, 100, 200, 300]


def test_a_time_of_day_a_little_behind_is_not_a_day_ahead() -> None:
    """A GLL that tells a moment before the last RMC is late by that moment, not early by 24 hours."""
    pairs = [line for n in range(6) for line in (rmc(NOON + n * 1000), gll(NOON - 300 + n * 1000))]
    recording = Recording([*pairs, *(gll(NOON + n * 1000) for n in range(6, 20))])

    assert recording.summary.time_source == "GPGLL"
    assert max(line.at_ms for line in recording) == NOON + 19_000


def test_two_stopped_clocks_of_one_talker_do_not_advance() -> None:
    """Two receivers that answer to one name, both stopped: the swing between them is no time that passes."""
    swing = [rmc(NOON), rmc(NOON + 5000)]
    lines = [line for n in range(20) for line in (*swing, zda(NOON + n // 4 * 1000))]

    assert Recording(lines).summary.time_source == "GPZDA"


@pytest.mark.parametrize(
    "lines", [[], [HDM] * 3, [gll(NOON), gll(NOON + 1000)], [b"\n", b"\r\n"], [b"\x00" * 20]]
)
def test_no_time_at_all_is_said_when_the_recording_is_opened(lines: list[bytes]) -> None:
    """Headings, times of day without a date, noise, nothing: NoTime, before any line is given out."""
    with pytest.raises(NoTime, match="says when"):
        Recording(lines)


def test_a_reckoning_s_output_is_no_time_source() -> None:
    """Talker IN tells no time: it would be our own come back."""
    with pytest.raises(NoTime):
        Recording([zda(NOON, "IN"), zda(NOON + 1000, "IN")])


def test_blank_lines_and_line_ends_are_left_out() -> None:
    """CR LF, LF and blank lines: the text is bare and only lines that say something count."""
    recording = Recording([zda(NOON) + b"\r\n", b"\r\n", b"\n", HDM + b"\n"])

    assert [line.text for line in recording] == [zda(NOON), HDM]
    assert recording.summary.lines == 2


@given(
    st.lists(st.one_of(st.binary(max_size=60), st.just(HDM), st.integers(0, 10**11).map(zda)), max_size=40)
)
def test_any_lines_are_read_in_order_with_time_never_going_back(lines: list[bytes]) -> None:
    """Whatever the lines: all of them come out, in order, and their times never fall; or there is no time."""
    try:
        recording = Recording(lines)
    except NoTime:
        return
    read = list(recording)

    assert [line.text for line in read] == [text for line in lines if (text := line.rstrip(b"\r\n"))]
    assert all(a.at_ms <= b.at_ms for a, b in pairwise(read))
    assert recording.summary.lines == len(read)


# --- real recordings --------------------


def real(name: str) -> Path:
    """Return the path of a real recording; skip where they are not at hand."""
    folder = os.environ.get("MIDDLEWATCH_RECORDINGS")
    if not folder:
        pytest.skip("MIDDLEWATCH_RECORDINGS names no folder of recordings")
    return Path(folder) / name


def replayed(name: str) -> tuple[Recording, list[RecordedLine], Decoder, list[object]]:
    """Read a recording to its end: itself, its lines, the decoder with its counts, and the readings."""
    decoder = Decoder("bus", checksum_required=True, satellite_talkers=frozenset())
    with real(name).open("rb") as file:
        recording = Recording(file)
        lines = list(recording)
    return recording, lines, decoder, [r for line in lines for r in decoder.read(line.text, line.at_ms)]


def test_adriatic_yacht() -> None:
    """Stamped in ms, 18,554 sentences in 9.8 min: the satellite compass is passed over, nothing rejected."""
    recording, lines, decoder, readings = replayed("adriatic_yacht_2022-10-16.nmea")

    assert recording.summary.stamped
    assert len(lines) == 18_554
    assert (lines[-1].at_ms - lines[0].at_ms) / 60_000 == pytest.approx(9.8, abs=0.05)
    assert not decoder.rejected
    assert decoder.passed_over == {"satellite talker": 5842}
    assert decoder.sentences == 18_554 - 5842
    headings = [r for r in readings if isinstance(r, Heading)]
    assert {r.source for r in headings} == {"HCHDG@bus", "IIVHW@bus"}
    assert all(r.variation_deg is None for r in headings)
    totals = [r.total_nm for r in readings if isinstance(r, LogTotal)]
    assert totals[-1] - totals[0] == pytest.approx(0.513, abs=0.001)


def test_bay_underway() -> None:
    """248 NULs first, UTC every ten seconds: 94 minutes, 42,719 sentences, none lost."""
    recording, lines, decoder, readings = replayed("bay_underway_2019-12-29.nmea")

    assert recording.summary.time_source == "GPRMC"
    assert len(lines) == 42_719
    assert (lines[-1].at_ms - lines[0].at_ms) / 60_000 == pytest.approx(94, abs=0.5)
    assert not decoder.rejected
    assert decoder.passed_over == {"not a sentence we read": 5141 + 2276}
    variations = {r.variation_deg for r in readings if isinstance(r, Heading) and r.source == "APHDG@bus"}
    assert variations == {0.0, None, 13.0}
    assert not [r for r in readings if isinstance(r, WaterSpeed)]
    seconds = {line.at_ms // 1000 for line in lines}
    assert len(seconds) > 0.95 * 94 * 60


def test_bay_stuck_log() -> None:
    """NULs, four broken sentences, two receivers: the log says 0.00 throughout and nothing is invented."""
    _, lines, decoder, readings = replayed("bay_stucklog_2020-05-10.nmea")

    assert {r.speed_kn for r in readings if isinstance(r, WaterSpeed)} == {0.0}
    assert {r.source for r in readings if isinstance(r, WaterSpeed)} == {"VWVHW@bus"}
    assert decoder.rejected == {"no start of a sentence": 3, "no checksum": 2, "checksum": 1}
    assert not any(line.jump for line in lines)
    gap_ms = max(b.at_ms - a.at_ms for a, b in pairwise(lines))
    assert gap_ms / 60_000 == pytest.approx(142, abs=0.5)


def test_berth_2020() -> None:
    """7.1 min alongside, one broken RMC full of bytes that are no ASCII."""
    recording, lines, decoder, readings = replayed("berth_2020-02-08.nmea")

    assert recording.summary.time_source == "GPZDA"
    assert (lines[-1].at_ms - lines[0].at_ms) / 60_000 == pytest.approx(7.1, abs=0.05)
    assert decoder.rejected == {"no start of a sentence": 5, "not ASCII": 1}
    assert {r.speed_kn for r in readings if isinstance(r, WaterSpeed)} == {0.0}


def test_berth_2017() -> None:
    """AIS mixed in, and a maker's own sentences without end: passed over, nothing rejected."""
    recording, lines, decoder, readings = replayed("berth_2017-04-25.nmea")

    assert recording.summary.time_source == "GPZDA"
    assert (lines[-1].at_ms - lines[0].at_ms) / 1000 == pytest.approx(43, abs=1.5)
    assert not decoder.rejected
    assert decoder.passed_over["encapsulated, such as AIS"] == 441
    positions = [r for r in readings if isinstance(r, Satellite) and r.gives_position]
    assert {r.word for r in positions} == {Word.GOOD}
    assert all(r.latitude_deg == pytest.approx(53.2366, abs=0.001) for r in positions)
