"""When an entry is worked: its own time, the time it came, or so many seconds before."""

from middlewatch.navigator.chartroom import Chartroom
from middlewatch.navigator.refusing import Refused
from middlewatch.quantities.instants import MS_PER_SECOND
from middlewatch.readings.entries import Said

AHEAD_MS = 5_000
"""A sender's clock may run so far ahead of ours."""


def worked_at_ms(room: Chartroom, said: Said, heard_ms: int) -> int:
    """Return the moment of the scale at which an entry is worked; Refused for a time that cannot be."""
    now = room.scale.utc(heard_ms)
    if said.at is not None:
        if room.scale.doubtful is not None:
            raise Refused("at", str(said.at), "ago_s, or neither", f"the clock is doubtful: {room.scale.doubtful}")
        at_ms, field, found = room.scale.scale_ms(said.at), "at", str(said.at)
    elif said.ago_s is not None:
        at_ms, field, found = heard_ms - round(said.ago_s * MS_PER_SECOND), "ago_s", f"{said.ago_s:g}"
    else:
        return heard_ms
    if at_ms > heard_ms + AHEAD_MS:
        raise Refused(field, found, f"not after {now}", "that is still to come")
    first = room.track.first_second
    if first is not None and at_ms // MS_PER_SECOND < first:
        start = room.scale.utc(first * MS_PER_SECOND)
        raise Refused(field, found, f"not before {start}", "nothing was heard then: the water track begins later")
    return at_ms
