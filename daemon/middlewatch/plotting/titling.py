"""The title below the window: what the sheet is, of when, to what scale, and what it is not."""

from middlewatch.plotting.draft import Draft
from middlewatch.plotting.paper import BORDER_MM
from middlewatch.plotting.pen import Hand, Stroke

CAUTION = (
    "An aid only. The chart, the lookout, local rules and licensed practice come first.",
    "It sees no other vessel, no floating thing, nothing that was not entered, and no chart.",
)
"""What every sheet says of itself."""

PRINTED_TRUE_MM = 100.0
"""A bar to lay a ruler on: a printer that shrinks the sheet to its page shrinks it too."""

_BAR_NM = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0)
_LEAST_BAR_MM = 25.0
_MOST_BAR_MM = 2.5 * _LEAST_BAR_MM
_LINE_MM = 3.7


def draw_title(draft: Draft, left_out: int) -> None:
    """Write the title, the caution, and draw the scale bar; `left_out`: labels there was no room for.

    On a screen one line: of when, to what scale, and what was left out.
    """
    if draft.sheet.on_screen:
        _draw_line(draft, left_out)
        return
    window, palette = draft.sheet.window, draft.sheet.palette
    top = window.bottom + BORDER_MM + 4.5
    ink, faint = Hand(palette.chart, 2.6), Hand(palette.chart, 2.3)
    with draft.pen.group("title"):
        draft.pen.write(_heading(draft), (window.left, top), Hand(palette.chart, 3.4))
        for n, words in enumerate(CAUTION):
            draft.pen.write(words, (window.left, top + (n + 1.1) * _LINE_MM), ink)
        measure = f"{_measure(draft)} {_no_room(left_out)}." if left_out else _measure(draft)
        draft.pen.write(measure, (window.left, top + 3.1 * _LINE_MM), faint)
    _ruler_bar(draft, top)
    _scale_bar(draft, top)


def _draw_line(draft: Draft, left_out: int) -> None:
    window, at = draft.sheet.window, draft.plot.at
    said = ["nothing is plotted yet" if at is None else f"{at.clock_with_seconds} UTC"]
    leaf = draft.sheet.leaf
    said += [f"sheet {leaf.number} of {leaf.of}"] if leaf else []
    said += [f"1:{draft.sheet.projection.scale:.0f}", *([_no_room(left_out)] if left_out else [])]
    with draft.pen.group("title"):
        where = (window.left, window.bottom + BORDER_MM + 4.5)
        draft.pen.write(", ".join(said), where, Hand(draft.sheet.palette.chart, 2.6))


def _no_room(left_out: int) -> str:
    return f"{left_out} {'label' if left_out == 1 else 'labels'} found no room"


def _heading(draft: Draft) -> str:
    at = draft.plot.at
    if at is None:
        return f"{draft.charted.boat}: nothing is plotted yet"
    leaf = draft.sheet.leaf
    of = "" if leaf is None else f" {leaf.number} of {leaf.of},"
    return f"{draft.charted.boat}, plotting sheet{of} as of {str(at)[:10]} {at.clock_with_seconds} UTC"


def _measure(draft: Draft) -> str:
    flat = draft.sheet.projection
    side = "N" if flat.true_at_deg >= 0 else "S"
    true_at = f"{abs(flat.true_at_deg):.1f}° {side}"
    scale = f"1:{flat.scale:.0f} at {true_at}"
    return f"Mercator, WGS 84, {scale}. Times UTC. Miles by the latitude scale beside them."


def _ruler_bar(draft: Draft, top: float) -> None:
    """Draw the bar that shows whether the sheet was printed true, and say so; none on a narrow sheet."""
    left, y = draft.sheet.window.left, top + 5.0 * _LINE_MM
    right = left + PRINTED_TRUE_MM
    if draft.sheet.window.right - right < _MOST_BAR_MM:
        return
    stroke, hand = Stroke(draft.sheet.palette.chart, 0.25), Hand(draft.sheet.palette.chart, 2.3)
    with draft.pen.group("ruler-bar"):
        draft.pen.line(((left, y), (right, y)), stroke, class_="bar")
        draft.pen.shape([((x, y - 1.6), (x, y)) for x in (left, right)], stroke)
        words = f"This bar is {PRINTED_TRUE_MM:.0f} mm if printed true: at 100 %, not fitted to the page."
        draft.pen.write(words, (left + 1.2, y - 0.9), hand)


def _scale_bar(draft: Draft, top: float) -> None:
    """Draw a bar of so many miles at the middle latitude, its first part in fifths."""
    flat, window = draft.sheet.projection, draft.sheet.window
    mile = flat.nm_mm(flat.centre.latitude_deg)
    length_nm = next((nm for nm in _BAR_NM if nm * mile >= _LEAST_BAR_MM), _BAR_NM[-1])
    length = length_nm * mile
    left, y = window.right - length, top + 5.0 * _LINE_MM
    stroke, hand = Stroke(draft.sheet.palette.chart, 0.25), Hand(draft.sheet.palette.chart, 2.3)
    with draft.pen.group("scale-bar", data_nm=f"{length_nm:g}"):
        draft.pen.line(((left, y), (window.right, y)), stroke, class_="bar")
        marks = [left + length * n / 5 for n in range(6)]
        draft.pen.shape(
            [((x, y - (1.6 if n in {0, 5} else 0.9)), (x, y)) for n, x in enumerate(marks)], stroke
        )
        draft.pen.write("0", (left, y - 2.2), hand, "middle")
        draft.pen.write(f"{length_nm:g} nm", (window.right, y - 2.2), hand, "end")
