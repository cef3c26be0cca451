"""The plotting sheet, drawn: the printed sheet first, then what the files bear, then the pencil's work."""

from dataclasses import replace

from middlewatch.plotting.adjoining import draw_adjoining, draw_key
from middlewatch.plotting.adrift import draw_overboard
from middlewatch.plotting.afloat import draw_area, draw_satellite
from middlewatch.plotting.charting import draw_contours, draw_dangers, draw_marks
from middlewatch.plotting.draft import Draft
from middlewatch.plotting.fixed import draw_fixes
from middlewatch.plotting.graticule import draw_border, draw_graticule
from middlewatch.plotting.labels import Placed
from middlewatch.plotting.paper import Sheet
from middlewatch.plotting.pen import Stroke
from middlewatch.plotting.plot import Charted, Plot
from middlewatch.plotting.reckoned import draw_reckoning
from middlewatch.plotting.rose import draw_rose
from middlewatch.plotting.sighted import draw_sights, draw_transferred
from middlewatch.plotting.titling import draw_title


def drawn_sheet(plot: Plot, charted: Charted, sheet: Sheet) -> str:
    """Return the sheet as an SVG document, its user unit a millimetre: the same input, the same bytes."""
    draft = Draft.on(sheet, plot, charted)
    window = sheet.window
    with draft.pen.window(window.left, window.top, window.right, window.bottom):
        draw_graticule(draft)
        draw_contours(draft)
        draw_dangers(draft)
        draw_marks(draft)
        draw_area(draft)
        draw_sights(draft)
        draw_transferred(draft)
        draw_fixes(draft)
        draw_satellite(draft)
        draw_reckoning(draft)
        draw_overboard(draft)
        placed, left_out = draft.ground.set_down(draft.labels)
        _write(draft, placed)
        draw_rose(draft)
    draw_border(draft)
    draw_adjoining(draft)
    draw_title(draft, left_out)
    draw_key(draft)
    return draft.pen.svg(f"Plotting sheet of {charted.boat}", sheet.palette.paper)


def _write(draft: Draft, placed: list[Placed]) -> None:
    for each in placed:
        hand = each.label.hand
        # A halo would be laid over the stroke through the letters too.
        hand = hand if hand.struck else replace(hand, halo=draft.sheet.palette.paper)
        with draft.pen.group(f"label {each.label.kind}"):
            if each.leader is not None:
                draft.pen.line(each.leader, Stroke(each.label.hand.colour, 0.12), class_="leader")
            for words, where in each.lines():
                draft.pen.write(words, where, hand)
