"""Whether the boat has just been brought up from way: she may go astern, and a log's wheel knows no sign."""

from dataclasses import dataclass

HAD_WAY_KN, STOPPED_KN = 2.0, 0.5
BROUGHT_UP_WITHIN_MS = 120_000
MAY_BACK_MS, MAY_BACK_BY_ORDER_MS = 60_000, 180_000
"""Off a mark she backs for less than a minute from the stop; manoeuvring by order for less than three
(judgement)."""
BACKS_ON_MS = 300_000
"""Where it looks like it, she may back for so long (judgement)."""
STEADIED_S = 3.0
LIKE_KN, LIKE_PART = 0.5, 0.3
"""A boat that backs at what the log shows ahead is drawn astern at twice that, to half a knot and three
tenths of it: no pull is likely to be just that (judgement)."""


@dataclass(slots=True)
class BroughtUp:
    """When she last had way by the log, and when she was last stopped from it (ms).

    `along_kn`: how the receiver moves beyond the run, along the heading, over the last seconds.
    """

    way_ms: int | None = None
    stopped_ms: int | None = None
    along_kn: float = 0.0

    def may_back(self, now_ms: int, speed_kn: float, *, by_order: bool, along_kn: float = 0.0) -> bool:
        """Take the log of now; tell whether she may be going astern while it shows way ahead.

        `by_order`: she manoeuvres, as the skipper says. `along_kn`: how the receiver moved in this second
        beyond the run and the slow stream, + along the heading.
        """
        # Few digits: it is kept every few seconds, and must stay small.
        self.along_kn = round(self.along_kn + (along_kn - self.along_kn) / STEADIED_S, 4)
        if speed_kn > HAD_WAY_KN:
            self.way_ms = now_ms
        stopped = abs(speed_kn) < STOPPED_KN and self.way_ms is not None
        if stopped and now_ms - (self.way_ms or 0) < BROUGHT_UP_WITHIN_MS:
            self.stopped_ms = now_ms
        may_back_ms = MAY_BACK_BY_ORDER_MS if by_order else MAY_BACK_MS
        if self._looks_astern(speed_kn):
            may_back_ms = BACKS_ON_MS
        return self.stopped_ms is not None and now_ms - self.stopped_ms < may_back_ms

    def _looks_astern(self, speed_kn: float) -> bool:
        """Tell whether the receiver goes back as fast as the log shows her going ahead."""
        off_kn = abs(self.along_kn + 2.0 * speed_kn)
        return speed_kn > STOPPED_KN and off_kn < LIKE_KN + LIKE_PART * speed_kn
