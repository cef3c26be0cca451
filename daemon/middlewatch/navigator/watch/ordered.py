"""Ordered: whether the stream by order shows in how the receiver moves beyond the run.

A stream laid off the wrong way round carries the EP off at twice its drift, and nothing in the reckoning
knows it. Where the satellites are in no other doubt they tell within minutes.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot, log

from middlewatch.navigator.watch.explaining import FEWEST
from middlewatch.navigator.watch.spells import KEPT, Spell, StreamByOrder
from middlewatch.quantities.angles import direction_of, three_figures

FIRST_SPELLS, NOISE_KN = 20, 0.15
"""A stream by order is judged by its first ten minutes, in which log, leeway and receiver make so much."""


@dataclass(frozen=True, slots=True)
class Shown:
    """What shows of a stream by order.

    `odds`: how much better it shows to be wrong than right, natural logarithm; `ordered`: what was ordered;
    `apparent`: what the receiver makes of it, knots north and east; `from_the_start`: whether its first ten
    minutes are kept still.
    """

    odds: float
    ordered: StreamByOrder
    apparent: tuple[float, float]
    from_the_start: bool

    @property
    def words(self) -> str:
        """What was ordered and what shows, in words."""
        drift_kn = hypot(*self.apparent)
        towards = three_figures(direction_of(*self.apparent))
        return (
            f"a stream of {self.ordered.kn:.1f} kn towards {three_figures(self.ordered.towards_deg)} T is"
            f" ordered, the satellites made it {drift_kn:.1f} kn towards {towards} T"
        )


def shown(spells: Sequence[Spell], strongest_kn: float) -> Shown | None:
    """Hold the stream ordered last against the receiver; None where none is, or not long enough.

    What is apparent is the stream that was ordered, as well as that is known, or any that the sea can do.
    """
    ordered = next((each.ordered for each in reversed(spells) if each.ordered is not None), None)
    first = [each for each in spells if each.ordered == ordered][:FIRST_SPELLS]
    if ordered is None or len(first) < FEWEST:
        return None
    apparent_north, apparent_east = (sum(each.apart[axis] for each in first) / len(first) for axis in (0, 1))
    laid_north, laid_east = (sum(each.laid[axis] for each in first) / len(first) for axis in (0, 1))
    right, wrong = hypot(ordered.sd_kn, NOISE_KN), hypot(0.45 * strongest_kn, NOISE_KN)
    off = hypot(apparent_north - laid_north, apparent_east - laid_east) / right
    any_stream = hypot(apparent_north, apparent_east) / wrong
    odds = 0.5 * (off * off - any_stream * any_stream) + 2.0 * log(right / wrong)
    from_the_start = len(spells) < KEPT or spells[0].ordered != ordered
    return Shown(odds, ordered, (apparent_north, apparent_east), from_the_start)
