"""Fixes on the sheet: their sign and time, the cocked hat, the rival, set and drift from the DR."""

from math import hypot

from middlewatch.plotting.draft import FADED, Draft, name_in_svg
from middlewatch.plotting.labels import Label
from middlewatch.plotting.symbols import REACH_MM, arrowheads, bearing_of
from middlewatch.quantities.angles import three_figures
from middlewatch.quantities.positions import Position
from middlewatch.reports.fix import FixReport
from middlewatch.reports.place import PlaceReport

_SHORTEST_VECTOR_MM = 5.0


def draw_fixes(draft: Draft) -> None:
    """Draw every fix; a withdrawn one is struck through and keeps its place."""
    for fix in draft.plot.fixes:
        kind = "fix" + (" running" if fix.label == "R Fix" else "") + (" withdrawn" if fix.withdrawn else "")
        with draft.pen.group(
            kind, id=f"fix-{name_in_svg(fix.id)}", data_at=str(fix.at), opacity=FADED[draft.age_of(fix.at)]
        ):
            _draw_fix(draft, fix)


def _draw_fix(draft: Draft, fix: FixReport) -> None:
    dot = draft.at(Position(fix.latitude_deg, fix.longitude_deg))
    draft.sheet.convention.fix(draft.pen, dot, draft.pencil(0.35))
    draft.sign(dot, REACH_MM)
    if fix.withdrawn:
        x, y = dot
        draft.pen.line(((x - 3, y + 1.5), (x + 3, y - 1.5)), draft.pencil(0.4), class_="struck")
    else:
        _hat(draft, fix)
        _set_and_drift(draft, fix)
        if fix.rival is not None:
            _rival(draft, fix.rival, fix)
    doubt = ("withdrawn",) if fix.withdrawn else ("narrow cut",) if "narrow cut" in fix.flags else ()
    words = (f"{fix.at.clock} {draft.sheet.convention.fix_words[fix.label]}", *doubt)
    hand = draft.hand(2.8, struck=bool(fix.withdrawn))
    draft.labels.append(Label(words, dot, hand, 1, "fix-time", REACH_MM))


def _hat(draft: Draft, fix: FixReport) -> None:
    """Draw the corners of the cocked hat, joined."""
    if fix.cocked_hat is None or len(fix.cocked_hat.corners) < 3:
        return
    middle = draft.at(Position(fix.latitude_deg, fix.longitude_deg))
    corners = [draft.at(_position(corner)) for corner in fix.cocked_hat.corners]
    # Of more than three lines the corners go round as they lie about the fix.
    corners.sort(key=lambda dot: bearing_order(middle, dot))
    draft.pen.line(corners, draft.pencil(0.3), closed=True, class_="cocked-hat")


def bearing_order(middle: tuple[float, float], dot: tuple[float, float]) -> tuple[bool, float]:
    """Return what to sort dots by so that they go once round a middle one: from north eastabout."""
    east, north = bearing_of(middle, dot)
    return (east < 0, -north if east >= 0 else north)


def _rival(draft: Draft, rival: PlaceReport, fix: FixReport) -> None:
    """Draw the other crossing: a dotted ring."""
    dot = draft.at(_position(rival))
    draft.pen.ring(dot, 1.9, draft.pencil(0.25, "0.4 0.7"), class_="rival")
    draft.sign(dot, REACH_MM)
    words = (f"{fix.at.clock} or here",)
    draft.labels.append(Label(words, dot, draft.hand(2.1), 22, "rival-time", REACH_MM))


def _set_and_drift(draft: Draft, fix: FixReport) -> None:
    """Draw what set the boat from the DR to the fix, as measured: solid, with set and drift."""
    if fix.set_deg is None or fix.drift_kn is None or fix.dr is None:
        return
    dr, place = draft.at(_position(fix.dr)), draft.at(Position(fix.latitude_deg, fix.longitude_deg))
    if hypot(place[0] - dr[0], place[1] - dr[1]) < _SHORTEST_VECTOR_MM:
        return
    east, north = bearing_of(dr, place)
    tip = place[0] - east * REACH_MM, place[1] + north * REACH_MM
    with draft.pen.group("set-and-drift", data_at=str(fix.at)):
        draft.pen.line((dr, tip), draft.pencil(0.2))
        arrowheads(draft.pen, tip, dr, draft.sheet.convention.stream, draft.pencil(0.2))
    draft.ground.ink((dr, tip))
    middle = (dr[0] + tip[0]) / 2, (dr[1] + tip[1]) / 2
    words = (f"set {three_figures(fix.set_deg)} T, drift {fix.drift_kn:.1f} kn",)
    old = draft.age_of(fix.at) != "new"
    draft.labels.append(Label(words, middle, draft.hand(2.1), 50, "set-and-drift-words", may_go=old))


def _position(place: PlaceReport) -> Position:
    return Position(place.latitude_deg, place.longitude_deg)
