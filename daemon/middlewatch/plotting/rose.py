"""The compass rose: true outside, magnetic inside, set where the sheet is emptiest."""

from middlewatch.plotting.draft import Draft
from middlewatch.plotting.labels import Box
from middlewatch.plotting.pen import Dot, Hand, Stroke
from middlewatch.plotting.plot import Variation
from middlewatch.plotting.symbols import arrowheads, polar
from middlewatch.quantities.angles import three_figures

_TRUE_MM, _MAGNETIC_MM = 20.0, 13.5
_WORDS_COST = 20.0  # a label under the rose is as bad as so many cells of line
_KEPT_MM = 25.0  # the rose with its figures
_LOOKED_EVERY_MM = 15.0


def draw_rose(draft: Draft) -> None:
    """Draw both roses; without a variation the true one alone, and that is said. On a small sheet none."""
    centre = _emptiest(draft)
    if centre is None:
        return
    variation = draft.charted.variation
    with draft.pen.group("rose true"):
        _ring(draft, centre, _TRUE_MM, 0.0, figures_out=True)
    if variation is not None:
        with draft.pen.group("rose magnetic"):
            _ring(draft, centre, _MAGNETIC_MM, variation.value_deg, figures_out=False)
            tip = polar(centre, variation.value_deg, _MAGNETIC_MM + 3.2)
            foot = polar(centre, variation.value_deg, _MAGNETIC_MM - 8.0)
            stroke = Stroke(draft.sheet.palette.print, 0.2)
            draft.pen.line((foot, tip), stroke)
            arrowheads(draft.pen, tip, foot, 1, stroke)
    hand = Hand(draft.sheet.palette.print, 2.0)
    for n, words in enumerate(_words(variation)):
        draft.pen.write(words, (centre[0], centre[1] + 2.2 + 2.5 * n), hand, "middle")
    draft.ground.take(
        Box(centre[0] - _KEPT_MM, centre[1] - _KEPT_MM, centre[0] + _KEPT_MM, centre[1] + _KEPT_MM)
    )


def _words(variation: Variation | None) -> tuple[str, ...]:
    if variation is None:
        return ("true;", "variation", "not known")
    side = "E" if variation.value_deg >= 0 else "W"
    return (f"Var {abs(variation.value_deg):.1f}° {side}",)


def _ring(draft: Draft, centre: Dot, radius: float, turned_deg: float, *, figures_out: bool) -> None:
    """Draw a graduated ring whose north is turned by so much; figures each thirty degrees."""
    stroke = Stroke(draft.sheet.palette.print, 0.15)
    draft.pen.ring(centre, radius, stroke)
    marks = []
    for degree in range(0, 360, 5 if figures_out else 10):
        inner = radius - (2.2 if degree % 30 == 0 else 1.4 if degree % 10 == 0 else 0.8)
        marks.append((polar(centre, degree + turned_deg, inner), polar(centre, degree + turned_deg, radius)))
    draft.pen.shape(marks, stroke)
    hand = Hand(draft.sheet.palette.print, 1.9)
    for degree in range(0, 360, 30 if figures_out else 90):
        x, y = polar(centre, degree + turned_deg, radius + 2.3 if figures_out else radius - 4.0)
        draft.pen.write(three_figures(degree), (x, y + 0.7), hand, "middle")


def _emptiest(draft: Draft) -> Dot | None:
    """Return the middle of the emptiest place of the window that holds the rose, corners before the rest."""
    window = draft.ground.window.wider(-(_KEPT_MM + 1.0))
    across, down = window.right - window.left, window.bottom - window.top
    if across < 0 or down < 0:
        return None
    columns, rows = max(1, round(across / _LOOKED_EVERY_MM)), max(1, round(down / _LOOKED_EVERY_MM))
    dots = [
        (window.left + across * column / columns, window.top + down * row / rows)
        for column in range(columns + 1)
        for row in range(rows + 1)
    ]
    middle = (window.left + window.right) / 2, (window.top + window.bottom) / 2
    return min(dots, key=lambda dot: (_cost(draft, dot), -abs(dot[0] - middle[0]) - abs(dot[1] - middle[1])))


def _cost(draft: Draft, dot: Dot) -> float:
    box = Box(dot[0] - _KEPT_MM, dot[1] - _KEPT_MM, dot[0] + _KEPT_MM, dot[1] + _KEPT_MM)
    ground = draft.ground
    return ground.ink_under_large(box) + _WORDS_COST * sum(box.meets(other) for other in ground.taken)
