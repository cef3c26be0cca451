"""What bounds the boat without being a line to cross: a sector's limits, how far a light shows, a contour.

No school of charting that was seen has a sign for the side of a limit on which the boat is. Ours, in all
conventions, is a row of ticks on that side. Finely dashed beside it: how far off it may be, 95 in 100.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import hypot
from typing import Literal

from middlewatch.plotting.draft import Draft
from middlewatch.plotting.loci import along_arc, along_ray
from middlewatch.plotting.pen import Dot
from middlewatch.plotting.symbols import bearing_of
from middlewatch.quantities.positions import Position
from middlewatch.reports.fix import LineReport

NINETY_FIVE = 1.96
"""Standard deviations either way that hold 95 in 100 of what is normal in one direction."""

_TICK_MM, _TICK_EVERY_MM = 1.3, 3.0
_LEAST_BAND_MM = 0.8  # a band narrower than this is the line
_CONTOUR_HALF_MM = 25.0

Inner = Literal["left", "right", "neither"]


@dataclass(frozen=True, slots=True)
class Bound:
    """A limit as drawn: its dots, on which side of them the boat is, and the dots as far off as it may be."""

    dots: list[Dot]
    inner: Inner
    bands: tuple[list[Dot], ...]


def limits(line: LineReport) -> Iterator[tuple[float, float]]:
    """Yield the limits of a wedge, degrees true from seaward, clockwise; none of one that is all round."""
    told = [(line.from_deg, line.to_deg), *((each.from_deg, each.to_deg) for each in line.others or ())]
    for first, last in told:
        if first is not None and last is not None and (last - first) % 360.0 != 0.0:
            yield first, last


def is_bound(line: LineReport) -> bool:
    """Say whether a line is drawn as a bound."""
    return line.shape in {"wedge", "contour"} or bool(line.inside)


def bounds(draft: Draft, line: LineReport, near: Position, half_mm: float) -> list[Bound]:
    """Return what to draw of a bound about where the boat was, so far on either side of her."""
    mile = draft.sheet.projection.nm_mm(near.latitude_deg)
    if line.shape == "wedge":
        return list(_wedge(draft, line, near, half_mm / mile))
    if line.shape == "contour":
        return _contour(draft, line, near)
    return _reach(draft, line, near, half_mm / mile)


def ring_bands(draft: Draft, line: LineReport, near: Position, half_mm: float) -> tuple[list[Dot], ...]:
    """Return how far off a circle the boat may be: an arc inside and one outside; none too near to draw."""
    if line.radius_nm is None or line.sd_nm is None:
        return ()
    half_nm = half_mm / draft.sheet.projection.nm_mm(near.latitude_deg)
    centre, off_nm = Position(line.latitude_deg, line.longitude_deg), NINETY_FIVE * line.sd_nm
    if not _shows(draft, near, off_nm):
        return ()
    radii = (line.radius_nm - off_nm, line.radius_nm + off_nm)
    return tuple(draft.dots(along_arc(centre, radius, near, half_nm)) for radius in radii if radius > 0.0)


def draw_bound(draft: Draft, bound: Bound, dash: str) -> None:
    """Draw a limit, its ticks towards the boat, and its band."""
    draft.pen.line(bound.dots, draft.pencil(0.25, dash), class_="line")
    ticks = list(_ticks(bound))
    if ticks:
        draft.pen.shape(ticks, draft.pencil(0.2), class_="ticks")
    draw_bands(draft, bound.bands)
    draft.ground.ink(bound.dots)


def draw_bands(draft: Draft, bands: Sequence[list[Dot]]) -> None:
    """Draw how far off a line the boat may be."""
    for band in bands:
        draft.pen.line(band, draft.pencil(0.15, "0.8 1.2"), class_="band")
        draft.ground.ink(band)


def _wedge(draft: Draft, line: LineReport, near: Position, half_nm: float) -> Iterator[Bound]:
    mark = Position(line.latitude_deg, line.longitude_deg)
    doubt_deg = NINETY_FIVE * (line.sd_deg or 0.0)
    wide = _shows(draft, near, doubt_deg / 57.3 * near.to(mark)[1])
    for first, last in limits(line):
        # Round the mark the boat goes as the bearing does: clockwise, and that is to the right from the mark.
        for limit_deg, outside, inner in ((first, -1, "right"), (last, 1, "left")):
            dots = draft.dots(along_ray(mark, limit_deg, near, half_nm))
            off = along_ray(mark, limit_deg + outside * doubt_deg, near, half_nm) if wide else ()
            yield Bound(dots, "right" if inner == "right" else "left", (draft.dots(off),) if off else ())


def _reach(draft: Draft, line: LineReport, near: Position, half_nm: float) -> list[Bound]:
    """Return how far a light shows: she is at or inside it, at most so much farther off."""
    if line.radius_nm is None:
        return []
    centre = Position(line.latitude_deg, line.longitude_deg)
    dots = draft.dots(along_arc(centre, line.radius_nm, near, half_nm))
    off_nm = NINETY_FIVE * (line.sd_nm or 0.0)
    if not _shows(draft, near, off_nm):
        return [Bound(dots, "right", ())]
    return [Bound(dots, "right", (draft.dots(along_arc(centre, line.radius_nm + off_nm, near, half_nm)),))]


def _contour(draft: Draft, line: LineReport, near: Position) -> list[Bound]:
    """Return the stretch of a contour that is nearest to the boat, and its band on both sides."""
    dots = [draft.at(Position(point.latitude_deg, point.longitude_deg)) for point in line.points or ()]
    dots = _stretch(dots, draft.at(near), _CONTOUR_HALF_MM)
    if len(dots) < 2:
        return []
    off_nm = NINETY_FIVE * (line.sd_nm or 0.0)
    off_mm = off_nm * draft.sheet.projection.nm_mm(near.latitude_deg)
    shown = _shows(draft, near, off_nm)
    return [Bound(dots, "neither", tuple(_beside(dots, way * off_mm) for way in (-1, 1)) if shown else ())]


def _shows(draft: Draft, near: Position, off_nm: float) -> bool:
    return off_nm * draft.sheet.projection.nm_mm(near.latitude_deg) >= _LEAST_BAND_MM


# --- on the paper -----------------------------------------------------------------------------------


def _ticks(bound: Bound) -> Iterator[tuple[Dot, Dot]]:
    """Yield short strokes across a line, to the side on which the boat is."""
    if bound.inner == "neither":
        return
    way = 1.0 if bound.inner == "right" else -1.0
    due = _TICK_EVERY_MM / 2
    for one, other in pairwise(bound.dots):
        length = hypot(other[0] - one[0], other[1] - one[1])
        east, north = bearing_of(one, other)
        while due <= length:
            x, y = one[0] + east * due, one[1] - north * due
            yield (x, y), (x + way * north * _TICK_MM, y + way * east * _TICK_MM)
            due += _TICK_EVERY_MM
        due -= length


def _beside(dots: list[Dot], right_mm: float) -> list[Dot]:
    """Return a line that runs so far to the right of another, corner by corner."""
    aside = []
    for n, (x, y) in enumerate(dots):
        east, north = bearing_of(dots[max(0, n - 1)], dots[min(len(dots) - 1, n + 1)])
        aside.append((x + right_mm * north, y + right_mm * east))
    return aside


def _stretch(dots: list[Dot], near: Dot, half_mm: float) -> list[Dot]:
    """Return what of a broken line lies so far, along it, to either side of its point nearest to a dot."""
    along = [0.0]
    for one, other in pairwise(dots):
        along.append(along[-1] + hypot(other[0] - one[0], other[1] - one[1]))
    feet = [
        (_foot(one, other, near), start, one, other)
        for start, (one, other) in zip(along, pairwise(dots), strict=False)
    ]
    if not feet:
        return []
    (_, at_mm), start, *_ = min(feet, key=lambda foot: foot[0][0])
    first, last = start + at_mm - half_mm, start + at_mm + half_mm
    inside = [dot for dot, mm in zip(dots, along, strict=True) if first < mm < last]
    return [_at(dots, along, max(first, 0.0)), *inside, _at(dots, along, min(last, along[-1]))]


def _foot(one: Dot, other: Dot, near: Dot) -> tuple[float, float]:
    """Return how far a dot is off a straight stroke, and how far along it the nearest point is."""
    length = hypot(other[0] - one[0], other[1] - one[1])
    east, north = bearing_of(one, other)
    along = (near[0] - one[0]) * east - (near[1] - one[1]) * north
    along = min(max(along, 0.0), length)
    return hypot(near[0] - one[0] - along * east, near[1] - one[1] + along * north), along


def _at(dots: list[Dot], along: list[float], mm: float) -> Dot:
    """Return the dot so far along a broken line."""
    for (one, other), (start, end) in zip(pairwise(dots), pairwise(along), strict=True):
        if start <= mm <= end and end > start:
            share = (mm - start) / (end - start)
            return one[0] + share * (other[0] - one[0]), one[1] + share * (other[1] - one[1])
    return dots[-1]
