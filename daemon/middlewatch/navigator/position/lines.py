"""Lines of position: what a sighting says of where the boat is.

A ray (from the boat to a mark), a transit (a ray over two marks), a circle, a point; the arc of a horizontal
angle, and the regions that can only be weighed, have files of their own beside this one. Each answers for
any place the boat might be: how far that is off the line, how well the line is known there, whether the mark
would really stand on the side it was seen on, and which way the line runs there.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import degrees, hypot, radians, sin

from middlewatch.navigator.position.arcs import AngleArc
from middlewatch.navigator.position.misses import Miss, turned_by_mark_rad
from middlewatch.navigator.position.regions import ContourBand, InSight, Region, Wedge
from middlewatch.quantities.angles import direction, turn, unit
from middlewatch.quantities.instants import Instant
from middlewatch.quantities.lengths import METRES_PER_NM
from middlewatch.quantities.positions import Position
from middlewatch.readings.entries import Reference
from middlewatch.reports.fix import LimitsReport, LineReport, LineWord
from middlewatch.reports.place import PlaceReport

_FINEST_SD_M = 1.0
"""No line is taken as known better than to a metre: charted marks are not (judgement)."""


@dataclass(frozen=True, slots=True)
class Ray:
    """A bearing: from the boat, `bearing_true_deg` leads to the mark; one standard deviation in degrees.

    `mark_sd_nm`: how well the mark's own place is known, one standard deviation of each axis.
    """

    mark: Position
    bearing_true_deg: float
    sd_deg: float
    mark_sd_nm: float = 0.0

    def misses(self, boat: Position) -> tuple[Miss, ...]:
        """Return the miss at a place, with the way it grows: one of them, across the bearing."""
        return (Miss(self.miss_m(boat), *_across(self.bearing_true_deg)),)

    def miss_m(self, boat: Position) -> float:
        """Return how far a place is off the line, in metres, + where the mark would bear more than seen."""
        azimuth_deg, distance_nm = boat.to(self.mark)
        return distance_nm * METRES_PER_NM * sin(radians(azimuth_deg - self.bearing_true_deg))

    def sd_m(self, boat: Position) -> float:
        """Return one standard deviation across the line at a place, metres: the angle's and the mark's."""
        by_angle_nm = boat.to(self.mark)[1] * radians(self.sd_deg)
        return max(_FINEST_SD_M, hypot(by_angle_nm, self.mark_sd_nm) * METRES_PER_NM)

    def sd_rad(self, boat: Position) -> float:
        """Return one standard deviation of the bearing as it holds at a place: its own and the mark's."""
        return hypot(radians(self.sd_deg), turned_by_mark_rad(self.mark_sd_nm, boat.to(self.mark)[1]))

    def ahead(self, boat: Position) -> bool:
        """Say whether the mark stands on the side it was seen on: a bearing is a ray, no endless line."""
        return abs(turn(self.bearing_true_deg, boat.to(self.mark)[0])) < 90.0

    def direction_deg(self, _boat: Position) -> float:
        """Return the way the line runs, degrees true."""
        return self.bearing_true_deg

    def shifted(self, north_m: float, east_m: float) -> "Ray":
        """Return the ray as drawn after a run of (north, east) metres: from the mark carried along."""
        return replace(self, mark=self.mark.moved(north_m, east_m))


@dataclass(frozen=True, slots=True)
class TransitRay:
    """Two marks seen in line, front over rear; `sd_min`: how well the eye judges them so, minutes of arc.

    `front_sd_nm`, `rear_sd_nm`: how well the marks' own places are known.
    """

    front: Position
    rear: Position
    sd_min: float
    front_sd_nm: float = 0.0
    rear_sd_nm: float = 0.0

    @property
    def mark(self) -> Position:
        """The mark the line is drawn from: the front one."""
        return self.front

    @property
    def bearing_true_deg(self) -> float:
        """The bearing of the marks in line, seen from the boat: degrees true, worked at the front mark."""
        return self.front.to(self.rear)[0]

    def misses(self, boat: Position) -> tuple[Miss, ...]:
        """Return the miss at a place, with the way it grows: one of them, across the transit."""
        return (Miss(self.miss_m(boat), *_across(self.bearing_true_deg)),)

    def miss_m(self, boat: Position) -> float:
        """Return how far a place is off the line through both marks, in metres, signed as a ray's."""
        azimuth_deg, distance_nm = self.front.to(boat)
        return distance_nm * METRES_PER_NM * sin(radians(azimuth_deg - self.bearing_true_deg - 180.0))

    def sd_m(self, boat: Position) -> float:
        """Return one standard deviation across the line at a place, in metres.

        At y off the line, a distance d from the front mark and d + s from the rear, the marks stand
        y/d - y/(d + s) = y s / (d (d + s)) radians apart: close marks far away are a poor transit. The front
        mark out by f across the line carries it f (d + s) / s aside at the boat, the rear one out by r the
        other way, r d / s.
        """
        off, spacing = self.front.to(boat)[1], self.front.to(self.rear)[1]
        by_eye_nm = radians(self.sd_min / 60.0) * off * (off + spacing) / spacing
        by_front_nm = self.front_sd_nm * (off + spacing) / spacing
        by_rear_nm = self.rear_sd_nm * off / spacing
        return max(_FINEST_SD_M, hypot(by_eye_nm, by_front_nm, by_rear_nm) * METRES_PER_NM)

    def ahead(self, boat: Position) -> bool:
        """Say whether the boat stands where the front mark covers the rear one, on the front mark's side."""
        return abs(turn(self.bearing_true_deg + 180.0, self.front.to(boat)[0])) < 90.0

    def direction_deg(self, _boat: Position) -> float:
        """Return the way the line runs, degrees true."""
        return self.bearing_true_deg

    def shifted(self, north_m: float, east_m: float) -> "TransitRay":
        """Return the transit as drawn after a run of (north, east) metres: both marks carried along."""
        front, rear = self.front.moved(north_m, east_m), self.rear.moved(north_m, east_m)
        return replace(self, front=front, rear=rear)


@dataclass(frozen=True, slots=True)
class Circle:
    """A distance off a centre; one standard deviation in nautical miles, the centre's own place in it."""

    centre: Position
    radius_nm: float
    sd_nm: float

    def misses(self, boat: Position) -> tuple[Miss, ...]:
        """Return the miss at a place, with the way it grows: one of them, away from the centre."""
        azimuth_deg, distance_nm = boat.to(self.centre)
        north, east = unit(azimuth_deg)
        return (Miss((distance_nm - self.radius_nm) * METRES_PER_NM, -north, -east),)

    def miss_m(self, boat: Position) -> float:
        """Return how far a place is off the circle, in metres, + outside."""
        return (boat.to(self.centre)[1] - self.radius_nm) * METRES_PER_NM

    def sd_m(self, _boat: Position) -> float:
        """Return one standard deviation across the circle, in metres."""
        return max(_FINEST_SD_M, self.sd_nm * METRES_PER_NM)

    def ahead(self, _boat: Position) -> bool:
        """Say yes: a distance was seen on no particular side."""
        return True

    def direction_deg(self, boat: Position) -> float:
        """Return the way the circle runs by a place, degrees true."""
        return direction(boat.to(self.centre)[0] + 90.0)

    def shifted(self, north_m: float, east_m: float) -> "Circle":
        """Return the circle as drawn after a run of (north, east) metres: round the centre carried along."""
        return Circle(self.centre.moved(north_m, east_m), self.radius_nm, self.sd_nm)


@dataclass(frozen=True, slots=True)
class Point:
    """A position as such: a mark passed close by, a position from elsewhere; sd of each axis in nm."""

    position: Position
    sd_nm: float

    def misses(self, boat: Position) -> tuple[Miss, ...]:
        """Return the misses at a place, with the way they grow: two of them, in latitude and in departure."""
        north_m, east_m = self.position.offset_to(boat)
        return Miss(north_m, 1.0, 0.0), Miss(east_m, 0.0, 1.0)

    def miss_m(self, boat: Position) -> float:
        """Return how far a place is from the point, in metres, never negative."""
        return hypot(*self.position.offset_to(boat))

    def sd_m(self, _boat: Position) -> float:
        """Return one standard deviation of each axis, in metres."""
        return max(_FINEST_SD_M, self.sd_nm * METRES_PER_NM)

    def ahead(self, _boat: Position) -> bool:
        """Say yes: a point was seen on no particular side."""
        return True

    def shifted(self, north_m: float, east_m: float) -> "Point":
        """Return the point as drawn after a run of (north, east) metres."""
        return Point(self.position.moved(north_m, east_m), self.sd_nm)


Line = Ray | TransitRay | Circle | AngleArc
"""What has a way to run, and so a cut with another."""

Shape = Line | Point | Region


@dataclass(frozen=True, slots=True)
class PositionLine:
    """A line of position: the sighting's id, time, kind, the key of its mark, and the shape.

    `at_ms` is UTC; `second` is the whole second, of the boat's own time scale, that it is worked at. A
    bearing has the reference it was taken by, and the ship's head then (true) where that had a part in it.
    """

    id: str
    at_ms: int
    second: int
    kind: str
    mark: str
    shape: Shape
    reference: Reference | None = None
    head_true_deg: float | None = None

    @property
    def named(self) -> str:
        """The line as other lines' words refer to it: its mark and the sighting's id."""
        return f"{self.mark} ({self.id})"

    @property
    def order(self) -> tuple[int, str]:
        """Where the line stands among others: by its time to the millisecond, then by its id."""
        return self.at_ms, self.id


def report(
    line: PositionLine,
    *,
    transferred_to: Instant | None = None,
    run_m: tuple[float, float] = (0.0, 0.0),
    seen_from: Position | None = None,
) -> LineReport:
    """Return the line as it would be drawn.

    For a line carried along, `run_m` (north, east) is the run to the moment `transferred_to`, and mark or
    centre are given as carried, so that the line can be drawn from the report alone. `seen_from` is where the
    boat is thought to have been at the line's own moment: the spread of a transit, and what the mark's own
    doubt adds to a bearing, are what they are there, and not known without.
    """
    shape = line.shape.shifted(*run_m) if transferred_to else line.shape
    drawn = _drawn(shape, seen_from, Instant(line.at_ms))
    sd_deg, sd_nm = _spread(line.shape, seen_from)
    return replace(drawn, sd_deg=sd_deg, sd_nm=sd_nm, transferred_to=transferred_to)


def _drawn(shape: Shape, seen_from: Position | None, at: Instant) -> LineReport:
    """Return a shape as it is drawn, its spread apart."""

    def drawn(kind: LineWord, place: Position, bearing_deg: float | None = None) -> LineReport:
        return LineReport(kind, *_place(place), bearing_deg, None, None, None, at)

    match shape:
        case Ray(mark=mark) | TransitRay(mark=mark):
            return drawn("ray", mark, shape.bearing_true_deg)
        case Circle(centre=centre, radius_nm=radius_nm) | AngleArc(centre=centre, radius_nm=radius_nm):
            return replace(drawn("circle", centre), radius_nm=radius_nm)
        case InSight(centre=centre, radius_nm=radius_nm):
            return replace(drawn("circle", centre), radius_nm=radius_nm, inside=True)
        case Wedge(mark=mark):
            return _with_limits(drawn("wedge", mark), shape.arcs(seen_from or mark))
        case ContourBand(points, depth_m=depth_m):
            line = tuple(PlaceReport(*_place(point)) for point in points)
            near = shape.nearest(seen_from) if seen_from else points[0]
            return replace(drawn("contour", near), depth_m=depth_m, points=line)
        case Point(position=position):
            return drawn("point", position)


def _with_limits(wedge: LineReport, arcs: Sequence[tuple[float, float]]) -> LineReport:
    if not arcs:
        return wedge
    (from_deg, to_deg), *others = arcs
    more = tuple(LimitsReport(*arc) for arc in others) or None
    return replace(wedge, from_deg=from_deg, to_deg=to_deg, others=more)


def _spread(seen: Shape, seen_from: Position | None) -> tuple[float | None, float | None]:
    """Return one standard deviation of a shape where the boat was: degrees, or nautical miles."""
    match seen:
        case Ray() | Wedge():
            told = degrees(seen.sd_rad(seen_from)) if seen_from and seen.mark_sd_nm else seen.sd_deg
            return told, None
        case TransitRay() | AngleArc():
            return None, seen.sd_m(seen_from) / METRES_PER_NM if seen_from else None
        case _:
            return None, seen.sd_nm


def _place(position: Position) -> tuple[float, float]:
    return position.latitude_deg, position.longitude_deg


def _across(bearing_true_deg: float) -> tuple[float, float]:
    """Return the unit vector along which a ray's miss grows: to port of the bearing."""
    # Going east past a mark due north, the mark bears ever less: the miss falls, so it grows to the west.
    return unit(bearing_true_deg - 90.0)
