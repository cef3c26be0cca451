"""Where lines of position run: places along a ray, an arc, about where the boat was."""

from collections.abc import Iterator
from functools import lru_cache
from math import ceil

from middlewatch.quantities.angles import turn
from middlewatch.quantities.positions import Position

_STEPS = 6
_NEAREST_NM = 0.02
_ARC_STEP_DEG = 4.0


@lru_cache(maxsize=2048)
def on_bearing(mark: Position, bearing_true_deg: float, distance_nm: float) -> Position:
    """Return the place, so far off, from which a mark bears as seen.

    The bearing was taken at the boat, and there it is made good: the geodesic leaves the mark by the
    reciprocal less what the meridians converge on the way, found by two steps, to a metre in fifty miles.
    """
    away_deg = bearing_true_deg + 180.0
    place = mark.along(away_deg, distance_nm)
    for _ in range(2):
        away_deg += turn(place.to(mark)[0], bearing_true_deg)
        place = mark.along(away_deg, distance_nm)
    return place


def along_ray(
    mark: Position, bearing_true_deg: float, near: Position, half_length_nm: float
) -> tuple[Position, ...]:
    """Return places on a bearing's line about the boat, from the mark's side outwards."""
    off_nm = near.to(mark)[1]
    first = max(_NEAREST_NM, off_nm - half_length_nm)
    last = off_nm + half_length_nm
    steps = (first + (last - first) * n / _STEPS for n in range(_STEPS + 1))
    return tuple(on_bearing(mark, bearing_true_deg, distance) for distance in steps)


def along_arc(
    centre: Position, radius_nm: float, near: Position, half_length_nm: float
) -> tuple[Position, ...]:
    """Return places on a circle about where the boat was, clockwise; all round where it is no longer."""
    middle_deg, _ = centre.to(near)
    half_deg = min(180.0, half_length_nm / max(radius_nm, 1e-6) * 57.3)
    count = max(4, ceil(2 * half_deg / _ARC_STEP_DEG))
    return tuple(_arc(centre, radius_nm, middle_deg - half_deg, 2 * half_deg / count, count))


def _arc(
    centre: Position, radius_nm: float, first_deg: float, step_deg: float, count: int
) -> Iterator[Position]:
    for n in range(count + 1):
        yield centre.along(first_deg + n * step_deg, radius_nm)
