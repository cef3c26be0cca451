"""A change of the apparent stream that was found: when it set in, what it is, and whether it is over."""

from dataclasses import dataclass
from math import atan2, degrees, hypot

from middlewatch.navigator.watch.slow_stream import Way, expected_of
from middlewatch.quantities.lengths import METRES_PER_SECOND_PER_KNOT as KNOT

SAME_WAY, SAME_S = 0.5, 15
"""A change found anew that goes within 60 degrees of the first, and set in when that was found or before, is
that one, better known (judgement)."""


@dataclass(slots=True)
class Parting:
    """A change that was found: when it set in and when it was found, what was expected before, how unlike.

    `found`: newest, where it was found anew; `first`: first of all; `number`: which of those found it is.
    """

    onset: int
    found: int
    before: list[float]  # the state of `slow_stream` then
    miss: float
    pull_north: float
    pull_east: float
    first: int
    number: int

    @property
    def stream(self) -> str:
        """Say what set in."""
        kn = hypot(self.pull_north, self.pull_east) / KNOT
        towards = degrees(atan2(self.pull_east, self.pull_north)) % 360.0
        return f"an apparent stream of {kn:.1f} kn towards {round(towards) % 360:03d} T"

    @property
    def words(self) -> str:
        """Say what set in, and how long before it was found."""
        return f"{self.stream} set in abruptly, about {self.first - self.onset} s before it was found"

    def known_better(self, onset: int, found: int, pull: Way, miss: float) -> bool:
        """Take in what was found anew if it is the same change; tell whether it is."""
        along = pull.north * self.pull_north + pull.east * self.pull_east
        another_way = along < SAME_WAY * hypot(*pull) * hypot(self.pull_north, self.pull_east)
        if another_way or onset - self.found > SAME_S:
            return False
        self.found, self.miss = found, miss
        self.pull_north, self.pull_east = pull
        return True

    def brought_back(self, rate: Way, run: Way) -> bool:
        """Tell whether a rate is again what it would have been before, all but four tenths of the change."""
        before = expected_of(self.before, run)
        off = hypot(rate.north - before.north, rate.east - before.east)
        return off < 0.4 * hypot(self.pull_north, self.pull_east)
