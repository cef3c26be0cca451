"""Sightings: what each says as a line of position."""

from dataclasses import dataclass, replace
from math import hypot

from middlewatch.navigator.chartroom import Chartroom, mark_key
from middlewatch.navigator.deck_log.ledger import Logged
from middlewatch.navigator.deck_log.refusing import Refused
from middlewatch.navigator.position.charted import place_sd_nm
from middlewatch.navigator.position.lights import light_range, sector_seen
from middlewatch.navigator.position.lines import Circle, Point, PositionLine, Ray, Shape, TransitRay
from middlewatch.navigator.position.sextant import horizontal_angle, vertical_angle
from middlewatch.navigator.position.soundings import sounding
from middlewatch.navigator.reckoning.compass import NoCard, ShipHead, bearing_chain
from middlewatch.navigator.reckoning.course import Course
from middlewatch.navigator.reckoning.variation import Found
from middlewatch.quantities.angles import direction
from middlewatch.quantities.lengths import METRES_PER_NM
from middlewatch.quantities.positions import Position
from middlewatch.readings.entries import (
    Bearing,
    HorizontalAngle,
    LightRange,
    Passing,
    PositionSight,
    Range,
    SectorSeen,
    Sighting,
    Sounding,
    Transit,
    VerticalAngle,
)
from middlewatch.reports.answer import ChainReport

_NEVER_USED = "a satellite position is kept and drawn, never used"
_PASSING_SD_AT_LEAST_M = 10.0
"""A mark's charted place and the boat's own length are no better than that (judgement)."""


@dataclass(frozen=True, slots=True)
class Taken:
    """A sighting worked: its line (None: it has none), its chain, and why it is not used.

    `remarks`: what its line rests on that the crew did not say.
    """

    line: PositionLine | None
    chain: ChainReport | None
    unused: str | None = None
    remarks: tuple[str, ...] = ()


def take(room: Chartroom, logged: Logged) -> Taken:
    """Work a sighting at its own second; Refused where it cannot be."""
    course = room.reckoning.course_at(logged.second)
    match logged.said.request:
        case Bearing() as bearing:
            return _bearing(room, logged, bearing, course)
        case Range() as distance:
            return _range(room, logged, distance)
        case Transit() as transit:
            return _transit(room, logged, transit)
        case PositionSight() as seen:
            return _position(room, logged, seen)
        case Passing() as passing:
            return _passing(room, logged, passing, course)
        case VerticalAngle() | HorizontalAngle() as angle:
            return _angle(room, logged, angle)
        case LightRange() | SectorSeen() as light:
            return _light(room, logged, light)
        case Sounding() as depth:
            return _sounding(room, logged, depth)
        case _:
            raise TypeError(f"{logged.said.kind} is no sighting")


def seen_marks(request: Sighting) -> tuple[str | Position, ...]:
    """Return the marks a sighting names."""
    match request:
        case Bearing(mark=mark):
            return () if mark is None else (mark,)
        case Range(mark=mark) | Passing(mark=mark) | VerticalAngle(mark=mark):
            return (mark,)
        case LightRange(mark=mark) | SectorSeen(mark=mark):
            return (mark,)
        case HorizontalAngle(mark=left, second_mark=right):
            return (left, right)
        case Transit(mark=front, rear_mark=rear):
            return (front, rear)
        case _:
            return ()


def _angle(room: Chartroom, logged: Logged, angle: VerticalAngle | HorizontalAngle) -> Taken:
    if isinstance(angle, VerticalAngle):
        circle, remarks = vertical_angle(room, angle)
        return Taken(_line(room, logged, mark_key(angle.mark), circle), None, None, remarks)
    named = f"{mark_key(angle.mark)} to {mark_key(angle.second_mark)}"
    return Taken(_line(room, logged, named, horizontal_angle(room, angle)), None)


def _light(room: Chartroom, logged: Logged, light: LightRange | SectorSeen) -> Taken:
    if isinstance(light, SectorSeen):
        return Taken(_line(room, logged, mark_key(light.mark), sector_seen(room, light)), None)
    reach, remarks = light_range(room, logged, light)
    return Taken(_line(room, logged, mark_key(light.mark), reach), None, None, remarks)


def _sounding(room: Chartroom, logged: Logged, depth: Sounding) -> Taken:
    band, remarks = sounding(room, depth)
    if band is None:
        return Taken(None, None, "; ".join(remarks))
    return Taken(_line(room, logged, f"the contour {depth.contour}", band), None, None, remarks)


def _bearing(room: Chartroom, logged: Logged, bearing: Bearing, course: Course) -> Taken:
    mark = None if bearing.mark is None else room.place_of(bearing.mark)
    ship = ShipHead(course.magnetic_heading_deg(room.reckoning.basis), course.heading_true_deg)
    try:
        chain = bearing_chain(
            bearing.bearing_deg,
            bearing.reference,
            ship=ship,
            steering_card=room.steering_card,
            variation=_variation(room, logged, course, mark),
        )
    except NoCard:
        wanted = "magnetic, true or relative; or steering_card in [compass]"
        reason = "a bearing by the ship's compass needs its deviation card, and the settings have none"
        raise Refused("reference", "compass", wanted, reason) from None
    if bearing.mark is None or mark is None:
        return Taken(None, chain, "no mark yet: kept open until amended with one")
    if chain.true_deg is None:
        raise _no_true_bearing(bearing, ship)
    sd_deg = bearing.sd_deg or room.tuning.doubts.bearing_deg
    ray = Ray(mark, chain.true_deg, sd_deg, place_sd_nm(room, bearing.mark))
    line = _line(room, logged, mark_key(bearing.mark), ray)
    line = replace(line, reference=bearing.reference, head_true_deg=course.heading_true_deg)
    return Taken(line, chain)


def _variation(room: Chartroom, logged: Logged, course: Course, mark: Position | None) -> Found | None:
    """Return the variation in use; before a departure, where nothing else gives a place, that at the mark."""
    if course.variation is not None or mark is None:
        return course.variation
    return room.reckoning.variation_near(mark, logged.second)


def _no_true_bearing(bearing: Bearing, ship: ShipHead) -> Refused:
    needs_head = bearing.reference in ("relative", "compass")
    if needs_head and ship.true_deg is None and ship.magnetic_deg is None:
        return Refused(
            "reference", bearing.reference, "magnetic or true, or a heading heard or by hand",
            "the ship's head was not known then",
        )  # fmt: skip
    return Refused(
        "reference", bearing.reference, "true, or a departure first",
        "the variation is not known: there is no reckoned position yet and the model needs one",
    )  # fmt: skip


def _range(room: Chartroom, logged: Logged, distance: Range) -> Taken:
    mark = room.place_of(distance.mark)
    sd_nm = distance.sd_nm or distance.distance_nm * room.tuning.doubts.range_part
    circle = Circle(mark, distance.distance_nm, hypot(sd_nm, place_sd_nm(room, distance.mark)))
    return Taken(_line(room, logged, mark_key(distance.mark), circle), None)


def _position(room: Chartroom, logged: Logged, seen: PositionSight) -> Taken:
    unused = _NEVER_USED if seen.source == "satellite" else None
    point = _line(room, logged, f"position by {seen.source}", Point(seen.position, seen.sd_nm))
    return Taken(point, None, unused)


def _transit(room: Chartroom, logged: Logged, transit: Transit) -> Taken:
    front, rear = room.place_of(transit.mark), room.place_of(transit.rear_mark, "rear_mark")
    if front.to(rear)[1] * METRES_PER_NM < 1.0:
        reason = "two marks at one place make no transit"
        raise Refused("rear_mark", mark_key(transit.rear_mark), "another mark than the front one", reason)
    sds_nm = (place_sd_nm(room, each) for each in (transit.mark, transit.rear_mark))
    shape = TransitRay(front, rear, transit.sd_min or room.tuning.doubts.transit_min, *sds_nm)
    named = f"{mark_key(transit.mark)} over {mark_key(transit.rear_mark)}"
    return Taken(_line(room, logged, named, shape), None)


def _passing(room: Chartroom, logged: Logged, passing: Passing, course: Course) -> Taken:
    mark = room.place_of(passing.mark)
    heading_true_deg = _head_true_deg(room, logged, course, mark)
    if heading_true_deg is None:
        wanted = "a heading heard or by hand, and the variation"
        reason = "abeam is worked from the heading, which was not known then"
        raise Refused("side", passing.side, wanted, reason)
    # The mark is abeam to port: the boat lies on the other side of it, to starboard.
    to_boat = 90.0 if passing.side == "port" else -90.0
    distance_nm = passing.distance_m / METRES_PER_NM
    place = mark.along(heading_true_deg + to_boat, distance_nm)
    sd_nm = max(distance_nm * room.tuning.doubts.passing_part, _PASSING_SD_AT_LEAST_M / METRES_PER_NM)
    point = Point(place, hypot(sd_nm, place_sd_nm(room, passing.mark)))
    return Taken(_line(room, logged, mark_key(passing.mark), point), None)


def _head_true_deg(room: Chartroom, logged: Logged, course: Course, mark: Position) -> float | None:
    if course.heading_true_deg is not None:
        return course.heading_true_deg
    magnetic_deg = course.magnetic_heading_deg(room.reckoning.basis)
    variation = _variation(room, logged, course, mark)
    if magnetic_deg is None or variation is None:
        return None
    # Magnetic to true: east variation ADDS.
    return direction(magnetic_deg + variation.value_deg)


def _line(room: Chartroom, logged: Logged, mark: str, shape: Shape) -> PositionLine:
    # A line bears the UTC it was taken at, and is worked at its second of the scale.
    at_ms = room.scale.utc(logged.at_ms).ms
    return PositionLine(logged.id, at_ms, logged.second, logged.said.kind, mark, shape)
