"""Labels kept apart: each goes to the best free place about its thing, with a leader line where it is far."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import accumulate, pairwise
from math import ceil, cos, floor, hypot, radians, sin

from middlewatch.plotting.lettering import ASCENT, width_mm
from middlewatch.plotting.pen import Dot, Hand

_CELL_MM = 1.5
_GAP_MM = 0.5  # kept free round a label
_REACHES_MM = (2.2, 4.5, 7.5, 11.0, 16.0, 23.0)  # how far from its thing a label is looked a place for
_DIRECTIONS_DEG = (60.0, 120.0, 300.0, 240.0, 90.0, 270.0, 30.0, 150.0, 330.0, 210.0, 0.0, 180.0)
_LED_FROM_MM = 4.0  # farther off than this a label has a leader line
_FAR_COSTS = 0.6  # a label five mm farther off is as bad as three cells of line under it


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle on the paper, mm."""

    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: "Box") -> bool:
        """Say whether two boxes have anything in common."""
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )

    def within(self, other: "Box") -> bool:
        """Say whether this one lies whole in the other."""
        return (
            other.left <= self.left
            and self.right <= other.right
            and other.top <= self.top
            and self.bottom <= other.bottom
        )

    def wider(self, by_mm: float) -> "Box":
        """Return the box grown on every side."""
        return Box(self.left - by_mm, self.top - by_mm, self.right + by_mm, self.bottom + by_mm)

    def part_of(self, one: Dot, other: Dot) -> tuple[Dot, Dot] | None:
        """Return what of the straight line between two dots lies in the box; None of a line outside."""
        first, last = 0.0, 1.0
        for at, way, low, high in (
            (one[0], other[0] - one[0], self.left, self.right),
            (one[1], other[1] - one[1], self.top, self.bottom),
        ):
            if way == 0.0:
                if not low <= at <= high:
                    return None
                continue
            enters, leaves = sorted(((low - at) / way, (high - at) / way))
            first, last = max(first, enters), min(last, leaves)
        if first > last:
            return None
        way_x, way_y = other[0] - one[0], other[1] - one[1]
        return (one[0] + first * way_x, one[1] + first * way_y), (
            one[0] + last * way_x,
            one[1] + last * way_y,
        )

    def nearest(self, dot: Dot) -> Dot:
        """Return the place of the box nearest to a dot."""
        return min(max(dot[0], self.left), self.right), min(max(dot[1], self.top), self.bottom)


@dataclass(frozen=True, slots=True)
class Label:
    """Words, a line each, that belong to a thing at `dot` reaching `reach` mm; the least `rank` goes first.

    One that `may_go` is looked a place for nearby only, any other as far as a leader line may reach.
    """

    words: tuple[str, ...]
    dot: Dot
    hand: Hand
    rank: int
    kind: str
    reach: float = 0.0
    may_go: bool = False

    @property
    def size(self) -> tuple[float, float]:
        """How wide and how high it is, mm."""
        widest = max(width_mm(line, self.hand.size) for line in self.words)
        return widest, len(self.words) * self.hand.size * LINE_HEIGHT


LINE_HEIGHT = 1.2
"""From a line of a label to the next, as a part of the size of type."""


@dataclass(frozen=True, slots=True)
class Placed:
    """A label and where it went; `leader`: the line from its thing to it, where it is far off."""

    label: Label
    box: Box
    leader: tuple[Dot, Dot] | None

    def lines(self) -> Iterator[tuple[str, Dot]]:
        """Yield each line of words and where it begins, on the line it stands on."""
        size = self.label.hand.size
        for n, words in enumerate(self.label.words):
            yield words, (self.box.left, self.box.top + size * (ASCENT + n * LINE_HEIGHT))


@dataclass(slots=True)
class Ground:
    """What has been drawn so far: boxes that nothing may be written over, lines that are better avoided."""

    window: Box
    taken: list[Box] = field(default_factory=list)
    _inked: dict[tuple[int, int], int] = field(default_factory=dict)

    def take(self, box: Box) -> None:
        """Keep a box free of words."""
        self.taken.append(box)

    def ink(self, dots: Sequence[Dot]) -> None:
        """Note that a line runs from dot to dot."""
        for one, other in pairwise(dots):
            for x, y in _along(one, other):
                cell = floor(x / _CELL_MM), floor(y / _CELL_MM)
                self._inked[cell] = self._inked.get(cell, 0) + 1

    def ink_under(self, box: Box) -> int:
        """Return how much line runs under a box."""
        columns = range(floor(box.left / _CELL_MM), floor(box.right / _CELL_MM) + 1)
        rows = range(floor(box.top / _CELL_MM), floor(box.bottom / _CELL_MM) + 1)
        return sum(self._inked.get((column, row), 0) for column in columns for row in rows)

    def ink_table(self) -> "InkTable":
        """Return how much line there is as it stands now, for many large boxes to be looked at."""
        return InkTable.of(self._inked, self.window)

    def free(self, box: Box) -> bool:
        """Say whether a box lies in the window and meets nothing that is taken."""
        return box.within(self.window) and not any(box.meets(other) for other in self.taken)

    def set_down(self, labels: Sequence[Label]) -> tuple[list[Placed], int]:
        """Find a place for each label, in order of rank; return them, and how many had to be left out.

        A label whose thing is off the window is left out without being counted: so is the thing.
        """
        placed: list[Placed] = []
        left_out = 0
        for label in sorted(labels, key=lambda label: label.rank):
            dot = Box(label.dot[0], label.dot[1], label.dot[0], label.dot[1])
            if not dot.within(self.window):
                continue
            found = self._place(label)
            if found is None:
                left_out += 1
                continue
            placed.append(found)
            self.take(found.box.wider(_GAP_MM))
            if found.leader is not None:
                self.ink(found.leader)
        return placed, left_out

    def _place(self, label: Label) -> Placed | None:
        best: tuple[float, Box] | None = None
        reaches = _REACHES_MM[:3] if label.may_go else _REACHES_MM
        for reach in reaches:
            for box in _about(label, reach):
                cost = reach * _FAR_COSTS
                if (best is None or cost < best[0]) and self.free(box):
                    cost += self.ink_under(box)
                    if best is None or cost < best[0]:
                        best = cost, box
            if best is not None and best[0] < (reach + 3.0) * _FAR_COSTS:
                break
        if best is None:
            return None
        box = best[1]
        end = box.nearest(label.dot)
        far = hypot(end[0] - label.dot[0], end[1] - label.dot[1]) - label.reach
        return Placed(label, box, (label.dot, end) if far > _LED_FROM_MM else None)


@dataclass(frozen=True, slots=True)
class InkTable:
    """How much line runs left of and above each cell of a window: what is under a box, in four looks."""

    left: int
    top: int
    sums: list[list[int]]

    @classmethod
    def of(cls, inked: Mapping[tuple[int, int], int], window: Box) -> "InkTable":
        """Sum up the cells of a window."""
        columns = range(floor(window.left / _CELL_MM), floor(window.right / _CELL_MM) + 1)
        rows = range(floor(window.top / _CELL_MM), floor(window.bottom / _CELL_MM) + 1)
        sums = [[0] * (len(columns) + 1)]
        for row in rows:
            along = accumulate((inked.get((column, row), 0) for column in columns), initial=0)
            sums.append([above + left for above, left in zip(sums[-1], along, strict=True)])
        return cls(columns.start, rows.start, sums)

    def under(self, box: Box) -> int:
        """Return how much line runs under the part of a box that is in the window."""
        left, right = (self._within(mm, self.left, len(self.sums[0])) for mm in (box.left, box.right))
        top, bottom = (self._within(mm, self.top, len(self.sums)) for mm in (box.top, box.bottom))
        above, below = self.sums[top], self.sums[bottom]
        return below[right] - below[left] - above[right] + above[left]

    @staticmethod
    def _within(mm: float, first: int, count: int) -> int:
        return min(max(ceil(mm / _CELL_MM) - first, 0), count - 1)


def _about(label: Label, reach: float) -> Iterator[Box]:
    """Yield boxes for a label about its thing, so far from its edge, in order of preference."""
    width, height = label.size
    for direction_deg in _DIRECTIONS_DEG:
        east, south = sin(radians(direction_deg)), -cos(radians(direction_deg))
        x, y = label.dot[0] + east * (label.reach + reach), label.dot[1] + south * (label.reach + reach)
        left = x - width / 2 * (1.0 - east) if abs(east) < 0.8 else x - (width if east < 0 else 0.0)
        top = y - height / 2 * (1.0 - south) if abs(south) < 0.8 else y - (height if south < 0 else 0.0)
        yield Box(left, top, left + width, top + height)


def _along(one: Dot, other: Dot) -> Iterator[Dot]:
    """Yield dots along a line, less than a cell apart."""
    steps = max(1, ceil(hypot(other[0] - one[0], other[1] - one[1]) / _CELL_MM))
    for n in range(steps):
        share = n / steps
        yield one[0] + share * (other[0] - one[0]), one[1] + share * (other[1] - one[1])
