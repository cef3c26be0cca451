"""A leaf: which of several sheets this is, what each of them shows, and which of them adjoin it."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from middlewatch.plotting.labels import Box
from middlewatch.plotting.mercator import Mercator
from middlewatch.quantities.positions import Position

Side = Literal["top", "bottom", "left", "right"]

_LEAST_SHARED_MM = 20.0
"""Sheets that share less of a side than this only meet at a corner (judgement)."""


@dataclass(frozen=True, slots=True)
class Extent:
    """What a sheet shows: its south-western and its north-eastern corner."""

    south_west: Position
    north_east: Position

    def on(self, flat: Mercator) -> Box:
        """Return where it comes to lie on another sheet."""
        left, bottom = flat.at(self.south_west)
        right, top = flat.at(self.north_east)
        return Box(left, top, right, bottom)


@dataclass(frozen=True, slots=True)
class Adjoining:
    """A sheet that goes on where this one ends: on which side, and from where to where along it, mm."""

    number: int
    side: Side
    first_mm: float
    last_mm: float


@dataclass(frozen=True, slots=True)
class Leaf:
    """The place of a sheet among several: its number from 1, and what each of them shows in order."""

    number: int
    extents: tuple[Extent, ...]

    @property
    def of(self) -> int:
        """How many sheets there are."""
        return len(self.extents)

    def adjoining(self, flat: Mercator, window: Box) -> Iterator[Adjoining]:
        """Yield the sheets that overlap this one and go on beyond one of its sides."""
        for number, extent in enumerate(self.extents, 1):
            other = extent.on(flat)
            if number == self.number or not other.meets(window):
                continue
            side = _side(window, other)
            first, last = (
                (max(window.left, other.left), min(window.right, other.right))
                if side in {"top", "bottom"}
                else (max(window.top, other.top), min(window.bottom, other.bottom))
            )
            if last - first >= _LEAST_SHARED_MM:
                yield Adjoining(number, side, first, last)


def _side(window: Box, other: Box) -> Side:
    """Return the side of a window beyond which another one reaches farthest, as a part of its size."""
    across, down = window.right - window.left, window.bottom - window.top
    beyond: dict[Side, float] = {
        "top": (window.top - other.top) / down,
        "bottom": (other.bottom - window.bottom) / down,
        "left": (window.left - other.left) / across,
        "right": (other.right - window.right) / across,
    }
    return max(beyond, key=lambda side: beyond[side])
