"""Working sightings and fixes again: what follows from a change at a moment of the past."""

from middlewatch.navigator.chartroom import Chartroom
from middlewatch.navigator.fixing import FixRules
from middlewatch.navigator.ledger import Logged
from middlewatch.navigator.orders import Laid, SeeMark
from middlewatch.navigator.refusing import Refused
from middlewatch.navigator.sights import Taken, seen_marks, take
from middlewatch.readings.entries import Bearing, Passing, PositionSight, Range, Transit
from middlewatch.reports.fix import FixReport


def is_sighting(logged: Logged) -> bool:
    """Tell a sighting from an order."""
    return isinstance(logged.said.request, Bearing | Range | Transit | PositionSight | Passing)


def set_line(room: Chartroom, logged: Logged) -> Taken:
    """Work a sighting and put its line on the plot, or take it off where it has none to use; Refused where it cannot be."""
    request = logged.said.request
    _offer_place(room, logged)
    taken = take(room, logged)
    logged.open = isinstance(request, Bearing) and request.mark is None
    if taken.line is None or taken.unused is not None:
        room.plot.lines.pop(logged.id, None)
    else:
        room.plot.lines[logged.id] = taken.line
    return taken


def rework(room: Chartroom, from_ms: int, *, lines_too: bool) -> list[FixReport]:
    """Work the fixes from a moment of the scale on again; return those that come out otherwise.

    After an order the lines themselves are worked again: variation, deviation or ship's head may have changed.
    """
    if lines_too:
        for logged in room.ledger.entries.values():
            if logged.second >= from_ms // 1000 and is_sighting(logged) and not logged.withdrawn:
                _set_again(room, logged)
    rules = FixRules(room.tuning.same_time_s, room.tuning.oldest_line_h)
    # Whatever was taken in the same second was worked at the same row.
    whole_second_ms = from_ms // 1000 * 1000
    return room.plot.rework(room.scale.utc(whole_second_ms).ms, room.reckoning, rules)


def _set_again(room: Chartroom, logged: Logged) -> None:
    try:
        set_line(room, logged)
    except Refused:
        # What its bearing rested on is gone (a withdrawn heading by hand): it has no line until that comes back.
        room.plot.lines.pop(logged.id, None)


def _offer_place(room: Chartroom, logged: Logged) -> None:
    """Before a departure, let a sighted mark be the place for the variation."""
    course = room.reckoning.course_at(logged.second)
    if course.origin is not None or course.place is not None or not is_sighting(logged):
        return
    for mark in seen_marks(logged.said.request):  # type: ignore[arg-type]  # is_sighting has told
        logged.gave_place = True
        room.reckoning.lay(Laid(logged.at_ms, logged.id, SeeMark(room.place_of(mark))))
        return
