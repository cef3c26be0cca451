"""A drawn sheet, read back: its groups by class and id, and the coordinates that stand in it."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from math import hypot
from xml.etree import ElementTree as ET

Dot = tuple[float, float]

THREE_TENTHS_MM = 0.3
"""How near to an independent construction everything must be drawn."""

_SVG = "{http://www.w3.org/2000/svg}"
_PAIR = re.compile(r"(-?[\d.]+) (-?[\d.]+)")


@dataclass(frozen=True, slots=True)
class Drawing:
    """An SVG document as a tree."""

    root: ET.Element

    @classmethod
    def of(cls, svg: str) -> "Drawing":
        """Read a document; ParseError where it is not well formed."""
        return cls(ET.fromstring(svg))  # noqa: S314 -- our own document

    def groups(self, *kinds: str) -> list[ET.Element]:
        """Return the groups that have all these classes, in order."""
        return [
            group for group in self.root.iter(f"{_SVG}g") if set(kinds) <= set(group.get("class", "").split())
        ]

    def group(self, id_: str) -> ET.Element:
        """Return the one group of this id."""
        (found,) = [each for each in self.root.iter() if each.get("id") == id_]
        return found

    def words(self) -> list[str]:
        """Return all that is written."""
        return [text.text or "" for text in self.root.iter(f"{_SVG}text")]


def path_of(group: ET.Element, kind: str = "line") -> list[Dot]:
    """Return the corners of the path of this class in a group."""
    (path,) = [path for path in group.iter(f"{_SVG}path") if path.get("class") == kind]
    return corners(path)


def corners(path: ET.Element) -> list[Dot]:
    """Return the corners of a path."""
    return [(float(x), float(y)) for x, y in _PAIR.findall(path.get("d", ""))]


def circle_of(group: ET.Element) -> Dot:
    """Return the centre of the first circle of a group."""
    circle = next(group.iter(f"{_SVG}circle"))
    return float(circle.get("cx", "nan")), float(circle.get("cy", "nan"))


def mm(one: Dot, other: Dot) -> float:
    """Return how far two dots are apart."""
    return hypot(one[0] - other[0], one[1] - other[1])


def off_line(dot: Dot, line: list[Dot]) -> float:
    """Return how far a dot is off a broken line."""
    return min(_off_side(dot, *side) for side in _sides(line))


def meeting(one: list[Dot], other: list[Dot]) -> Dot:
    """Return where two broken lines cross."""
    for a, b in _sides(one):
        for c, d in _sides(other):
            crossing = _crossing(a, b, c, d)
            if crossing is not None:
                return crossing
    raise AssertionError("the lines do not cross on the sheet")


def _sides(line: list[Dot]) -> Iterator[tuple[Dot, Dot]]:
    yield from pairwise(line)


def _off_side(dot: Dot, a: Dot, b: Dot) -> float:
    length = mm(a, b)
    if length == 0.0:
        return mm(dot, a)
    share = ((dot[0] - a[0]) * (b[0] - a[0]) + (dot[1] - a[1]) * (b[1] - a[1])) / length**2
    share = min(max(share, 0.0), 1.0)
    return mm(dot, (a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])))


def _crossing(a: Dot, b: Dot, c: Dot, d: Dot) -> Dot | None:
    across = (b[0] - a[0]) * (d[1] - c[1]) - (b[1] - a[1]) * (d[0] - c[0])
    if across == 0.0:
        return None
    s = ((c[0] - a[0]) * (d[1] - c[1]) - (c[1] - a[1]) * (d[0] - c[0])) / across
    t = ((c[0] - a[0]) * (b[1] - a[1]) - (c[1] - a[1]) * (b[0] - a[0])) / across
    if 0.0 <= s <= 1.0 and 0.0 <= t <= 1.0:
        return a[0] + s * (b[0] - a[0]), a[1] + s * (b[1] - a[1])
    return None
