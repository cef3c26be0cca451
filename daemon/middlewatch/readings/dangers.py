"""Dangers: what the boat is to keep off, as the dangers file lists them."""

from dataclasses import dataclass
from typing import Literal

from middlewatch.quantities.positions import Position


@dataclass(frozen=True, slots=True)
class ClearingBearing:
    """While a mark bears not less, or not more, than a limit, counted through north, she passes clear."""

    mark: str
    rule: Literal["not less than", "not more than"]
    limit_true_deg: float


@dataclass(frozen=True, slots=True)
class Danger:
    """A rock, a line or a shoal, and how far to keep off it, in metres.

    `lines`: of a point one place; of a line its places in order; of an area its rings, each closed by its
    first place, the outer one and then the holes in it, where the water is good again. `clearing`: the
    bearings of marks that lead clear of it.
    """

    name: str
    form: Literal["point", "line", "area"]
    lines: tuple[tuple[Position, ...], ...]
    clearance_m: float
    clearing: tuple[ClearingBearing, ...] = ()
