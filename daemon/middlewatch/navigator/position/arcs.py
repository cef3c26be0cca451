"""The arc of a horizontal angle: the circle through two marks, from all of which they stand so far apart."""

from dataclasses import dataclass
from math import hypot, radians, sin, tan

from middlewatch.navigator.position.misses import Miss, turned_by_mark_rad
from middlewatch.quantities.angles import direction, direction_of, turn, unit
from middlewatch.quantities.lengths import METRES_PER_NM
from middlewatch.quantities.positions import Position

_LEAST_NM = 1.0 / METRES_PER_NM


@dataclass(frozen=True, slots=True)
class AngleArc:
    """An angle from a left mark clockwise to a right one, degrees, and its doubt, minutes of arc.

    `left_sd_nm`, `right_sd_nm`: how well the marks' own places are known.
    """

    left: Position
    right: Position
    angle_deg: float
    sd_min: float
    left_sd_nm: float = 0.0
    right_sd_nm: float = 0.0

    @property
    def radius_nm(self) -> float:
        """The radius of the circle."""
        return self.left.to(self.right)[1] / (2.0 * sin(radians(self.angle_deg)))

    @property
    def centre(self) -> Position:
        """The centre of the circle; for an angle under 90 on the boat's side of the marks."""
        towards_deg, apart_nm = self.left.to(self.right)
        middle = self.left.along(towards_deg, apart_nm / 2.0)
        # The boat has the left mark to the left, so she lies to the right of the way from it to the other.
        off_nm = apart_nm / 2.0 / tan(radians(self.angle_deg))
        return middle.along(direction(towards_deg + (90.0 if off_nm >= 0.0 else 270.0)), abs(off_nm))

    def misses(self, boat: Position) -> tuple[Miss, ...]:
        """Return the miss at a place, with the way it grows: one of them, across the arc."""
        north, east = self._growth(boat)
        steep = hypot(north, east)
        return (Miss(self.miss_m(boat), north / steep, east / steep),)

    def miss_m(self, boat: Position) -> float:
        """Return how far a place is off the arc, in metres, + inside, where the angle is larger.

        As the angle there differs, by how fast it changes there: exact on the arc, and near it good.
        """
        return radians(self._more_deg(boat)) / hypot(*self._growth(boat))

    def sd_m(self, boat: Position) -> float:
        """Return one standard deviation across the arc at a place, in metres."""
        return max(1.0, self.sd_rad(boat) / hypot(*self._growth(boat)))

    def sd_rad(self, boat: Position) -> float:
        """Return one standard deviation of the angle as seen from a place: the eye's, and the marks'."""
        by_left = turned_by_mark_rad(self.left_sd_nm, boat.to(self.left)[1])
        by_right = turned_by_mark_rad(self.right_sd_nm, boat.to(self.right)[1])
        return hypot(radians(self.sd_min / 60.0), by_left, by_right)

    def ahead(self, boat: Position) -> bool:
        """Say whether the left mark would stand to the left."""
        return turn(boat.to(self.left)[0], boat.to(self.right)[0]) > 0.0

    def direction_deg(self, boat: Position) -> float:
        """Return the way the arc runs by a place, degrees true."""
        return direction(direction_of(*self._growth(boat)) + 90.0)

    def shifted(self, north_m: float, east_m: float) -> "AngleArc":
        """Return the arc as drawn after a run of (north, east) metres: both marks carried along."""
        left, right = self.left.moved(north_m, east_m), self.right.moved(north_m, east_m)
        return AngleArc(left, right, self.angle_deg, self.sd_min, self.left_sd_nm, self.right_sd_nm)

    def _more_deg(self, boat: Position) -> float:
        seen_deg = direction(boat.to(self.right)[0] - boat.to(self.left)[0])
        return turn(self.angle_deg, seen_deg)

    def _growth(self, boat: Position) -> tuple[float, float]:
        """Return the (north, east) by which the angle grows, radians a metre."""
        (left_deg, left_nm), (right_deg, right_nm) = boat.to(self.left), boat.to(self.right)
        # A bearing grows as the boat goes to the left of it, the more the nearer the mark is.
        (ln, le), (rn, re) = unit(left_deg - 90.0), unit(right_deg - 90.0)
        left_m = max(left_nm, _LEAST_NM) * METRES_PER_NM
        right_m = max(right_nm, _LEAST_NM) * METRES_PER_NM
        return rn / right_m - ln / left_m, re / right_m - le / left_m
