"""Polygons: few corners, no side across another, a hole reached by a bridge, and what lies inside."""

from collections.abc import Sequence
from heapq import heappop, heappush
from itertools import pairwise

import numpy as np

from middlewatch.navigator.chance import Floats

Bools = np.ndarray[tuple[int, ...], np.dtype[np.bool_]]
Order = np.ndarray[tuple[int, ...], np.dtype[np.intp]]

CORNERS = 60
"""So many corners are enough for all polygons of an area together."""


def northward(north_m: Floats) -> Order:
    """Return the order of places from south to north; of those equally far north, as they stand.

    Where no two are equally far there is one such order only, and a sort that keeps none is six times as
    fast.
    """
    order: Order = np.argsort(north_m)
    sorted_ = north_m[order]
    if (sorted_[1:] > sorted_[:-1]).all():
        return order
    return np.argsort(north_m, kind="stable")


def inside(polygons: Sequence[Floats], north_m: Floats, east_m: Floats) -> Bools:
    """Return which places (m) lie inside the polygons of (north, east) corners, by the even-odd rule."""
    order = northward(north_m)
    found = np.zeros(north_m.size, dtype=bool)
    for polygon in polygons:
        found[order] ^= odd(polygon, north_m[order], east_m[order])
    return found


def odd(polygon: Floats, north_m: Floats, east_m: Floats) -> Bools:
    """Return which places, sorted by north, have an odd number of the polygon's sides to the east of them."""
    ahead = np.roll(polygon, -1, axis=0)
    # From south to north, whichever way it was drawn: the two sides of a bridge then cancel to the last bit.
    upward = polygon[:, :1] < ahead[:, :1]
    south, north = np.where(upward, polygon, ahead), np.where(upward, ahead, polygon)
    first, last = np.searchsorted(north_m, south[:, 0]), np.searchsorted(north_m, north[:, 0])
    found = np.zeros(north_m.size, dtype=bool)
    for side in np.flatnonzero(last > first).tolist():
        passed = slice(first[side], last[side])
        (foot, foot_east), (head, head_east) = south[side].tolist(), north[side].tolist()
        lean = (head_east - foot_east) / (head - foot)
        found[passed] ^= east_m[passed] < foot_east + (north_m[passed] - foot) * lean
    return found


def cells_in(ring: Floats) -> float:
    """Return the area inside a ring, in the square of its unit."""
    ahead = np.roll(ring, -1, axis=0)
    return abs(float((ring[:, 0] * ahead[:, 1] - ring[:, 1] * ahead[:, 0]).sum())) / 2.0


def simplified(rings: list[Floats]) -> list[Floats]:
    """Return the rings in some 64 corners together; in more where they would cross."""
    corners = CORNERS
    while True:
        thinned = [ring[kept] for ring, kept in zip(rings, _corners(rings, corners), strict=True)]
        if not _cross(thinned) or corners > sum(len(ring) for ring in rings):
            return thinned
        corners *= 2


def _corners(rings: list[Floats], corners: int) -> list[list[int]]:
    """Return the corners to keep of each ring: always next the point farthest from what is drawn already."""
    kept = [[0, len(ring) // 3, 2 * len(ring) // 3] for ring in rings]
    bows: list[tuple[float, int, int, int, int]] = []
    for place, ring in enumerate(rings):
        for begin, end in pairwise([*kept[place], len(ring)]):
            _push(bows, place, ring, begin, end)
    spare = corners - sum(len(of_ring) for of_ring in kept)
    while bows and spare > 0:
        _, place, begin, middle, end = heappop(bows)
        kept[place].append(middle)
        spare -= 1
        _push(bows, place, rings[place], begin, middle)
        _push(bows, place, rings[place], middle, end)
    return [sorted(of_ring) for of_ring in kept]


def _push(
    bows: list[tuple[float, int, int, int, int]], place: int, ring: Floats, begin: int, end: int
) -> None:
    """Put into the heap how far the ring between two corners bows from the straight side, and where."""
    if end - begin < 2:
        return
    (from_x, from_y), (to_x, to_y) = ring[begin].tolist(), ring[end % len(ring)].tolist()
    side_x, side_y = to_x - from_x, to_y - from_y
    x, y = ring[begin + 1 : end, 0] - from_x, ring[begin + 1 : end, 1] - from_y
    length = max(side_x**2 + side_y**2, 1e-12)
    on_side = np.minimum(np.maximum((x * side_x + y * side_y) / length, 0.0), 1.0)
    gaps = (x - on_side * side_x) ** 2 + (y - on_side * side_y) ** 2
    widest = int(gaps.argmax())
    heappush(bows, (-float(gaps[widest]), place, begin, begin + 1 + widest, end))


def _cross(rings: list[Floats]) -> bool:
    """Return whether any two sides cross; those that share a corner do not."""
    if not rings:
        return False
    begin = np.concatenate(rings)
    end = np.concatenate([np.roll(ring, -1, axis=0) for ring in rings])
    side = (end - begin)[:, np.newaxis]

    def turns(points: Floats) -> Floats:
        off = points[np.newaxis] - begin[:, np.newaxis]
        turned: Floats = side[..., 0] * off[..., 1] - side[..., 1] * off[..., 0]
        return turned

    parted = turns(begin) * turns(end) < 0.0
    return bool((parted & parted.T).any())


def bridged(outer: Floats, holes: list[Floats]) -> Floats:
    """Return one polygon of a ring and its holes: out to each hole's nearest corner, round it, and back."""
    polygon = outer
    for hole in holes:
        off = polygon[:, np.newaxis] - hole[np.newaxis]
        leave, land = divmod(int((off[..., 0] ** 2 + off[..., 1] ** 2).argmin()), len(hole))
        round_it = np.roll(hole, -land, axis=0)
        polygon = np.concatenate((polygon[: leave + 1], round_it, round_it[:1], polygon[leave:]))
    return polygon
