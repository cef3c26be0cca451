"""Several sheets: a passage longer than one sheet, laid out at one scale on sheets that overlap.

Every place that is plotted lies on one of them at least 12 mm inside its window, so that what runs from one
sheet onto the next is on both for 20 mm and more. Each is true to scale at its own middle latitude, as
the chart beside it is; they are numbered in the order in which the boat came to them.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import ceil, degrees

from middlewatch.plotting.leaf import Extent, Leaf
from middlewatch.plotting.mercator import HIGHEST_LATITUDE_DEG, Mercator
from middlewatch.plotting.paper import (
    PAPERS_MM,
    PLAIN,
    SCALES,
    DoesNotFitError,
    Look,
    PaperName,
    Sheet,
    height_mm_of,
    laid_out,
    screen_about,
    sheet_about,
    true_latitude,
    window_of,
)
from middlewatch.plotting.plot import Charted, Plot
from middlewatch.quantities.lengths import METRES_PER_NM
from middlewatch.quantities.positions import Position, longitude

MOST_SHEETS = 40
"""Nobody lays out more (judgement)."""

_LAP_MM = 12.0  # half of what two sheets have in common
_STEP_MM = 4.0  # from one place of a path to the next: less than the lap, so that none falls between sheets


def series_for(
    plot: Plot,
    charted: Charted,
    look: Look = PLAIN,
    *,
    paper: PaperName = "a4",
    scale: float | None = None,
) -> tuple[Sheet, ...]:
    """Return the sheets for a plot: one, where it goes on one; else as many as it takes at that `scale`.

    Without a `scale` always one. DoesNotFitError where more than MOST_SHEETS would be needed.
    """
    try:
        return (laid_out(plot, charted, look, paper=paper, scale=scale),)
    except DoesNotFitError as too_large:
        if scale is None:
            raise
        centres, (width, height) = _on_paper(plot, paper, scale)
        if not 0 < len(centres) <= MOST_SHEETS:
            raise DoesNotFitError(f"{too_large}{_other_scale(plot, paper, scale)}") from None
    return numbered([sheet_about(centre, scale, width, height, look) for centre in centres])


def screen_series(
    plot: Plot, scale: float, width_mm: float, height_mm: float, look: Look
) -> tuple[Sheet, ...]:
    """Return the same for a screen, however many; DoesNotFitError of more than can be worked out."""
    centres = _centres(plot, scale, width_mm, height_mm_of(height_mm, on_screen=True))
    if centres is None:
        raise DoesNotFitError(f"the plot is too long for sheets at 1:{scale:.0f}")
    return numbered([screen_about(centre, scale, width_mm, height_mm, look) for centre in centres])


def numbered(sheets: Sequence[Sheet]) -> tuple[Sheet, ...]:
    """Return sheets that know of each other; a single one needs no number."""
    if len(sheets) == 1:
        return tuple(sheets)
    extents = tuple(_extent(sheet) for sheet in sheets)
    return tuple(replace(sheet, leaf=Leaf(n, extents)) for n, sheet in enumerate(sheets, 1))


def _extent(sheet: Sheet) -> Extent:
    window, flat = sheet.window, sheet.projection
    return Extent(flat.place(window.left, window.bottom), flat.place(window.right, window.top))


def _on_paper(plot: Plot, paper: PaperName, scale: float) -> tuple[list[Position], tuple[float, float]]:
    """Return the sheets' middles, none of far too many, and sides: whichever way of the paper takes fewer."""
    short, long = PAPERS_MM[paper]
    lays = [(_centres(plot, scale, *sides) or [], sides) for sides in ((long, short), (short, long))]
    return min(lays, key=lambda lay: len(lay[0]))


def _other_scale(plot: Plot, paper: PaperName, scale: float) -> str:
    """Say at which next smaller scale the sheets would be few enough."""
    for smaller in SCALES:
        if smaller > scale and 0 < len(centres := _on_paper(plot, paper, smaller)[0]) <= MOST_SHEETS:
            return f", and 1:{smaller:.0f} on {len(centres)} sheets" if len(centres) > 1 else ""
    return ""


# --- which sheets -----------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Spot:
    """A place to be shown: how many are before it, its longitude running on past 180 degrees."""

    order: int
    north: float
    east: float


def _centres(plot: Plot, scale: float, width_mm: float, height_mm: float) -> list[Position] | None:
    """Return the middles of the sheets, in the order in which the boat came to them; None of far too many."""
    window = window_of(width_mm, height_mm).wider(-_LAP_MM)
    across, down = window.right - window.left, window.bottom - window.top
    spots = _spots(plot, _STEP_MM * scale / 1000.0)
    if spots is None:
        return None
    groups = [group for row in _rows(spots, scale, down) for group in _columns(row, scale, across)]
    groups.sort(key=lambda group: min(spot.order for spot in group))
    return [_middle(group) for group in groups]


def _rows(spots: list[_Spot], scale: float, down_mm: float) -> Iterator[list[_Spot]]:
    """Part places into rows no higher than a window, from the south."""
    left = sorted(spots, key=lambda spot: (spot.north, spot.order))
    while left:
        limit = max(left[0].north, _north_of(left[0].north, scale, down_mm))
        row = [spot for spot in left if spot.north <= limit]
        left = left[len(row) :]
        yield row


def _columns(row: list[_Spot], scale: float, across_mm: float) -> Iterator[list[_Spot]]:
    """Part a row into windows no wider than one, from the west."""
    left = sorted(row, key=lambda spot: (spot.east, spot.order))
    north = [spot.north for spot in row]
    # The nearer the pole the fewer miles a degree has: of a row's latitudes that which has most counts.
    least = min((min(north), max(north)), key=abs) if min(north) * max(north) > 0 else 0.0
    for_one = degrees(across_mm / _flat(scale, least).mm_per_radian)
    while left:
        group = [spot for spot in left if spot.east <= left[0].east + for_one]
        left = left[len(group) :]
        yield group


def _middle(group: list[_Spot]) -> Position:
    """Return the middle of places, as high on the sheet as deep."""
    north, east = [spot.north for spot in group], [spot.east for spot in group]
    flat = _flat(1.0, (min(north) + max(north)) / 2)
    low, high = (flat.at(Position(bound, 0.0))[1] for bound in (min(north), max(north)))
    latitude = flat.place(0.0, (low + high) / 2).latitude_deg
    return Position(latitude, longitude((min(east) + max(east)) / 2))


def _north_of(south: float, scale: float, down_mm: float) -> float:
    """Return how far north a window reaches that begins at a latitude."""
    north = south
    # True to scale at its own middle, which is known once it is known how far it reaches.
    for _ in range(3):
        flat = Mercator(scale, true_latitude((south + north) / 2), Position(south, 0.0), 0.0, 0.0)
        north = min(flat.place(0.0, -down_mm).latitude_deg, HIGHEST_LATITUDE_DEG)
    return north


def _flat(scale: float, latitude_deg: float) -> Mercator:
    return Mercator(scale, true_latitude(latitude_deg), Position(latitude_deg, 0.0), 0.0, 0.0)


def _spots(plot: Plot, step_m: float) -> list[_Spot] | None:
    """Return the places to be shown, along a line no farther apart than a step; None of far too many."""
    lines = [line for line in _lines(plot) if line] or [[Position(0.0, 0.0)]]
    steps = sum(_steps(one, other, step_m) for line in lines for one, other in pairwise(line))
    if steps > _MOST_STEPS:
        return None
    first = lines[0][0].longitude_deg
    along = (place for line in lines for place in _stepped(line, step_m))
    return [
        _Spot(n, place.latitude_deg, first + longitude(place.longitude_deg - first))
        for n, place in enumerate(along)
    ]


def _lines(plot: Plot) -> Iterator[list[Position]]:
    """Yield what is to be shown: the DRs' paths, the outline of the area, and single places."""
    for dr in plot.drs:
        yield list(dr.path)
        yield from ([point.ep] for point in dr.points if point.ep is not None)
    yield from ([Position(fix.latitude_deg, fix.longitude_deg)] for fix in plot.fixes)
    yield from ([sight.seen_from] for sight in plot.sights if sight.seen_from is not None)
    if plot.ep is not None:
        yield [plot.ep]
    if plot.position is not None and plot.position.area is not None:
        for corners in plot.position.area.outline.corners_deg():
            places = [Position(*corner) for corner in corners]
            yield [*places, *places[:1]]


_MOST_STEPS = 200_000
"""Of a path: 800 m of paper, which forty sheets do not hold without going over the same water many times."""


def _steps(one: Position, other: Position, step_m: float) -> int:
    """Return in how many steps to go, by a rough distance that is never too short."""
    minutes = abs(other.latitude_deg - one.latitude_deg) + abs(
        longitude(other.longitude_deg - one.longitude_deg)
    )
    return max(1, ceil(minutes * 60.0 * METRES_PER_NM / step_m))


def _stepped(line: Iterable[Position], step_m: float) -> Iterator[Position]:
    places = list(line)
    yield places[0]
    for one, other in pairwise(places):
        steps = _steps(one, other, step_m)
        north, east = (
            other.latitude_deg - one.latitude_deg,
            longitude(other.longitude_deg - one.longitude_deg),
        )
        for n in range(1, steps + 1):
            yield Position(
                one.latitude_deg + north * n / steps, longitude(one.longitude_deg + east * n / steps)
            )
