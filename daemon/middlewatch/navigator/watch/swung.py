"""Whether heading or log has just swung off what it showed for the last minute.

A bridge, a power line or froth makes a compass or a log swing and come back. What the satellites seem to do
meanwhile is that witness's doing: it is suspected before the receiver (the design's section 7). For that
there are so many seconds and no more, or of a boat that yaws no pull would ever be seen.
"""

from dataclasses import dataclass

QUICK_S, SLOW_S = 3.0, 40.0
OFF_KN = 0.5
MOST_S = 20.0
"""Within so long a step in a witness is the witness's (the design's section 7)."""
AGAIN_S = 6.0
"""Each takes so long to come back: an apparent stream is at most a seventh smaller for it (judgement)."""


@dataclass(slots=True)
class Swung:
    """The way through the water (north + east j, kn) over a few seconds and over many, and what is left."""

    quick_kn: complex | None = None
    slow_kn: complex = 0j
    left_s: float = MOST_S

    def suspected(self, way_kn: complex) -> bool:
        """Take the way of a second; tell whether heading or log is to be suspected for it."""
        if self.quick_kn is None:
            self.quick_kn = self.slow_kn = way_kn
        self.quick_kn += (way_kn - self.quick_kn) / QUICK_S
        self.slow_kn += (way_kn - self.slow_kn) / SLOW_S
        self.left_s = min(self.left_s + 1.0 / AGAIN_S, MOST_S)
        if abs(self.quick_kn - self.slow_kn) < OFF_KN or self.left_s < 1.0:
            return False
        self.left_s -= 1.0
        return True
