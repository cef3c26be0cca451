"""What to pencil: each fix and each DR due, to no more digits than the area deserves."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from middlewatch.plotting.pencil_this import in_minutes, pencil_this
from middlewatch.plotting.plot import Charted
from middlewatch.quantities.positions import Position
from plotting.conftest import Sailed
from plotting.everything import CHARTED, PLOT


@pytest.mark.parametrize(
    ("half_axis_nm", "words"),
    [
        (None, "47 00 N 034 01 W"),
        (1.0, "47 00 N 034 01 W"),
        (0.99, "46 59.8 N 034 00.6 W"),
        (0.1, "46 59.8 N 034 00.6 W"),
        (0.09, "46 59.80 N 034 00.60 W"),
    ],
)
def test_digits_are_those_the_area_deserves(half_axis_nm: float | None, words: str) -> None:
    """Whole minutes from a half axis of a mile up or unknown, tenths from a tenth, hundredths below."""
    assert in_minutes(Position(46.0 + 59.8 / 60, -34.01), half_axis_nm) == words


def test_minutes_never_read_sixty() -> None:
    """59.96 minutes to the tenth are the next degree, in both hemispheres."""
    assert in_minutes(Position(46.0 + 59.96 / 60, -33.0 - 59.96 / 60), 0.5) == "47 00.0 N 034 00.0 W"
    assert in_minutes(Position(-46.0 - 59.96 / 60, 33.0 + 59.96 / 60), 0.5) == "47 00.0 S 034 00.0 E"


@given(st.floats(-80, 80), st.floats(-180, 179.99), st.sampled_from([(2.0, 0.5), (0.5, 0.05), (0.05, 0.005)]))
def test_what_is_written_is_the_place(latitude: float, longitude: float, digits: tuple[float, float]) -> None:
    """Read back, latitude and longitude are within half of the last digit written."""
    half_axis, half_digit = digits
    north_deg, north_min, north, east_deg, east_min, east = in_minutes(
        Position(latitude, longitude), half_axis
    ).split()
    read_north = (int(north_deg) * 60 + float(north_min)) * (1 if north == "N" else -1)
    read_east = (int(east_deg) * 60 + float(east_min)) * (1 if east == "E" else -1)

    assert read_north == pytest.approx(latitude * 60, abs=half_digit + 1e-6)
    assert read_east == pytest.approx(longitude * 60, abs=half_digit + 1e-6)


def test_the_demo_tells_what_to_pencil(sailed: Sailed) -> None:
    """Each fix with its lines, both times and magnetic figures; each DR due with course, speed and mark."""
    lines = pencil_this(sailed.plot, sailed.charted)
    heads = [line for line in lines if not line.startswith(" ")]

    assert [head.split(":")[0].split(" at 4")[0] for head in heads] == [
        "2100 DR, departure", "2148 DR, altered course", "2200 R Fix", "2200 DR, on the hour", "2231 R Fix",
        "2231 DR, begun anew at the fix", "2234 R Fix", "2255 R Fix", "2258 Fix", "2300 DR, on the hour",
        "2325 R Fix", "2328 Fix",
    ]  # fmt: skip
    assert "  from Carrow Head draw 170 T (bearing 350 T, 001 M); label 2200" in lines
    assert any(
        line.startswith("  from Carrow Head moved 2.99 nm 261 T by the run since 2128 draw 121 T")
        and line.endswith("label 2128-2200")
        for line in lines
    )
    assert "  Carrow Head bears 350 T, 001 M, 2.6 nm off" in lines
    assert any("from there course 269 T, 280 M, speed 5.7 kn through the water" in line for line in lines)


def test_a_withdrawn_fix_is_struck_and_a_rival_told() -> None:
    """A withdrawn fix is to be struck through; of two crossings both are to be pencilled."""
    lines = pencil_this(PLOT, CHARTED)

    assert "2210 Fix withdrawn: strike it through, do not rub it out" in lines
    assert any("also cross at" in line and "until a third line decides" in line for line in lines)


def test_without_variation_and_marks_nothing_is_made_up() -> None:
    """Without a variation no magnetic figure is given but a bearing's own; without marks none is named."""
    lines = pencil_this(replace(PLOT, sights=()), Charted("kittiwake"))

    assert lines
    assert not any(" M" in line or " bears " in line for line in lines)
