"""Working sightings and fixes again: what follows from a change at a moment of the past."""

from contextlib import suppress

from middlewatch.navigator.chartroom import Chartroom
from middlewatch.navigator.deck_log.ledger import Logged
from middlewatch.navigator.deck_log.ordering import lay_anew
from middlewatch.navigator.deck_log.refusing import Refused
from middlewatch.navigator.position.fixing import FixRules
from middlewatch.navigator.position.judging import Judgement, judge
from middlewatch.navigator.position.sights import Taken, seen_marks, take
from middlewatch.navigator.reckoning.orders import Laid, SeeMark
from middlewatch.quantities.instants import MS_PER_SECOND
from middlewatch.readings.entries import Bearing, ByHand, Departure, FromMark, Sighting
from middlewatch.reports.fix import FixReport


def is_sighting(logged: Logged) -> bool:
    """Tell a sighting from an order."""
    return isinstance(logged.said.request, Sighting)


def fix_rules(room: Chartroom) -> FixRules:
    """Return the rules of plotting as the settings have them."""
    tuning = room.tuning
    return FixRules(tuning.same_time_s, tuning.oldest_line_h, tuning.strongest_stream_kn)


def set_line(room: Chartroom, logged: Logged) -> Taken:
    """Work a sighting and put its line on the plot, or take it off where it is not to be used.

    Refused, with nothing changed on the plot, where it cannot be worked.
    """
    _offer_place(room, logged)
    try:
        taken = take(room, logged)
    except Refused:
        take_back_place(room, logged)
        raise
    if taken.line is None or taken.unused is not None:
        room.plot.lines.pop(logged.id, None)
    else:
        room.plot.lines[logged.id] = taken.line
    return taken


def set_again(room: Chartroom, logged: Logged) -> None:
    """Work a sighting again after something before it changed.

    Where what its bearing rested on is gone (a heading by hand withdrawn) it has no line until that returns.
    """
    before = room.plot.lines.get(logged.id)
    try:
        set_line(room, logged)
    except Refused:
        room.plot.lines.pop(logged.id, None)
    if room.plot.lines.get(logged.id) != before:
        room.changed.append(logged)


def suspect(room: Chartroom, logged: Logged, taken: Taken) -> Judgement:
    """Judge a sighting, and leave it open where it is suspected, or names no mark yet.

    To be done before the cloud is worked with it.
    """
    stood, request = judge(room, logged, taken), logged.said.request
    unknown_light = isinstance(request, Bearing) and request.mark is None
    logged.open = unknown_light or (stood.suspected and taken.unused is None)
    return stood


def rework(room: Chartroom, from_ms: int, *, lines_too: bool) -> list[FixReport]:
    """Work the fixes from a moment of the scale on again; return those that come out otherwise.

    After an order the lines themselves are worked again, and departures by bearing and distance: variation,
    deviation or ship's head may have changed.
    """
    from_second = _kept_from(room, from_ms)
    if lines_too:
        # A second's course holds all that was ordered in it, so what is laid comes before what is seen.
        worked = sorted(
            room.ledger.worked_from(from_second), key=lambda each: (each.second, is_sighting(each))
        )
        for logged in worked:
            request = logged.said.request
            if is_sighting(logged):
                set_again(room, logged)
            elif isinstance(request, Departure) and isinstance(request.place, FromMark):
                # Where its bearing can no longer be made true, the departure stays what it was.
                with suppress(Refused):
                    lay_anew(room, logged, request)
    work_area(room, from_ms)
    return room.plot.rework(from_second, room.reckoning, fix_rules(room), room.area)


def work_area(room: Chartroom, from_ms: int) -> None:
    """Work the clouds again from a moment of the scale on, with the lines that are on the plot now."""
    second = _kept_from(room, from_ms)
    room.plot.judge_anew_from(second)
    room.area.work(room.plot.lines.values(), second, room.ledger.open_ids())


def _kept_from(room: Chartroom, from_ms: int) -> int:
    """Return the second of a moment; what is older than the track that is kept stays as it was worked."""
    return max(from_ms // MS_PER_SECOND, room.track.first_second or 0)


def rework_crossed(room: Chartroom, already: int) -> list[FixReport]:
    """Work everything from a gap on again once it has been crossed; `already` gaps had been before."""
    if len(room.crossed) == already:
        return []
    return rework(room, room.crossed[-1].at_ms, lines_too=True)


def reaches_back_to_ms(room: Chartroom, logged: Logged) -> int:
    """Return the moment an entry changes things from: a log by hand makes the speed since the log before."""
    request = logged.said.request
    if not (isinstance(request, ByHand) and "log" in request.given):
        return logged.acts_ms
    logs = (
        each.at_ms
        for each in room.ledger.worked_from(0)
        if isinstance(each.said.request, ByHand) and "log" in each.said.request.given
    )
    return max((at_ms for at_ms in logs if at_ms < logged.at_ms), default=logged.at_ms)


def take_back_place(room: Chartroom, logged: Logged) -> None:
    """Let a sighting's mark no longer be a place for the variation."""
    if logged.gave_place:
        room.reckoning.lift(logged.id)
        logged.gave_place = False


def _offer_place(room: Chartroom, logged: Logged) -> None:
    """Before a departure, let a sighted mark be the place for the variation: the first by time is."""
    request = logged.said.request
    if not isinstance(request, Sighting):
        return
    marks = seen_marks(request)
    if logged.gave_place or not marks or room.reckoning.course_at(logged.second).origin is not None:
        return
    room.reckoning.lay(Laid(logged.at_ms, logged.id, SeeMark(room.place_of(marks[0]))))
    logged.gave_place = True
