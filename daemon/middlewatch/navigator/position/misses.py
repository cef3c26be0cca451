"""How far off a line of position a place is."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Miss:
    """How far the boat would be off a line, in metres, and the unit vector along which that grows."""

    metres: float
    north: float
    east: float
