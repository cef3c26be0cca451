"""Carrying lines along the run, and finding where they meet.

At the newest moment the boat is at P; earlier, by the run between, it was at P less that run: a line taken
then is judged there. Where two lines meet, both misses are nothing; three or more are brought together by the
least sum of squared perpendicular distances. The misses are geodesic; the plane only starts the search.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import hypot, sqrt
from typing import Protocol

from middlewatch.navigator.position.arcs import AngleArc
from middlewatch.navigator.position.lines import (
    Circle,
    Line,
    Point,
    PositionLine,
    Ray,
    Shape,
    TransitRay,
)
from middlewatch.navigator.position.misses import Miss
from middlewatch.quantities.angles import direction, direction_of, turn, unit
from middlewatch.quantities.lengths import METRES_PER_NM
from middlewatch.quantities.positions import Position

_SETTLED_M = 1e-4
_MOST_STEPS = 50
_LOST_M = 500 * METRES_PER_NM
_SAME_PLACE_M = 1.0
_MEETS_M = 1.0


@dataclass(frozen=True, slots=True)
class Origin:
    """Where the DR in force started: when, where, one standard deviation of each axis, and by what.

    `by_sight` is false where a satellite position is among its parents.
    """

    second: int
    position: Position
    sd_nm: float
    by_sight: bool


class Run(Protocol):
    """The reckoning, as lines and fixes need it, by whole seconds of the boat's own time scale."""

    def ep(self, second: int) -> Position | None:
        """Return the EP then, None where there is none."""

    def dr(self, second: int) -> Position | None:
        """Return the DR then, run on from the origin in force at the newest line; None without one."""

    def run_m(self, from_second: int, to_second: int) -> tuple[float, float] | None:
        """Return the metres (north, east) the EP ran between: heading, log, leeway and ordered stream.

        Through every alteration, and through no adoption. None where the run is not known.
        """

    def origin(self, second: int) -> Origin | None:
        """Return the origin of the DR in force then."""


@dataclass(frozen=True, slots=True)
class Carried:
    """A line, and the run (north, east) in metres from its own moment to `to_ms`; None: at its own."""

    line: PositionLine
    north_m: float = 0.0
    east_m: float = 0.0
    to_ms: int | None = None

    def then(self, boat: Position) -> Position:
        """Return where the boat was when the line was taken, were it at this place now."""
        return boat.moved(-self.north_m, -self.east_m) if self.north_m or self.east_m else boat

    def misses(self, boat: Position) -> tuple[Miss, ...]:
        """Return the misses of the line for a place now."""
        return self.line.shape.misses(self.then(boat))

    def miss_m(self, boat: Position) -> float:
        """Return how far a place now is off the line, in metres."""
        return self.line.shape.miss_m(self.then(boat))

    def sd_m(self, boat: Position) -> float:
        """Return one standard deviation across the line for a place now, in metres, the run's not in it."""
        return self.line.shape.sd_m(self.then(boat))

    def ahead(self, boat: Position) -> bool:
        """Say whether the mark stood on the side it was seen on."""
        return self.line.shape.ahead(self.then(boat))

    def drawn(self) -> Shape:
        """Return the shape as it would be drawn now."""
        return self.line.shape.shifted(self.north_m, self.east_m)


@dataclass(frozen=True, slots=True)
class Spread:
    """A two-way spread: variances north and east and what they share, in squares of any one unit."""

    north: float
    shared: float
    east: float

    def along(self, direction_deg: float) -> float:
        """Return one standard deviation along a direction."""
        north, east = unit(direction_deg)
        # Rounding may leave a trace below nothing across a very narrow spread.
        variance = self.north * north * north + 2 * self.shared * north * east + self.east * east * east
        return sqrt(max(0.0, variance))

    @property
    def axis_deg(self) -> float:
        """The direction of the longer axis, degrees true, [0, 180)."""
        return direction_of(self.north - self.east, 2 * self.shared) / 2

    @property
    def longer(self) -> float:
        """One standard deviation along the longer axis."""
        return self.along(self.axis_deg)

    @property
    def shorter(self) -> float:
        """One standard deviation along the shorter axis."""
        return self.along(self.axis_deg + 90.0)


@dataclass(frozen=True, slots=True)
class Pull:
    """One equation of a least-squares search: a miss, the way it grows for a unit step, and its weight."""

    miss: float
    north: float
    east: float
    weight: float


def best_step(pulls: Iterable[Pull]) -> tuple[float, float] | None:
    """Return the (north, east) that makes the misses' weighted squares least; None where it is not fixed."""
    pulls = tuple(pulls)
    nn, ne, ee = _normal(pulls)
    away_north = sum(pull.weight * pull.north * pull.miss for pull in pulls)
    away_east = sum(pull.weight * pull.east * pull.miss for pull in pulls)
    determinant = nn * ee - ne * ne
    # Two lines within two thousandths of a degree of parallel fix nothing.
    if determinant <= 1e-9 * (nn + ee) ** 2 / 4:
        return None
    return (
        -(ee * away_north - ne * away_east) / determinant,
        -(nn * away_east - ne * away_north) / determinant,
    )


def spread_of(pulls: Sequence[Pull], sds: Sequence[float]) -> Spread:
    """Return how errors of these standard deviations in each miss, one by one, spread the best step."""
    nn, ne, ee = _normal(pulls)
    determinant = nn * ee - ne * ne
    north = shared = east = 0.0
    for pull, sd in zip(pulls, sds, strict=True):
        # What an error of one in this miss alone does to the step.
        to_north = pull.weight * (ee * pull.north - ne * pull.east) / determinant
        to_east = pull.weight * (nn * pull.east - ne * pull.north) / determinant
        north += (to_north * sd) ** 2
        shared += to_north * to_east * sd * sd
        east += (to_east * sd) ** 2
    return Spread(north, shared, east)


def _normal(pulls: Sequence[Pull]) -> tuple[float, float, float]:
    return (
        sum(pull.weight * pull.north * pull.north for pull in pulls),
        sum(pull.weight * pull.north * pull.east for pull in pulls),
        sum(pull.weight * pull.east * pull.east for pull in pulls),
    )


def carry(lines: Sequence[PositionLine], run: Run) -> tuple[Carried, ...] | None:
    """Bring lines to the moment of the last of them by the run between; None where that is not known."""
    newest, carried = lines[-1], list[Carried]()
    for line in lines:
        if line.second == newest.second:
            carried.append(Carried(line))
        elif (run_m := run.run_m(line.second, newest.second)) is not None:
            carried.append(Carried(line, *run_m, to_ms=newest.at_ms))
        else:
            return None
    return tuple(carried)


def meetings(lines: Sequence[Carried]) -> tuple[Position, ...]:
    """Return every place where the lines meet, on whichever side of the marks; none where they do not.

    Of three and more: every place from which no step brings them closer together.
    """
    found: list[Position] = []
    for start in _starts(lines):
        place = settle(lines, start)
        if place is None or any(place.to(other)[1] * METRES_PER_NM < _SAME_PLACE_M for other in found):
            continue
        misses = [miss for line in lines for miss in line.misses(place)]
        # Two equations are met exactly or not at all: circles that do not reach each other settle between.
        if len(misses) == 2 and max(abs(miss.metres) for miss in misses) > _MEETS_M:
            continue
        found.append(place)
    return tuple(found)


def settle(lines: Sequence[Carried], start: Position) -> Position | None:
    """Search from a start for the place where the lines come together best (Gauss-Newton, local metres)."""
    place = start
    for _ in range(_MOST_STEPS):
        step = best_step(pulls(lines, place))
        stepped = _stepped(place, *step) if step else None
        if step is None or stepped is None:
            return None
        place = stepped
        if hypot(*step) < _SETTLED_M:
            return place
    return None


def _stepped(place: Position, north_m: float, east_m: float) -> Position | None:
    """Return where a step of the search leads; None where it is lost: out of all sight, or over a pole."""
    far_m = hypot(north_m, east_m)
    if far_m > _LOST_M or abs(place.latitude_deg) + far_m / METRES_PER_NM / 60 >= 90.0:
        return None
    return place.moved(north_m, east_m)


def pulls(lines: Sequence[Carried], place: Position) -> tuple[Pull, ...]:
    """Return the equations of the lines at a place.

    Perpendicular distances count alike, as on the chart. Only where a point is among the lines is each
    distance taken in its own standard deviation: a buoy passed close by is not to be dragged half way to the
    bearing of a far light.
    """
    by_spread = any(isinstance(line.line.shape, Point) for line in lines)
    return tuple(
        Pull(miss.metres, miss.north, miss.east, line.sd_m(place) ** -2 if by_spread else 1.0)
        for line in lines
        for miss in line.misses(place)
    )


def spread_m2(lines: Sequence[Carried], place: Position) -> Spread:
    """Return how the lines' own standard deviations spread the place they make, in square metres."""
    return spread_of(pulls(lines, place), [line.sd_m(place) for line in lines for _ in line.misses(place)])


def newest_ray(lines: Sequence[Carried]) -> Ray | TransitRay | None:
    """Return the newest bearing or transit among lines, the oldest first, None where there is none."""
    shapes = [carried.line.shape for carried in lines]
    return next((shape for shape in reversed(shapes) if isinstance(shape, Ray | TransitRay)), None)


def widest_cut_deg(lines: Sequence[Carried], place: Position) -> float | None:
    """Return the angle, 0-90, of the two lines that cut best at a place; None for fewer than two lines."""
    cuts = [cut for one, other in combinations(lines, 2) if (cut := cut_deg(one, other, place)) is not None]
    return max(cuts, default=None)


def cut_deg(one: Carried, other: Carried, place: Position) -> float | None:
    """Return the angle at which two lines cut at a place, 0-90 degrees; None where one does not run."""
    first, second = one.line.shape, other.line.shape
    if not (isinstance(first, Line) and isinstance(second, Line)):
        return None
    gap = abs(turn(first.direction_deg(one.then(place)), second.direction_deg(other.then(place))))
    return min(gap, 180.0 - gap)


def _starts(lines: Sequence[Carried]) -> Iterable[Position]:
    shapes = [line.drawn() for line in lines]
    for shape in shapes:
        if isinstance(shape, Point):
            yield shape.position
    for one, other in combinations(shapes, 2):
        if isinstance(one, Line) and isinstance(other, Line):
            yield from _plane_crossings(one, other)


def _plane_crossings(one: Line, other: Line) -> list[Position]:
    """Return where two lines cross, or nearly, on a plane laid at the first one's mark."""
    base = _anchor(one)
    apart = base.offset_to(_anchor(other))
    if isinstance(one, Circle | AngleArc):
        if isinstance(other, Circle | AngleArc):
            places = _circles_cross(one.radius_nm * METRES_PER_NM, apart, other.radius_nm * METRES_PER_NM)
        else:
            places = _ray_crosses_circle(apart, other.bearing_true_deg, one.radius_nm * METRES_PER_NM)
    elif isinstance(other, Circle | AngleArc):
        # The circle's centre is the origin of that question; the answer is brought back to ours.
        to_ray = -apart[0], -apart[1]
        radius_m = other.radius_nm * METRES_PER_NM
        crossed = _ray_crosses_circle(to_ray, one.bearing_true_deg, radius_m)
        places = [(north + apart[0], east + apart[1]) for north, east in crossed]
    else:
        places = _rays_cross(one.bearing_true_deg, apart, other.bearing_true_deg)
    return [place for north, east in places if (place := _stepped(base, north, east)) is not None]


def _anchor(shape: Line) -> Position:
    return shape.centre if isinstance(shape, Circle | AngleArc) else shape.mark


def _rays_cross(first_deg: float, apart: tuple[float, float], second_deg: float) -> list[tuple[float, float]]:
    """Cross a line through the origin with one through `apart`, all (north, east) in metres."""
    (north, east), (other_north, other_east) = unit(first_deg), unit(second_deg)
    sine = north * other_east - east * other_north
    if abs(sine) < 1e-6:
        return []
    along = (apart[0] * other_east - apart[1] * other_north) / sine
    return [(along * north, along * east)]


def _ray_crosses_circle(
    through: tuple[float, float], bearing_deg: float, radius_m: float
) -> list[tuple[float, float]]:
    """Cross, or nearly, a line through a place with a circle round the origin; (north, east) in metres."""
    north, east = unit(bearing_deg)
    along = through[0] * north + through[1] * east
    foot = through[0] - along * north, through[1] - along * east
    # The plane leans a little from the ellipsoid and may let a line pass a circle that it cuts, so the search
    # never starts nearer the foot than half a radius; a line that does pass is found out at the end of it.
    half = sqrt(max(radius_m**2 - hypot(*foot) ** 2, radius_m**2 / 4))
    return [(foot[0] + side * half * north, foot[1] + side * half * east) for side in (1.0, -1.0)]


def _circles_cross(
    radius_m: float, apart: tuple[float, float], other_radius_m: float
) -> list[tuple[float, float]]:
    """Cross a circle round the origin with one round `apart`, all (north, east) in metres."""
    distance = hypot(*apart)
    if distance == 0.0:
        return []
    # The common chord stands square to the line of centres; both crossings are on it.
    along = (distance**2 + radius_m**2 - other_radius_m**2) / (2 * distance)
    north, east = apart[0] / distance, apart[1] / distance
    chord_deg = direction(direction_of(north, east) + 90.0)
    return _ray_crosses_circle((along * north, along * east), chord_deg, radius_m)
