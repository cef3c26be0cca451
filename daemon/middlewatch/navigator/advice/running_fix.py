"""The running fix on one mark: why its second bearing is not to be taken earlier, nor later, in figures."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from middlewatch.navigator.advice.next_sight import Sight, Worth, worth
from middlewatch.navigator.advice.prospect import Prospect
from middlewatch.navigator.position.fix import NARROW_CUT_DEG
from middlewatch.quantities.angles import turn


@dataclass(frozen=True, slots=True)
class Otherwise:
    """What a second bearing is worth at the first and the last moment looked at; None: that is no worse."""

    earliest: Worth | None
    latest: Worth | None


def otherwise(prospect: Prospect, sights: Sequence[Sight], chosen: Worth) -> Otherwise:
    """Return what the second bearing advised would be worth earlier, and later."""
    named = chosen.sight.mark, chosen.sight.kind
    of_mark = [each for each in sights if (each.mark, each.kind) == named]
    first, last = worth(prospect, of_mark[0]), worth(prospect, of_mark[-1])
    return Otherwise(
        first if first.hoped.major_nm > chosen.hoped.major_nm else None,
        last if last.hoped.major_nm > chosen.hoped.major_nm else None,
    )


def bearing_deg(prospect: Prospect, sight: Sight) -> float:
    """Return how a mark will bear, true, from the middle of where the boat may be then; unrounded."""
    moment = prospect.moments[sight.moment]
    middle = complex((moment.passages.weights * moment.places).sum())
    return float(np.degrees(np.angle(sight.sought.mark_at - middle))) % 360.0


def begun_on(bearings: Mapping[str, Sequence[float]]) -> str | None:
    """Return the one mark that a running fix is begun on: its bearings (true) are all, and cut too fine.

    With bearings of another mark, or bearings of one that cut well, a fix has been made, and what comes after
    it is no matter of waiting for the one best moment.
    """
    if len(bearings) != 1:
        return None
    ((mark, of_mark),) = bearings.items()
    widest_deg = max((abs(turn(one, other)) for one, other in combinations(of_mark, 2)), default=0.0)
    return mark if widest_deg < NARROW_CUT_DEG else None


def best_cut_deg(firsts_true_deg: Sequence[float], second_true_deg: float) -> float:
    """Return at what angle, 0 to 90, a second bearing cuts the earlier one that it cuts best."""
    apart = [abs(turn(first_deg, second_true_deg)) for first_deg in firsts_true_deg]
    return max(min(each, 180.0 - each) for each in apart)
