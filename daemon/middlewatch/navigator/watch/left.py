"""Left: what a parting that is over has left between satellites and reckoning.

A receiver drawn off and then no further, a tide line crossed, a compass that was out for a while: what set in
is over, and the way that it made stays in the gap. That may be ordinary, and nothing shows any more whose it
is; so it is said as long as it is there, and until a sight or the skipper has moved the origin.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import hypot
from typing import TYPE_CHECKING, NamedTuple

from middlewatch.quantities.angles import direction_of, three_figures, unit
from middlewatch.quantities.lengths import METRES_PER_NM

if TYPE_CHECKING:  # the check keeps it
    from middlewatch.navigator.watch.parting import Parting
    from middlewatch.navigator.watch.pull import Pull

LEAST_NM = 0.1
"""Less is what a receiver's noise and a short tide line make (judgement)."""
EVERY_S = 10
STILL_THERE = 0.5
"""The part of it that the gap must have, along it, for it to be there still (judgement)."""


class Left(NamedTuple):
    """What was left: since when it set in, and until when, seconds; how far it went, metres."""

    onset: int
    until: int
    north_m: float
    east_m: float

    @property
    def nm(self) -> float:
        """How far it went."""
        return hypot(self.north_m, self.east_m) / METRES_PER_NM

    @property
    def towards_deg(self) -> float:
        """Where the satellites went, as the reckoning sees them."""
        return direction_of(self.north_m, self.east_m)

    def is_there(self, gap_nm: float, bearing_deg: float) -> bool:
        """Tell whether the gap has it still."""
        (north, east), (gap_north, gap_east) = unit(self.towards_deg), unit(bearing_deg)
        return gap_nm * (north * gap_north + east * gap_east) > STILL_THERE * self.nm

    def words(self, clock: Callable[[int], str]) -> str:
        """Say when it set in and was over, and what it has left; `clock`: the time of day of a second."""
        return (
            f"what set in at {clock(self.onset)} is over since {clock(self.until)}, and has left about"
            f" {self.nm:.2f} nm towards {three_figures(self.towards_deg)} T in the gap:"
            " only a fix tells whose that is"
        )


@dataclass(slots=True)
class Leaving:
    """What the parting that stands has made so far, and what those that are over have left; None: nothing.

    `seen`: the pull's second to which that is counted, and the receiver's way beyond the run until then, m.
    """

    makes: Left | None = None
    left: Left | None = None
    seen: tuple[int, float, float] = (0, 0.0, 0.0)

    def tick(self, second: int, pull: Pull) -> None:
        """Take a second: count, while a parting stands, what the receiver moves beyond what was expected."""
        if pull.parting is not None:
            self._count(second, pull, pull.parting)
        elif self.makes is not None:
            if pull.unended is None:
                self.left = _together(self.left, self.makes)
            self.makes = None

    def _count(self, second: int, pull: Pull, parting: Parting) -> None:
        """Count what it has made, now and then."""
        here = pull.second, round(pull.north_m, 1), round(pull.east_m, 1)
        if self.makes is None:
            ago_s = pull.second - parting.onset
            made_m = parting.pull_north * ago_s, parting.pull_east * ago_s
            self.makes, self.seen = _left(second - ago_s, second, *made_m), here
        elif here[0] - self.seen[0] >= EVERY_S:
            over_s, north_m, east_m = (now - then for now, then in zip(here, self.seen, strict=True))
            expected = pull.expected_before(parting)
            north_m, east_m = north_m - over_s * expected.north, east_m - over_s * expected.east
            made_m = self.makes.north_m + north_m, self.makes.east_m + east_m
            self.makes, self.seen = _left(self.makes.onset, second, *made_m), here


def _left(onset: int, until: int, north_m: float, east_m: float) -> Left:
    return Left(onset, until, round(north_m, 1), round(east_m, 1))


def _together(one: Left | None, other: Left) -> Left | None:
    """Return what two have left together, None where that is next to nothing."""
    both = other
    if one is not None:
        both = _left(one.onset, other.until, one.north_m + other.north_m, one.east_m + other.east_m)
    return both if both.nm >= LEAST_NM else None
