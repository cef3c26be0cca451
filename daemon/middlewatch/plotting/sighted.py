"""What was sighted: lines of position at their own time, and those carried on by the run, with both times."""

from itertools import pairwise

from middlewatch.plotting.bounds import Bound, bounds, draw_bands, draw_bound, is_bound, limits, ring_bands
from middlewatch.plotting.draft import FADED, Draft, name_in_svg
from middlewatch.plotting.labels import Label
from middlewatch.plotting.loci import along_arc, along_ray
from middlewatch.plotting.pen import Dot
from middlewatch.plotting.plot import Sight
from middlewatch.plotting.symbols import arrowheads
from middlewatch.quantities.angles import three_figures
from middlewatch.quantities.positions import Position
from middlewatch.reports.fix import FixReport, LineReport

_HALF_MM = 20.0  # of a line drawn on either side of the boat; a navigator draws no more of it
_TRANSFERRED_HALF_MM = 15.0


def draw_sights(draft: Draft) -> None:
    """Draw each sight's line once, at its own time; what was withdrawn is struck through, not left out."""
    places = _fixed(draft.plot.fixes)
    for sight in draft.plot.sights:
        near = places.get(sight.id) or sight.seen_from or draft.plot.ep
        if near is None:
            continue
        kind = (
            f"lop {sight.line.shape}"
            + (" withdrawn" if sight.withdrawn else "")
            + (" open" if sight.open else "")
        )
        with draft.pen.group(
            kind,
            id=f"lop-{name_in_svg(sight.id)}",
            data_at=str(sight.line.at),
            opacity=FADED[draft.age_of(sight.line.at)],
        ):
            _draw_sight(draft, sight, near)


def draw_transferred(draft: Draft) -> None:
    """Draw the lines that a fix brought to its own time, dashed, from their marks carried by the run."""
    for fix in draft.plot.fixes:
        if fix.withdrawn:
            continue
        place = Position(fix.latitude_deg, fix.longitude_deg)
        for id_, line in zip(fix.sightings, fix.lines, strict=True):
            if line.transferred_to is None:
                continue
            with draft.pen.group(
                f"lop transferred {line.shape}",
                id=f"transferred-{name_in_svg(fix.id)}-{name_in_svg(id_)}",
                data_at=str(line.at),
                data_transferred_to=str(line.transferred_to),
                opacity=FADED[draft.age_of(fix.at)],
            ):
                _draw_transferred(draft, line, place)


def _fixed(fixes: tuple[FixReport, ...]) -> dict[str, Position]:
    """Return for each sight the place of the newest fix of its own time, which its line goes through."""
    places = {}
    for fix in fixes:
        for id_, line in zip(fix.sightings, fix.lines, strict=True):
            if line.transferred_to is None and not fix.withdrawn:
                places[id_] = Position(fix.latitude_deg, fix.longitude_deg)
    return places


def _draw_sight(draft: Draft, sight: Sight, near: Position) -> None:
    line = sight.line
    if line.shape == "point":
        _draw_point(draft, sight)
        return
    dash = "3 1.5" if sight.open else ""
    if is_bound(line):
        _draw_bounds(draft, sight, bounds(draft, line, near, _HALF_MM), dash)
        return
    dots = _dots(draft, line, near, _HALF_MM)
    if not dots:
        return
    draft.pen.line(dots, draft.pencil(0.25, dash), class_="line")
    heads = draft.sheet.convention.bearing if line.shape == "ray" else draft.sheet.convention.distance
    _heads(draft, dots, heads.inner, heads.outer)
    if sight.kind in {"raised", "dipped"}:
        draw_bands(draft, ring_bands(draft, line, near, _HALF_MM))
    if sight.withdrawn:
        _strike(draft, dots)
    draft.ground.ink(dots)
    _label(draft, sight, dots)


def _draw_bounds(draft: Draft, sight: Sight, drawn: list[Bound], dash: str) -> None:
    """Draw what bounds the boat; it is labelled once, where most of it is on the sheet."""
    for bound in drawn:
        draw_bound(draft, bound, dash)
        if sight.withdrawn:
            _strike(draft, bound.dots)
    if drawn:
        most = max(drawn, key=lambda bound: sum(draft.shows(dot) for dot in bound.dots))
        _label(draft, sight, most.dots)


def _draw_transferred(draft: Draft, line: LineReport, place: Position) -> None:
    dots = _dots(draft, line, place, _TRANSFERRED_HALF_MM)
    if not dots or line.transferred_to is None:
        return
    convention = draft.sheet.convention
    draft.pen.line(dots, draft.pencil(0.2, "2.4 1.2"), class_="line")
    _heads(draft, dots, convention.transferred.inner, convention.transferred.outer)
    draft.ground.ink(dots)
    both = f"{line.at.clock}-{line.transferred_to.clock}"
    words = (f"{convention.transferred_word} {both}".lstrip(),)
    end = _end(draft, dots)
    old = draft.age_of(line.transferred_to) != "new"
    draft.labels.append(
        Label(words, end, draft.hand(2.1), 40 if old else 15, "transferred-times", may_go=old)
    )


def _dots(draft: Draft, line: LineReport, near: Position, half_mm: float) -> list[Dot]:
    """Return the stretch of a line about a place; none for a line that has no line to draw."""
    mark = Position(line.latitude_deg, line.longitude_deg)
    half_nm = half_mm / draft.sheet.projection.nm_mm(near.latitude_deg)
    if line.shape == "ray" and line.bearing_deg is not None:
        return draft.dots(along_ray(mark, line.bearing_deg, near, half_nm))
    if line.shape == "circle" and line.radius_nm is not None:
        return draft.dots(along_arc(mark, line.radius_nm, near, half_nm))
    return []


def _heads(draft: Draft, dots: list[Dot], inner: int, outer: int) -> None:
    if inner:
        arrowheads(draft.pen, dots[0], dots[1], inner, draft.pencil(0.25))
    if outer:
        arrowheads(draft.pen, dots[-1], dots[-2], outer, draft.pencil(0.25))


def _label(draft: Draft, sight: Sight, dots: list[Dot]) -> None:
    """Label a line at its end: the time, and what was seen."""
    hand = draft.hand(2.3, struck=sight.withdrawn)
    seen = _seen(sight)
    doubt = ("open: doubtful",) if sight.open else ("withdrawn",) if sight.withdrawn else ()
    words = (" ".join((sight.line.at.clock, *seen)), *doubt)
    old = draft.age_of(sight.line.at) != "new"
    draft.labels.append(Label(words, _end(draft, dots), hand, 30 if old else 12, "lop-time"))


def _seen(sight: Sight) -> tuple[str, ...]:
    """Say what was seen: a bearing, a distance, between which bearings, or which contour."""
    line = sight.line
    if line.shape == "wedge":
        between = [f"{three_figures(first)}-{three_figures(last)} T" for first, last in limits(line)]
        return (f"{sight.kind} {' or '.join(between)}",)
    if line.shape == "contour":
        return ("sounded",) if line.depth_m is None else (f"sounded {line.depth_m:g} m",)
    if line.radius_nm is not None:
        word = f"{sight.kind} " if sight.kind in {"raised", "dipped"} else ""
        return (f"{word}{'inside ' if line.inside else ''}{line.radius_nm:.2f} nm",)
    return () if line.bearing_deg is None else (f"{three_figures(line.bearing_deg)} T",)


def _draw_point(draft: Draft, sight: Sight) -> None:
    """Draw a place given as such, a mark passed close by or a position from elsewhere: a cross."""
    x, y = draft.at(Position(sight.line.latitude_deg, sight.line.longitude_deg))
    strokes = (((x - 1.4, y - 1.4), (x + 1.4, y + 1.4)), ((x - 1.4, y + 1.4), (x + 1.4, y - 1.4)))
    draft.pen.shape(strokes, draft.pencil(0.3), class_="line")
    if sight.withdrawn:
        draft.pen.line(((x - 2.4, y), (x + 2.4, y)), draft.pencil(0.4), class_="struck")
    draft.sign((x, y), 1.6)
    words = (f"{sight.line.at.clock} {sight.kind}", *(("withdrawn",) if sight.withdrawn else ()))
    hand = draft.hand(2.3, struck=sight.withdrawn)
    draft.labels.append(Label(words, (x, y), hand, 20, "lop-time", reach=1.6))


def _strike(draft: Draft, dots: list[Dot]) -> None:
    """Strike a line through: short strokes across it."""
    strokes = []
    for (x, y), (x2, y2) in pairwise(dots):
        middle = (x + x2) / 2, (y + y2) / 2
        strokes.append(
            ((middle[0] - 1.2, middle[1] - 1.2), (middle[0] + 1.2, middle[1] + 1.2)),
        )
    draft.pen.shape(strokes, draft.pencil(0.3), class_="struck")


def _end(draft: Draft, dots: list[Dot]) -> Dot:
    """Return the outer end of a line, or what is still on the sheet towards it."""
    return next((dot for dot in reversed(dots) if draft.shows(dot)), dots[-1])
