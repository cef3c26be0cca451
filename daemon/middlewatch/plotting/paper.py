"""Paper, scale and window: how a plot is laid out, to be printed true and laid beside the chart."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

from middlewatch.plotting.conventions import UK, Convention
from middlewatch.plotting.labels import Box
from middlewatch.plotting.leaf import Leaf
from middlewatch.plotting.mercator import Mercator
from middlewatch.plotting.palette import DAY, Palette
from middlewatch.plotting.plot import Charted, Plot
from middlewatch.quantities.positions import Position, longitude

PaperName = Literal["a4", "a3"]
PAPERS_MM: dict[PaperName, tuple[float, float]] = {"a4": (210.0, 297.0), "a3": (297.0, 420.0)}
"""Short and long side, ISO 216."""

SCALES = tuple(
    figure * power
    for power in (1_000, 10_000, 100_000, 1_000_000)
    for figure in (1, 1.25, 1.5, 2, 2.5, 3, 4, 5, 6, 7.5)
)
"""Scales a chart might have, 1 : so many; the largest is taken on which the plot fits."""

_EDGE_MM = 6.0  # of the paper: no printer reaches all of it
BORDER_MM = 7.0  # for the scales of latitude and longitude
TITLE_MM = 25.0
_SCREEN_TITLE_MM = 6.0  # a screen has the caution and the rest of the title beside the sheet
_FREE_MM = 7.0  # kept between what is plotted and the window's side
_TRUE_TO_DEG = 0.1  # the latitude of true scale, for it is printed
_MARKS_MAY_COST = 2.0  # the scale is made this much smaller, no more, to show the marks that were sighted
_EMPTY = Position(0.0, 0.0)


class DoesNotFitError(ValueError):
    """The plot does not fit this paper at this scale; says in one line which scale would do."""


@dataclass(frozen=True, slots=True)
class Look:
    """How things are drawn: the inks and the convention."""

    palette: Palette = DAY
    convention: Convention = UK


PLAIN = Look()
"""By day, in the usual convention."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """A paper, where places come to lie on it, and how things are drawn there; sides in mm.

    `on_screen`: with a title of one line, for whoever shows the rest beside it. `leaf`: which of several it
    is, None of a single one.
    """

    width_mm: float
    height_mm: float
    projection: Mercator
    look: Look = PLAIN
    on_screen: bool = False
    leaf: Leaf | None = None

    @property
    def palette(self) -> Palette:
        """The inks."""
        return self.look.palette

    @property
    def convention(self) -> Convention:
        """The signs and labels."""
        return self.look.convention

    @property
    def window(self) -> Box:
        """The part of the paper the plot is drawn on."""
        return window_of(self.width_mm, height_mm_of(self.height_mm, on_screen=self.on_screen))


def height_mm_of(height_mm: float, *, on_screen: bool) -> float:
    """Return how high a printed sheet is whose window is as high as this one's."""
    return height_mm + TITLE_MM - _SCREEN_TITLE_MM if on_screen else height_mm


def true_latitude(latitude_deg: float) -> float:
    """Return the latitude at which a sheet about this one is true to scale, as it is printed on it."""
    return round(latitude_deg / _TRUE_TO_DEG) * _TRUE_TO_DEG


def window_of(width_mm: float, height_mm: float) -> Box:
    """Return the part of a paper inside the scales and above the title."""
    edge = _EDGE_MM + BORDER_MM
    return Box(edge, edge, width_mm - edge, height_mm - edge - TITLE_MM)


def laid_out(
    plot: Plot,
    charted: Charted,
    look: Look = PLAIN,
    *,
    paper: PaperName = "a4",
    scale: float | None = None,
) -> Sheet:
    """Return the sheet for a plot: upright or lengthwise, whichever shows it at the larger scale.

    Without a `scale` the largest of SCALES at which the plot fits. DoesNotFitError where it does not.
    """
    short, long = PAPERS_MM[paper]
    needed, wished = _Reach.of(_plotted(plot)), _Reach.of((*_plotted(plot), *_sighted(plot, charted)))
    lays = [(_lay(needed, wished, *sides), sides) for sides in ((long, short), (short, long))]
    (least, reach), (width, height) = min(lays, key=lambda lay: lay[0][0])
    if least > SCALES[-1]:
        raise DoesNotFitError(f"the plot reaches too far for one sheet of {paper.upper()}")
    chosen = scale or next(each for each in SCALES if each >= least)
    if chosen < least:
        if not _fits(needed, chosen, (width, height)):
            most = next(each for each in SCALES if each >= _least_scale(needed, width, height))
            wanted = f"1:{most:.0f} would"
            raise DoesNotFitError(f"the plot does not fit {paper.upper()} at 1:{chosen:.0f}; {wanted}")
        reach = needed
    return sheet_about(reach.centre, chosen, width, height, look)


def fitted(plot: Plot, charted: Charted, width_mm: float, height_mm: float) -> tuple[Position, float]:
    """Return where to lay a sheet for a screen about, and at which 1 : scale, to show the plot whole.

    A plot that no scale shows whole is shown about its EP, as much of it as goes on.
    """
    needed, wished = _Reach.of(_plotted(plot)), _Reach.of((*_plotted(plot), *_sighted(plot, charted)))
    least, reach = _lay(needed, wished, width_mm, height_mm_of(height_mm, on_screen=True))
    if least > SCALES[-1]:
        return plot.ep or reach.centre, SCALES[-1]
    return reach.centre, next(each for each in SCALES if each >= least)


def sheet_about(
    centre: Position,
    scale: float,
    width_mm: float,
    height_mm: float,
    look: Look = PLAIN,
) -> Sheet:
    """Return a sheet of any size about a place, at 1 : `scale`."""
    window = window_of(width_mm, height_mm)
    true_at = true_latitude(centre.latitude_deg)
    middle = (window.left + window.right) / 2, (window.top + window.bottom) / 2
    return Sheet(width_mm, height_mm, Mercator(scale, true_at, centre, *middle), look)


def screen_about(
    centre: Position, scale: float, width_mm: float, height_mm: float, look: Look = PLAIN
) -> Sheet:
    """Return the same for a screen, with a title of one line: as a page shows it that is moved about."""
    printed = sheet_about(centre, scale, width_mm, height_mm_of(height_mm, on_screen=True), look)
    return replace(printed, height_mm=height_mm, on_screen=True)


@dataclass(frozen=True, slots=True)
class _Reach:
    """How far places lie apart: the middle of them, and the sides of their rectangle at 1:1, in mm."""

    centre: Position
    width_mm: float
    height_mm: float

    @classmethod
    def of(cls, places: tuple[Position, ...]) -> "_Reach":
        first = places[0] if places else _EMPTY
        norths = [place.latitude_deg for place in places] or [0.0]
        easts = [longitude(place.longitude_deg - first.longitude_deg) for place in places] or [0.0]
        centre_latitude = (min(norths) + max(norths)) / 2
        centre = Position(centre_latitude, first.longitude_deg + (min(easts) + max(easts)) / 2)
        flat = Mercator(1.0, true_latitude(centre_latitude), centre, 0.0, 0.0)
        dots = [flat.at(place) for place in places] or [(0.0, 0.0)]
        across, down = [dot[0] for dot in dots], [dot[1] for dot in dots]
        middle = (min(across) + max(across)) / 2, (min(down) + max(down)) / 2
        return cls(flat.place(*middle), max(across) - min(across), max(down) - min(down))


def _lay(needed: _Reach, wished: _Reach, width: float, height: float) -> tuple[float, _Reach]:
    """Return the least 1 : scale for a paper, and what is shown at it: the marks too, if they cost little."""
    bare, whole = _least_scale(needed, width, height), _least_scale(wished, width, height)
    return (whole, wished) if whole <= max(bare, SCALES[0]) * _MARKS_MAY_COST else (bare, needed)


def _least_scale(reach: _Reach, width: float, height: float) -> float:
    window = window_of(width, height).wider(-_FREE_MM)
    return max(reach.width_mm / (window.right - window.left), reach.height_mm / (window.bottom - window.top))


def _fits(reach: _Reach, scale: float, sides: tuple[float, float]) -> bool:
    return _least_scale(reach, *sides) <= scale


def _plotted(plot: Plot) -> tuple[Position, ...]:
    """Return every place that must be on the sheet: the DRs, the fixes, the EP and the area."""
    return tuple(_places(plot))


def _places(plot: Plot) -> Iterator[Position]:
    for dr in plot.drs:
        yield from dr.path
    for fix in plot.fixes:
        yield Position(fix.latitude_deg, fix.longitude_deg)
    if plot.ep is not None:
        yield plot.ep
    if plot.position is not None and plot.position.area is not None:
        for polygon in plot.position.area.outline.corners_deg():
            for corner in polygon:
                yield Position(*corner)


def _sighted(plot: Plot, charted: Charted) -> Iterator[Position]:
    """Yield the marks that were sighted."""
    for sight in plot.sights:
        place = Position(sight.line.latitude_deg, sight.line.longitude_deg)
        if charted.mark_at(place) is not None:
            yield place
