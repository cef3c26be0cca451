"""Starting: how this run takes up the scale of the one before, and what is to be said of the gap."""

from dataclasses import dataclass

from middlewatch.navigator.navigator import Navigator
from middlewatch.quantities.instants import MS_PER_SECOND
from middlewatch.readings.watch import Started
from middlewatch.runtime.clock import BUILT_MS, BoardClock, boot, utc_ms
from middlewatch.runtime.keeper import Behind


@dataclass(frozen=True, slots=True)
class Begun:
    """What a start comes to: the first reading, and the second from which ticks run on (None: from now)."""

    reading: Started
    go_on_from_ms: int | None


def starting(clock: BoardClock, behind: Behind | None, navigator: Navigator, *, trusted: bool) -> Begun:
    """Set the scale by what the journal says of the run before, and say whether the gap is known.

    Same boot: the monotonic clock ran on, so the gap is exact. Another boot: exact by a trusted clock; otherwise its
    length is not known, for a board without a battery clock may wake at its last saved time.
    """
    doubt = "it is earlier than this program" if utc_ms() < BUILT_MS else None
    here = boot()
    if behind is None:
        return Begun(Started(clock.stamp().at_ms, here, gap_known=True, clock_doubt=doubt), None)
    if behind.boot == here:
        clock.go_on_from(behind.at_ms, behind.monotonic_ms)
        at_ms = max(clock.stamp().at_ms, behind.tick_ms)
        return Begun(Started(at_ms, here, gap_known=True, clock_doubt=navigator.clock_doubt), behind.tick_ms)
    # The label of the scale is UTC plus what was corrected: take that off again.
    corrected_ms = navigator.utc(behind.tick_ms).ms - behind.tick_ms
    now_ms = utc_ms() - corrected_ms
    if now_ms <= behind.tick_ms:
        now_ms = behind.tick_ms + MS_PER_SECOND
        doubt = "it is earlier than the journal's newest entry"
    clock.now_is(now_ms)
    if trusted and doubt is None:
        return Begun(Started(now_ms, here, gap_known=True, clock_doubt=None), behind.tick_ms)
    return Begun(Started(now_ms, here, gap_known=False, clock_doubt=doubt), None)
