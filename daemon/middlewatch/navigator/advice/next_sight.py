"""The next sight: of all that could be seen, what makes the area smallest."""

from collections.abc import Sequence
from dataclasses import dataclass

from middlewatch.navigator.advice.prospect import Hoped, Prospect, Sought
from middlewatch.navigator.area.seen import BearingSeen
from middlewatch.reports.advice import SightKind

WORTH_IT = 0.8
"""A sight is advised that makes the area of the coming half hour smaller by a fifth at least, in its mean
radius (judgement): bearings of one mark one after another do not, and just after a departure hardly anything
does."""
AS_GOOD = 1.03
"""What leaves an area larger by less than three hundredths is as good; of such the earlier is (judgement)."""
_LOOKED_INTO = 12
_QUICKLY = 1.1  # the quick look may be out by so much in what is worth it (measured on simulated passages)


@dataclass(frozen=True, slots=True)
class Sight:
    """A sighting that could be taken: the place of its moment in the prospect, and what would be seen."""

    mark: str
    moment: int
    sought: Sought

    @property
    def kind(self) -> SightKind:
        """Which sighting it is."""
        return "bearing" if isinstance(self.sought, BearingSeen) else "range"


@dataclass(frozen=True, slots=True)
class Worth:
    """What a sight may be hoped to be worth: the area right after it."""

    sight: Sight
    hoped: Hoped


def best(prospect: Prospect, sights: Sequence[Sight]) -> Worth | None:
    """Return the sight that leaves the least area over the coming half hour; None where none is worth it.

    The area right after a sight alone would have it taken too early, for the least area is that of now; the
    area at the end of the half hour too late, for a fresh bearing is better than an old one. The mean over
    the half hour, later moments counting for more, weighs both.
    """
    most_m = WORTH_IT * prospect.mean_unseen_m
    quick: list[tuple[float, int]] = []
    for place, sight in enumerate(sights):
        if sight.moment < prospect.spell:
            mean_m = prospect.quickly_m(sight.moment, sight.sought)
            if mean_m <= _QUICKLY * most_m:
                quick.append((mean_m, place))
    worths: list[tuple[float, Worth]] = []
    for _, place in sorted(quick)[:_LOOKED_INTO]:
        after = prospect.after(sights[place].moment, sights[place].sought)
        if after.mean_m <= most_m:
            worths.append((after.mean_m, Worth(sights[place], after.area)))
    if not worths:
        return None
    return _soonest_of_the_least(worths)


def best_second(prospect: Prospect, sights: Sequence[Sight], mark: str) -> Worth:
    """Return the second bearing of a running fix on a mark: the one with the least long axis after it."""
    seconds = (worth(prospect, each) for each in sights if (each.mark, each.kind) == (mark, "bearing"))
    return min(seconds, key=lambda each: each.hoped.major_nm)


def worth(prospect: Prospect, sight: Sight) -> Worth:
    """Return what a sight may be hoped to be worth."""
    return Worth(sight, prospect.at_once(sight.moment, sight.sought))


def _soonest_of_the_least(measured: Sequence[tuple[float, Worth]]) -> Worth:
    least = min(measure for measure, _ in measured)
    good = [(each.sight.moment, measure, each) for measure, each in measured if measure <= AS_GOOD * least]
    return min(good, key=lambda each: each[:2])[2]
