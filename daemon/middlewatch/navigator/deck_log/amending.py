"""Amending, withdrawing and confirming: what was entered stays visible, and what follows is worked again."""

import json
from dataclasses import dataclass

from middlewatch.navigator.chartroom import Chartroom
from middlewatch.navigator.deck_log.ledger import Logged
from middlewatch.navigator.deck_log.ordering import LaidOrder, forget_origin, lay
from middlewatch.navigator.deck_log.refusing import Refused
from middlewatch.navigator.deck_log.timing import worked_at_ms
from middlewatch.navigator.deck_log.working import (
    is_sighting,
    reaches_back_to_ms,
    rework,
    set_again,
    set_line,
    suspect,
    take_back_place,
    work_area,
)
from middlewatch.navigator.position.judging import Judgement
from middlewatch.navigator.position.sights import Taken
from middlewatch.navigator.reckoning.calibration import Calibration
from middlewatch.navigator.reckoning.origin import Origin
from middlewatch.quantities.instants import MS_PER_SECOND
from middlewatch.readings.entries import (
    Adopt,
    Amend,
    Bearing,
    Confirm,
    Departure,
    DeviationOrder,
    FixOrder,
    LogFactorOrder,
    Order,
    Remark,
    Said,
    Sighting,
    Unread,
    Visibility,
    Withdraw,
)
from middlewatch.reports.fix import FixReport


def withdraw(room: Chartroom, order: Withdraw) -> tuple[str, list[FixReport]]:
    """Take an entry back; return the effect in words and the fixes that change."""
    target = _target(room, order.entry)
    if not (is_sighting(target) or isinstance(target.said.request, LaidOrder | FixOrder | Visibility)):
        wanted = "a sighting, or an order that changes the reckoning or the plot"
        reason = f"{_named(target)} cannot be withdrawn: what it did is done"
        raise Refused("entry", order.entry, wanted, reason)
    request = target.said.request
    lines_too = not is_sighting(target) or target.gave_place
    target.withdrawn, target.open, target.gave_place = True, False, False
    room.plot.lines.pop(target.id, None)
    room.plot.choices.pop(target.id, None)
    room.reckoning.lift(target.id)
    room.changed.append(target)
    # A fix ordered stands at its newest line, before the order.
    since = room.ledger.newest_of(request.using) if isinstance(request, FixOrder) else target
    fixes = rework(room, reaches_back_to_ms(room, since), lines_too=lines_too)
    return f"{_named(target)} withdrawn; it stays in the log as withdrawn{_followed(fixes)}", fixes


@dataclass(frozen=True, slots=True)
class Amended:
    """What an amendment came to: the effect in words, the fixes that change, the entry amended.

    `sighting`: where it is one, how it is now taken and how it stands.
    """

    effect: str
    fixes: list[FixReport]
    target: Logged
    sighting: tuple[Taken, Judgement] | None


def amend(room: Chartroom, order: Amend) -> Amended:
    """Change named fields of an entry; a sighting is judged anew, whatever it was before."""
    target = _target(room, order.entry)
    if not (is_sighting(target) or isinstance(target.said.request, LaidOrder | Visibility | Remark)):
        wanted = "a sighting, a remark, or an order that changes the reckoning"
        reason = f"{_named(target)} cannot be amended: what it did is done"
        raise Refused("entry", order.entry, wanted, reason)
    before, before_ms = _as_it_is(target), reaches_back_to_ms(room, target)
    lines_too = not is_sighting(target) or target.gave_place
    try:
        taken = _say_instead(room, target, order.change)
    except Refused as refused:
        target.said, target.at_ms, target.origin, target.calibration = before
        _put_back(room, target)
        raise Refused(f"change.{refused.field}", refused.found, refused.wanted, refused.reason) from None
    room.changed.append(target)
    since_ms = min(before_ms, reaches_back_to_ms(room, target))
    stood = None if taken is None else _judged_anew(room, target, taken, since_ms)
    # A remark steers nothing: only what it says is another thing.
    steers = not isinstance(target.said.request, Remark)
    fixes = rework(room, since_ms, lines_too=lines_too or target.gave_place) if steers else []
    changes = _changes(before[0], order.change)
    effect = f"{_named(target)} amended: {changes}{_followed(fixes)}"
    return Amended(effect, fixes, target, None if taken is None or stood is None else (taken, stood))


def _as_it_is(target: Logged) -> tuple[Said, int, Origin | None, Calibration | None]:
    """Return all of an entry that an amendment may change."""
    return target.said, target.at_ms, target.origin, target.calibration


def confirm(room: Chartroom, order: Confirm) -> str:
    """Let a suspected entry stand."""
    target = _target(room, order.entry)
    request = target.said.request
    if isinstance(request, Bearing) and request.mark is None:
        reason = "a light that is not known yet cannot be confirmed"
        raise Refused("entry", order.entry, "amend, with a mark", reason)
    target.open = False
    room.changed.append(target)
    # The area need not be the wider of with and without any more.
    work_area(room, target.at_ms)
    return f"{_named(target)} stands"


def _judged_anew(room: Chartroom, target: Logged, taken: Taken, since_ms: int) -> Judgement:
    """Judge an amended sighting by the cloud without what it said before."""
    line = room.plot.lines.pop(target.id, None)
    work_area(room, since_ms)
    stood = suspect(room, target, taken)
    if line is not None:
        room.plot.lines[target.id] = line
    return stood


def _say_instead(room: Chartroom, target: Logged, change: str) -> Taken | None:
    """Work an entry with a change laid over it; return how a sighting is taken then.

    Refused where that says nothing, or cannot be worked.
    """
    said = room.reader.decode(target.channel, room.reader.amended(target.said.body, change))
    if isinstance(said, Unread):
        raise Refused(said.field, said.found, said.wanted, said.reason)
    at_ms = worked_at_ms(room, said, target.heard_ms)
    last = room.track.last_second
    if last is not None and at_ms // MS_PER_SECOND > last:
        wanted = f"not after {room.scale.utc(last * MS_PER_SECOND)}"
        raise Refused("at", str(said.at), wanted, "that is still to come")
    if not _takes_the_same(target.said.request, said.request):
        target.origin = target.calibration = None
    target.said, target.at_ms = said, at_ms
    if is_sighting(target):
        take_back_place(room, target)
        return set_line(room, target)
    if isinstance(said.request, LaidOrder):
        forget_origin(target, said.request)
        lay(room, target, said.request)
    return None


def _takes_the_same(before: Sighting | Order, after: Sighting | Order) -> bool:
    """Tell whether what was remembered of an order still holds: its origin, or what was found for it."""
    if isinstance(before, Adopt) and isinstance(after, Adopt):
        return before.fix == after.fix
    if isinstance(before, Departure) and isinstance(after, Departure):
        return before.place == after.place
    if isinstance(before, LogFactorOrder) and isinstance(after, LogFactorOrder):
        return before.factor == after.factor == "satellite"
    if isinstance(before, DeviationOrder) and isinstance(after, DeviationOrder):
        return before.deviation == after.deviation == "satellite"
    return True


def _put_back(room: Chartroom, target: Logged) -> None:
    """Work an entry as it was before a change that was refused."""
    request = target.said.request
    if is_sighting(target):
        set_again(room, target)
    elif isinstance(request, LaidOrder):
        lay(room, target, request)


def _target(room: Chartroom, id_: str) -> Logged:
    target = room.ledger.find(id_)
    if target is None:
        meant = [each.id for each in room.ledger.to_be_meant()]
        known = ", ".join(meant[-3:]) or "nothing entered stands"
        raise Refused("entry", id_, known, f"there is no entry {id_}")
    if target.withdrawn:
        raise Refused("entry", id_, "an entry that stands", f"{target.id} is withdrawn already")
    if target.answer is None:
        due = f"{target.id} from {room.scale.utc(target.at_ms)} on"
        raise Refused("entry", id_, due, f"{target.id} waits for its own time and is not worked yet")
    first = room.track.first_second
    if first is not None and _oldest_second(room, target) < first:
        wanted = f"an entry of {room.scale.utc(first * MS_PER_SECOND)} or later"
        reason = f"what followed from {target.id} cannot be worked again any more: enter anew what is so now"
        raise Refused("entry", id_, wanted, reason)
    return target


def _oldest_second(room: Chartroom, target: Logged) -> int:
    """Return the second from which an entry is worked again; a fix ordered stands at its newest line."""
    request = target.said.request
    if isinstance(request, FixOrder):
        return room.ledger.newest_of(request.using).second
    return target.acts_ms // MS_PER_SECOND


def _named(target: Logged) -> str:
    return f"{target.said.kind.replace('_', ' ')} {target.id}"


def _changes(before: Said, change: str) -> str:
    """Say what was changed into what: `bearing_deg 249 (was 248)`."""
    old, new = json.loads(before.body), json.loads(change)
    return ", ".join(f"{key} {_shown(new[key])} (was {_shown(old.get(key))})" for key in new)


def _shown(value: object) -> str:
    if value is None:
        return "not given"
    return value if isinstance(value, str) else json.dumps(value, ensure_ascii=False)


def _followed(fixes: list[FixReport]) -> str:
    """Say what became of the fixes."""
    words = [_became(fix) for fix in fixes]
    return f"; fixes: {', '.join(words)}" if words else ""


def _became(fix: FixReport) -> str:
    if fix.withdrawn:
        return f"{fix.id} withdrawn"
    return f"{fix.id} revises {fix.revises}" if fix.revises else fix.id
