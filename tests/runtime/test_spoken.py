"""What is typed at the command line, read: numbers, positions, marks, times of day, changes."""

import re
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from middlewatch.quantities.instants import MS_PER_DAY, Instant
from middlewatch.quantities.positions import Position
from middlewatch.runtime import spoken

NOW_MS = Instant.parse("2026-05-03T01:42:30Z").ms

# --- positions -------------------------------------------------------------------------------------------

PLYMOUTH = {"latitude_deg": 50.1, "longitude_deg": -4.2}


@pytest.mark.parametrize(
    "words",
    [
        ["50.1N", "4.2W"],
        ["50.1n", "4.2w"],
        ["50.1N,4.2W"],
        ["50.1N,", "4.2W"],
        ["50", "06.0N", "004", "12.0W"],
        ["50 06.0N,004 12.0W"],
        ["50 06.00 N 004 12.00 W"],
        ["50°06.0'N 004°12.0'W"],
        ["50° 06.0′ N, 4° 12.0′ W"],
        ["50.1", "-4.2"],
        ["+50.1,-4.2"],
        ["50.1N", "4", "12.0W"],
    ],
)
def test_a_position_may_be_written_in_several_ways(words: list[str]) -> None:
    """6 minutes are a tenth of a degree, 12 are two tenths, west is minus: all of these are one place."""
    assert spoken.position(words) == PLYMOUTH


def test_south_and_east() -> None:
    """South is minus, east is plus, with letters and with signs."""
    assert spoken.position(["33 51.5S", "151 13.2E"]) == {
        "latitude_deg": -33.858333333,
        "longitude_deg": 151.22,
    }
    assert spoken.position(["-33.5", "151.25"]) == {"latitude_deg": -33.5, "longitude_deg": 151.25}


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "nothing at all"),
        ("50.1N", "half of it"),
        ("50 06.0", "half of it, and not 50 N 6 E"),
        ("50 06.0 004 12.0", "no letters: which side?"),
        ("50.1 -4.2W", "letter and sign"),
        ("-50.1N 4.2W", "letter and sign"),
        ("50.1N -4.2", "one with a letter, one without"),
        ("4.2W 50.1N", "longitude first"),
        ("50 60.0N 004 12.0W", "sixty minutes"),
        ("50.5 06.0N 004 12.0W", "a fraction of a degree, and minutes"),
        ("5006.0N 00412.0W", "degrees and minutes run together"),
        ("50.1N 0112.0W", "1 degree 12 minutes, and not 112 degrees"),
        ("50,1N 4,2W", "decimal commas"),
        ("50,1 -4,2", "decimal commas"),
        ("50 06 30N 4 12 00W", "seconds"),
        ("nan -4.2", "no number"),
        ("٥٠.1N 4.2W", "other digits than ours"),
        ("Start Point", "a name"),
    ],
)
def test_what_could_be_another_place_is_no_position(text: str, why: str) -> None:
    """Nothing is guessed: what is not a whole position in one of the known ways is refused."""
    with pytest.raises(spoken.UnusableError, match=r"^position: found .+, wanted ") as refused:
        spoken.position(text.split())
    assert "\n" not in str(refused.value), why


@given(st.integers(-539_999, 539_999), st.integers(-1_079_999, 1_079_999))
def test_a_position_that_was_printed_is_read_as_it_was(latitude: int, longitude: int) -> None:
    """What the daemon prints, to a hundredth of a minute, may be typed back and is the same place."""
    printed = Position(latitude / 6000, longitude / 6000)
    typed = spoken.position(str(printed).split())

    a_centimetre_deg = 1e-7
    assert abs(typed["latitude_deg"] - printed.latitude_deg) < a_centimetre_deg
    assert abs(typed["longitude_deg"] - printed.longitude_deg) < a_centimetre_deg


# --- marks -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("text", ["50.1N,4.2W", "50 06.0N,004 12.0W", "50.1,-4.2", " 50.1N, 4.2W"])
def test_a_mark_may_be_told_by_its_place(text: str) -> None:
    """A position with a comma is a mark's place."""
    assert spoken.mark(text) == PLYMOUTH


@pytest.mark.parametrize("name", ["Start Point", "No 4", "4", "Sand, East", "50.1N", "12th, outer", "-"])
def test_a_mark_is_a_name_otherwise(name: str) -> None:
    """Names are passed on untouched, those with figures or commas too."""
    assert spoken.mark(name) == name


def test_a_mark_meant_as_a_place_is_not_taken_for_a_name() -> None:
    """A place with a slip in it is refused as a place."""
    with pytest.raises(spoken.UnusableError, match="minutes under 60"):
        spoken.mark("50 61.0N,004 12.0W")


# --- numbers ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "value"), [("248", 248), ("065", 65), ("-1.5", -1.5), ("+2", 2), ("248.0", 248.0), ("0", 0)]
)
def test_numbers(text: str, value: float) -> None:
    """Digits, a point and a sign; whole numbers stay whole."""
    read = spoken.number("bearing", text)

    assert (read, type(read)) == (value, type(value))


@pytest.mark.parametrize(
    "text",
    ["", " 248", "24x", "nan", "inf", "1e3", "1_000", "4,5", ".5", "5.", "--5", "٢٤٨", "248\n", "9" * 5000],
)
def test_no_numbers(text: str) -> None:
    """What Python would take for a number and a skipper would not is refused with its field."""
    with pytest.raises(spoken.UnusableError, match=r"^bearing: found .*, wanted a number"):
        spoken.number("bearing", text)


def test_a_word_takes_a_number_back() -> None:
    """`back` is null, in any case of letters; another word is refused with the one that is meant."""
    assert spoken.number_or("back", "speed", "Back") is None
    assert spoken.number_or("back", "speed", "-1.5") == -1.5
    with pytest.raises(spoken.UnusableError, match=r"^speed: found away, wanted a number, or back$"):
        spoken.number_or("back", "speed", "away")


# --- times -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "at"),
    [
        ("01:42:07Z", "2026-05-03T01:42:07.000Z"),
        ("01:42z", "2026-05-03T01:42:00.000Z"),
        ("0142Z", "2026-05-03T01:42:00.000Z"),
        ("014207Z", "2026-05-03T01:42:07.000Z"),
        ("01:42:07.25Z", "2026-05-03T01:42:07.250Z"),
        ("01:42:35Z", "2026-05-03T01:42:35.000Z"),  # five seconds ahead
        ("01:42:36Z", "2026-05-02T01:42:36.000Z"),  # six: yesterday
        ("23:59:59Z", "2026-05-02T23:59:59.000Z"),
        ("0342+02:00", "2026-05-03T01:42:00.000Z"),
        ("0042+0200", "2026-05-02T22:42:00.000Z"),
        ("20:42:07-05:00", "2026-05-03T01:42:07.000Z"),
    ],
)
def test_a_time_of_day_is_the_newest_such_moment(text: str, at: str) -> None:
    """Heard at 01:42:30Z: the last time the clock showed that, five seconds ahead allowed."""
    assert spoken.moment("at", text, NOW_MS) == at


def test_date_and_time_go_out_as_typed() -> None:
    """With a date nothing is worked out, and nothing is rewritten."""
    for text in ("2026-05-03T01:42:07Z", "2026-05-03 03:42:07.5+02:00", "2031-01-01T00:00:00Z"):
        assert spoken.moment("at", text, NOW_MS) == text
        assert spoken.coming("until", text, NOW_MS) == text


@pytest.mark.parametrize(
    "text",
    [
        "01:42:07", "0142", "2026-05-03T01:42:07", "2026-05-03", "25:00Z", "0160Z", "01:42:60Z", "1:42Z",
        "142Z", "01:4207Z", "0142:07Z", "0142 Z", "0142+2", "0142+24:00", "now", "", "Z",
        "2026-02-30T00:00:00Z",
    ],
)  # fmt: skip
@pytest.mark.parametrize("read", [spoken.moment, spoken.coming])
def test_no_times(read: Callable[[str, str, int], str], text: str) -> None:
    """A time without an offset, or that is none, is refused: it could be ship's time."""
    with pytest.raises(spoken.UnusableError, match=r"^at: found .*, wanted a time with Z or an offset"):
        read("at", text, NOW_MS)


@pytest.mark.parametrize(
    ("text", "until"),
    [
        ("0300Z", "2026-05-03T03:00:00.000Z"),
        ("01:42:30Z", "2026-05-04T01:42:30.000Z"),
        ("0100Z", "2026-05-04T01:00:00.000Z"),
        ("01:42:30.001Z", "2026-05-03T01:42:30.001Z"),
    ],
)
def test_a_time_to_come_is_the_first_such_moment_later(text: str, until: str) -> None:
    """From 01:42:30Z on: today where it is still to come, tomorrow otherwise."""
    assert spoken.coming("until", text, NOW_MS) == until


def test_a_time_of_day_after_the_end_of_time() -> None:
    """After an entry told to be of a year beyond the calendar there is no such moment."""
    with pytest.raises(spoken.UnusableError, match=r"^until: found 0300Z, wanted a date with it"):
        spoken.coming("until", "0300Z", -(10**18))


@given(st.integers(0, 4_000_000_000_000), st.integers(0, MS_PER_DAY // 1000 - 1))
def test_times_of_day_fall_in_the_day_before_and_the_day_after(now_ms: int, second: int) -> None:
    """Whenever it is and whatever is typed, the moment shows that time, in the 24 h it must lie in."""
    typed = f"{second // 3600:02d}:{second // 60 % 60:02d}:{second % 60:02d}Z"
    past, later = (Instant.parse(read("at", typed, now_ms)) for read in (spoken.moment, spoken.coming))

    assert past.clock_with_seconds == later.clock_with_seconds == typed[:-1]
    assert now_ms + spoken.AHEAD_MS - MS_PER_DAY < past.ms <= now_ms + spoken.AHEAD_MS
    assert now_ms < later.ms <= now_ms + MS_PER_DAY


# --- changes, options, text ------------------------------------------------------------------------------


def test_changes_of_an_amendment() -> None:
    """Numbers as numbers, marks as marks, times as moments, null as null, the rest as text."""
    pairs = [
        "bearing_deg=065",
        "mark=50.1N,4.2W",
        "rear_mark=4",
        "at=0142Z",
        "note=12",
        "sd_deg=null",
        "reference=true",
        "side=port",
        "until=2026-05-03T03:00:00Z",
    ]

    assert spoken.changes(pairs, NOW_MS) == {
        "bearing_deg": 65,
        "mark": PLYMOUTH,
        "rear_mark": "4",
        "at": "2026-05-03T01:42:00.000Z",
        "note": "12",
        "sd_deg": None,
        "reference": "true",
        "side": "port",
        "until": "2026-05-03T03:00:00Z",
    }


@pytest.mark.parametrize(
    ("pairs", "line"),
    [
        (["bearing_deg"], "change: found bearing_deg, wanted key=value, as bearing_deg=248"),
        (["=5"], "change: found =5, wanted key=value, as bearing_deg=248"),
        (["side=port", "side=starboard"], "side: found a second value, wanted each key once"),
    ],
)
def test_changes_that_say_nothing(pairs: list[str], line: str) -> None:
    """A word without `=` and a key twice are refused."""
    with pytest.raises(spoken.UnusableError, match=f"^{re.escape(line)}$"):
        spoken.changes(pairs, NOW_MS)


def test_misspelt_options_are_found_and_negative_numbers_are_not() -> None:
    """A word that starts as an option is one, with the one that may be meant; `-4.2` and `-` are none."""
    spoken.check_options(["-4.2", "-", "-33.5,151.2", "- fl white"], ["--sd"])
    with pytest.raises(spoken.UnusableError, match=r"^--refernce: .* --reference \(did you mean that\?\)$"):
        spoken.check_options(["Start", "--refernce"], ["--reference", "--sd"])
    with pytest.raises(spoken.UnusableError, match=r"^-x: .* one of --reference, --sd$"):
        spoken.check_options(["-x"], ["--reference", "--sd"])


def test_bytes_that_are_no_text() -> None:
    """A byte that the shell could not decode is refused: it could not be sent as it was typed."""
    spoken.check_text(["Føhn", "灯台"])
    with pytest.raises(spoken.UnusableError, match=r"wanted text in UTF-8$"):
        spoken.check_text([b"F\xf8hn".decode("utf-8", "surrogateescape")])
