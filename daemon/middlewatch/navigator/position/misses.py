"""How far off a line of position a place is, and what a mark's own doubt has to do with it."""

from dataclasses import dataclass
from math import atan2


@dataclass(frozen=True, slots=True)
class Miss:
    """How far the boat would be off a line, in metres, and the unit vector along which that grows."""

    metres: float
    north: float
    east: float


def turned_by_mark_rad(mark_sd_nm: float, off_nm: float) -> float:
    """Return by what angle a mark, out by so much across the sight, stands elsewhere at a distance."""
    return atan2(mark_sd_nm, off_nm)
