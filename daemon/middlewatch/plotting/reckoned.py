"""The reckoning on the sheet: each DR with its points and courses, the EP, and what carried the boat."""

from collections.abc import Iterator
from dataclasses import replace
from math import atan2, cos, degrees, hypot, radians, sin

from middlewatch.plotting.draft import Draft, name_in_svg
from middlewatch.plotting.labels import Box, Label
from middlewatch.plotting.legs import Leg, legs_of
from middlewatch.plotting.lettering import ASCENT, DESCENT, width_mm
from middlewatch.plotting.pen import Dot, Hand
from middlewatch.plotting.plot import Dr, DrPoint
from middlewatch.plotting.symbols import REACH_MM, arrowheads, bearing_of
from middlewatch.quantities.instants import Instant
from middlewatch.quantities.positions import Position

_SHORTEST_VECTOR_MM = 3.0
_ALONG = (0.5, 0.35, 0.65, 0.22, 0.78)  # where on a leg its course may be written
_OFF_LINE_MM = 0.7
_CLEAR_MM = 4.0  # of the signs at both ends of a leg
_PIECES = 5


def draw_reckoning(draft: Draft) -> None:
    """Draw the DRs, the replaced ones thin and dated, then the newest DR and EP."""
    for n, dr in enumerate(draft.plot.drs):
        kind = "dr" if dr.replaced is None else "dr replaced"
        with draft.pen.group(kind, id=f"dr-{n + 1}-{name_in_svg(dr.origin.id)}"):
            _draw_dr(draft, dr)
    position = draft.plot.position
    if position is not None and position.dr is not None:
        now = Position(position.dr.latitude_deg, position.dr.longitude_deg)
        _draw_now(draft, now, draft.plot.drs[-1] if draft.plot.drs else None, position.at)


def _draw_dr(draft: Draft, dr: Dr) -> None:
    dots = draft.dots(dr.path)
    draft.pen.line(dots, draft.pencil(0.35 if dr.replaced is None else 0.15), class_="track")
    draft.ground.ink(dots)
    for point in _apart(draft, dr):
        _draw_point(draft, dr, point)
    for leg in legs_of(dr, draft.plot.at):
        _course(draft, leg)
    if dr.replaced is not None:
        words = (f"DR of {dr.origin.at.clock}, replaced {dr.replaced.clock} {str(dr.replaced)[:10]}",)
        draft.labels.append(Label(words, dots[-1], draft.hand(2.1), 45, "replaced", may_go=True))


def _apart(draft: Draft, dr: Dr) -> Iterator[DrPoint]:
    """Yield the points, but of two with one label at one place (altered on the hour) only the first."""
    drawn = list[tuple[str, Dot]]()
    for point in dr.points:
        dot = draft.at(point.place)
        if any(
            clock == point.at.clock and hypot(x - dot[0], y - dot[1]) < REACH_MM for clock, (x, y) in drawn
        ):
            continue
        drawn.append((point.at.clock, dot))
        yield point


def _draw_point(draft: Draft, dr: Dr, point: DrPoint) -> None:
    """Draw a plotted DR with its time; the origin of a DR by fix is drawn as that fix."""
    if point.due == "fix":
        return
    dot = draft.at(point.place)
    convention, stroke = draft.sheet.convention, draft.pencil(0.25 if dr.replaced is None else 0.15)
    with draft.pen.group(f"dr-point {point.due}", data_at=str(point.at)):
        if point.due == "departure":
            convention.fix(draft.pen, dot, stroke)
        else:
            convention.dr(draft.pen, dot, stroke, _course_at(dr, point))
        if point.ep is not None and dr.replaced is None and point.due == "hour":
            _former_ep(draft, point, dot, draft.at(point.ep))
    draft.sign(dot, REACH_MM)
    word = "departure" if point.due == "departure" else convention.dr_word
    hand, rank = (draft.hand(2.3), 20) if dr.replaced is None else (draft.hand(2.0), 60)
    words = (f"{point.at.clock} {word}".rstrip(),)
    draft.labels.append(Label(words, dot, hand, rank, "dr-time", REACH_MM, may_go=rank > 50))


def _former_ep(draft: Draft, point: DrPoint, dr: Dot, ep: Dot) -> None:
    """Draw the EP of an earlier hour, and a dotted line from its DR."""
    if hypot(ep[0] - dr[0], ep[1] - dr[1]) < _SHORTEST_VECTOR_MM:
        return
    draft.pen.line((dr, ep), draft.pencil(0.15, "0.3 0.8"))
    draft.sheet.convention.ep(draft.pen, ep, draft.pencil(0.18))
    draft.sign(ep, REACH_MM)
    words = (f"{point.at.clock} {draft.sheet.convention.ep_word}",)
    draft.labels.append(Label(words, ep, draft.hand(2.1), 35, "ep-time", REACH_MM))


def _course_at(dr: Dr, point: DrPoint) -> float:
    """Return the course to lay a DR's sign by, degrees true; a boat that was not steered has none: north."""
    if point.heading_true_deg is not None:
        return point.heading_true_deg
    return next((leg.course_true_deg for leg in legs_of(dr, None) if leg.start == point), 0.0)


def _draw_now(draft: Draft, now: Position, dr: Dr | None, at: Instant) -> None:
    """Draw the newest DR and EP, and what carried the one to the other as the EP has it: dashed."""
    convention, dot = draft.sheet.convention, draft.at(now)
    position = draft.plot.position
    course = position.heading_true_deg if position else None
    with draft.pen.group("dr-point now", data_at=str(at)):
        convention.dr(draft.pen, dot, draft.pencil(0.3), course or 0.0)
    draft.sign(dot, REACH_MM)
    word = convention.dr_word or "DR"
    draft.labels.append(Label((f"{at.clock} {word}",), dot, draft.hand(), 5, "dr-time", REACH_MM))
    ep = draft.plot.ep
    if ep is None:
        return
    ep_dot = draft.at(ep)
    away = hypot(ep_dot[0] - dot[0], ep_dot[1] - dot[1])
    if away > _SHORTEST_VECTOR_MM and dr is not None:
        with draft.pen.group("carried", data_at=str(at)):
            draft.pen.line((dot, ep_dot), draft.pencil(0.2, "1.5 1"))
            east, north = bearing_of(dot, ep_dot)
            tip = ep_dot[0] - east * REACH_MM, ep_dot[1] + north * REACH_MM
            arrowheads(draft.pen, tip, dot, convention.stream, draft.pencil(0.2))
        draft.ground.ink((dot, ep_dot))
    with draft.pen.group("ep", data_at=str(at)):
        convention.ep(draft.pen, ep_dot, draft.pencil(0.3))
    draft.sign(ep_dot, REACH_MM)
    words = (f"{at.clock} {convention.ep_word}", *_held(draft))
    draft.labels.append(Label(words, ep_dot, draft.hand(), 3, "ep-time", REACH_MM))


def _held(draft: Draft) -> tuple[str, ...]:
    position = draft.plot.position
    return (
        ()
        if position is None or position.ep is None
        else tuple(f"with {words}" for words in position.ep.holds)
    )


def _course(draft: Draft, leg: Leg) -> None:
    """Write the course above a leg and the speed below it, along the line, where there is room."""
    # Of a leg that runs over several sheets each has its own words.
    shown = draft.sheet.window.part_of(draft.at(leg.start.place), draft.at(leg.end))
    if shown is None:
        return
    one, other = shown
    length = hypot(other[0] - one[0], other[1] - one[1])
    convention = draft.sheet.convention
    course = convention.course_words(leg.course_true_deg)
    speed = "" if leg.speed_kn is None else convention.speed_words(leg.speed_kn)
    hand = replace(draft.hand(2.3), halo=draft.sheet.palette.paper)
    width = max(width_mm(course, hand.size), width_mm(speed, hand.size))
    east, north = bearing_of(one, other)
    turned = degrees(atan2(-north, east))
    # Words are read from left to right, whichever way the boat goes.
    turned = turned - 180.0 if turned > 90.0 else turned + 180.0 if turned < -90.0 else turned
    places = [
        (one[0] + share * (other[0] - one[0]), one[1] + share * (other[1] - one[1]))
        for share in _ALONG
        if min(share, 1.0 - share) * length > width / 2 + _CLEAR_MM
    ]
    rows = [(middle, _boxes_along(middle, turned, width, hand)) for middle in places]
    free = [row for row in rows if all(draft.ground.free(box) for box in row[1])]
    if not free:
        return
    middle, boxes = min(free, key=lambda row: sum(draft.ground.ink_under(box) for box in row[1]))
    for box in boxes:
        draft.ground.take(box)
    with draft.pen.group("course-label"):
        for words, down in ((course, -_OFF_LINE_MM), (speed, _OFF_LINE_MM + hand.size * ASCENT)):
            if words:
                draft.pen.write(words, _across(middle, turned, down), hand, "middle", turned)
        if convention.water:
            # Just past the words.
            tip = middle[0] + east * (width / 2 + 2.5), middle[1] - north * (width / 2 + 2.5)
            arrowheads(draft.pen, tip, one, convention.water, draft.pencil(0.25))


def _across(dot: Dot, turned_deg: float, down_mm: float) -> Dot:
    """Return the dot so far below another as words turned that way have below."""
    angle = radians(turned_deg)
    return dot[0] - down_mm * sin(angle), dot[1] + down_mm * cos(angle)


def _boxes_along(middle: Dot, turned_deg: float, width: float, hand: Hand) -> list[Box]:
    """Return boxes in a row that hold words written on both sides of a slanting line."""
    angle = radians(turned_deg)
    half = _OFF_LINE_MM + hand.size * (ASCENT + DESCENT)
    reach = width / _PIECES / 2
    boxes = []
    for n in range(_PIECES):
        along = width * ((n + 0.5) / _PIECES - 0.5)
        x, y = middle[0] + along * cos(angle), middle[1] + along * sin(angle)
        across = half * abs(sin(angle)) + reach * abs(cos(angle))
        down = half * abs(cos(angle)) + reach * abs(sin(angle))
        boxes.append(Box(x - across, y - down, x + across, y + down))
    return boxes
