"""From a line of position on the plot to what the cloud weighs: laid out round the EP of its second."""

from cmath import rect
from math import cos, radians, sin

import numpy as np

from middlewatch.navigator.area.regions import ColourSeen, ContourSounded, LightSeen
from middlewatch.navigator.area.seen import (
    AngleSeen,
    BearingSeen,
    DistanceSeen,
    Plane,
    PointSeen,
    Seen,
    TransitSeen,
)
from middlewatch.navigator.area.unknowns import COUNT, Unknown
from middlewatch.navigator.chance import Floats
from middlewatch.navigator.position.arcs import AngleArc
from middlewatch.navigator.position.lines import Circle, Point, PositionLine, Ray, TransitRay
from middlewatch.navigator.position.regions import ContourBand, InSight, Wedge, middle_and_half
from middlewatch.quantities.lengths import METRES_PER_NM
from middlewatch.quantities.positions import Position


def seen(line: PositionLine, ep: Position, off_m: complex) -> Seen:
    """Return a line as it is seen round an EP; `off_m` leads from the EP to the path the area goes by."""

    def at(place: Position) -> complex:
        bearing_deg, distance_nm = ep.to(place)
        return rect(distance_nm * METRES_PER_NM, radians(bearing_deg)) - off_m

    match line.shape:
        case Ray(mark, bearing_deg, sd_deg, mark_sd_nm):
            own_sd, plane = radians(sd_deg), Plane.at(radians(ep.latitude_deg))
            mark_sd_m = mark_sd_nm * METRES_PER_NM
            return BearingSeen(
                line.mark, at(mark), radians(bearing_deg), own_sd, _shared(line), plane, mark_sd_m
            )
        case TransitRay(front, rear, sd_min, front_sd_nm, rear_sd_nm):
            sds_m = (front_sd_nm * METRES_PER_NM, rear_sd_nm * METRES_PER_NM)
            sd = radians(sd_min / 60.0)
            return TransitSeen(line.mark, at(front), at(rear), sd, mark_sds=sds_m)
        case Circle(centre, radius_nm, sd_nm):
            return DistanceSeen(line.mark, at(centre), radius_nm * METRES_PER_NM, sd_nm * METRES_PER_NM)
        case AngleArc(left, right, angle_deg, sd_min, left_sd_nm, right_sd_nm):
            sds_m = (left_sd_nm * METRES_PER_NM, right_sd_nm * METRES_PER_NM)
            sd = radians(sd_min / 60.0)
            return AngleSeen(line.mark, at(left), at(right), radians(angle_deg), sd, sds_m)
        case InSight(centre, radius_nm, sd_nm):
            return LightSeen(line.mark, at(centre), radius_nm * METRES_PER_NM, sd_nm * METRES_PER_NM)
        case Wedge(mark, sectors, shown, sd_deg, mark_sd_nm):
            limits = tuple((radians(a), radians(b)) for a, b in map(middle_and_half, sectors))
            plane = Plane.at(radians(ep.latitude_deg))
            soft, mark_sd_m = radians(sd_deg), mark_sd_nm * METRES_PER_NM
            return ColourSeen(line.mark, at(mark), limits, shown, soft, plane, mark_sd=mark_sd_m)
        case ContourBand(points=points, sd_nm=sd_nm):
            return ContourSounded(line.mark, tuple(at(point) for point in points), sd_nm * METRES_PER_NM)
        case Point(position, sd_nm):
            return PointSeen(line.mark, at(position), sd_nm * METRES_PER_NM)


def _shared(line: PositionLine) -> Floats | None:
    """Return which errors a bearing has in common with others, and with the reckoning.

    A compass or a variation that reads too little makes bearings too small and leaves the run too far left:
    what turns the run clockwise turns the bearings seen anticlockwise.
    """
    effects = np.zeros(COUNT)
    match line.reference:
        case "magnetic":
            effects[Unknown.HAND], effects[Unknown.VARIATION] = 1.0, -1.0
        case "true":
            effects[Unknown.HAND] = 1.0
        case "compass" | "relative":
            effects[Unknown.COMPASS] = effects[Unknown.VARIATION] = -1.0
            if line.head_true_deg is not None:
                head = radians(line.head_true_deg)
                effects[Unknown.SINE], effects[Unknown.COSINE] = -sin(head), -cos(head)
        case _:
            return None
    return effects
