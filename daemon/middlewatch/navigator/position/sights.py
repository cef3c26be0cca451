"""Sightings: what each says as a line of position, and how it stands to the reckoning."""

from dataclasses import dataclass
from math import hypot

from middlewatch.navigator.chartroom import Chartroom, mark_key
from middlewatch.navigator.deck_log.ledger import Logged
from middlewatch.navigator.deck_log.refusing import Refused
from middlewatch.navigator.position.lines import Circle, Point, PositionLine, Ray, Shape, TransitRay
from middlewatch.navigator.reckoning.compass import NoCard, ShipHead, bearing_chain
from middlewatch.navigator.reckoning.course import Course
from middlewatch.navigator.reckoning.variation import Found
from middlewatch.quantities.angles import direction, turn
from middlewatch.quantities.lengths import METRES_PER_NM
from middlewatch.quantities.positions import Position
from middlewatch.readings.entries import Bearing, Passing, PositionSight, Range, Sighting, Transit
from middlewatch.reports.answer import ChainReport

_NEVER_USED = "a satellite position is kept and drawn, never used"
_PASSING_SD_AT_LEAST_M = 10.0
"""A mark's charted place and the boat's own length are no better than that (judgement)."""


@dataclass(frozen=True, slots=True)
class Taken:
    """A sighting worked: its line (None: it has none), chain and mark, and why it is not used."""

    line: PositionLine | None
    chain: ChainReport | None
    mark: Position | None
    unused: str | None = None


@dataclass(frozen=True, slots=True)
class Standing:
    """How a sighting stands to the reckoning: expected and residual, in degrees or in nm, and how unusual."""

    expected_deg: float | None = None
    residual_deg: float | None = None
    expected_nm: float | None = None
    residual_nm: float | None = None
    unusual_sigma: float | None = None


def take(room: Chartroom, logged: Logged) -> Taken:
    """Work a sighting at its own second; Refused where it cannot be."""
    course = room.reckoning.course_at(logged.second)
    match logged.said.request:
        case Bearing() as bearing:
            return _bearing(room, logged, bearing, course)
        case Range() as distance:
            mark = room.place_of(distance.mark)
            sd_nm = distance.sd_nm or distance.distance_nm * room.tuning.doubts.range_part
            circle = Circle(mark, distance.distance_nm, sd_nm)
            return Taken(_line(room, logged, mark_key(distance.mark), circle), None, mark)
        case Transit() as transit:
            return _transit(room, logged, transit)
        case PositionSight() as seen:
            unused = _NEVER_USED if seen.source == "satellite" else None
            point = _line(room, logged, f"position by {seen.source}", Point(seen.position, seen.sd_nm))
            return Taken(point, None, seen.position, unused)
        case Passing() as passing:
            return _passing(room, logged, passing, course)
        case _:
            raise TypeError(f"{logged.said.kind} is no sighting")


def seen_marks(request: Sighting) -> tuple[str | Position, ...]:
    """Return the marks a sighting names."""
    match request:
        case Bearing(mark=mark):
            return () if mark is None else (mark,)
        case Range(mark=mark) | Passing(mark=mark):
            return (mark,)
        case Transit(mark=front, rear_mark=rear):
            return (front, rear)
        case _:
            return ()


def standing(room: Chartroom, logged: Logged, taken: Taken) -> Standing:
    """Hold a sighting against the EP of its own second; nothing is known before a departure."""
    ep = room.reckoning.ep(logged.second)
    if ep is None or taken.line is None or taken.mark is None:
        return Standing()
    bearing_deg, distance_nm = ep.to(taken.mark)
    ep_sd_nm = room.reckoning.sd_nm(logged.second, room.tuning.strongest_stream_kn)
    shape = taken.line.shape
    match shape:
        case Ray() | TransitRay():
            residual = turn(bearing_deg, shape.bearing_true_deg)
            off_nm = abs(shape.miss_m(ep)) / METRES_PER_NM
            return Standing(
                expected_deg=bearing_deg,
                residual_deg=residual,
                unusual_sigma=_sigmas(off_nm, shape.sd_m(ep) / METRES_PER_NM, ep_sd_nm),
            )
        case Circle(radius_nm=radius_nm, sd_nm=sd_nm):
            residual_nm = radius_nm - distance_nm
            return Standing(
                expected_nm=distance_nm,
                residual_nm=residual_nm,
                unusual_sigma=_sigmas(abs(residual_nm), sd_nm, ep_sd_nm),
            )
        case Point(sd_nm=sd_nm):
            return Standing(residual_nm=distance_nm, unusual_sigma=_sigmas(distance_nm, sd_nm, ep_sd_nm))


def _sigmas(off_nm: float, sd_nm: float, ep_sd_nm: float) -> float:
    return off_nm / hypot(sd_nm, ep_sd_nm)


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
        return Taken(None, chain, None, "no mark yet: kept open until amended with one")
    if chain.true_deg is None:
        raise _no_true_bearing(bearing, ship)
    sd_deg = bearing.sd_deg or room.tuning.doubts.bearing_deg
    line = _line(room, logged, mark_key(bearing.mark), Ray(mark, chain.true_deg, sd_deg))
    return Taken(line, chain, mark)


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


def _transit(room: Chartroom, logged: Logged, transit: Transit) -> Taken:
    front, rear = room.place_of(transit.mark), room.place_of(transit.rear_mark, "rear_mark")
    if front.to(rear)[1] * METRES_PER_NM < 1.0:
        reason = "two marks at one place make no transit"
        raise Refused("rear_mark", mark_key(transit.rear_mark), "another mark than the front one", reason)
    shape = TransitRay(front, rear, transit.sd_min or room.tuning.doubts.transit_min)
    named = f"{mark_key(transit.mark)} over {mark_key(transit.rear_mark)}"
    return Taken(_line(room, logged, named, shape), None, front)


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
    return Taken(_line(room, logged, mark_key(passing.mark), Point(place, sd_nm)), None, place)


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
