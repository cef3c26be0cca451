"""What part of the plotting sheet a page wants to see, and the picture of it."""

from collections.abc import Mapping
from dataclasses import dataclass
from math import isfinite
from typing import Literal

from middlewatch.quantities.positions import Position

LookName = Literal["day", "night", "sun"]
LOOKS: tuple[LookName, ...] = ("day", "night", "sun")

_LEAST_MM, _MOST_MM = 60.0, 600.0
_LEAST_SCALE, _MOST_SCALE = 1_000.0, 20_000_000.0
_FARTHEST_NORTH = 85.0
"""Beyond, Mercator's sheet has no room (judgement)."""


@dataclass(frozen=True, slots=True)
class SheetView:
    """A sheet so wide and high, in mm, at 1 : scale about a place or as that `number` of several.

    Without a scale so that it shows all. A number beyond the last is the last.
    """

    look: LookName
    width_mm: float
    height_mm: float
    centre: Position | None = None
    scale: float | None = None
    number: int | None = None


@dataclass(frozen=True, slots=True)
class SheetImage:
    """The sheet as SVG, about which place, at which scale, and as which of how many it was drawn."""

    svg: str
    centre: Position
    scale: float
    number: int = 1
    of: int = 1


def sheet_view(query: Mapping[str, str]) -> SheetView:
    """Read look and sides in mm, and if given `scale` with `north`, `east` or `number`; ValueError else."""
    look = next((each for each in LOOKS if each == query.get("look", "day")), None)
    if look is None:
        raise ValueError("look is day, night or sun")
    width, height = (_within(query, side, _LEAST_MM, _MOST_MM) for side in ("width_mm", "height_mm"))
    if "scale" not in query:
        return SheetView(look, width, height)
    scale = _within(query, "scale", _LEAST_SCALE, _MOST_SCALE)
    if "number" in query:
        return SheetView(look, width, height, None, scale, int(_within(query, "number", 1.0, 1e6)))
    north = _within(query, "north", -_FARTHEST_NORTH, _FARTHEST_NORTH)
    east = _within(query, "east", -180.0, 180.0)
    return SheetView(look, width, height, Position(north, east), scale)


def _within(query: Mapping[str, str], name: str, least: float, most: float) -> float:
    try:
        value = float(query[name])
    except (KeyError, ValueError):
        value = float("nan")
    if not (isfinite(value) and least <= value <= most):
        raise ValueError(f"{name} is a number from {least:g} to {most:g}")
    return value
