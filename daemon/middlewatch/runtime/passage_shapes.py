"""Shapes on the round earth as GeoJSON has them: longitude first, cut at 180, rings by the right hand.

RFC 7946: 3.1.1 (order), 3.1.6 (rings closed, outer ones anticlockwise, holes clockwise), 3.1.9 (what crosses
the antimeridian is cut in two).
"""

from collections.abc import Iterable, Sequence
from typing import Any

from middlewatch.quantities.angles import turn
from middlewatch.quantities.positions import Position

Corner = tuple[float, float]
"""Longitude, latitude, degrees; of one shape the longitudes run on past 180 until it is cut."""

Geometry = dict[str, Any]

_DECIMALS = 7
_CIRCLE_CORNERS = 72
_RAY_POINTS = 12


def point(place: Position) -> Geometry:
    """Return a Point."""
    return {"type": "Point", "coordinates": _written((place.longitude_deg, place.latitude_deg))}


def line(places: Iterable[Position]) -> Geometry:
    """Return a LineString, or a MultiLineString where it crosses 180 degrees."""
    parts = _cut_line(_unrolled((each.longitude_deg, each.latitude_deg) for each in places))
    written = [[_written(corner) for corner in part] for part in parts]
    if len(written) == 1:
        return {"type": "LineString", "coordinates": written[0]}
    return {"type": "MultiLineString", "coordinates": written}


def lines(several: Iterable[Iterable[Position]]) -> Geometry:
    """Return several lines as one MultiLineString, each cut where it crosses 180 degrees."""
    drawn = [line(places) for places in several]
    parts = [[each["coordinates"]] if each["type"] == "LineString" else each["coordinates"] for each in drawn]
    return {"type": "MultiLineString", "coordinates": [part for each in parts for part in each]}


def areas(rings: Iterable[Iterable[Position]]) -> Geometry:
    """Return polygons of rings that hold by the even-odd rule: one inside another is a hole of it."""
    polygons: list[list[list[list[float]]]] = []
    unrolled = [_unrolled((each.longitude_deg, each.latitude_deg) for each in ring) for ring in rings]
    for outer, holes in _nested(unrolled):
        for west in _laps(outer):
            cut = _between(outer, west)
            if len(cut) < 3:
                continue
            rings_here = [_ring(cut, west, anticlockwise=True)]
            rings_here += [
                _ring(inside, west, anticlockwise=False)
                for hole in holes
                if len(inside := _between(_beside(outer, hole), west)) >= 3
            ]
            polygons.append(rings_here)
    if len(polygons) == 1:
        return {"type": "Polygon", "coordinates": polygons[0]}
    return {"type": "MultiPolygon", "coordinates": polygons}


def ray(mark: Position, bearing_true_deg: float, length_nm: float) -> list[Position]:
    """Return the line on which a mark bears so: from the mark back to where it bears so from far off."""
    step_nm = length_nm / _RAY_POINTS
    places = [_seeing(mark, bearing_true_deg, step_nm * k) for k in range(1, _RAY_POINTS + 1)]
    return [mark, *places]


def circle(centre: Position, radius_nm: float) -> list[Position]:
    """Return a circle, its first place again at its end."""
    step_deg = 360.0 / _CIRCLE_CORNERS
    places = [centre.along(step_deg * k, radius_nm) for k in range(_CIRCLE_CORNERS)]
    return [*places, places[0]]


def _seeing(mark: Position, bearing_true_deg: float, distance_nm: float) -> Position:
    """Return from where, so far off, a mark bears so: not quite the reciprocal, as meridians converge."""
    back_deg = bearing_true_deg + 180.0
    for _ in range(3):
        place = mark.along(back_deg, distance_nm)
        back_deg += turn(place.to(mark)[0], bearing_true_deg)
    return mark.along(back_deg, distance_nm)


def _written(corner: Corner) -> list[float]:
    return [round(corner[0], _DECIMALS) + 0.0, round(corner[1], _DECIMALS) + 0.0]


def _unrolled(corners: Iterable[Corner]) -> list[Corner]:
    """Let the longitudes run on past 180, so that no step is longer than half round the earth."""
    unrolled: list[Corner] = []
    for longitude, latitude in corners:
        east = longitude if not unrolled else unrolled[-1][0] + turn(unrolled[-1][0], longitude)
        unrolled.append((east, latitude))
    return unrolled


def _beside(outer: Sequence[Corner], hole: Sequence[Corner]) -> list[Corner]:
    """Let a hole's longitudes run on the same lap as those of the ring it is in."""
    lap = outer[0][0] + turn(outer[0][0], hole[0][0]) - hole[0][0]
    return [(longitude + lap, latitude) for longitude, latitude in hole]


# --- cutting --------------------


def _lap(longitude: float) -> float:
    """Return the western edge, -180 and a number of turns, of the lap a longitude is on."""
    return (longitude + 180.0) // 360.0 * 360.0 - 180.0


def _laps(corners: Sequence[Corner]) -> list[float]:
    """Return the western edges of the laps that a ring touches."""
    first, last = _lap(min(c[0] for c in corners)), _lap(max(c[0] for c in corners))
    return [first + 360.0 * k for k in range(round((last - first) / 360.0) + 1)]


def _cut_line(corners: Sequence[Corner]) -> list[list[Corner]]:
    parts: list[list[Corner]] = [[]]
    for place, corner in enumerate(corners):
        west = _lap(corner[0])
        if place and west != (before := _lap(corners[place - 1][0])):
            edge = max(west, before)
            crossing = _on_edge(corners[place - 1], corner, edge)
            parts[-1].append((edge - before - 180.0, crossing[1]))
            parts.append([(edge - west - 180.0, crossing[1])])
        parts[-1].append((corner[0] - west - 180.0, corner[1]))
    # A line is of two places at least (RFC 7946, 3.1.4).
    return parts if len(parts[0]) > 1 else [parts[0] * 2]


def _between(corners: Sequence[Corner], west: float) -> list[Corner]:
    """Return what of a ring lies on one lap, by cutting off first what is west of it, then what is east."""
    kept = _cut_off(corners, west, +1.0)
    return _cut_off(kept, west + 360.0, -1.0)


def _cut_off(corners: Sequence[Corner], edge: float, side: float) -> list[Corner]:
    kept: list[Corner] = []
    for place, corner in enumerate(corners):
        before = corners[place - 1]
        inside, was_inside = (corner[0] - edge) * side >= 0.0, (before[0] - edge) * side >= 0.0
        if inside != was_inside:
            kept.append(_on_edge(before, corner, edge))
        if inside:
            kept.append(corner)
    return kept


def _on_edge(one: Corner, other: Corner, edge: float) -> Corner:
    share = (edge - one[0]) / (other[0] - one[0])
    return edge, one[1] + share * (other[1] - one[1])


# --- rings --------------------


def _ring(corners: Sequence[Corner], west: float, *, anticlockwise: bool) -> list[list[float]]:
    on_lap = [(longitude - west - 180.0, latitude) for longitude, latitude in corners]
    if (_twice_area(on_lap) > 0.0) != anticlockwise:
        on_lap.reverse()
    written = [_written(corner) for corner in on_lap]
    return written if written[0] == written[-1] else [*written, written[0]]


def _twice_area(corners: Sequence[Corner]) -> float:
    """Return twice the area, + where the corners go round anticlockwise."""
    return sum(
        corners[k - 1][0] * corner[1] - corner[0] * corners[k - 1][1] for k, corner in enumerate(corners)
    )


def _nested(rings: list[list[Corner]]) -> list[tuple[list[Corner], list[list[Corner]]]]:
    """Tell outer rings from holes: one inside an odd number of others is a hole of the smallest."""
    around = [
        [k for k, other in enumerate(rings) if k != place and _holds(other, ring[0])]
        for place, ring in enumerate(rings)
    ]
    even = [place for place in range(len(rings)) if len(around[place]) % 2 == 0]
    outer: dict[int, tuple[list[Corner], list[list[Corner]]]] = {place: (rings[place], []) for place in even}
    for place, ring in enumerate(rings):
        if place not in outer:
            whose = min((k for k in around[place] if k in outer), key=lambda k: abs(_twice_area(rings[k])))
            outer[whose][1].append(ring)
    return list(outer.values())


def _holds(ring: Sequence[Corner], corner: Corner) -> bool:
    inside = False
    east = ring[0][0] + turn(ring[0][0], corner[0])
    for place, other in enumerate(ring):
        before = ring[place - 1]
        if (before[1] > corner[1]) != (other[1] > corner[1]):
            share = (corner[1] - before[1]) / (other[1] - before[1])
            inside ^= before[0] + share * (other[0] - before[0]) > east
    return inside
