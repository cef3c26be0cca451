"""The clock: set by order, or by satellites where the settings let them while it is doubtful."""

from middlewatch.navigator.chartroom import Chartroom
from middlewatch.navigator.deck_log.refusing import Refused
from middlewatch.navigator.reckoning.gaps import told_by_clock
from middlewatch.quantities.instants import Instant
from middlewatch.readings.entries import ClockOrder

FIRST, LAST = Instant.parse("1980-01-01T00:00:00Z"), Instant.parse("2200-01-01T00:00:00Z")
"""No boat sails before or after by this program: satellite time begins in 1980, and a clock that is set
towards the end of the calendar has no times left to count."""


def by_order(room: Chartroom, order: ClockOrder, now_ms: int) -> str:
    """Set it to what the skipper says, or to satellite time; return what that did, in words."""
    if isinstance(order.utc, Instant):
        utc, by = order.utc, "by order"
    else:
        heard = room.check.utc_now(now_ms)
        if heard is None:
            raise Refused("from", "satellite", "utc, as the skipper has it", "no satellite time is heard")
        utc, by = Instant(heard), "from satellite time, by order"
    if not _can_be(utc):
        wanted = f"a time between {FIRST} and {LAST}"
        field = "utc" if isinstance(order.utc, Instant) else "from"
        raise Refused(field, str(utc), wanted, "no boat sails then")
    room.alerts.clear("clock", "by satellites", now_ms)
    return _set(room, utc, by, now_ms)


def by_satellites(room: Chartroom) -> None:
    """Set a doubtful clock by satellites that nothing is known against, where the settings say so; say it.

    Once set it is doubtful no more, so they set it no second time.
    """
    if not room.tuning.clock_from_satellites or room.scale.doubtful is None:
        return
    heard = room.check.utc_now(room.now_ms)
    if heard is None or not _can_be(Instant(heard)):
        return
    if room.check.fresh(room.now_ms) is None or room.check.quarantine.why is not None:
        return
    done = _set(
        room, Instant(heard), f"by satellites ({room.check.steering}), as the settings let them", room.now_ms
    )
    text = f"{done}; hold it against your watch, and order clock if it is wrong"
    room.alerts.raise_("clock", "by satellites", "caution", text, room.now_ms)


def _can_be(utc: Instant) -> bool:
    return FIRST <= utc <= LAST


def _set(room: Chartroom, utc: Instant, by: str, now_ms: int) -> str:
    by_ms = utc.ms - room.scale.utc(now_ms).ms
    room.scale.set_on(now_ms, by_ms)
    room.scale.doubtful = None
    room.alerts.clear("clock", "doubtful", now_ms)
    moved_s, utc = abs(by_ms) / 1000, room.scale.utc(now_ms)
    effect = f"clock set to {utc} {by}: {moved_s:.1f} s {'on' if by_ms >= 0 else 'back'}"
    return effect + told_by_clock(room, now_ms)
