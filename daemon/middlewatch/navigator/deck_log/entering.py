"""Taking entries: each is read, timed, worked at its own second, and answered; none altered in silence."""

from dataclasses import replace
from math import hypot

from middlewatch.navigator.chartroom import Chartroom
from middlewatch.navigator.deck_log.amending import Amended, amend, confirm, withdraw
from middlewatch.navigator.deck_log.ledger import Logged
from middlewatch.navigator.deck_log.ordering import LaidOrder, lay
from middlewatch.navigator.deck_log.redundant import adoption
from middlewatch.navigator.deck_log.refusing import Refused
from middlewatch.navigator.deck_log.timing import come_due, worked_at_ms
from middlewatch.navigator.deck_log.watch_orders import WatchOrder, attend
from middlewatch.navigator.deck_log.working import (
    fix_rules,
    is_sighting,
    reaches_back_to_ms,
    rework,
    rework_crossed,
    set_line,
    suspect,
)
from middlewatch.navigator.position.fix import NoFix
from middlewatch.navigator.position.judging import Judgement
from middlewatch.navigator.position.plot import Choice
from middlewatch.navigator.position.sighting_answer import sighting_answer
from middlewatch.navigator.position.sights import Taken
from middlewatch.navigator.watch import reworked
from middlewatch.quantities.angles import direction_of, three_figures
from middlewatch.quantities.instants import MS_PER_SECOND
from middlewatch.quantities.lengths import METRES_PER_NM
from middlewatch.quantities.positions import Position
from middlewatch.readings.entries import (
    Amend,
    Confirm,
    DeviationOrder,
    Entry,
    FixOrder,
    LogFactorOrder,
    Said,
    Unread,
    Visibility,
    Withdraw,
)
from middlewatch.reports import Report
from middlewatch.reports.answer import Answer, RefusalReport
from middlewatch.reports.fix import FixReport

_HARDLY_NM = 0.005


def enter(room: Chartroom, entry: Entry) -> list[Report]:
    """Take an entry; return its answer and what follows (nothing yet, where it waits for its own second)."""
    read = room.reader.decode(entry.channel, entry.text)
    if entry.retained:
        reason = "a retained entry would be heard again at every start"
        refused = Refused("retained", "true", "sent without being retained", reason)
        return [_refusal(room, entry, read, refused)]
    if isinstance(read, Unread):
        return [_refusal(room, entry, read, Refused(read.field, read.found, read.wanted, read.reason))]
    try:
        known = room.ledger.entries.get(read.id) if read.id is not None else None
        if known is not None:
            return _again(known, read, entry)
        logged = _logged(room, read, entry)
        newest = room.track.last_second
        if newest is None or logged.second > newest:
            _commit(room, logged)
            room.ledger.waiting.append(logged)
            return []
        return work(room, logged)
    except Refused as refused:
        return [_refusal(room, entry, read, refused)]


def work(room: Chartroom, logged: Logged) -> list[Report]:
    """Work an entry at its own second and answer it; Refused where it cannot be."""
    waited = logged.id in room.ledger.entries
    water_m = room.reckoning.now.dr_north_m, room.reckoning.now.dr_east_m
    room.ledger.in_hand = logged
    try:
        if waited:
            come_due(room, logged)
        answer, followers = _sighting(room, logged) if is_sighting(logged) else _order(room, logged)
    except Refused as refused:
        if not waited:
            raise
        # Committed already when it came: it stays in the log, and comes to nothing.
        logged.withdrawn = True
        refusal = RefusalReport(refused.field, refused.found, refused.wanted, refused.reason)
        answer, followers = replace(_answer(room, logged), accepted=False, refusal=refusal), []
    finally:
        room.ledger.in_hand = None
    logged.answer = answer
    if not waited:
        _commit(room, logged)
    if isinstance(logged.said.request, Visibility):
        # How far lights are seen is looked up in the ledger, where the order stands only now.
        followers = [*followers, *rework(room, logged.at_ms, lines_too=True)]
    room.changed.append(logged)
    room.check.water_reworked(water_m, (room.reckoning.now.dr_north_m, room.reckoning.now.dr_east_m))
    _hold_against_the_run(room, logged)
    adopting = adoption(room, logged, [each for each in followers if isinstance(each, FixReport)])
    return [answer, *followers, *([] if adopting is None else enter(room, adopting))]


def _hold_against_the_run(room: Chartroom, logged: Logged) -> None:
    """Hold the receiver's way against the run that an order has made another."""
    request = logged.said.request
    if isinstance(request, Amend | Withdraw):
        # No sighting changes the run; an order may lie, and may have lain, at any time.
        if any(isinstance(each.said.request, LaidOrder) for each in room.changed):
            reworked.rework(room, 0)
    elif isinstance(request, LaidOrder):
        reworked.rework(room, reaches_back_to_ms(room, logged) // MS_PER_SECOND)


def _logged(room: Chartroom, said: Said, entry: Entry) -> Logged:
    at_ms = worked_at_ms(room, said, entry.heard_ms)
    return Logged(
        seq=room.ledger.count + 1,
        id=said.id or room.ledger.new_id(said),
        channel=entry.channel,
        heard_ms=entry.heard_ms,
        at_ms=at_ms,
        text=entry.text,
        said=said,
        first_body=said.body,
        token=entry.token,
    )


def _commit(room: Chartroom, logged: Logged) -> None:
    room.ledger.add(logged)
    room.arrived.append(logged)


def _again(known: Logged, said: Said, entry: Entry) -> list[Report]:
    """Answer an entry whose id is known: the first answer again, or a refusal if it says something else."""
    if known.first_body != said.body or known.channel != entry.channel:
        wanted = "another id" if known.withdrawn else "amend"
        raise Refused("id", known.id, wanted, f"{known.id} was entered before and said something else")
    if known.answer is None:
        return []  # it still waits for its own second, and will be answered then
    return [replace(known.answer, repeat=True, token=entry.token)]


# --- sightings -------------------------------------------------------------------------------------------


def _sighting(room: Chartroom, logged: Logged) -> tuple[Answer, list[Report]]:
    taken = set_line(room, logged)
    stood = suspect(room, logged, taken)
    fixes = rework(room, logged.at_ms, lines_too=logged.gave_place)
    return _sighting_answer(room, logged, taken, stood), list[Report](fixes)


def _sighting_answer(room: Chartroom, logged: Logged, taken: Taken, stood: Judgement) -> Answer:
    used = taken.line is not None and taken.unused is None
    answer = sighting_answer(room, logged, taken, stood)
    return replace(_answer(room, logged), used=used, sighting=answer)


# --- orders ----------------------------------------------------------------------------------------------


def _order(room: Chartroom, logged: Logged) -> tuple[Answer, list[Report]]:
    request = logged.said.request
    ep_before = room.reckoning.now.ep
    # Asked before it is done: `last` may be another one afterwards.
    target = room.ledger.find(request.entry) if isinstance(request, Amend | Withdraw | Confirm) else None
    followers: list[Report] = []
    match request:
        case Amend():
            amended = amend(room, request)
            effect = amended.effect
            followers = [*_anew(room, amended), *amended.fixes]
        case Withdraw():
            effect, fixes = withdraw(room, request)
            followers = list(fixes)
        case Confirm():
            effect = confirm(room, request)
        case FixOrder():
            effect, fixes = _fix_using(room, logged, request)
            followers = list(fixes)
        case _ if isinstance(request, LaidOrder):
            effect, fixes = _lay(room, logged, request)
            followers = list(fixes)
        case _ if isinstance(request, WatchOrder):
            crossed = len(room.crossed)
            effect = attend(room, logged, request)
            followers = list(rework_crossed(room, crossed))
        case _:
            raise TypeError(f"{logged.said.kind} is no order")
    meant = request if target is None else target.said.request
    if isinstance(meant, LogFactorOrder | DeviationOrder):
        # A trial that was accepted has shown whose doing a parting was.
        second = (target or logged).second
        was = room.reckoning.course_at(second - 1)
        room.check.calibrated(second, was, explained=_by_trial(request))
    if isinstance(request, Amend | Withdraw) or _is_late(room, logged):
        effect += _moved(ep_before, room.reckoning.now.ep)
    about = None if target is None else target.id
    return replace(_answer(room, logged), used=True, effect=effect, about=about), followers


def _by_trial(order: object) -> bool:
    match order:
        case LogFactorOrder(factor="satellite") | DeviationOrder(deviation="satellite"):
            return True
        case _:
            return False


def _lay(room: Chartroom, logged: Logged, order: LaidOrder) -> tuple[str, list[FixReport]]:
    effect = lay(room, logged, order)
    if _is_late(room, logged):
        # An order heard late is worked from its own time, and the answer says what moved.
        effect += f"; worked from {room.scale.utc(logged.acts_ms).clock_with_seconds}"
    return effect, rework(room, reaches_back_to_ms(room, logged), lines_too=True)


def _is_late(room: Chartroom, logged: Logged) -> bool:
    last = room.track.last_second
    return last is not None and logged.acts_ms // MS_PER_SECOND < last


def _fix_using(room: Chartroom, logged: Logged, order: FixOrder) -> tuple[str, list[FixReport]]:
    for id_ in order.using:
        if id_ not in room.plot.lines:
            known = ", ".join(list(room.plot.lines)[-3:]) or "no line stands"
            raise Refused("using", id_, known, f"there is no line of {id_} on the plot")
    outcome = room.plot.tried(order.using, room.reckoning, fix_rules(room))
    if isinstance(outcome, NoFix):
        raise Refused("using", ", ".join(order.using), "lines that make a fix", outcome.reason)
    newest = room.ledger.newest_of(order.using)
    room.plot.choices[logged.id] = Choice(logged.order, order.using)
    fixes = rework(room, newest.at_ms, lines_too=False)
    made = room.plot.published[newest.id].report
    place = str(Position(made.latitude_deg, made.longitude_deg))
    return f"{made.id}, {made.label} by {', '.join(order.using)}: {place}", fixes


def _anew(room: Chartroom, amended: Amended) -> list[Report]:
    """Answer an amended sighting afresh, under its own id."""
    if amended.sighting is None:
        return []
    return [replace(_sighting_answer(room, amended.target, *amended.sighting), token=0)]


def _moved(before: tuple[float, float] | None, after: tuple[float, float] | None) -> str:
    """Say how far the EP of this moment moved."""
    if before is None or before == after:
        return ""
    if after is None:
        return "; there is no DR and no EP any more: order a departure"
    north_m, east_m = Position(*before).offset_to(Position(*after))
    distance_nm = hypot(north_m, east_m) / METRES_PER_NM
    if distance_nm < _HARDLY_NM:
        return "; the EP of now moves by less than 0.01 nm"
    towards = three_figures(direction_of(north_m, east_m))
    return f"; the EP of now moves {distance_nm:.2f} nm towards {towards} T"


# --- answers ---------------------------------------------------------------------------------------------


def _answer(room: Chartroom, logged: Logged) -> Answer:
    return Answer(
        channel=logged.channel,
        id=logged.id,
        kind=logged.said.kind,
        at=room.scale.utc(logged.at_ms),
        heard_at=room.scale.utc(logged.heard_ms),
        accepted=True,
        used=False,
        open=logged.open,
        repeat=False,
        token=logged.token,
    )


def _refusal(room: Chartroom, entry: Entry, read: Said | Unread, refused: Refused) -> Answer:
    return Answer(
        channel=entry.channel,
        id=read.id,
        kind=read.kind,
        at=None,
        heard_at=room.scale.utc(entry.heard_ms),
        accepted=False,
        used=False,
        open=False,
        repeat=False,
        refusal=RefusalReport(refused.field, refused.found, refused.wanted, refused.reason),
        token=entry.token,
    )
