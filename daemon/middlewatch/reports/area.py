"""The area: where the boat is 95 times in 100, as it is published."""

from dataclasses import dataclass
from math import copysign, cos, radians
from typing import Literal

from middlewatch.quantities.positions import longitude, radii_m
from middlewatch.reports.place import PlaceReport

AreaShape = Literal["ellipse", "wedge", "ring", "two"]
Corners = tuple[tuple[complex, ...], ...]
"""Polygons of corners, complex metres, north + east j."""

_DEGREES_PER_RADIAN = 57.29577951308232
_NEAR_A_POLE_DEG = 89.9
"""Nearer to a pole a parallel is too short to tell a corner's longitude by."""
_FAR_DEG = 90.0
"""On the other side of the earth east and west are one: no outline reaches there."""


@dataclass(frozen=True, slots=True)
class Outline:
    """Polygons that hold the boat 95 times in 100: drawn about a place, and carried on since.

    A corner drawn at z stands at `place` moved by shift + along * re(z) + across * im(z). Worked out only
    where it is wanted: it goes out each second, and changes its form each ten minutes.
    """

    latitude_deg: float
    longitude_deg: float
    drawn: Corners
    shift: complex = 0j
    along: complex = 1 + 0j
    across: complex = 1j

    def corners_deg(self) -> tuple[tuple[tuple[float, float], ...], ...]:
        """Return the polygons' corners as (latitude, longitude) in degrees."""
        meridional_m, _ = radii_m(self.latitude_deg)
        return tuple(
            tuple([self._place(corner, meridional_m) for corner in corners]) for corners in self.drawn
        )

    def metres(self, corner: complex) -> complex:
        """Return where a corner stands now: metres from the place it is told from, north + east j."""
        return self.shift + self.along * corner.real + self.across * corner.imag

    def holds(self, latitude_deg: float, longitude_deg: float) -> bool:
        """Return whether a place lies inside, by the even-odd rule."""
        if abs(longitude(longitude_deg - self.longitude_deg)) > _FAR_DEG:
            return False
        meridional_m, _ = radii_m(self.latitude_deg)
        inside = False
        for corners in self.drawn:
            north = self._north_of(latitude_deg, corners, meridional_m)
            # The way due east from a place can only meet a side that crosses its parallel: few do.
            for place, is_north in enumerate(north):
                if north[place - 1] is not is_north:
                    one, other = (self._place(corners[each], meridional_m) for each in (place - 1, place))
                    inside ^= _crosses_east(one, other, latitude_deg, longitude_deg)
        return inside

    def _north_of(self, latitude_deg: float, corners: tuple[complex, ...], meridional_m: float) -> list[bool]:
        """Return of each corner whether it lies north of a parallel: `_place` as far as that needs it."""
        if latitude_deg >= 90.0:
            return [False] * len(corners)
        shift, along, across = self.shift.real, self.along.real, self.across.real
        return [
            self.latitude_deg
            + (shift + along * each.real + across * each.imag) / meridional_m * _DEGREES_PER_RADIAN
            > latitude_deg
            for each in corners
        ]

    def _place(self, corner: complex, meridional_m: float) -> tuple[float, float]:
        metres = self.metres(corner)
        latitude_deg = self.latitude_deg + metres.real / meridional_m * _DEGREES_PER_RADIAN
        # The parallel half way.
        middle = (self.latitude_deg + latitude_deg) / 2
        if abs(middle) > _NEAR_A_POLE_DEG:
            middle = copysign(_NEAR_A_POLE_DEG, middle)
        if abs(latitude_deg) > 90.0:
            latitude_deg = copysign(90.0, latitude_deg)  # a corner beyond a pole is drawn at it
        parallel_m = meridional_m * cos(radians(middle))
        east = metres.imag / parallel_m * _DEGREES_PER_RADIAN
        return latitude_deg, longitude(self.longitude_deg + east)


def _crosses_east(
    one: tuple[float, float], other: tuple[float, float], latitude_deg: float, longitude_deg: float
) -> bool:
    """Return whether a side that crosses the parallel of a place does so to the east of it."""
    share = (latitude_deg - one[0]) / (other[0] - one[0])
    # Counted from the place, so that a side across 180 is no longer than it is.
    east, further = longitude(one[1] - longitude_deg), longitude(other[1] - longitude_deg)
    return east + share * longitude(further - east) > 0.0


@dataclass(frozen=True, slots=True)
class HeapReport:
    """One of two or more places where the boat may be, and how likely it is there."""

    latitude_deg: float
    longitude_deg: float
    weight: float


@dataclass(frozen=True, slots=True)
class AreaReport:
    """Where the boat is with this probability: an ellipse, and an outline for what an ellipse cannot say.

    The centre of the ellipse is no position: it may lie where the boat cannot be.
    """

    latitude_deg: float
    longitude_deg: float
    semi_major_nm: float
    semi_minor_nm: float
    orientation_deg: float
    probability: float
    shape: AreaShape
    outline: Outline
    most_probable: PlaceReport
    heaps: tuple[HeapReport, ...] | None = None


@dataclass(frozen=True, slots=True)
class StreamReport:
    """What carries the boat besides her run through the water, by all sightings: set, drift, and its area.

    The ellipse holds it with this probability; its centre is at (set, drift), its axes are in knots.
    """

    set_deg: float
    drift_kn: float
    semi_major_kn: float
    semi_minor_kn: float
    orientation_deg: float
    probability: float
