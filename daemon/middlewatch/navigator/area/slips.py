"""Slips: what the crew may have meant, where an entry is too unusual to be taken as it stands.

Each slip of the pen, the eye or the clock that applies is undone, and what is left held against the cloud. It
is offered where it explains the entry better than "anything at all" would; nothing is changed.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from math import exp

from middlewatch.navigator.area.unusual import Awaited, AwaitedPoint

UNUSUAL_SIGMA = 2.6
"""From here on an entry is suspected; of good ones 1 in 107 would be, were all normal."""

_FITS_WITHIN_SIGMA = 3.0
_FITS_BETTER = 0.7
"""A slip explains an entry where it leaves no more than so many sigmas, and than this part of them."""

_ANYTHING = 0.02
"""So many of the blunders are no slip that is known here (judgement, as all shares are)."""
_SHARES = {
    "other mark": 0.20,
    "light from seaward": 0.15,
    "hour out": 0.15,
    "reciprocal": 0.10,
    "hundred out": 0.10,
    "longitude scale": 0.10,
    "digits swapped": 0.10,
    "variation not applied": 0.08,
    "variation wrong way": 0.08,
    "ten out": 0.08,
    "deviation": 0.08,
    "stale": 0.08,
}
"""How often each slip is made, of an entry that could come of it: its prior, beside the others' (judgement).

Nobody has counted them, so they are near alike. What can only be made on occasion (a sector's limit, a time
of day written by hand) is then made often; taking one mark for another is the commonest, and is shared out
among the marks in reach. A slip's place in the list is its prior times how dense what was to be expected, the
spread of the cloud and all, is at the value it would give.
"""


@dataclass(frozen=True, slots=True)
class Slip:
    """A slip that explains an entry: the value meant, the sigmas left, and how likely it is beside others.

    `mark`, `second`: which was meant, where the slip is in that; `likely` has no unit, per radian or metre.
    """

    slip: str
    value: float
    fits: float
    likely: float
    mark: str | None = None
    second: int | None = None

    @property
    def comes_to(self) -> tuple[float, str | None, int | None]:
        """What the entry would be, were it this: slips that come to one value are not to be told apart."""
        return round(self.value, 6), self.mark, self.second


@dataclass(frozen=True, slots=True)
class Meant:
    """What may have been meant: the value, in the entry's own reference, and as what it was to be expected.

    `part`: of all such slips how many are like this one; `known`: how often, per radian or metre, just this
    entry comes of it, where that does not hang on how well it fits alone.
    """

    slip: str
    value: float
    awaited: Awaited | AwaitedPoint
    part: float = 1.0
    mark: str | None = None
    second: int | None = None
    known: float | None = None


def explained(
    entered: Awaited | AwaitedPoint, log_blunder: float, meant: Iterable[Meant]
) -> tuple[Slip, ...]:
    """Return the slips that explain an entry, the likeliest first; those of one value stand together.

    `entered`: the entry as it stands; `log_blunder`: the log of how dense "anything at all" is there.
    """
    within = min(_FITS_WITHIN_SIGMA, _FITS_BETTER * entered.sigmas())
    any_blunder = _ANYTHING * exp(log_blunder)
    found: list[Slip] = []
    for each in meant:
        dense = each.awaited.density() if each.known is None else each.known
        likely = _SHARES[each.slip] * each.part * dense
        if likely <= any_blunder:
            continue
        fits = each.awaited.sigmas()
        if fits <= within:
            found.append(Slip(each.slip, each.value, fits, likely, each.mark, each.second))
    return _ranked(found)


def _ranked(found: list[Slip]) -> tuple[Slip, ...]:
    together: dict[tuple[float, str | None, int | None], float] = {}
    for slip in found:
        together[slip.comes_to] = together.get(slip.comes_to, 0.0) + slip.likely

    def place(slip: Slip) -> tuple[float, float, str, int, float, str]:
        value, mark, second = slip.comes_to
        return -together[slip.comes_to], value, mark or "", second or 0, -slip.likely, slip.slip

    return tuple(sorted(found, key=place))
