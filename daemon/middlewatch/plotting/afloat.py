"""Where the boat may be: the area's one closed outline; and where satellites have her."""

from math import hypot

from middlewatch.plotting.draft import Draft
from middlewatch.plotting.labels import Label
from middlewatch.plotting.pen import Dot, Hand, Stroke
from middlewatch.plotting.symbols import REACH_MM, arrowheads, dot_in_diamond
from middlewatch.quantities.angles import three_figures
from middlewatch.quantities.positions import Position

_EDGE_MM = 3.0


def draw_area(draft: Draft) -> None:
    """Draw the outline that is meant to hold the boat 95 times in 100."""
    position = draft.plot.position
    if position is None or position.area is None:
        return
    area = position.area
    parts = [draft.dots([Position(*corner) for corner in corners]) for corners in area.outline.corners_deg()]
    colour = draft.sheet.palette.area
    with draft.pen.group(f"area-outline {area.shape}", data_at=str(position.at)):
        draft.pen.shape(parts, Stroke(colour, 0.5), closed=True)
    for part in parts:
        draft.ground.ink([*part, *part[:1]])
    shown = [dot for part in parts for dot in part if draft.shows(dot)]
    if shown:
        lowest = max(shown, key=lambda dot: dot[1])
        words = (f"{position.at.clock} area, {area.probability * 100:.0f} in 100",)
        draft.labels.append(Label(words, lowest, Hand(colour, 2.4, slanted=True), 4, "area-words"))


def draw_satellite(draft: Draft) -> None:
    """Draw the satellite position; where it is off the sheet, an arrow at the edge and how far it is.

    A dot in a diamond, thin: ours, so that it is taken for no fix of any convention.
    """
    place, told = draft.plot.satellite_place, draft.plot.satellite
    ep = draft.plot.ep
    if place is None or told is None or ep is None or told.gap_nm is None or told.bearing_deg is None:
        return
    dot, colour = draft.at(place), draft.sheet.palette.chart
    away = f"{told.gap_nm:.1f} nm {three_figures(told.bearing_deg)} T of the EP"
    if draft.shows(dot):
        with draft.pen.group("satellite", data_at=str(told.at)):
            dot_in_diamond(draft.pen, dot, Stroke(colour, 0.2))
        draft.sign(dot, REACH_MM)
        words = (f"{told.at.clock} satellite position", f"{told.state.replace('_', ' ')}, {away}")
        draft.labels.append(Label(words, dot, Hand(colour, 2.1), 8, "satellite-words", REACH_MM))
        return
    ends = _to_the_edge(draft, draft.at(ep), dot)
    if ends is None:
        return
    foot, tip = ends
    with draft.pen.group("satellite off-sheet", data_at=str(told.at)):
        draft.pen.line((foot, tip), Stroke(colour, 0.2))
        arrowheads(draft.pen, tip, foot, 1, Stroke(colour, 0.2))
    draft.ground.ink((foot, tip))
    words = (f"{told.at.clock} satellite position off this sheet:", f"{told.state.replace('_', ' ')}, {away}")
    draft.labels.append(Label(words, foot, Hand(colour, 2.1), 8, "satellite-words"))


def _to_the_edge(draft: Draft, ep: Dot, away: Dot) -> tuple[Dot, Dot] | None:
    """Return the last 12 mm of the line from the EP towards a dot off the sheet; None from an EP off it."""
    if not draft.shows(ep):
        return None
    window = draft.sheet.window.wider(-_EDGE_MM)
    east, down = away[0] - ep[0], away[1] - ep[1]
    shares = [
        (side - at) / way
        for side, at, way in (
            (window.left, ep[0], east),
            (window.right, ep[0], east),
            (window.top, ep[1], down),
            (window.bottom, ep[1], down),
        )
        if way != 0.0 and (side - at) / way > 0.0
    ]
    share, length = min(shares, default=0.0), hypot(east, down)
    tip = ep[0] + share * east, ep[1] + share * down
    return (tip[0] - 12.0 * east / length, tip[1] - 12.0 * down / length), tip
