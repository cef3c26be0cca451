"""Three bearings of one mark: the course made good, without scale and without any distance run.

On a straight run at one speed three bearings and the times between them fix the direction over the ground,
stream and leeway included, though not how far off the mark is (common practice, no source; the equation is
worked here and shown by the tests on boats of known track).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan2, cos, degrees, hypot, radians, sin

from middlewatch.navigator.position.crossing import Run
from middlewatch.navigator.position.lines import PositionLine, Ray
from middlewatch.quantities.angles import direction, direction_of, three_figures, turn

LEAST_CHANGE_DEG = 10.0
"""The mark must have moved so much from bearing to bearing (judgement)."""
_STRAIGHT_DEG, _EVEN_PART = 5.0, 0.1
"""How alike the two runs must be, by heading and log, to count as one straight run."""
_POOREST_DEG = 20.0


@dataclass(frozen=True, slots=True)
class MadeGood:
    """A course made good, true, with one standard deviation, and the ids of the bearings it is of."""

    course_deg: float
    sd_deg: float
    bearings: tuple[str, str, str]

    def __str__(self) -> str:
        """Say it in a sentence."""
        named = ", ".join(self.bearings)
        return (
            f"bearings {named} make the course made good {three_figures(self.course_deg)} T, one standard"
            f" deviation {self.sd_deg:.0f} degrees, whatever the log says"
        )


def made_good(newest: PositionLine, older: Sequence[PositionLine], run: Run) -> MadeGood | None:
    """Return the course that a bearing makes with two earlier ones of its mark, None where they make none."""
    if not isinstance(newest.shape, Ray):
        return None
    of_mark = [line for line in older if line.mark == newest.mark and isinstance(line.shape, Ray)]
    found = [
        course
        for place, first in enumerate(of_mark)
        for middle in of_mark[place + 1 :]
        if (course := _course((first, middle, newest), run)) is not None
    ]
    return min(found, key=lambda course: course.sd_deg) if found else None


def _course(lines: tuple[PositionLine, PositionLine, PositionLine], run: Run) -> MadeGood | None:
    first, middle, newest = lines
    one_m, other_m = run.run_m(first.second, middle.second), run.run_m(middle.second, newest.second)
    if one_m is None or other_m is None or not _straight(one_m, other_m, lines):
        return None
    bearings = [line.shape.bearing_true_deg for line in lines if isinstance(line.shape, Ray)]
    changes = turn(bearings[0], bearings[1]), turn(bearings[1], bearings[2])
    if min(abs(change) for change in changes) < LEAST_CHANGE_DEG or changes[0] * changes[1] < 0.0:
        return None
    times = float(first.second - middle.second), float(newest.second - middle.second)
    near_deg = direction_of(one_m[0] + other_m[0], one_m[1] + other_m[1])
    course_deg = _solved(bearings, times, near_deg)
    shifts = []
    for place, line in enumerate(lines):
        if isinstance(line.shape, Ray):
            moved = [each + (line.shape.sd_deg if n == place else 0.0) for n, each in enumerate(bearings)]
            shifts.append(turn(course_deg, _solved(moved, times, near_deg)))
    sd_deg = hypot(*shifts)
    return None if sd_deg > _POOREST_DEG else MadeGood(course_deg, sd_deg, (first.id, middle.id, newest.id))


def _solved(bearings_deg: Sequence[float], times_s: tuple[float, float], near_deg: float) -> float:
    """Return the course on which a mark bears so at these times before and after the middle bearing.

    With r the distance at the middle one and s the speed, r sin(b2 - b) = s t sin(c - b) holds for the first
    and for the last; divided by each other r and s are gone. Of the two ways along the line, the one nearer
    to the course steered.
    """
    first, middle, last = (radians(each) for each in bearings_deg)
    one = sin(middle - first) * times_s[1]
    other = sin(middle - last) * times_s[0]
    along = degrees(atan2(one * sin(last) - other * sin(first), one * cos(last) - other * cos(first)))
    return direction(along if abs(turn(along, near_deg)) <= 90.0 else along + 180.0)


def _straight(
    one_m: tuple[float, float],
    other_m: tuple[float, float],
    lines: tuple[PositionLine, PositionLine, PositionLine],
) -> bool:
    """Say whether two runs are one straight run at one speed, by heading and log."""
    first, middle, newest = lines
    if hypot(*one_m) == 0.0 or hypot(*other_m) == 0.0:
        return False
    bent_deg = abs(turn(direction_of(*one_m), direction_of(*other_m)))
    speeds = hypot(*one_m) / (middle.second - first.second), hypot(*other_m) / (newest.second - middle.second)
    return bent_deg <= _STRAIGHT_DEG and max(speeds) - min(speeds) <= _EVEN_PART * max(speeds)
