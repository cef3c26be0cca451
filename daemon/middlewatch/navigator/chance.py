"""Chance: the only place that draws, so that the same history with the same seed draws the same again.

A stream of numbers hangs on the seed, the whole second worked, what it is for, and the rank among several of
that second; never on when or in which order something was heard.
"""

from enum import IntEnum

import numpy as np

Floats = np.ndarray[tuple[int, ...], np.dtype[np.float64]]


class Purpose(IntEnum):
    """What is drawn."""

    START = 0
    PLACES = 1
    RESAMPLING = 2
    MOVES = 3
    SHAPE = 4
    AHEAD = 5
    UNUSUAL = 6
    ADVICE = 7


class Chance:
    """One stream of numbers: standard normal and uniform."""

    def __init__(self, seed: int, second: int, purpose: Purpose, rank: int = 0) -> None:
        key = np.array([seed % 2**64, second % 2**64], dtype=np.uint64)
        counter = np.array([0, 0, int(purpose), rank], dtype=np.uint64)
        # Philox counts blocks from its first word on, which leaves 2**128 of them to each stream.
        self._drawn = np.random.Generator(np.random.Philox(key=key, counter=counter))  # noqa: TID251 -- the one place

    def normal(self, *shape: int) -> Floats:
        """Return standard normal numbers."""
        return self._drawn.standard_normal(shape)

    def uniform(self, *shape: int) -> Floats:
        """Return numbers even over [0, 1)."""
        return self._drawn.random(shape)
