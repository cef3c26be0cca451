"""Overboard and recovered: what each does, and the sentence that says so."""

from middlewatch.navigator.chartroom import Chartroom
from middlewatch.navigator.deck_log.ledger import Logged
from middlewatch.navigator.deck_log.refusing import Refused
from middlewatch.navigator.overboard.wording import CALLS_NO_ONE
from middlewatch.navigator.reckoning.course import HELD_STILL
from middlewatch.navigator.reckoning.orders import GoOverboard, Recover
from middlewatch.readings.entries import Overboard, Recovered


def go_or_come_back(
    room: Chartroom, logged: Logged, order: Overboard | Recovered
) -> tuple[GoOverboard | Recover, str]:
    """Return what is laid over the track, and its effect in words."""
    return _overboard(room, logged) if isinstance(order, Overboard) else _recovered(room, logged, order)


def _overboard(room: Chartroom, logged: Logged) -> tuple[GoOverboard, str]:
    ago_s = logged.said.ago_s or 0.0
    way = room.reckoning.course_at(logged.second).way
    words = f"overboard at {room.scale.utc(logged.at_ms).clock_with_seconds}; "
    words += (
        f"she is {way.replace('_', ' ')} by order and stays so: order the way when she slips"
        if way in HELD_STILL
        else "manoeuvring"
    )
    words += f"; it is led back by heading and log; {CALLS_NO_ONE}"
    return GoOverboard(logged.id, ago_s), words


def _recovered(room: Chartroom, logged: Logged, order: Recovered) -> tuple[Recover, str]:
    left = len(room.reckoning.course_at(logged.second).overboard) - 1
    words = "recovered" if order.entry is None else f"{order.entry} recovered"
    words += f"; {left} still overboard" if left > 0 else "; nobody is overboard any more"
    return Recover(order.entry), words


def overboard_stands(room: Chartroom, logged: Logged, order: Recovered) -> None:
    """Refuse a recovery of one who is not overboard, or one that does not say who of several."""
    standing = [each.id for each in room.reckoning.course_at(logged.second).overboard]
    if not standing:
        reason = "nobody is overboard at that time"
        raise Refused("kind", "recovered", "an overboard that stands", reason)
    if order.entry is not None and order.entry not in standing:
        reason = f"{order.entry} is no overboard that stands"
        raise Refused("entry", order.entry, ", ".join(standing), reason)
    if order.entry is None and len(standing) > 1:
        reason = "more than one is overboard: who is back on board?"
        raise Refused("entry", "nothing", ", ".join(standing), reason)
