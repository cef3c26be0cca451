"""The deviation card: what the boat's own iron does to a compass, heading by heading."""

from bisect import bisect_right
from dataclasses import dataclass, field
from itertools import pairwise
from math import isfinite

from middlewatch.navigator.tuning import CardPoints
from middlewatch.quantities.angles import direction


@dataclass(frozen=True, slots=True)
class Card:
    """Deviation against the heading *on that compass*, straight lines from point to point round the circle.

    Points are (heading by compass, deviation E+) in degrees, in any order; 360 is 0, and a card may give both
    where they agree. One point is a constant; none is a blank card, whose deviation is 0 and `blank` True:
    whether that is good enough is the caller's to say.

    ValueError for a point that is no number, for two deviations on one heading, and for a card so steep that
    two headings by compass share one magnetic heading (deviation falling by a degree or more in a degree): no
    compass that steers a boat does that, a slip of the pen does.
    """

    points: CardPoints
    # The knots once round and back to the first: heading by compass, deviation, magnetic heading; the two
    # headings run on past 360 and rise all the way.
    _compass: tuple[float, ...] = field(init=False, repr=False, compare=False)
    _deviation: tuple[float, ...] = field(init=False, repr=False, compare=False)
    _magnetic: tuple[float, ...] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        ordered = _in_order(self.points)
        closed = (*ordered, (ordered[0][0] + 360.0, ordered[0][1])) if ordered else ()
        magnetic = tuple(heading + deviation for heading, deviation in closed)
        for (before, after), (here, there) in zip(pairwise(closed), pairwise(magnetic), strict=True):
            if there <= here:
                raise ValueError(
                    f"deviation falls from {before[1]:g} at {before[0]:g}"
                    f" to {after[1]:g} at {direction(after[0]):g}: too steep for a compass"
                )
        object.__setattr__(self, "_compass", tuple(heading for heading, _ in closed))
        object.__setattr__(self, "_deviation", tuple(deviation for _, deviation in closed))
        object.__setattr__(self, "_magnetic", magnetic)

    @property
    def blank(self) -> bool:
        """Whether the card has no points at all."""
        return not self.points

    def deviation_at(self, compass_deg: float) -> float:
        """Return the deviation, degrees E+, on a heading by this compass."""
        return 0.0 if self.blank else _round_the_circle(self._compass, self._deviation, compass_deg)

    def magnetic(self, compass_deg: float) -> float:
        """Return the magnetic heading [0, 360) of a heading by this compass."""
        # Compass to magnetic: east deviation adds.
        return direction(compass_deg + self.deviation_at(compass_deg))

    def compass(self, magnetic_deg: float) -> float:
        """Return the heading by this compass [0, 360) on which the boat has this magnetic heading.

        The exact inverse of `magnetic`: a straight line from knot to knot read the other way.
        """
        if self.blank:
            return direction(magnetic_deg)
        return direction(_round_the_circle(self._magnetic, self._compass, magnetic_deg))


def _in_order(points: CardPoints) -> CardPoints:
    """Return the points by heading [0, 360), each heading once."""
    card: dict[float, float] = {}
    for heading, deviation in points:
        if not (isfinite(heading) and isfinite(deviation)):
            raise ValueError(f"the card's point ({heading}, {deviation}) is not two numbers")
        if card.setdefault(direction(heading), deviation) != deviation:
            raise ValueError(f"the card gives two deviations at {direction(heading):g}")
    return tuple(sorted(card.items()))


def _round_the_circle(knots: tuple[float, ...], values: tuple[float, ...], at_deg: float) -> float:
    """Interpolate between knots that rise through one whole turn; `at_deg` is any direction."""
    # Bring the direction into the turn that begins at the first knot.
    at = knots[0] + direction(at_deg - knots[0])
    after = min(bisect_right(knots, at), len(knots) - 1)
    part = (at - knots[after - 1]) / (knots[after] - knots[after - 1])
    return values[after - 1] + part * (values[after] - values[after - 1])
