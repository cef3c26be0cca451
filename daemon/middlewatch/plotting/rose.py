"""The compass rose: true outside, magnetic inside, set where the sheet is emptiest."""

from collections.abc import Iterable

from middlewatch.plotting.draft import Draft
from middlewatch.plotting.labels import Box, InkTable
from middlewatch.plotting.pen import Dot, Hand, Stroke
from middlewatch.plotting.plot import Variation
from middlewatch.plotting.symbols import arrowheads, polar
from middlewatch.quantities.angles import three_figures

_TRUE_MM, _MAGNETIC_MM = 20.0, 13.5
_WORDS_COST = 20.0  # a label under the rose is as bad as so many cells of line
_KEPT_MM = 25.0  # the rose with its figures
_LOOKED_EVERY_MM = 15.0
_SIZES = (1.0, 0.7, 0.55)


def draw_rose(draft: Draft) -> None:
    """Draw both roses; without a variation the true one alone, and that is said. On a small sheet none.

    Where a large one would lie over words it is a smaller one; a screen that has no room for that has none.
    """
    inked = draft.ground.ink_table()
    for size in _SIZES:
        centre = _emptiest(draft, inked, size)
        if centre is not None and not _covers_words(draft, centre, size):
            _draw(draft, centre, size)
            return
    centre = None if draft.sheet.on_screen else _emptiest(draft, inked, 1.0)
    if centre is not None:
        _draw(draft, centre, 1.0)


def _draw(draft: Draft, centre: Dot, size: float) -> None:
    variation, radius = draft.charted.variation, _TRUE_MM * size
    with draft.pen.group("rose true"):
        _ring(draft, centre, radius, 0.0, 5)
        _figures(draft, [(degree, polar(centre, degree, radius + 2.3)) for degree in range(0, 360, 30)])
    if variation is not None:
        with draft.pen.group("rose magnetic"):
            _magnetic(draft, centre, variation.value_deg, size)
    hand = Hand(draft.sheet.palette.chart, 2.0)
    for n, words in enumerate(_words(variation)):
        draft.pen.write(words, (centre[0], centre[1] + 2.2 + 2.5 * n), hand, "middle")
    draft.ground.take(_kept(centre, size))


def _magnetic(draft: Draft, centre: Dot, turned_deg: float, size: float) -> None:
    """Draw the inner rose, an arrow where north has its figure; a small one has no room for the others."""
    radius, stroke = _MAGNETIC_MM * size, Stroke(draft.sheet.palette.print, 0.2)
    _ring(draft, centre, radius, turned_deg, 10)
    if size == 1.0:
        _figures(
            draft, [(degree, polar(centre, degree + turned_deg, radius - 4.0)) for degree in (90, 180, 270)]
        )
    tip, foot = (polar(centre, turned_deg, radius + reach) for reach in (3.2, -5.0))
    draft.pen.line((foot, tip), stroke)
    arrowheads(draft.pen, tip, foot, 1, stroke)


def _words(variation: Variation | None) -> tuple[str, ...]:
    if variation is None:
        return ("true;", "variation", "not known")
    side = "E" if variation.value_deg >= 0 else "W"
    return (f"Var {abs(variation.value_deg):.1f}° {side}",)


def _ring(draft: Draft, centre: Dot, radius: float, turned_deg: float, every_deg: int) -> None:
    """Draw a graduated ring whose north is turned by so much."""
    stroke = Stroke(draft.sheet.palette.print, 0.15)
    draft.pen.ring(centre, radius, stroke)
    marks = []
    for degree in range(0, 360, every_deg):
        inner = radius - (2.2 if degree % 30 == 0 else 1.4 if degree % 10 == 0 else 0.8)
        marks.append((polar(centre, degree + turned_deg, inner), polar(centre, degree + turned_deg, radius)))
    draft.pen.shape(marks, stroke)


def _figures(draft: Draft, where: Iterable[tuple[int, Dot]]) -> None:
    hand = Hand(draft.sheet.palette.chart, 1.9)
    for degree, (x, y) in where:
        draft.pen.write(three_figures(degree), (x, y + 0.7), hand, "middle")


def _emptiest(draft: Draft, inked: InkTable, size: float) -> Dot | None:
    """Return the middle of the emptiest place of the window that holds the rose, corners before the rest."""
    window = draft.ground.window.wider(-(_KEPT_MM * size + 1.0))
    across, down = window.right - window.left, window.bottom - window.top
    if across < 0 or down < 0:
        return None
    columns, rows = max(1, round(across / _LOOKED_EVERY_MM)), max(1, round(down / _LOOKED_EVERY_MM))
    dots = [
        (window.left + across * column / columns, window.top + down * row / rows)
        for column in range(columns + 1)
        for row in range(rows + 1)
    ]
    x, y = (window.left + window.right) / 2, (window.top + window.bottom) / 2
    return min(
        dots, key=lambda dot: (_cost(draft, inked, _kept(dot, size)), -abs(dot[0] - x) - abs(dot[1] - y))
    )


def _kept(centre: Dot, size: float) -> Box:
    """Return what the rose takes of the sheet."""
    return Box(*centre, *centre).wider(_KEPT_MM * size)


def _covers_words(draft: Draft, centre: Dot, size: float) -> bool:
    return any(_kept(centre, size).meets(other) for other in draft.ground.taken)


def _cost(draft: Draft, inked: InkTable, box: Box) -> float:
    return inked.under(box) + _WORDS_COST * sum(box.meets(other) for other in draft.ground.taken)
