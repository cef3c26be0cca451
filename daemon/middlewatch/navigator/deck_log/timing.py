"""When an entry is worked: its own time, the time it came, or so many seconds before."""

from middlewatch.navigator.chartroom import Chartroom
from middlewatch.navigator.deck_log.ledger import Logged
from middlewatch.navigator.deck_log.refusing import Refused
from middlewatch.quantities.instants import MS_PER_SECOND
from middlewatch.readings.entries import Said

AHEAD_MS = 5_000
"""A sender's clock may run so far ahead of ours."""


def worked_at_ms(room: Chartroom, said: Said, heard_ms: int) -> int:
    """Return the moment of the scale at which an entry is worked; Refused for a time that cannot be."""
    if said.at is not None:
        if room.scale.doubtful is not None:
            reason = f"the clock is doubtful: {room.scale.doubtful}"
            raise Refused("at", str(said.at), "ago_s, or neither", reason)
        at_ms = room.scale.scale_ms(said.at)
    elif said.ago_s is not None:
        at_ms = heard_ms - round(said.ago_s * MS_PER_SECOND)
    else:
        return heard_ms
    if at_ms > heard_ms + AHEAD_MS:
        wanted = f"not after {room.scale.utc(heard_ms)}, when it was heard"
        raise Refused("at", str(said.at), wanted, "that is still to come")
    first = room.track.first_second
    if first is not None and _in_the_first_second(at_ms, first):
        at_ms = max(at_ms, first * MS_PER_SECOND)
    _on_the_track(room, said, at_ms)
    return at_ms


def come_due(room: Chartroom, logged: Logged) -> None:
    """Look at the time of an entry that waited for its second; Refused where the track begins later.

    What came before the first tick and says no time of its own is worked at that tick, and so is what was in
    the second before it.
    """
    first = room.track.first_second
    if first is not None and (_says_no_time(logged.said) or _in_the_first_second(logged.at_ms, first)):
        logged.at_ms = max(logged.at_ms, first * MS_PER_SECOND)
    _on_the_track(room, logged.said, logged.at_ms)


def _says_no_time(said: Said) -> bool:
    return said.at is None and said.ago_s is None


def _in_the_first_second(at_ms: int, first: int) -> bool:
    return (first - 1) * MS_PER_SECOND < at_ms


def _on_the_track(room: Chartroom, said: Said, at_ms: int) -> None:
    first = room.track.first_second
    if first is None or at_ms // MS_PER_SECOND >= first:
        return
    field, found = ("at", str(said.at)) if said.at is not None else ("ago_s", f"{said.ago_s:g}")
    wanted = f"not before {room.scale.utc(first * MS_PER_SECOND)}"
    raise Refused(field, found, wanted, "the water track that can be worked again begins later")
