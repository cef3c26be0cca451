"""Instants are read and written as RFC 3339 and know their decimal year."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from middlewatch.quantities.instants import MS_PER_DAY, Instant

_YEAR_1_MS, _YEAR_10000_MS = -62_135_596_800_000, 253_402_300_800_000


@given(st.integers(_YEAR_1_MS, _YEAR_10000_MS - 1))
def test_written_and_read_again_it_is_the_same(ms: int) -> None:
    """Every millisecond of the years 1 to 9999 survives being written and read."""
    assert Instant.parse(str(Instant(ms))) == Instant(ms)


@pytest.mark.parametrize(
    ("text", "utc"),
    [
        # RFC 3339, section 5.8, its examples.
        ("1985-04-12T23:20:50.52Z", "1985-04-12T23:20:50.520Z"),
        ("1996-12-19T16:39:57-08:00", "1996-12-20T00:39:57.000Z"),
        ("1937-01-01T12:00:27.87+00:20", "1937-01-01T11:40:27.870Z"),
        # Section 5.6: lower case and a blank are allowed; digits below the millisecond are cut off.
        ("2026-05-03t01:42:07z", "2026-05-03T01:42:07.000Z"),
        ("2026-05-03 01:42:07.1239Z", "2026-05-03T01:42:07.123Z"),
        ("0999-12-31T23:59:59Z", "0999-12-31T23:59:59.000Z"),
    ],
)
def test_rfc_3339_is_read(text: str, utc: str) -> None:
    """A time with an offset is brought to UTC and written with milliseconds and Z."""
    assert str(Instant.parse(text)) == utc


@pytest.mark.parametrize(
    "text",
    [
        "2026-05-03T01:42:07",
        "2026-05-03",
        "2026-05-03T01:42Z",
        "20260503T014207Z",
        "2026-W18-7T01:42:07Z",
        "2026-02-30T01:42:07Z",
        "2026-05-03T24:00:00Z",
        "1990-12-31T23:59:60Z",
        "2026-05-03T01:42:07+24:00",
        "0001-01-01T00:00:00+23:59",
        "9999-12-31T23:59:59-23:59",
        "٢٠٢٦-05-03T01:42:07Z",
        "2026-05-03T01:42:07Z\n",
        "",
    ],
)
def test_what_is_no_rfc_3339_is_refused(text: str) -> None:
    """A time without an offset, spelt otherwise, or that does not exist is a ValueError, nothing else."""
    with pytest.raises(ValueError, match=r"\w"):
        Instant.parse(text)


@pytest.mark.parametrize(
    ("text", "year"),
    [
        ("2026-01-01T00:00:00Z", 2026.0),
        ("2027-07-02T12:00:00Z", 2027.5),
        ("2024-07-02T00:00:00Z", 2024.5),  # a leap year's middle
        ("9999-01-01T00:00:00Z", 9999.0),
        ("1969-07-02T12:00:00Z", 1969.5),
    ],
)
def test_decimal_year(text: str, year: float) -> None:
    """The middle of a year is .5, in leap years half a day earlier."""
    assert Instant.parse(text).decimal_year == pytest.approx(year, abs=1e-12)


@given(st.integers(_YEAR_1_MS, _YEAR_10000_MS - MS_PER_DAY - 1), st.integers(1, MS_PER_DAY))
def test_decimal_years_grow_with_time(ms: int, later_ms: int) -> None:
    """A later instant never has an earlier decimal year."""
    assert Instant(ms).decimal_year <= Instant(ms + later_ms).decimal_year


def test_the_clock_of_a_deck_log() -> None:
    """The time of day comes as four figures, or to the second."""
    moment = Instant.parse("2026-05-03T01:42:07.999Z")

    assert moment.clock == "0142"
    assert moment.clock_with_seconds == "01:42:07"
