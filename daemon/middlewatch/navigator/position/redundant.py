"""Redundance: whether the lines of a fix check each other so well that it may be adopted without asking."""

from collections.abc import Sequence
from math import hypot

from middlewatch.navigator.position.crossing import Carried, Run, carry, settle, spread_m2
from middlewatch.navigator.position.fix import NARROW_CUT_DEG
from middlewatch.navigator.position.lines import PositionLine
from middlewatch.quantities.angles import direction_of
from middlewatch.quantities.positions import Position
from middlewatch.reports.fix import FixReport

LEAST_LINES, LEAST_MARKS = 3, 2
ALLOWANCE_SD = 1.96
"""A line may lie so far from the place that the others make, in standard deviations of both: 95 in 100."""


def redundant(made: FixReport, lines: Sequence[PositionLine], run: Run) -> bool:
    """Say whether a fix is of three or more lines on two or more marks, cut well, no line against the rest.

    The rule of the design's section 5; never an R Fix.
    """
    if made.label != "Fix" or made.cut_deg is None or made.cut_deg < NARROW_CUT_DEG:
        return False
    if len(lines) < LEAST_LINES or len({line.mark for line in lines}) < LEAST_MARKS:
        return False
    carried = carry(sorted(lines, key=lambda line: line.order), run)
    place = Position(made.latitude_deg, made.longitude_deg)
    return carried is not None and all(_agrees(carried, left_out, place) for left_out in carried)


def _agrees(lines: Sequence[Carried], left_out: Carried, place: Position) -> bool:
    """Say whether a line lies within its own and the others' allowance of the place the others make."""
    others = [line for line in lines if line is not left_out]
    made = settle(others, place)
    if made is None:
        return False
    spread = spread_m2(others, made)
    return all(
        abs(miss.metres)
        <= ALLOWANCE_SD * hypot(left_out.sd_m(made), spread.along(direction_of(miss.north, miss.east)))
        for miss in left_out.misses(made)
    )
