"""Three bearings of one mark: the course made good over the ground, whatever the log and the stream."""

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from middlewatch.navigator.position.fix import PlottedFix
from middlewatch.navigator.position.fixing import FixRules, plotted
from middlewatch.navigator.position.lines import PositionLine, Ray
from middlewatch.navigator.position.three_bearings import MadeGood, made_good
from middlewatch.quantities.angles import turn
from middlewatch.quantities.positions import Position
from navigator.legs import Legs, leg, line, off

LIGHT = Position(0.0, -30.0)
TIMES_S = (0, 1500, 3600)


def bearings(begin: Position, over_ground: Legs, times_s: tuple[int, ...] = TIMES_S) -> list[PositionLine]:
    """Return bearings of the light, exact, from a boat that really runs so."""
    lines = []
    for n, second in enumerate(times_s, start=1):
        run = over_ground.run_m(0, second)
        assert run is not None
        lines.append(line(f"b{n}", second, "light", Ray(LIGHT, begin.moved(*run).to(LIGHT)[0], 2.0)))
    return lines


def course(lines: list[PositionLine], reckoned: Legs) -> MadeGood | None:
    """Return what they make of it for a navigator who reckons so."""
    return made_good(lines[-1], lines[:-1], reckoned)


@given(
    st.floats(0.0, 359.9),
    st.floats(3.0, 8.0),
    st.floats(-30.0, 30.0),
    st.floats(0.5, 1.5),
    st.floats(1.0, 5.0),
)
def test_the_course_over_the_ground(
    course_deg: float, run_nm: float, set_off_deg: float, part: float, off_nm: float
) -> None:
    """The log is wrong by half and a stream sets her aside: the bearings tell her course all the same."""
    begin = LIGHT.along(course_deg + 180.0, run_nm / 2).along(course_deg + 90.0, off_nm)
    over_ground = Legs(begin, [leg(course_deg, run_nm, 3600)])
    reckoned = Legs(begin, [leg(course_deg + set_off_deg, run_nm * part, 3600)])
    lines = bearings(begin, over_ground)
    made = course(lines, reckoned)
    assume(made is not None)
    assert made is not None

    assert turn(course_deg, made.course_deg) == pytest.approx(0.0, abs=0.1)
    assert made.bearings == ("b1", "b2", "b3")


def test_it_is_said_with_the_running_fix() -> None:
    """The running fix that the third bearing makes says it among its flags."""
    begin = off(LIGHT, -3.0, -3.0)
    over_ground = Legs(begin, [leg(0.0, 6.0, 3600)])
    lines = bearings(begin, over_ground)
    fix = plotted(lines[-1], lines[:-1], over_ground, FixRules())

    assert isinstance(fix, PlottedFix)
    assert (
        "bearings b1, b2, b3 make the course made good 000 T, one standard deviation 4 degrees,"
        " whatever the log says"
    ) in fix.flags


def test_an_alteration_between_makes_none() -> None:
    """The rule is of a straight run: after a turn of 40 degrees nothing is said."""
    begin = off(LIGHT, -3.0, -3.0)
    bent = Legs(begin, [leg(0.0, 2.5, 1500), leg(40.0, 3.5, 2100)])

    assert course(bearings(begin, bent), bent) is None


def test_too_little_change_makes_none() -> None:
    """A light 60 miles off hardly moves: no course is made of its bearings."""
    begin = off(LIGHT, 0.0, -60.0)
    over_ground = Legs(begin, [leg(0.0, 6.0, 3600)])

    assert course(bearings(begin, over_ground), over_ground) is None
