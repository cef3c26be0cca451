"""What a fix is worth, in one sentence a navigator would say of it."""

from collections.abc import Sequence
from math import hypot, radians, sin

from middlewatch.navigator.position.crossing import Carried, Spread, newest_ray, settle
from middlewatch.navigator.position.lines import Point, Ray
from middlewatch.quantities.angles import direction_of, three_figures, turn, unit
from middlewatch.quantities.lengths import METRES_PER_NM, METRES_PER_SECOND_PER_KNOT
from middlewatch.quantities.positions import Position

_A_KNOT_MPS = METRES_PER_SECOND_PER_KNOT
_HARDLY_NM = 0.005


def of_fix(lines: Sequence[Carried], cut_deg: float | None, spread: Spread) -> str:
    """Say what an error of its lines does to a fix whose lines belong to one moment."""
    longer_nm, shorter_nm = spread.longer / METRES_PER_NM, spread.shorter / METRES_PER_NM
    if len(lines) == 1:
        return f"A point by itself, unchecked: one standard deviation is {longer_nm:.2f} nm each way."
    weighed = any(isinstance(line.line.shape, Point) for line in lines)
    basis = "Weighed with a point" if weighed or cut_deg is None else f"Cut {cut_deg:.0f}"
    common = "; an error common to all of them does not show" if len(lines) > 2 else ""
    return (
        f"{basis}: one standard deviation in each line spreads the fix {longer_nm:.2f} nm"
        f" along {three_figures(spread.axis_deg)} T and {shorter_nm:.2f} nm across{common}."
    )


def of_running_fix(lines: Sequence[Carried], place: Position) -> str:
    """Say what the run of a running fix is worth: how the fix hangs on it, and what a knot of stream does.

    For one mark: distance off = run x sin A / sin (B - A), A and B the bearings' angles on the course made.
    """
    oldest, newest = lines[0], lines[-1]
    run_nm = hypot(oldest.north_m, oldest.east_m) / METRES_PER_NM
    made_good_deg = direction_of(oldest.north_m, oldest.east_m)
    elapsed_s = newest.line.second - oldest.line.second
    span = f"in those {elapsed_s / 60:.0f} min"
    if run_nm < _HARDLY_NM:
        could_nm = elapsed_s / 3600
        return (
            "The boat made no run between the lines:"
            f" one knot of stream {span} would have carried the earlier line {could_nm:.2f} nm."
        )
    basis = _sine_rule(lines, place, run_nm, made_good_deg) or (
        f"Drawn over a run of {run_nm:.2f} nm made good {three_figures(made_good_deg)} T"
    )
    if elapsed_s * _A_KNOT_MPS / METRES_PER_NM >= run_nm:
        return f"{basis}: one knot of foul stream {span} would undo the whole run, and the fix with it."
    return f"{basis}: one knot of foul stream {span} would {_effect_of_foul(lines, place, made_good_deg)}."


def _sine_rule(lines: Sequence[Carried], place: Position, run_nm: float, made_good_deg: float) -> str | None:
    first, second = lines[0].line, lines[-1].line
    if len(lines) != 2 or first.mark != second.mark:
        return None
    if not (isinstance(first.shape, Ray) and isinstance(second.shape, Ray)):
        return None
    on_the_bow = abs(turn(made_good_deg, first.shape.bearing_true_deg))
    between = abs(turn(first.shape.bearing_true_deg, second.shape.bearing_true_deg))
    off_nm = place.to(second.shape.mark)[1]
    worked_nm = run_nm * sin(radians(on_the_bow)) / sin(radians(between))
    # Said only where it is what was drawn: across the bow, or over a great run, the plane rule does not hold.
    if abs(worked_nm - off_nm) > max(0.01, 0.01 * off_nm):
        return None
    return f"Distance off {off_nm:.2f} nm = run {run_nm:.2f} nm x sin {on_the_bow:.0f} / sin {between:.0f}"


def _effect_of_foul(lines: Sequence[Carried], place: Position, made_good_deg: float) -> str:
    """Say where the lines would meet had there been a knot of stream against the course made good."""
    newest, (north, east) = lines[-1].line, unit(made_good_deg)
    fouled = [
        Carried(line.line, line.north_m - lost_m * north, line.east_m - lost_m * east)
        for line in lines
        for lost_m in [(newest.second - line.line.second) * _A_KNOT_MPS]
    ]
    moved = settle(fouled, place)
    if moved is None or not all(line.ahead(moved) for line in fouled):
        return "leave the lines no meeting ahead"
    ray = newest_ray(lines)
    nearer_nm = place.to(ray.mark)[1] - moved.to(ray.mark)[1] if ray else 0.0
    if nearer_nm > _HARDLY_NM:
        return f"put the boat {nearer_nm:.2f} nm nearer the mark than drawn"
    if nearer_nm < -_HARDLY_NM:
        return f"put the boat {-nearer_nm:.2f} nm farther from the mark than drawn, a fair one as much nearer"
    towards_deg, distance_nm = place.to(moved)
    return f"move the fix {distance_nm:.2f} nm towards {three_figures(towards_deg)} T"
