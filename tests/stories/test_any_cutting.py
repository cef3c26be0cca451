"""However the stream of bytes is cut on its way, the same is heard and the same is said."""

from functools import cache
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from middlewatch.navigator.navigator import Navigator
from middlewatch.quantities.instants import Instant
from middlewatch.readings.entries import Entry
from middlewatch.reports import Report
from middlewatch.runtime.deck import Deck
from middlewatch.runtime.inputs import decoder_for
from middlewatch.runtime.stamping import ByTag
from middlewatch.settings import defaults
from middlewatch.wire import entries as entry_reader
from middlewatch.wire.lines import LineSplitter
from middlewatch.wire.topics import reports_line
from stories.story import START_MS, stamped_second, whole_second

STREAM = b"".join(
    (
        bytes(30),
        whole_second(0),
        *map(stamped_second, range(4)),
        b"\r\n\n\x00\x00$HCHDG,355.0,,,,*46\n",
        b"$HCHDG,35$VWVHW,,,355.0,M,4.0,N,,*00\r\r\n",
        b"\xf0\x9f\\c:17*00\\!AIVDM,1,1,,A,13aD,0*00\r\n",
        *map(stamped_second, range(4, 8)),
        whole_second(8),
    )
)
DEPARTURE = Entry(START_MS, "order", '{"kind": "departure", "latitude_deg": 50, "longitude_deg": -4.2}')


def readings(chunks: list[bytes]) -> list[str]:
    """Return what a stream that is cut so reads as, and what was not read and why."""
    splitter, decoder = LineSplitter(), decoder_for("bow")
    read = [repr(each) for chunk in chunks for line in splitter.feed(chunk) for each in decoder.read(line, 0)]
    return [*read, repr(decoder.rejected), repr(decoder.passed_over)]


def reports(chunks: list[bytes]) -> list[str]:
    """Return the lines of REPORTS of a stream that is cut so, with a departure after the first line."""
    splitter, stamping = LineSplitter(), ByTag()
    said: list[str] = []

    def say(at: Instant, told: tuple[Report, ...]) -> None:
        said.extend(reports_line(at, report) for report in told)

    navigator = Navigator(defaults().tuning(), {}, entry_reader)
    deck = Deck(navigator, {"bow": decoder_for("bow")}, None, say)
    for chunk in chunks:
        for text in splitter.feed(chunk):
            stamp, line = stamping.line(text)
            if stamp is not None:
                deck.line("bow", line, stamp.at_ms)
                if deck.next_tick_ms == START_MS + 1000 and not navigator.has_kept:
                    deck.rare(DEPARTURE)
    return said


@cache
def whole() -> tuple[list[str], list[str]]:
    """Return readings and reports of the stream in one piece."""
    return readings([STREAM]), reports([STREAM])


def test_the_stream_says_something() -> None:
    """The stream that is cut below holds readings, rejected lines, and a boat that runs from a departure."""
    read, said = whole()

    assert len(read) == 2 + 4 * 8
    assert "'TAG checksum': 1" in read[-2]
    assert sum('"topic":"position"' in line for line in said) == 9
    assert '"run_nm":0.0' in said[-2]


@given(st.lists(st.integers(0, len(STREAM)), max_size=60))
def test_any_cutting_gives_the_same(cuts: list[int]) -> None:
    """Cut anywhere, a stream of bytes gives the same readings and the same reports."""
    places = [0, *sorted(cuts), len(STREAM)]
    chunks = [STREAM[start:end] for start, end in pairwise(places)]

    assert (readings(chunks), reports(chunks)) == whole()


def test_byte_by_byte_gives_the_same() -> None:
    """A byte at a time, too."""
    chunks = [bytes([byte]) for byte in STREAM]

    assert (readings(chunks), reports(chunks)) == whole()
