"""The water track finds its rows by their second, with seconds missing too."""

from bisect import bisect_right

from hypothesis import given
from hypothesis import strategies as st

from middlewatch.navigator.reckoning.track import ABSENT, NONE, Row, WaterTrack


def row(second: int) -> Row:
    """Return a row of which only the second matters."""
    return Row(second, 0.0, 0.0, NONE, None, None, None, None, None, None, ABSENT, ABSENT)


@given(st.lists(st.integers(1, 400), min_size=1, max_size=60), st.integers(-10, 20_000))
def test_the_last_row_at_or_before_a_second(steps: list[int], second: int) -> None:
    """With any gaps between the rows: the last row not after the second, -1 before the first."""
    track = WaterTrack()
    at = 0
    for step in steps:
        at += step
        track.append(row(at))

    expected = bisect_right([each.second for each in track.rows], second) - 1
    assert track.index(second) == expected
    assert (track.first_second, track.last_second) == (steps[0], at)


def test_an_empty_track() -> None:
    """Before the first row there is nothing to find."""
    track = WaterTrack()

    assert track.index(5) == -1
    assert (track.first_second, track.last_second) == (None, None)
