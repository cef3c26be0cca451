"""Bytes become the same lines however the stream is cut."""

from functools import reduce
from operator import xor

from hypothesis import given, settings
from hypothesis import strategies as st

from middlewatch.wire.lines import LONGEST_LINE, LineSplitter, checksum

PIECES = [b"$HCHDG,98.3,0.0,E,12.6,W*57", b"\r\n", b"\n", b"\r", b"\x00" * 300, b"x" * (LONGEST_LINE - 3)]
STREAMS = st.lists(st.sampled_from(PIECES), max_size=12).map(b"".join)


@settings(deadline=None)  # a stream of many kilobytes, on whatever machine
@given(STREAMS, st.lists(st.integers(0, 20_000), max_size=8))
def test_any_cutting_gives_the_same_lines(stream: bytes, cuts: list[int]) -> None:
    """Fed whole or in any pieces, a stream gives the same lines and the same count of dropped bytes."""
    whole, pieces = LineSplitter(), LineSplitter()
    ends = [*sorted(min(cut, len(stream)) for cut in cuts), len(stream)]

    lines = [line for a, b in zip([0, *ends], ends, strict=False) for line in pieces.feed(stream[a:b])]

    assert lines == whole.feed(stream)
    assert pieces.dropped == whole.dropped


@settings(deadline=None)  # a stream of many kilobytes, on whatever machine
@given(STREAMS)
def test_byte_by_byte_gives_the_same_lines(stream: bytes) -> None:
    """A serial port at its slowest hands over single bytes."""
    whole, single = LineSplitter(), LineSplitter()
    shortened = stream[-6000:]

    lines = [line for byte in shortened for line in single.feed(bytes([byte]))]

    assert lines == whole.feed(shortened)


def test_line_feed_ends_a_line_and_carriage_return_goes() -> None:
    """CR LF, LF alone and blank lines: only the lines that say something come out, bare."""
    assert LineSplitter().feed(b"one\r\ntwo\n\r\n\nthree") == [b"one", b"two"]


def test_garbage_without_line_feed_is_held_to_four_kibibytes() -> None:
    """A port at the wrong speed may never send a line feed: memory stays bounded and the loss is counted."""
    splitter = LineSplitter()
    for _ in range(100):
        assert splitter.feed(b"\xff" * 1000) == []

    (line,) = splitter.feed(b"$HCHDM,172.5,M*28\r\n")

    assert len(line) <= LONGEST_LINE
    assert line.endswith(b"\xff$HCHDM,172.5,M*28")
    assert splitter.dropped == 100_000 + len(b"$HCHDM,172.5,M*28\r") - LONGEST_LINE


def test_a_datagram_may_hold_several_lines() -> None:
    """A datagram fed with a line feed added gives all its lines, the last one ended or not."""
    datagram = b"$HCHDM,172.5,M*28\r\n$IIHDT,91.8,T*12"

    assert LineSplitter().feed(datagram + b"\n") == [b"$HCHDM,172.5,M*28", b"$IIHDT,91.8,T*12"]
    assert LineSplitter().feed(datagram + b"\r\n\n") == [b"$HCHDM,172.5,M*28", b"$IIHDT,91.8,T*12"]


@given(st.binary(max_size=128))
def test_checksum_is_the_exclusive_or_of_all_bytes(body: bytes) -> None:
    """The folded checksum equals the plain walk over the bytes (IEC 61162-1: exclusive or, two digits)."""
    assert checksum(body) == f"{reduce(xor, body, 0):02X}"
