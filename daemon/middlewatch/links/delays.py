"""How long to wait between tries to bring a link back."""

from collections.abc import Iterator
from dataclasses import dataclass
from random import Random


@dataclass(frozen=True, slots=True)
class Delays:
    """Waits in seconds, doubling from `shortest_s` to `longest_s`; each `iter()` begins at the shortest.

    Each wait is drawn between half of its limit and the limit, so that links lost together (a switch, a hub)
    do not all come knocking together.
    """

    chance: Random
    shortest_s: float = 0.5
    longest_s: float = 30.0

    def __iter__(self) -> Iterator[float]:
        limit_s = 2 * self.shortest_s
        while True:
            yield self.chance.uniform(limit_s / 2, limit_s)
            limit_s = min(2 * limit_s, self.longest_s)
