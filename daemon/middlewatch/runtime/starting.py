"""Starting: how this run takes up the scale of the one before, and what is to be said of the gap."""

from middlewatch.navigator.navigator import Navigator
from middlewatch.quantities.instants import MS_PER_SECOND
from middlewatch.readings.watch import Started
from middlewatch.runtime.clock import BUILT_MS, BoardClock, boot, utc_ms
from middlewatch.runtime.keeper import Behind


def starting(clock: BoardClock, behind: Behind | None, navigator: Navigator, *, trusted: bool) -> Started:
    """Set the scale by what the journal says of the run before, and say whether the gap is known.

    Same boot: the monotonic clock ran on, so the gap is exact. Another boot: exact by a trusted clock;
    otherwise its length is not known, for a board without a battery clock may wake at its last saved time.
    """
    doubt = "it is earlier than this program" if utc_ms() < BUILT_MS else None
    here = boot()
    if behind is None:
        return Started(clock.stamp().at_ms, here, gap_known=True, clock_doubt=doubt)
    if behind.boot == here:
        clock.go_on_from(behind.at_ms, behind.monotonic_ms, behind.utc_offset_ms)
        at_ms = max(clock.stamp().at_ms, behind.tick_ms)
        return Started(at_ms, here, gap_known=True, clock_doubt=navigator.clock_doubt)
    # The label of the scale is UTC plus what was corrected: take that off again.
    corrected_ms = navigator.utc(behind.tick_ms).ms - behind.tick_ms
    now_ms = utc_ms() - corrected_ms
    if now_ms <= behind.tick_ms:
        now_ms = behind.tick_ms + MS_PER_SECOND
        doubt = "it is earlier than the journal's newest entry"
    clock.now_is(now_ms, now_ms + corrected_ms)
    return Started(now_ms, here, gap_known=trusted and doubt is None, clock_doubt=doubt)
