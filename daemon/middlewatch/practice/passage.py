"""A practice passage: what the bus said and the skipper entered, in order, and the truth to mark it by."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from heapq import merge

from middlewatch.practice.instruments import BusLine, Instruments, bus_lines
from middlewatch.practice.skipper import Action, Outlook, SkipperEntry
from middlewatch.practice.truth import Plan, Truth, sail
from middlewatch.quantities.instants import MS_PER_SECOND
from middlewatch.quantities.positions import Position

Event = BusLine | SkipperEntry


@dataclass(frozen=True, slots=True)
class Passage:
    """A passage made up from a plan: truths a second apart, lines and entries each in order of time."""

    truths: tuple[Truth, ...]
    lines: tuple[BusLine, ...]
    entries: tuple[SkipperEntry, ...]

    def events(self) -> Iterator[Event]:
        """Yield lines and entries in order of time; at one stamp lines come before entries."""
        return merge(self.lines, self.entries, key=lambda event: event.at_ms)

    @property
    def starts_ms(self) -> int:
        """When it begins: UTC, ms."""
        return self.truths[0].at_ms

    @property
    def ends_ms(self) -> int:
        """When it ends: UTC, ms."""
        return self.truths[-1].at_ms

    def truth_at(self, at_ms: int) -> Truth:
        """Return the truth of the whole second at or before this moment; ValueError outside the passage."""
        second = (at_ms - self.starts_ms) // MS_PER_SECOND
        if not 0 <= second < len(self.truths):
            raise ValueError(f"{at_ms} ms is outside the passage, {self.starts_ms} to {self.ends_ms}")
        return self.truths[second]

    def error_nm(self, at_ms: int, position: Position) -> float:
        """Return how far a position given for this moment lies from the truth, in nm, to mark it by."""
        _, distance_nm = self.truth_at(at_ms).position.to(position)
        return distance_nm


def make_passage(plan: Plan, instruments: Instruments, actions: Sequence[Action], seed: int) -> Passage:
    """Sail the plan, let the instruments talk and the skipper act; same arguments, same bytes."""
    truths = sail(plan, seed)
    outlook = Outlook({truth.at_ms: truth.position for truth in truths}, plan.variation_deg, seed)
    entries = sorted((action.enter(outlook) for action in actions), key=lambda entry: entry.at_ms)
    return Passage(truths, bus_lines(truths, instruments, plan.variation_deg, seed), tuple(entries))
