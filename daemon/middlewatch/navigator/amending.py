"""Amending, withdrawing and confirming: what was entered stays visible, and what follows is worked again."""

from middlewatch.navigator.chartroom import Chartroom
from middlewatch.navigator.ledger import Logged
from middlewatch.navigator.ordering import LaidOrder, lay
from middlewatch.navigator.refusing import Refused
from middlewatch.navigator.timing import worked_at_ms
from middlewatch.navigator.working import is_sighting, rework, set_line
from middlewatch.readings.entries import Amend, Bearing, Confirm, FixOrder, Said, Unread, Withdraw
from middlewatch.reports.fix import FixReport


def withdraw(room: Chartroom, order: Withdraw) -> tuple[str, list[FixReport]]:
    """Take an entry back; return the effect in words and the fixes that change."""
    target = _target(room, order.entry)
    request = target.said.request
    if not (is_sighting(target) or isinstance(request, LaidOrder | FixOrder)):
        raise Refused("entry", order.entry, "a sighting, or an order that changes the reckoning or the plot",
            f"a {target.said.kind} cannot be withdrawn: what it did is done")  # fmt: skip
    target.withdrawn, target.open = True, False
    restore(room, target)
    room.changed.append(target)
    fixes = rework(room, target.at_ms, lines_too=not is_sighting(target))
    return f"{target.said.kind} {target.id} withdrawn; it stays in the log as withdrawn{_moved(fixes)}", fixes


def restore(room: Chartroom, target: Logged) -> None:
    """Take what a withdrawn entry did off the plot and the reckoning."""
    room.plot.lines.pop(target.id, None)
    room.reckoning.lift(target.id)
    for sighting, using in list(room.plot.chosen.items()):
        if isinstance(target.said.request, FixOrder) and using == target.said.request.using:
            del room.plot.chosen[sighting]


def amend(room: Chartroom, order: Amend) -> tuple[str, list[FixReport], Logged]:
    """Change named fields of an entry; return the effect, the fixes that change, and the entry amended."""
    target = _target(room, order.entry)
    if not (is_sighting(target) or isinstance(target.said.request, LaidOrder)):
        raise Refused("entry", order.entry, "a sighting, or an order that changes the reckoning",
            f"a {target.said.kind} cannot be amended: what it did is done")  # fmt: skip
    said = amended(room, target, order)
    before = target.said, target.at_ms, target.origin
    target.at_ms = worked_at_ms(room, said, target.heard_ms)
    target.said = said
    if said.request != before[0].request:
        target.origin = None
    try:
        apply(room, target)
    except Refused:
        target.said, target.at_ms, target.origin = before
        raise
    room.changed.append(target)
    fixes = rework(room, min(before[1], target.at_ms), lines_too=not is_sighting(target))
    return f"{target.id} amended: {order.change}{_moved(fixes)}", fixes, target


def amended(room: Chartroom, target: Logged, order: Amend) -> Said:
    """Return what an entry says once a change is laid over it; Refused where that says nothing."""
    said = room.reader.decode(target.channel, room.reader.amended(target.said.body, order.change))
    if isinstance(said, Unread):
        raise Refused(f"change.{said.field}", said.found, said.wanted, said.reason)
    return said


def apply(room: Chartroom, target: Logged) -> None:
    """Work an entry as it says now."""
    if is_sighting(target):
        room.reckoning.lift(target.id)
        set_line(room, target)
    elif isinstance(target.said.request, LaidOrder):
        lay(room, target, target.said.request)


def confirm(room: Chartroom, order: Confirm) -> str:
    """Let a suspected entry stand."""
    target = _target(room, order.entry)
    request = target.said.request
    if isinstance(request, Bearing) and request.mark is None:
        raise Refused("entry", order.entry, "amend, with a mark", "a light that is not known yet cannot be confirmed")
    target.open = False
    room.changed.append(target)
    return f"{target.id} stands"


def _target(room: Chartroom, id_: str) -> Logged:
    target = room.ledger.find(id_)
    if target is None:
        known = ", ".join(list(room.ledger.entries)[-3:]) or "nothing has been entered yet"
        raise Refused("entry", id_, known, f"there is no entry {id_}")
    if target.withdrawn:
        raise Refused("entry", id_, "an entry that stands", f"{target.id} is withdrawn already")
    return target


def _moved(fixes: list[FixReport]) -> str:
    words = [f"{fix.id} withdrawn" if fix.withdrawn else f"{fix.id} revises {fix.revises}" if fix.revises else fix.id
        for fix in fixes]  # fmt: skip
    return f"; {', '.join(words)}" if words else ""
