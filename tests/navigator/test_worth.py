"""What a fix is worth, in a sentence."""

import re

import pytest

from middlewatch.navigator.position.fix import PlottedFix
from middlewatch.navigator.position.fixing import FixRules, plotted
from middlewatch.navigator.position.lines import Circle, PositionLine, Ray
from middlewatch.quantities.positions import Position
from navigator.legs import Legs, leg, line, off, seen

RULES = FixRules()
MARK = Position(0.0, -30.0)


def fix_of(newest: PositionLine, earlier: PositionLine, run: Legs) -> PlottedFix:
    """Return the fix of two lines."""
    outcome = plotted(newest, [earlier], run, RULES)
    assert isinstance(outcome, PlottedFix), outcome
    return outcome


def one_mark(
    course_deg: float, speed_kn: float, first: float, second: float, seconds: int = 3600
) -> PlottedFix:
    """Return the running fix of one mark by two bearings."""
    run = Legs(off(MARK, -5.0, 0.0), [leg(course_deg, speed_kn, 3600)])
    return fix_of(
        line("b2", seconds, "light", Ray(MARK, second, 2.0)),
        line("b1", 0, "light", Ray(MARK, first, 2.0)),
        run,
    )


def test_one_marks_running_fix_shows_the_rule_and_the_stream() -> None:
    """Distance off is in proportion to the run: of 5 nm run, a knot of foul stream takes a fifth."""
    assert one_mark(0.0, 5.0, 45.0, 90.0).worth == (
        "Distance off 5.00 nm = run 5.00 nm x sin 45 / sin 45:"
        " one knot of foul stream in those 60 min would put the boat 1.00 nm nearer the mark than drawn."
    )


def test_the_check_case_of_common_practice() -> None:
    """Course 270, a mark at 296 and, 0.5 nm on, 011, lies 0.227 nm off (common practice, no source)."""
    worth = one_mark(270.0, 4.0, 296.0, 11.0, seconds=450).worth

    assert worth == (
        "Distance off 0.23 nm = run 0.50 nm x sin 26 / sin 75:"
        " one knot of foul stream in those 8 min would put the boat 0.06 nm nearer the mark than drawn."
    )


def test_a_fair_stream_is_named_where_the_foul_one_puts_the_boat_farther() -> None:
    """With two marks the danger may lie the other way: then that is said."""
    # Steering 000 away from a mark astern; the earlier line runs across the course.
    run = Legs(MARK, [leg(0.0, 5.0, 3600)])
    astern, abeam = off(MARK, 9.0, 0.5), off(MARK, 0.0, 4.0)
    boat = run.place(3600)
    fix = fix_of(
        line("b2", 3600, "ahead", seen(boat, astern)), line("b1", 0, "abeam", seen(MARK, abeam)), run
    )

    assert fix.worth.startswith(
        "Drawn over a run of 5.00 nm made good 000 T: one knot of foul stream in those 60 min"
    )
    assert re.search(
        r"would put the boat 1\.0\d nm farther from the mark than drawn, a fair one as much nearer\.$",
        fix.worth,
    )


def test_a_run_that_a_knot_undoes_says_so() -> None:
    """At under a knot the whole fix hangs on there being no stream; it is flagged besides."""
    fix = one_mark(0.0, 0.8, 45.0, 90.0)

    assert fix.worth.endswith(
        "one knot of foul stream in those 60 min would undo the whole run, and the fix with it."
    )
    assert "the run is shorter than one knot of stream would make" in fix.flags


def test_lines_of_two_marks_without_a_run_say_what_a_stream_would_do() -> None:
    """At rest nothing is carried, but a stream may have carried the boat."""
    boat = off(MARK, -3.0, 0.0)
    run = Legs(boat, [leg(0.0, 0.0, 3600)])
    other = off(boat, 0.0, 3.0)
    fix = fix_of(line("b2", 1800, "other", seen(boat, other)), line("b1", 0, "light", seen(boat, MARK)), run)

    assert fix.worth == (
        "The boat made no run between the lines:"
        " one knot of stream in those 30 min would have carried the earlier line 0.50 nm."
    )


def test_without_a_bearing_the_move_itself_is_told() -> None:
    """Two distances have no mark to be nearer to: the fix moves so far, that way."""
    run = Legs(off(MARK, -5.0, 0.0), [leg(0.0, 5.0, 3600)])
    first, second = off(MARK, -5.0, 6.0), off(MARK, 4.0, 0.0)
    fix = fix_of(
        line("r2", 3600, "b", Circle(second, 4.0, 0.1), "range"),
        line("r1", 0, "a", Circle(first, 6.0, 0.1), "range"),
        run,
    )

    assert re.search(r"would move the fix \d\.\d\d nm towards \d{3} T\.$", fix.worth)


@pytest.mark.parametrize("error_deg", [0.0, 2.0])
def test_a_fix_tells_what_its_lines_errors_do(error_deg: float) -> None:
    """Two bearings cut square at 3 nm, good to 2 degrees: 0.105 nm either way (3 nm x tan 2)."""
    boat = off(MARK, -3.0, 0.0)
    run = Legs(boat, [leg(0.0, 0.0, 60)])
    lines = [
        line("b1", 0, "light", seen(boat, MARK, sd_deg=2.0)),
        line("b2", 0, "head", seen(boat, off(boat, 0.0, 3.0), error_deg, sd_deg=2.0)),
    ]
    worth = fix_of(lines[1], lines[0], run).worth

    assert re.match(
        r"Cut (90|88): one standard deviation in each line spreads the fix 0\.1[01] nm along \d{3} T"
        r" and 0\.1[01] nm across\.$",
        worth,
    )


def test_three_lines_do_not_show_a_common_error() -> None:
    """A hat, however small, is silent on what is wrong with all bearings alike."""
    boat = off(MARK, -3.0, 0.0)
    run = Legs(boat, [leg(0.0, 0.0, 60)])
    lines = [line(f"b{n}", 0, f"m{n}", seen(boat, boat.along(n * 60.0, 3.0))) for n in range(3)]
    outcome = plotted(lines[2], lines[:2], run, RULES)
    assert isinstance(outcome, PlottedFix)

    assert outcome.worth.endswith("across; an error common to all of them does not show.")
