"""How several sheets hang together: in the border the numbers of those that adjoin, in the title a key."""

from middlewatch.plotting.draft import Draft
from middlewatch.plotting.graticule import figures
from middlewatch.plotting.labels import Box
from middlewatch.plotting.leaf import Adjoining, Leaf, Side
from middlewatch.plotting.lettering import width_mm
from middlewatch.plotting.paper import BORDER_MM
from middlewatch.plotting.pen import Dot, Hand, Stroke

_SIZE, _FIGURE_MM = 2.3, 14.0  # of type; what a figure of the scales takes of the border
_KEY_MM = (42.0, 12.0)
_LEAST_NUMBERED_MM = 2.6


def draw_adjoining(draft: Draft) -> None:
    """Write `joins sheet 3` into the border where the next sheet goes on, between the scales' figures."""
    leaf = draft.sheet.leaf
    if leaf is None:
        return
    by_side = dict[Side, list[Adjoining]]()
    for each in leaf.adjoining(draft.sheet.projection, draft.sheet.window):
        by_side.setdefault(each.side, []).append(each)
    hand = Hand(draft.sheet.palette.area, _SIZE)
    with draft.pen.group("adjoining"):
        for side, beyond in by_side.items():
            for words, along in _written(draft, side, beyond):
                where, turned_deg = _on(draft.sheet.window, side, along)
                draft.pen.write(words, where, hand, "middle", turned_deg)


def _written(draft: Draft, side: Side, beyond: list[Adjoining]) -> list[tuple[str, float]]:
    """Return what to write along a side and where: of sheets too close together one line for all."""
    taken = figures(draft, north=side in {"left", "right"})
    each_apart = list[tuple[str, float]]()
    for each in beyond:
        words = f"joins sheet {each.number}"
        along = _free(each, [*taken, *(where for _, where in each_apart)], width_mm(words, _SIZE))
        if along is None:
            numbers = " and ".join(str(one.number) for one in beyond)
            whole = min(one.first_mm for one in beyond), max(one.last_mm for one in beyond)
            words = f"joins sheets {numbers}"
            found = _free(Adjoining(0, side, *whole), taken, width_mm(words, _SIZE))
            return [(words, sum(whole) / 2 if found is None else found)]
        each_apart.append((words, along))
    return each_apart


def _free(each: Adjoining, taken: list[float], width: float) -> float | None:
    """Return the middle of the part of a side that two sheets share, or next to it where nothing stands."""
    middle = (each.first_mm + each.last_mm) / 2
    clear = (width + _FIGURE_MM) / 2
    beside = [middle, *(figure + clear * way for figure in taken for way in (-1, 1))]
    free = [
        along
        for along in beside
        if each.first_mm + width / 2 <= along <= each.last_mm - width / 2
        and all(abs(along - figure) >= clear - 0.01 for figure in taken)
    ]
    return min(free, key=lambda along: abs(along - middle), default=None)


def _on(window: Box, side: Side, along: float) -> tuple[Dot, float]:
    """Return where so far along a side words stand, and how they are turned."""
    if side in {"left", "right"}:
        x = window.left - BORDER_MM / 2 - 0.4 if side == "left" else window.right + BORDER_MM / 2 + 2.2
        return (x, along), -90.0
    y = window.top - BORDER_MM / 2 - 0.2 if side == "top" else window.bottom + BORDER_MM / 2 + 2.0
    return (along, y), 0.0


def draw_key(draft: Draft) -> None:
    """Draw a key of all sheets into the title, this one in bold: how they lie, each with its number."""
    leaf, window = draft.sheet.leaf, draft.sheet.window
    if leaf is None or draft.sheet.on_screen:
        return
    place = Box(window.right - _KEY_MM[0], window.bottom + BORDER_MM + 2.0, window.right, 0.0)
    stroke, bold = Stroke(draft.sheet.palette.chart, 0.15), Stroke(draft.sheet.palette.area, 0.45)
    with draft.pen.group("key"):
        boxes = _fitted(leaf, draft, place)
        for number, box in enumerate(boxes, 1):
            draft.pen.line(_corners(box), stroke, closed=True)
            small = min(box.right - box.left, box.bottom - box.top) < _LEAST_NUMBERED_MM
            if number == leaf.number or not small:
                middle = (box.left + box.right) / 2, (box.top + box.bottom) / 2 + 0.7
                draft.pen.write(str(number), middle, Hand(draft.sheet.palette.chart, 2.0), "middle")
        draft.pen.line(_corners(boxes[leaf.number - 1]), bold, closed=True)


def _fitted(leaf: Leaf, draft: Draft, place: Box) -> list[Box]:
    """Return the sheets made small, to the right side of the place for the key."""
    boxes = [extent.on(draft.sheet.projection) for extent in leaf.extents]
    left, top = min(box.left for box in boxes), min(box.top for box in boxes)
    right, bottom = max(box.right for box in boxes), max(box.bottom for box in boxes)
    small = min(_KEY_MM[0] / (right - left), _KEY_MM[1] / (bottom - top))
    shift = place.right - (right - left) * small
    return [
        Box(
            shift + (box.left - left) * small,
            place.top + (box.top - top) * small,
            shift + (box.right - left) * small,
            place.top + (box.bottom - top) * small,
        )
        for box in boxes
    ]


def _corners(box: Box) -> tuple[Dot, Dot, Dot, Dot]:
    return (box.left, box.top), (box.right, box.top), (box.right, box.bottom), (box.left, box.bottom)
