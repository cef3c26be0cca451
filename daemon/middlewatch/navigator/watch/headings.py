"""Headings: two compasses held against each other; one that turns alone is wrong, or the other is.

What both have shown for a minute is taken for how they differ, deviation and mounting together; a change of
that by twelve degrees within twenty seconds, which stays, is no deviation.
"""

from dataclasses import dataclass, field
from typing import NamedTuple

from middlewatch.quantities.angles import direction, three_figures, turn

SAMPLE_S, KEPT = 5, 20
BEFORE, NOW = slice(0, 12), slice(-4, None)
"""Samples of a minute up to forty seconds ago, and those of the last twenty seconds."""
APART_DEG, STEADY_DEG = 12.0, 6.0
"""Deviations differ by less from course to course, and compasses swing by less (judgement)."""
TURNS_DEG = 10.0
"""She turns where both turn by more within fifteen seconds (judgement)."""
ALONE = 0.4
"""The one that stayed has turned by less than so much of the change (judgement)."""
STANDS_S = 30 * 60


class Pair(NamedTuple):
    """Two compasses at a moment, degrees in one frame: the one that steers, and the other."""

    steering_deg: float
    other_deg: float

    @property
    def apart_deg(self) -> float:
        """By how much the steering one shows more than the other."""
        return turn(self.other_deg, self.steering_deg)


@dataclass(frozen=True, slots=True)
class Apart:
    """Two compasses that part: when, in words, how they differed before; whether the steering one turned."""

    second: int
    words: str
    before_deg: float
    steering_turned: bool


@dataclass(slots=True)
class Headings:
    """The samples of the last minutes of one pair of sources, and what was found."""

    sources: tuple[str, str] | None = None
    samples: list[Pair] = field(default_factory=list)
    apart: Apart | None = None

    def tick(self, second: int, sources: tuple[str, str], pair: Pair | None) -> None:
        """Take a sample of the steering source and another; None where not both are heard."""
        if sources != self.sources or (self.apart is not None and second - self.apart.second > STANDS_S):
            self.sources, self.samples, self.apart = sources, [], None
        if pair is None:
            self.samples = []
            return
        self.samples.append(pair)
        del self.samples[:-KEPT]
        if len(self.samples) < KEPT:
            return
        before_deg, now_deg = _differ(self.samples[BEFORE]), _differ(self.samples[NOW])
        if self.apart is not None:
            if abs(turn(self.apart.before_deg, now_deg)) < STEADY_DEG:
                # What they were apart in between is no state to go back from.
                self.apart, self.samples = None, [pair]
        elif abs(turn(before_deg, now_deg)) >= APART_DEG and self._steady() and not self._turning():
            self.apart = self._found(second, sources, turn(before_deg, now_deg), before_deg)

    def _steady(self) -> bool:
        """Tell whether they differ by the same for a minute before and for twenty seconds now."""
        return all(
            abs(turn(_differ(spell), each.apart_deg)) < STEADY_DEG
            for spell in (self.samples[BEFORE], self.samples[NOW])
            for each in spell
        )

    def _turning(self) -> bool:
        """Tell whether the boat turns, by both: then one that is slower to follow is behind all the while."""
        first, last = self.samples[NOW][0], self.samples[NOW][-1]
        steering_deg = turn(first.steering_deg, last.steering_deg)
        other_deg = turn(first.other_deg, last.other_deg)
        return steering_deg * other_deg > 0.0 and min(abs(steering_deg), abs(other_deg)) > TURNS_DEG

    def _found(self, second: int, sources: tuple[str, str], by_deg: float, before_deg: float) -> Apart:
        before, now = self.samples[BEFORE][-1], self.samples[-1]
        stayed_deg = turn(before.other_deg, now.other_deg)
        steering_turned = abs(stayed_deg) < ALONE * abs(by_deg)
        steering, other = (
            f"{source} went from {three_figures(was)} to {three_figures(is_now)}"
            for source, was, is_now in (
                (sources[0], before.steering_deg, now.steering_deg),
                (sources[1], before.other_deg, now.other_deg),
            )
        )
        words = f"{steering}, {other}: {abs(by_deg):.0f} degrees apart, as they were not before"
        return Apart(second, words, before_deg, steering_turned)


def _differ(samples: list[Pair]) -> float:
    """Return by how much two compasses differ over some samples, degrees."""
    first = samples[0].apart_deg
    return turn(0.0, direction(first + sum(turn(first, each.apart_deg) for each in samples) / len(samples)))
