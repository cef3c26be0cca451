"""Whether the boat has just been brought up from way: she may go astern, and a log's wheel knows no sign."""

from dataclasses import dataclass

HAD_WAY_KN, STOPPED_KN = 2.0, 0.5
BROUGHT_UP_WITHIN_MS = 120_000
MAY_BACK_MS, MAY_BACK_BY_ORDER_MS = 60_000, 180_000
"""Off a mark she backs for less than a minute from the stop; manoeuvring by order for less than three
(judgement)."""


@dataclass(slots=True)
class BroughtUp:
    """When she last had way by the log, and when she was last stopped from it (ms)."""

    way_ms: int | None = None
    stopped_ms: int | None = None

    def may_back(self, now_ms: int, speed_kn: float, *, by_order: bool) -> bool:
        """Take the log of now; tell whether she may be going astern while it shows way ahead.

        `by_order`: she manoeuvres, as the skipper says.
        """
        if speed_kn > HAD_WAY_KN:
            self.way_ms = now_ms
        stopped = abs(speed_kn) < STOPPED_KN and self.way_ms is not None
        if stopped and now_ms - (self.way_ms or 0) < BROUGHT_UP_WITHIN_MS:
            self.stopped_ms = now_ms
        may_back_ms = MAY_BACK_BY_ORDER_MS if by_order else MAY_BACK_MS
        return self.stopped_ms is not None and now_ms - self.stopped_ms < may_back_ms
