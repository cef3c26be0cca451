"""TAG blocks: who sent a line, and when."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from middlewatch.wire.tag import Tag, TagError, read_tag, split_tag, write_tag
from wire.sealing import sealed

NAMES = st.text(
    st.characters(codec="ascii", categories=["L", "N"], include_characters="-_."), min_size=1, max_size=15
)


@given(NAMES, st.integers(0, 253_402_300_799_999), st.integers(0, 2**53))
def test_what_is_written_is_read_again(source: str, utc_ms: int, monotonic_ms: int) -> None:
    """Any source and time survive, a clock that woke up in 1970 included."""
    assert split_tag(write_tag(source, utc_ms, monotonic_ms) + b"$X") == (
        Tag(source, utc_ms, monotonic_ms),
        b"$X",
    )


def test_seconds_below_1e11_and_ms_from_there() -> None:
    """`c:` is UNIX seconds, or ms from 1e11 up: the same moment both ways."""
    assert split_tag(sealed("X", tag="c:1665920455"))[0] == Tag(None, 1_665_920_455_000, None)
    assert split_tag(sealed("X", tag="c:1665920455220"))[0] == Tag(None, 1_665_920_455_220, None)


def test_the_bound_between_seconds_and_ms() -> None:
    """1e11 - 1 is seconds, 1e11 is ms; what lies past the year 9999 is refused, for no calendar holds it."""
    assert split_tag(sealed("X", tag="c:99999999999"))[0] == Tag(None, 99_999_999_999_000, None)
    assert split_tag(sealed("X", tag="c:100000000000"))[0] == Tag(None, 100_000_000_000, None)
    with pytest.raises(TagError, match="out of range"):
        split_tag(sealed("X", tag="c:999999999999999"))


def test_keys_that_are_not_ours_are_left_alone() -> None:
    """Grouping, destination and text pass; relative time is read."""
    tag, rest = split_tag(sealed("HCHDM,172.5,M", tag="g:1-2-34,s:GP0001,d:MW,r:81234,t:hello"))

    assert tag == Tag("GP0001", None, 81_234)
    assert rest == b"$HCHDM,172.5,M*28"


def test_noise_before_the_block_is_dropped() -> None:
    """The datagram mark of IEC 61162-450 and NULs may stand before it."""
    assert split_tag(b"UdPbC\x00" + sealed("X", tag="s:a")) == (Tag("a", None, None), sealed("X"))


@pytest.mark.parametrize(
    ("line", "reason"),
    [
        (b"\\s:a*00\\$X", "TAG checksum"),
        (b"\\s:a\\$X", "TAG block without checksum"),
        (b"\\s:a*58$X", "TAG block cut short"),
        (b"\\" + b"t" * 200 + b"*00\\$X", "TAG block too long"),
        (b"\\s:\xe9*A0\\$X", "TAG block not ASCII"),
        (sealed("X", tag="c:12_3"), "TAG time is no number"),
        (sealed("X", tag="c:-1"), "TAG time is no number"),
        (sealed("X", tag="c:nan"), "TAG time is no number"),
        (sealed("X", tag="c:"), "TAG time is no number"),
        (sealed("X", tag="r:1.5"), "TAG time is no number"),
    ],
)
def test_a_broken_block_is_refused_with_its_reason(line: bytes, reason: str) -> None:
    """Nothing of a block is believed unless all of it holds together."""
    with pytest.raises(TagError) as fault:
        split_tag(line)

    assert fault.value.reason == reason


@given(st.binary(max_size=200))
def test_any_bytes_are_a_tag_or_a_tag_error(block: bytes) -> None:
    """Reading a block raises nothing but its own error."""
    try:
        tag = read_tag(block)
    except TagError:
        return
    assert isinstance(tag, Tag)


@pytest.mark.parametrize("source", ["a,b", "a*b", "a\\b", "bów", "a\n", "a:b", "$a"])
def test_a_source_that_would_break_the_block_is_not_written(source: str) -> None:
    """An input's name with a reserved character is refused where it is written, not found out at replay."""
    with pytest.raises(ValueError, match="TAG block"):
        write_tag(source, 0, 0)


def test_a_time_before_1970_is_not_written() -> None:
    """There is no way to write it that a reader would understand."""
    with pytest.raises(ValueError, match="-1 ms"):
        write_tag("bow", 5, -1)
