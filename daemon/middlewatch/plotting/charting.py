"""What the files bear: marks with their sectors, contours, and dangers with what is to be kept off."""

from middlewatch.plotting.draft import Draft, name_in_svg
from middlewatch.plotting.labels import Label
from middlewatch.plotting.pen import Dot, Hand, Stroke
from middlewatch.plotting.symbols import polar
from middlewatch.quantities.lengths import METRES_PER_NM
from middlewatch.readings.dangers import Danger
from middlewatch.readings.marks import Mark, Sector

_SECTOR_MM = 13.0
_LETTERS = {"white": "W", "red": "R", "green": "G", "dark": "dark"}
_DANGER_MM = 1.3


def draw_dangers(draft: Draft) -> None:
    """Draw dangers in dotted lines, and over how much of the sheet to keep off them.

    A rock: a cross in a dotted ring; dotted danger lines (IHO INT 1, section K, from memory).
    """
    for n, danger in enumerate(draft.charted.dangers):
        with draft.pen.group(f"danger {danger.form}", id=f"danger-{n + 1}"):
            _draw_danger(draft, danger)


def _draw_danger(draft: Draft, danger: Danger) -> None:
    palette = draft.sheet.palette
    lines = [[draft.at(place) for place in line] for line in danger.lines]
    latitude_deg = danger.lines[0][0].latitude_deg
    off_mm = danger.clearance_m / METRES_PER_NM * draft.sheet.projection.nm_mm(latitude_deg)
    stroke = Stroke(palette.danger, 0.35, "0.01 0.9")
    if danger.form == "point":
        dot = lines[0][0]
        draft.pen.dot(dot, off_mm, palette.danger + "22")
        draft.pen.ring(dot, off_mm, Stroke(palette.danger, 0.2, "1.2 0.8"), class_="clearance")
        draft.pen.ring(dot, _DANGER_MM, stroke)
        _cross(draft, dot, Stroke(palette.danger, 0.3))
        draft.sign(dot, _DANGER_MM)
    else:
        clearance = Stroke(palette.danger + "22", 2 * off_mm)
        closed = danger.form == "area"
        draft.pen.shape(lines, clearance, closed=closed, class_="clearance")
        # The holes of an area are good water.
        inside = {"fill": palette.danger + "22", "fill_rule": "evenodd"} if closed else {}
        draft.pen.shape(lines, stroke, closed=closed, **inside)
    for line in lines:
        draft.ground.ink(line)
    words = (danger.name, f"keep {danger.clearance_m:.0f} m off")
    where = next((dot for line in lines for dot in line if draft.shows(dot)), lines[0][0])
    draft.labels.append(Label(words, where, Hand(palette.danger, 2.2), 25, "danger", reach=_DANGER_MM))


def draw_contours(draft: Draft) -> None:
    """Draw depth contours, thin and dashed, with their depth."""
    colour = draft.sheet.palette.print
    for contour in draft.charted.contours:
        dots = draft.dots(contour.points)
        with draft.pen.group("contour"):
            draft.pen.line(dots, Stroke(colour, 0.15, "2 0.7"))
        draft.ground.ink(dots)
        shown = [dot for dot in dots if draft.shows(dot)]
        if shown:
            where = shown[len(shown) // 2]
            words = (f"{contour.depth_m:g} m",)
            draft.labels.append(
                Label(words, where, Hand(draft.sheet.palette.chart, 2.0), 70, "depth", may_go=True)
            )


def draw_marks(draft: Draft) -> None:
    """Draw each mark: a star and its character where it has a light, else a dot in a ring; and its name."""
    for n, mark in enumerate(draft.charted.marks.values()):
        dot = draft.at(mark.position)
        if not draft.shows(dot):
            continue
        light = mark.character is not None or mark.range_nm is not None
        with draft.pen.group("mark light" if light else "mark", id=f"mark-{n + 1}-{name_in_svg(mark.name)}"):
            _sectors(draft, dot, mark.sectors)
            _draw_mark(draft, dot, light=light)
        draft.sign(dot, 1.4)
        draft.labels.append(_named(draft, dot, mark))


def _named(draft: Draft, dot: Dot, mark: Mark) -> Label:
    words = (mark.name,) if mark.character is None else (mark.name, mark.character)
    return Label(words, dot, Hand(draft.sheet.palette.chart, 2.4), 10, "mark-name", reach=1.4)


def _draw_mark(draft: Draft, dot: Dot, *, light: bool) -> None:
    """Draw the sign of a mark.

    A light: a star of five points (IHO INT 1, P 1, from memory); anything else: a ring with its dot.
    """
    colour = draft.sheet.palette.chart
    if light:
        points = [polar(dot, 36.0 * n, 2.0 if n % 2 == 0 else 0.8) for n in range(10)]
        draft.pen.line(points, Stroke(colour, 0.2), closed=True)
        draft.pen.dot(dot, 0.3, colour)
    else:
        draft.pen.ring(dot, 0.9, Stroke(colour, 0.25))
        draft.pen.dot(dot, 0.25, colour)


def _sectors(draft: Draft, dot: Dot, sectors: tuple[Sector, ...]) -> None:
    """Draw a light's sectors: from seaward they are told, from the light they are drawn."""
    palette = draft.sheet.palette
    colours = {"white": palette.white, "red": palette.red, "green": palette.green, "dark": palette.chart}
    limit = Stroke(palette.chart, 0.15, "0.8 0.8")
    for sector in sectors:
        first, last = sector.from_true_deg + 180.0, sector.to_true_deg + 180.0
        span = (last - first) % 360.0 or 360.0
        steps = max(2, round(span / 5.0))
        arc = [polar(dot, first + span * n / steps, _SECTOR_MM) for n in range(steps + 1)]
        dash = "1.5 1" if sector.colour == "dark" else ""
        with draft.pen.group(f"sector {sector.colour}"):
            draft.pen.line(arc, Stroke(colours[sector.colour], 0.5, dash))
            draft.pen.shape([(dot, polar(dot, edge, _SECTOR_MM)) for edge in (first, last)], limit)
        draft.ground.ink(arc)
        draft.ground.ink((dot, arc[0]))
        draft.ground.ink((dot, arc[-1]))
        middle = arc[len(arc) // 2]
        hand = Hand(colours[sector.colour], 2.0)
        draft.labels.append(Label((_LETTERS[sector.colour],), middle, hand, 30, "sector-letter", may_go=True))


def _cross(draft: Draft, dot: Dot, stroke: Stroke) -> None:
    x, y = dot
    draft.pen.shape((((x - 0.9, y), (x + 0.9, y)), ((x, y - 0.9), (x, y + 0.9))), stroke)
