"""Chance for practice: every source of error draws from a seed of its own and never disturbs another."""

from math import exp, sqrt
from random import Random


def chance(seed: int, purpose: str) -> Random:
    """Return one purpose's source of chance: same seed and purpose, same numbers, whatever else is drawn."""
    return Random(f"{seed} {purpose}")  # noqa: S311 - noise for a practice sea; nothing here is a secret


class Wander:
    """An error that wanders: a first-order Gauss-Markov walk about zero.

    `sd` is its standard deviation, in whatever unit is wanted; `memory_s`, over 0, the seconds after which it
    has forgotten 63 % of what it was. It starts as far out as it usually is.
    """

    def __init__(self, source: Random, sd: float, memory_s: float) -> None:
        self._source = source
        self._sd = sd
        self._kept = exp(-1.0 / memory_s)
        self._now = source.gauss(0.0, sd)

    def next_second(self) -> float:
        """Go on by one second and return the error."""
        fresh = self._sd * sqrt(1.0 - self._kept * self._kept)
        self._now = self._kept * self._now + self._source.gauss(0.0, fresh)
        return self._now
