"""A special pair here and now: which one a first bearing has begun, or why its rule does not hold."""

from cmath import phase
from math import degrees

from middlewatch.navigator.advice.special_pairs import STEADY_DEG, Pair, doubt, false_by, pair_of
from middlewatch.navigator.advice.view import View
from middlewatch.navigator.area.passage import between
from middlewatch.navigator.chartroom import Chartroom
from middlewatch.navigator.position.lines import PositionLine, Ray
from middlewatch.quantities.angles import direction, three_figures, turn
from middlewatch.quantities.instants import MS_PER_SECOND
from middlewatch.quantities.lengths import METRES_PER_NM, METRES_PER_SECOND_PER_KNOT
from middlewatch.quantities.positions import Position

_HARDLY_MOVING_KN = 0.5
_TELLS_A_COURSE_NM = 0.05


def pair_here(room: Chartroom, view: View, line: PositionLine) -> str | None:
    """Say which special pair a first bearing begins, or why its rule does not hold; None: it begins none.

    The angle on the bow is from the course through the water, leeway in it, so leeway that the EP holds does
    no harm; a stream by order does, and where it does more than the bearings' own doubt the rule is refused.
    """
    first = line.shape
    if not isinstance(first, Ray):
        return None
    pace = view.onward.streamed if view.onward.streamed_s else view.onward.after
    water, ground = pace.stretch.sums.run, pace.run
    if abs(water) < _HARDLY_MOVING_KN * METRES_PER_SECOND_PER_KNOT:
        return None
    course_deg = direction(degrees(phase(water)))
    on_the_bow_deg = turn(course_deg, first.bearing_true_deg)
    pair = pair_of(abs(on_the_bow_deg))
    if pair is None or _gone_by(room, pair, course_deg, first):
        return None
    at = room.scale.utc(line.second * MS_PER_SECOND).clock
    begun = f"{pair.name} (first bearing {abs(on_the_bow_deg):.0f} on the bow at {at})"
    altered_deg = _altered_since(room, line, course_deg)
    if altered_deg > STEADY_DEG:
        return f"{begun} does not hold: the course has been altered by {altered_deg:.0f} degrees since."
    wrong = false_by(pair, water, ground, to_starboard=on_the_bow_deg > 0.0)
    doubted = doubt(pair, room.tuning.doubts.bearing_deg)
    if wrong > doubted:
        return (
            f"{begun} does not hold: by the stream ordered its rule is out by {wrong:.0%} of the run,"
            f" more than the {doubted:.0%} that the bearings are."
        )
    return (
        f"{begun}, from the course through the water {three_figures(course_deg)} T: {pair.rule},"
        f" in still water, out by {doubted:.0%} of the run through the bearings alone."
    )


def _gone_by(room: Chartroom, pair: Pair, course_deg: float, first: Ray) -> bool:
    """Say whether the second angle has gone by."""
    ep = room.reckoning.now.ep
    if ep is None:
        return True
    bears_deg, _ = Position(*ep).to(first.mark)
    return abs(turn(course_deg, bears_deg)) >= pair.second_deg


def _altered_since(room: Chartroom, line: PositionLine, course_deg: float) -> float:
    """Return by how many degrees the run through the water since a line differs from the course of now."""
    course, before = room.reckoning.now, room.reckoning.integrals(line.second)
    run = between(before, course.integrals, course.second - line.second).sums.run
    if abs(run) < _TELLS_A_COURSE_NM * METRES_PER_NM:
        return 0.0
    return abs(turn(degrees(phase(run)), course_deg))
