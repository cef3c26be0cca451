"""The gate: what comes in, what is rejected and why, what is passed over."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from middlewatch.readings.sentences import Heading, HeadingKind
from middlewatch.wire.lines import LineSplitter
from middlewatch.wire.nmea import Decoder
from middlewatch.wire.sentences import READERS
from reference.nmea_sentences import HANDBOOK_N01
from wire.sealing import sealed

HDM = b"$HCHDM,172.5,M*28"
HEADING = Heading(7, "HCHDM@bow", HeadingKind.MAGNETIC, 172.5, None, None)


def decoder(
    *, checksum_required: bool = True, satellite: frozenset[str] = frozenset(), own: str = ""
) -> Decoder:
    """Make a decoder for the input `bow`."""
    return Decoder("bow", checksum_required=checksum_required, satellite_talkers=satellite, own_source=own)


@pytest.mark.parametrize(("sentence", "right"), HANDBOOK_N01.items())
def test_handbook_n01_checksums(sentence: bytes, right: bool) -> None:
    """Case N-01: sound sentences are taken, the two errata rejected for their checksum."""
    gate = decoder()

    readings = gate.read(sentence, 7)

    assert bool(readings) is right
    assert gate.sentences == int(right)
    assert dict(gate.rejected) == ({} if right else {"checksum": 1})


@pytest.mark.parametrize(
    "noise",
    [
        b"\x00" * 248,
        b"\xff\xfe\x80",
        b"UdPbC\x00",
        b"$GPGLL,3746.848,N,122",
        b"\\c:1665920455220*62\\$GPGLL,3746.8",
        b"!AIVDM,1,1,,B,13aN3NPP00",
        b"\\ $",
        b"x" * 500,
        b"\r",
    ],
)
def test_noise_before_the_start_of_a_sentence_is_dropped(noise: bytes) -> None:
    """NULs at power-up, a broken sentence and stray bytes do not cost the whole sentence behind them."""
    gate = decoder()

    assert gate.read(noise + HDM, 7) == (HEADING,)
    assert not gate.rejected


def test_tag_block_before_the_sentence() -> None:
    """A sound TAG block passes, with noise before it too; the reading is the sentence's."""
    gate = decoder()

    assert gate.read(sealed("HCHDM,172.5,M", tag="s:bow,c:1665920455220"), 7) == (HEADING,)
    assert gate.read(b"\x00\x00$G" + sealed("HCHDM,172.5,M", tag="c:1665920455"), 7) == (HEADING,)
    assert gate.sentences == 2


@pytest.mark.parametrize(
    ("line", "reason"),
    [
        (b"\\c:1665920455220*63\\" + HDM, "TAG checksum"),
        (b"\\c:1665920455220\\" + HDM, "TAG block without checksum"),
        (b"1665920455220*62\\" + HDM, "TAG block cut short"),
        (b"\\s:\xe9*A0\\" + HDM, "TAG block not ASCII"),
        (b"$HCHDM,172.6,M*28", "checksum"),
        (b"$HCHDM,172.5,M*2", "checksum"),
        (b"$HCHDM,172.5,M*", "checksum"),
        (b"$HCHDM,172.5,M* 28", "checksum"),
        (b"$HCHDM,172.5,M*28 ", "checksum"),
        (b"$HCHDM,172.5,M*+8", "checksum"),
        (b"$HCHDM,172.5,M*0x28", "checksum"),
        (b"$HCHDM,172.5,M*28\\", "checksum"),
        (b"$HCHDM,172.5,M", "no checksum"),
        (b"$HCHDM,172.\xb5,M*28", "not ASCII"),
        (b"$HCHDM,172.5,M*2\xb2", "not ASCII"),
        (b"$HCHDM,172.5\x00,M*28", "control character"),
        (b"$HCHDM,172.5,M*28\x00", "control character"),
        (b"$HCHDM,17\x7f.5,M*28", "control character"),
        (b"$HCHDM,172.5,M*28\t", "control character"),
        (b"\x00\x00\x00", "no start of a sentence"),
        (b"HCHDM,172.5,M*28", "no start of a sentence"),
        (b"\\", "no start of a sentence"),
        (sealed("HCHDM,172.5*12,M"), "form"),
        (sealed("hcHDM,172.5,M"), "talker"),
        (sealed("H HDM,172.5,M"), "talker"),
    ],
)
def test_rejected_with_its_reason(line: bytes, reason: str) -> None:
    """Each way a line can be broken is counted under its own reason and gives nothing."""
    gate = decoder()

    assert gate.read(line, 7) == ()
    assert gate.rejected == {reason: 1}
    assert gate.sentences == 0
    assert not gate.passed_over


def test_a_checksum_in_small_letters_is_right() -> None:
    """Some instruments write the hexadecimal digits small."""
    gate = decoder()

    assert len(gate.read(b"$HCHDG,101.1,,,7.1,W*3c", 7)) == 1


def test_up_to_120_characters_in() -> None:
    """The standard's 82 are often passed; 120 characters are read, 121 are not."""
    gate = decoder()
    longest = "HCHDM,172." + "5" * (120 - len("$HCHDM,172.,M*hh")) + ",M"

    assert len(sealed(longest)) == 120
    assert len(gate.read(sealed(longest), 7)) == 1
    assert gate.read(sealed(longest.replace(",M", "5,M")), 7) == ()
    assert gate.rejected == {"too long": 1}


def test_a_missing_checksum_is_the_setting_s_choice() -> None:
    """`checksum = "if present"`: without is taken, a wrong one is still rejected."""
    gate = decoder(checksum_required=False)

    assert gate.read(b"$HCHDM,172.5,M", 7) == (HEADING,)
    assert gate.read(b"$HCHDM,172.5,M*29", 7) == ()
    assert gate.rejected == {"checksum": 1}


def test_a_sentence_we_do_not_read_may_lack_its_checksum() -> None:
    """A maker's own sentence without checksum says nothing about the wire: passed over, not rejected."""
    gate = decoder()

    gate.read(b"$PFEC,GPatt,,+3.91,-0.92", 7)
    gate.read(b"$APRSA,7.6,A", 7)

    assert not gate.rejected


@pytest.mark.parametrize(
    ("line", "reason"),
    [
        (b"!AIVDM,1,1,,B,13aN3NPP00PLHW6NSqpqwwwl2Swr,0*52", "encapsulated, such as AIS"),
        (sealed("PFEC,GPatt,,+3.91,-0.92"), "a maker's own sentence"),
        (sealed("PHHDG,98.3,0.0,E,12.6,W"), "a maker's own sentence"),
        (sealed("APRSA,7.6,A"), "not a sentence we read"),
        (sealed("CCGPQ,GGA"), "not a sentence we read"),
        (sealed("HCHDGX,98.3"), "not a sentence we read"),
        (sealed("HCHDM"), "not a sentence we read"),
        (sealed("X"), "not a sentence we read"),
        (b"$", "not a sentence we read"),
        (b"$,,,", "not a sentence we read"),
        (b"!", "encapsulated, such as AIS"),
        (b"\\g:1-2-34,s:a*5D\\", "TAG block alone"),
        (sealed("HCHDG,,,,,"), "no value in it"),
    ],
)
def test_passed_over_with_its_reason(line: bytes, reason: str) -> None:
    """What is sound and not for us is counted, and gives nothing."""
    gate = decoder()

    assert gate.read(line, 7) == ()
    assert gate.passed_over == {reason: 1}
    assert not gate.rejected


def test_an_unread_sentence_with_a_wrong_checksum_is_rejected() -> None:
    """A bad wire shows on every sentence, whether we read it or not."""
    gate = decoder()

    gate.read(b"!AIVDM,1,1,,B,13aN3NPP00PLHW6NSqpqwwwl2Swr,0*53", 7)

    assert gate.rejected == {"checksum": 1}


@given(st.binary(max_size=200))
def test_no_bytes_make_it_raise(line: bytes) -> None:
    """Whatever arrives is taken, rejected or passed over: exactly one of them."""
    gate = decoder(checksum_required=False)

    gate.read(line, 7)

    assert gate.sentences + gate.rejected.total() + gate.passed_over.total() == 1


FIELDS = st.text(st.characters(codec="ascii", min_codepoint=32, exclude_characters="$!*\\"), max_size=12)
ADDRESSES = st.sampled_from([f"{talker}{formatter}" for talker in ("GP", "HC") for formatter in READERS])
LETTERS = ["", "A", "V", "E", "N", "T", "M", "K", "W", "S", "D"]
SOUND = ["0", "1", "6", "359.9", "-1.5", "4530.5", "01334.6", "235960.99"]
UNSOUND = ["240000", "310226", "nan", "inf", "1_0", "1e5", " 1", "+1", "--1", ".", "-", "1.2.3"]
TELLING = st.sampled_from([*LETTERS, *SOUND, *UNSOUND])


@given(ADDRESSES, st.lists(st.one_of(FIELDS, TELLING), max_size=16))
def test_no_fields_make_it_raise(address: str, fields: list[str]) -> None:
    """Sound frames with any fields at all never raise, and every float that comes out is finite."""
    gate = decoder()

    for reading in gate.read(sealed(",".join([address, *fields])), 7):
        values = [getattr(reading, name) for name in reading.__slots__]
        assert all(abs(value) < 1e13 for value in values if isinstance(value, float))

    assert gate.sentences + gate.rejected.total() + gate.passed_over.total() == 1


def test_noise_without_checksums_fills_no_memory() -> None:
    """A thousand addresses that are none leave the decoder bounded, and its ears open."""
    gate = decoder(checksum_required=False)
    for number in range(1000):
        gate.read(b"$X%d,1" % number, 7)

    assert len(gate._routes) <= 500
    assert gate.read(HDM, 7) == (HEADING,)


def test_a_datagram_s_lines_each_count() -> None:
    """Three lines of one datagram, the middle one broken: two readings and one rejection."""
    gate = decoder()
    datagram = HDM + b"\r\n" + b"$HCHDM,1*00\r\n" + HDM

    readings = [r for line in LineSplitter().feed(datagram + b"\n") for r in gate.read(line, 7)]

    assert readings == [HEADING, HEADING]
    assert gate.rejected == {"checksum": 1}


@given(st.binary(max_size=300), st.lists(st.integers(0, 400), max_size=6))
def test_any_cutting_of_the_stream_gives_the_same_readings(noise: bytes, cuts: list[int]) -> None:
    """From bytes to readings, where the stream was cut does not show."""
    stream = HDM + b"\r\n" + noise + b"\n" + HDM + b"\r\n"
    ends = [*sorted(min(cut, len(stream)) for cut in cuts), len(stream)]
    whole, pieces = decoder(), decoder()
    splitter = LineSplitter()

    at_once = [r for line in LineSplitter().feed(stream) for r in whole.read(line, 7)]
    bit_by_bit = [
        reading
        for a, b in zip([0, *ends], ends, strict=False)
        for line in splitter.feed(stream[a:b])
        for reading in pieces.read(line, 7)
    ]

    assert bit_by_bit == at_once
    assert (pieces.rejected, pieces.passed_over) == (whole.rejected, whole.passed_over)
