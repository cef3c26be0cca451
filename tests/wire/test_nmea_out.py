"""Sentences out: their form, and that none of them can be taken for a satellite's."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pynmeagps import NMEAReader

from middlewatch.quantities.instants import Instant
from middlewatch.readings.sentences import Satellite, Word
from middlewatch.wire import nmea_out
from middlewatch.wire.nmea import Decoder
from middlewatch.wire.nmea_out import body_of, sentence, tagged
from middlewatch.wire.nmea_own import OwnSentences
from wire.sealing import sealed

AT = Instant.parse("2026-06-25T14:25:36Z")
PLACE = (50 + 8.43 / 60, -(5 + 18.26 / 60))

POSITION_SENTENCES = (
    nmea_out.rmc(PLACE, AT, 78.5, 4.8, -2.1),
    nmea_out.gll(PLACE, AT),
    nmea_out.vtg(78.5, 4.8, -2.1),
)


@pytest.mark.parametrize(
    ("made", "wanted"),
    [
        (nmea_out.gll(PLACE, AT), b"$INGLL,5008.4300,N,00518.2600,W,142536.00,V,E*7D"),
        (nmea_out.gll(None, AT), b"$INGLL,,,,,142536.00,V,N*5D"),
        (
            nmea_out.rmc(PLACE, AT, 78.5, 4.8, -2.1),
            b"$INRMC,142536.00,V,5008.4300,N,00518.2600,W,4.8,078.5,250626,2.1,W,E,V*49",
        ),
        (nmea_out.vtg(78.5, 4.8, -2.1), b"$INVTG,078.5,T,080.6,M,4.8,N,8.9,K,E*3E"),
        (nmea_out.vdr(110.0, 0.7, -2.1), b"$INVDR,110.0,T,112.1,M,0.7,N*3A"),
        (nmea_out.nsr("DADADAFVNNWPA"), b"$INNSR,D,A,D,A,D,A,F,V,N,N,W,P,A*37"),
        (nmea_out.txt(41, "DR ONLY - NOT A SATELLITE FIX"),
         b"$INTXT,01,01,41,DR ONLY - NOT A SATELLITE FIX*6D"),
        (nmea_out.ths(None, "V"), sealed("INTHS,,V")),
        (nmea_out.rmc(None, None, None, None, None), sealed("INRMC,,V,,,,,,,,,,N,V")),
        (nmea_out.vtg(None, None, 3.0), sealed("INVTG,,T,,M,,N,,K,N")),
    ],
)  # fmt: skip
def test_sentences_are_as_the_standard_has_them(made: bytes, wanted: bytes) -> None:
    """IEC 61162-1 edition 6, through parsers written against it: field order, letters, checksum, CR LF."""
    assert made == wanted + b"\r\n"


def test_a_tag_block_carries_our_source_and_the_time() -> None:
    """The block's checksum is its own, over what stands between the backslashes (IEC 61162-450)."""
    line = nmea_out.gll(PLACE, AT)

    assert tagged(line, "DR0001", Instant(1_782_397_536_000)) == b"\\s:DR0001,c:1782397536*2A\\" + line
    assert tagged(line, "DR0001", None).startswith(b"\\s:DR0001*")


def test_reserved_characters_of_a_text_are_escaped() -> None:
    """`^HH` stands for what would end a field or a sentence (the list of them: from memory)."""
    assert nmea_out.txt(41, "A, B*C!") == sealed("INTXT,01,01,41,A^2C B^2AC^21") + b"\r\n"


@pytest.mark.parametrize("body", ["x" * 74, "a\nb", "caf\u00e9"])
def test_what_is_no_sentence_is_refused(body: str) -> None:
    """A line too long or with foreign characters is a fault of ours, and is never sent."""
    with pytest.raises(ValueError, match=r"characters|cannot stand"):
        sentence("TXT", [body])


def test_the_longest_text_makes_the_longest_sentence() -> None:
    """61 characters of text make 82 (the standard's limit), and 62 are refused."""
    assert len(nmea_out.txt(41, "x" * nmea_out.LONGEST_TEXT)) == nmea_out.LONGEST
    with pytest.raises(ValueError, match="82 are allowed"):
        nmea_out.txt(41, "x" * (nmea_out.LONGEST_TEXT + 1))


degrees = st.floats(0, 360, allow_nan=False)
knots = st.none() | st.floats(0, 99, allow_nan=False)
variation = st.none() | st.floats(-180, 180, allow_nan=False)


@given(
    st.tuples(st.floats(-90, 90), st.floats(-180, 180, exclude_max=True)),
    st.tuples(st.none() | degrees, knots, variation),
    st.integers(0, 4_102_444_799_999),
)  # fmt: skip
def test_any_position_is_told_to_a_ten_thousandth_of_a_minute(
    place: tuple[float, float], moves: tuple[float | None, float | None, float | None], ms: int
) -> None:
    """Whatever is told fits in 82 characters, its minutes below 60, and a parser reads the same place."""
    at = Instant(ms)
    for line in (nmea_out.rmc(place, at, *moves), nmea_out.gll(place, at)):
        assert len(line) <= nmea_out.LONGEST
        assert line == sealed(line[1 : line.rindex(b"*")].decode()) + b"\r\n"
        figures = re.search(rb"(\d\d)(\d\d\.\d{4}),([NS]),(\d{3})(\d\d\.\d{4}),([EW])", line)
        assert figures is not None
        assert max(float(figures[2]), float(figures[5])) < 60.0
        told = (
            (int(figures[1]) + float(figures[2]) / 60) * (1 if figures[3] == b"N" else -1),
            (int(figures[4]) + float(figures[5]) / 60) * (1 if figures[6] == b"E" else -1),
        )
        half_a_unit = 0.5000001e-4 / 60
        assert told == pytest.approx(place, abs=half_a_unit)
        # The parser rounds to ten decimals: what it reads is what was told, rounded so.
        read = NMEAReader.parse(line)
        assert (read.lat, read.lon) == pytest.approx(told, abs=0.5000001e-10)


@given(degrees)
def test_a_direction_never_reads_360(heading: float) -> None:
    """What rounds up to a full turn is north, and three figures stand before the point."""
    whole = nmea_out.hdt(heading).split(b",")[1]

    assert re.fullmatch(rb"\d{3}\.\d{5}", whole)
    assert float(whole) < 360.0


# --- heard again --------------------


def ear(own: OwnSentences | None = None) -> Decoder:
    """Return the ear of an input that takes anything."""
    return Decoder(
        "loop",
        checksum_required=False,
        satellite_talkers=frozenset(),
        own_source="middlewatch",
        own_sentences=own or OwnSentences(),
    )


def under(talker: str, line: bytes) -> bytes:
    """Return a sentence of ours as a gateway sends it on under another talker."""
    return sealed(talker + body_of(line))


@pytest.mark.parametrize("line", [*POSITION_SENTENCES, nmea_out.hdt(75.2), nmea_out.ths(75.2, "A")])
def test_our_output_is_passed_over_whatever_is_left_of_it(line: bytes) -> None:
    """As sent, without its TAG block, and under another talker while it is remembered: no reading at all."""
    own, bare = OwnSentences(), line.rstrip()
    own.say([tagged(line, "middlewatch", AT)])
    gate = ear(own)

    heard = (tagged(bare, "middlewatch", AT), bare, under("GP", line), under("II", line), under("HE", line))

    assert [gate.read(each, 7) for each in heard] == [()] * len(heard)
    assert gate.sentences == 0
    assert not gate.rejected


@pytest.mark.parametrize("line", POSITION_SENTENCES)
def test_even_forgotten_our_output_is_never_a_receivers_good_word(line: bytes) -> None:
    """Under a receiver's talker and long forgotten, mode E still says that it was estimated."""
    (reading,) = ear().read(under("GP", line), 7)

    assert isinstance(reading, Satellite)
    assert reading.word is Word.ESTIMATED


def test_a_gyro_that_says_our_heading_is_heard() -> None:
    """The same tenth of a degree from a real gyro is not ours: no instrument sends five decimals."""
    own = OwnSentences()
    own.say([nmea_out.hdt(75.2), nmea_out.ths(75.2, "A")])
    gate = ear(own)

    for body in ("HEHDT,75.2,T", "HEHDT,075.2,T", "HEHDT,075.20,T", "HETHS,075.200,A"):
        assert len(gate.read(sealed(body), 7)) == 1, body


def test_a_sentence_is_remembered_for_so_long_since_it_was_last_said() -> None:
    """Said again it is remembered anew; unsaid for as many seconds it is forgotten."""
    own, line, other = OwnSentences(3), nmea_out.hdt(75.2), nmea_out.hdt(80.0)

    own.say([line])
    own.say([line, other])
    own.say([])
    own.say([])
    assert body_of(line) in own
    own.say([])
    assert body_of(line) not in own
    assert body_of(other) not in own


@given(st.lists(st.lists(st.integers(0, 4), max_size=3), max_size=30))
def test_what_is_remembered_is_what_was_said_lately(seconds: list[list[int]]) -> None:
    """Whatever was said in the last three seconds is known, and nothing else."""
    own, lines = OwnSentences(3), [nmea_out.hdt(10.0 * k) for k in range(5)]
    for second in seconds:
        own.say(lines[k] for k in second)

    lately = {k for second in seconds[-3:] for k in second}
    assert {k for k in range(5) if body_of(lines[k]) in own} == lately
