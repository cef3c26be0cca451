"""Regions: what a sighting says of where the boat is without a line that could be crossed with another.

A light in sight at all, a sector's colour, a contour sounded: each is weighed in the area only. A region
answers as a line does, but has no misses to bring to nothing, and no way to run.
"""

from dataclasses import dataclass, replace
from itertools import pairwise
from math import hypot, radians

from middlewatch.navigator.position.misses import Miss, turned_by_mark_rad
from middlewatch.quantities.angles import turn
from middlewatch.quantities.lengths import METRES_PER_NM
from middlewatch.quantities.positions import Position
from middlewatch.readings.marks import Sector


@dataclass(frozen=True, slots=True)
class InSight:
    """A light in sight: at or inside a range; one standard deviation of that range in nautical miles."""

    centre: Position
    radius_nm: float
    sd_nm: float

    def misses(self, _boat: Position) -> tuple[Miss, ...]:
        """Return none: there is no line to cross."""
        return ()

    def miss_m(self, boat: Position) -> float:
        """Return how far outside a place is, in metres."""
        return max(0.0, boat.to(self.centre)[1] - self.radius_nm) * METRES_PER_NM

    def sd_m(self, _boat: Position) -> float:
        """Return one standard deviation of the edge, in metres."""
        return self.sd_nm * METRES_PER_NM

    def ahead(self, _boat: Position) -> bool:
        """Say yes: a light in sight is on no particular side."""
        return True

    def shifted(self, north_m: float, east_m: float) -> "InSight":
        """Return it as drawn after a run of (north, east) metres."""
        return replace(self, centre=self.centre.moved(north_m, east_m))


@dataclass(frozen=True, slots=True)
class Wedge:
    """A colour shown by a light, and the sectors, true from seaward, that show it.

    `shown` false (a light that showed nothing): the sectors are all its lit ones, and the boat in none.
    `sd_deg`: how soft their edges are; `mark_sd_nm`: how well the light's own place is known.
    """

    mark: Position
    sectors: tuple[Sector, ...]
    shown: bool
    sd_deg: float
    mark_sd_nm: float = 0.0

    def misses(self, _boat: Position) -> tuple[Miss, ...]:
        """Return none: the edges are too soft to cross."""
        return ()

    def miss_m(self, boat: Position) -> float:
        """Return how far outside a place is, in metres along the circle round the light."""
        bearing_deg, distance_nm = boat.to(self.mark)
        inside = [_inside_deg(sector, bearing_deg) for sector in self.sectors]
        outside_deg = -max(inside) if self.shown else max(inside)
        return radians(max(0.0, outside_deg)) * METRES_PER_NM * distance_nm

    def sd_m(self, boat: Position) -> float:
        """Return one standard deviation of the edges at a place, in metres."""
        return hypot(radians(self.sd_deg) * boat.to(self.mark)[1], self.mark_sd_nm) * METRES_PER_NM

    def sd_rad(self, boat: Position) -> float:
        """Return one standard deviation of the edges as they hold at a place, radians."""
        return hypot(radians(self.sd_deg), turned_by_mark_rad(self.mark_sd_nm, boat.to(self.mark)[1]))

    def ahead(self, _boat: Position) -> bool:
        """Say yes: the sectors themselves tell the side."""
        return True

    def arcs(self, boat: Position) -> tuple[tuple[float, float], ...]:
        """Return the arcs, true from seaward, on which the boat is: the one nearest to a place first.

        Of a light that showed nothing they are the gaps between its lit sectors, which may overlap.
        """
        arcs = [(sector.from_true_deg % 360.0, sector.to_true_deg % 360.0) for sector in self.sectors]
        if not self.shown:
            arcs = _gaps(self.sectors)
        bearing_deg = boat.to(self.mark)[0]
        return tuple(sorted(arcs, key=lambda arc: (-_inside_deg(Sector("", *arc), bearing_deg), arc)))

    def shifted(self, north_m: float, east_m: float) -> "Wedge":
        """Return it as drawn after a run of (north, east) metres."""
        return replace(self, mark=self.mark.moved(north_m, east_m))


@dataclass(frozen=True, slots=True)
class ContourBand:
    """A contour, and how far off it the boat may be: one standard deviation in nautical miles.

    `depth_m`: what it is the contour of, below chart datum; None of one from a journal that did not keep it.
    """

    points: tuple[Position, ...]
    sd_nm: float
    depth_m: float | None = None

    def misses(self, _boat: Position) -> tuple[Miss, ...]:
        """Return none: a contour is a band, and bends too often to be crossed."""
        return ()

    def miss_m(self, boat: Position) -> float:
        """Return how far a place is from the contour, in metres."""
        return boat.to(self.nearest(boat))[1] * METRES_PER_NM

    def sd_m(self, _boat: Position) -> float:
        """Return one standard deviation across the contour, in metres."""
        return self.sd_nm * METRES_PER_NM

    def ahead(self, _boat: Position) -> bool:
        """Say yes: a contour is on no particular side."""
        return True

    def shifted(self, north_m: float, east_m: float) -> "ContourBand":
        """Return it as drawn after a run of (north, east) metres."""
        return replace(self, points=tuple(point.moved(north_m, east_m) for point in self.points))

    def nearest(self, boat: Position) -> Position:
        """Return the point of the contour that is nearest to a place."""
        offsets = [boat.offset_to(point) for point in self.points]
        feet = [_foot(*pair) for pair in pairwise(offsets)]
        return boat.moved(*min(feet, key=lambda foot: hypot(*foot)))


Region = InSight | Wedge | ContourBand


def middle_and_half(sector: Sector) -> tuple[float, float]:
    """Return the middle of a sector and half its width, degrees; from 0 to 360 is all round."""
    width_deg = (sector.to_true_deg - sector.from_true_deg) % 360.0 or 360.0
    return sector.from_true_deg + width_deg / 2.0, width_deg / 2.0


def _gaps(sectors: tuple[Sector, ...]) -> list[tuple[float, float]]:
    """Return what no sector covers, clockwise."""
    limits = sorted({limit % 360.0 for each in sectors for limit in (each.from_true_deg, each.to_true_deg)})
    between = [(one, other) for one, other in pairwise([*limits, limits[0] + 360.0]) if one != other]
    dark = [
        (one, other)
        for one, other in between
        if max(_inside_deg(sector, (one + other) / 2.0) for sector in sectors) < 0.0
    ]
    return [(one, other % 360.0) for one, other in dark]


def _inside_deg(sector: Sector, bearing_deg: float) -> float:
    middle_deg, half_deg = middle_and_half(sector)
    return half_deg - abs(turn(middle_deg, bearing_deg))


def _foot(one: tuple[float, float], other: tuple[float, float]) -> tuple[float, float]:
    """Return the point between two, (north, east), that is nearest to nothing."""
    north, east = other[0] - one[0], other[1] - one[1]
    square = north * north + east * east
    part = 0.0 if square == 0.0 else -(one[0] * north + one[1] * east) / square
    part = min(max(part, 0.0), 1.0)
    return one[0] + part * north, one[1] + part * east
