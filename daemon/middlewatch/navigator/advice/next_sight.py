"""The next sight: of all that could be seen, what makes the area smallest."""

from collections.abc import Callable, Container, Iterable, Sequence
from dataclasses import dataclass

from middlewatch.navigator.advice.prospect import Hoped, Prospect, Sought
from middlewatch.navigator.area.seen import BearingSeen
from middlewatch.reports.advice import SightKind

WORTH_IT = 2 / 3
"""A sight is advised that makes the area of its moment smaller by a third at least (judgement): bearings of
one mark one after another do not, and just after a departure hardly anything does."""
AS_GOOD = 1.05
"""What leaves an area larger by less than a twentieth is as good; of such the earlier is (judgement)."""
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
    """What a sight may be hoped to be worth."""

    sight: Sight
    hoped: Hoped


def best(prospect: Prospect, sights: Sequence[Sight], sighted: Container[str]) -> Worth | None:
    """Return the sight that leaves the area smallest; None where none is worth it.

    The area is that right after the sight: by the area of a while later it would always be best to wait, for
    a fresh bearing is better than an old one. A bearing of a mark already `sighted` makes a running fix, and
    its moment is the one that leaves the least long axis.
    """
    before = [moment.unseen().size_m2 for moment in prospect.moments]
    quick: list[tuple[float, int]] = []
    for place, sight in enumerate(sights):
        part = prospect.shrinks_to(prospect.moments[sight.moment], sight.sought)
        if part <= WORTH_IT * _QUICKLY:
            quick.append((part * before[sight.moment], place))
    likely = [sights[place] for _, place in sorted(quick)[:_LOOKED_INTO]]
    worths = _worth_it(prospect, likely, before)
    if not worths:
        return None
    found = _soonest_of_the_least(worths, lambda each: each.hoped.size_m2)
    if found.sight.mark not in sighted or found.sight.kind != "bearing":
        return found
    of_mark = [each for each in sights if (each.mark, each.kind) == (found.sight.mark, "bearing")]
    return _soonest_of_the_least(_worth_it(prospect, of_mark, before), lambda each: each.hoped.major_nm)


def worth(prospect: Prospect, sight: Sight) -> Worth:
    """Return what a sight may be hoped to be worth."""
    return Worth(sight, prospect.after(prospect.moments[sight.moment], sight.sought))


def _worth_it(prospect: Prospect, sights: Iterable[Sight], before_m2: Sequence[float]) -> list[Worth]:
    worths = (worth(prospect, sight) for sight in sights)
    return [each for each in worths if each.hoped.size_m2 <= WORTH_IT * before_m2[each.sight.moment]]


def _soonest_of_the_least(worths: Sequence[Worth], measure: Callable[[Worth], float]) -> Worth:
    least = min(measure(each) for each in worths)
    good = [each for each in worths if measure(each) <= AS_GOOD * least]
    return min(good, key=lambda each: (each.sight.moment, measure(each)))
