"""The boat's time scale: one second after another without a jump, and the UTC that belongs to each.

Readings are stamped on the scale, which never jumps. When the board's clock is set (or the skipper sets it)
the scale runs on and the *label* changes: UTC = scale + correction from that moment.
"""

from dataclasses import dataclass, field

from middlewatch.quantities.instants import MS_PER_SECOND, Instant


@dataclass(slots=True)
class Timescale:
    """Corrections in order: from which scale millisecond, and by how many ms UTC stands later than the scale.

    `doubtful` holds the reason the clock is not to be believed, or None; while it is doubtful only times
    counted back from arrival are taken.
    """

    corrections: list[tuple[int, int]] = field(default_factory=lambda: [(0, 0)])
    doubtful: str | None = None

    def utc(self, scale_ms: int) -> Instant:
        """Return the UTC of a moment of the scale."""
        for since_ms, by_ms in reversed(self.corrections):
            if scale_ms >= since_ms:
                return Instant(scale_ms + by_ms)
        return Instant(scale_ms + self.corrections[0][1])

    def scale_ms(self, utc: Instant) -> int:
        """Return the newest moment of the scale that bears this UTC.

        A UTC that a forward jump passed over belongs to the moment of the jump.
        """
        ended_ms = jumped_ms = None
        for since_ms, by_ms in reversed(self.corrections):
            at_ms = utc.ms - by_ms
            if since_ms <= at_ms and (ended_ms is None or at_ms < ended_ms):
                return at_ms
            if since_ms <= at_ms and jumped_ms is None:
                jumped_ms = ended_ms
            ended_ms = since_ms
        return utc.ms - self.corrections[0][1] if jumped_ms is None else jumped_ms

    def set_on(self, scale_ms: int, by_ms: int) -> None:
        """From this moment on UTC stands `by_ms` later than it stood, to the nearest second.

        Whole seconds keep the ticks on whole seconds of UTC; half a second is 2 m of run at 8 kn.
        """
        whole_ms = round(by_ms / MS_PER_SECOND) * MS_PER_SECOND
        self.corrections.append((scale_ms, self.corrections[-1][1] + whole_ms))
