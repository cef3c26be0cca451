"""Rivals: what else may be so where an entry is suspected; always that the reckoning is wrong instead."""

from collections.abc import Sequence
from dataclasses import dataclass

from middlewatch.navigator.area.slips import Slip
from middlewatch.navigator.position.lines import PositionLine, Ray, TransitRay
from middlewatch.quantities.lengths import METRES_PER_NM
from middlewatch.quantities.positions import Position

_ALIKE_SIGMA = 1.0
"""Slips whose fits differ by no more than this fit alike."""


@dataclass(frozen=True, slots=True)
class TooSmall:
    """A variation (E+) smaller than one standard deviation of what was to be expected; degrees."""

    variation_deg: float
    doubt_deg: float


def rivals(line: PositionLine, ep: Position, slips: Sequence[Slip], small: TooSmall | None) -> str:
    """Say what else may be so: other slips that fit as well, a variation too small, the reckoning wrong."""
    words = [_alike(slips), _too_small(small), _reckoning_wrong(line, ep)]
    return "; ".join(each for each in words if each is not None)


def _alike(slips: Sequence[Slip]) -> str | None:
    if not slips:
        return "no slip explains it"
    alike = [slip for slip in slips if abs(slip.fits - slips[0].fits) <= _ALIKE_SIGMA]
    names = list(dict.fromkeys(_named(slip) for slip in alike))
    if len(names) < 2:
        return None
    return f"{', '.join(names[:-1])} and {names[-1]} fit alike"


def _named(slip: Slip) -> str:
    return slip.slip if slip.mark is None else f"{slip.slip} ({slip.mark})"


def _too_small(small: TooSmall | None) -> str | None:
    if small is None:
        return None
    side = "E" if small.variation_deg >= 0.0 else "W"
    return (
        f"variation {abs(small.variation_deg):.1f} {side} is too small to tell a slip with it"
        f" (the doubt is {small.doubt_deg:.1f} degrees)"
    )


def _reckoning_wrong(line: PositionLine, ep: Position) -> str:
    """Say where the boat would be, were the entry right: at the nearest point of its line."""
    shape = line.shape
    off_m = abs(shape.miss_m(ep))
    if isinstance(shape, Ray | TransitRay) and not shape.ahead(ep):
        # The line ends at its mark, which is nearer than anything on it.
        off_m = ep.to(shape.mark)[1] * METRES_PER_NM
    off_nm = off_m / METRES_PER_NM
    return f"or the entry is right and the reckoning wrong: the boat {off_nm:.1f} nm or more from the EP"
