"""Figures: the one that a sighting was entered with, or is told by, and how finely it is read."""

from math import radians

from middlewatch.navigator.position.lines import Circle, PositionLine, TransitRay
from middlewatch.navigator.position.regions import InSight, Wedge
from middlewatch.quantities.lengths import METRES_PER_NM
from middlewatch.quantities.positions import Position
from middlewatch.readings.entries import (
    Bearing,
    HorizontalAngle,
    Order,
    Passing,
    PositionSight,
    Range,
    Sighting,
    Sounding,
    VerticalAngle,
)

_BEARINGS_READ_TO = radians(1.0)
_ANGLES_READ_TO = radians(1.0 / 60.0)
_DISTANCES_READ_TO_M = 0.1 * METRES_PER_NM
"""So finely figures are read: that an old one comes again just so is as likely as this is wide."""


def figure(request: Sighting | Order) -> float | None:
    """Return the one figure that a sighting was entered with, of a position the latitude; None without."""
    match request:
        case Bearing(bearing_deg=entered) | HorizontalAngle(angle_deg=entered):
            return entered
        case Range(distance_nm=entered) | VerticalAngle(angle_min=entered) | Passing(distance_m=entered):
            return entered
        case Sounding(depth_m=entered):
            return entered
        case PositionSight(position=entered_at):
            return entered_at.latitude_deg
        case _:
            return None


def told_by(request: Sighting, line: PositionLine, ep: Position) -> float:
    """Return the figure that a sighting is told by: the one it was entered with.

    Where it has none: of a transit its bearing, true; of a light raised or dipped how far it shows, nm; of a
    colour the bearing, true, on which its light is expected from the EP.
    """
    entered = figure(request)
    if entered is not None:
        return entered
    match line.shape:
        case TransitRay(bearing_true_deg=bearing_deg):
            return bearing_deg
        case Circle(radius_nm=radius_nm) | InSight(radius_nm=radius_nm):
            return radius_nm
        case Wedge(mark=light):
            return ep.to(light)[0]
        case _:
            raise TypeError(f"{line.kind} is told by no figure")


def read_to(request: Sighting, line: PositionLine) -> float | None:
    """Return how finely its figure is read, radians or metres; None where that tells no sighting apart."""
    match request:
        case Bearing():
            return _BEARINGS_READ_TO
        case HorizontalAngle():
            return _ANGLES_READ_TO
        case Range():
            return _DISTANCES_READ_TO_M
        case VerticalAngle(angle_min=angle_min) if isinstance(line.shape, Circle):
            return line.shape.radius_nm * METRES_PER_NM / angle_min
        case _:
            return None
