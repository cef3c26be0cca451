"""A row of the table: a situation, what is right to show in it, and what may and must be heard.

What may be heard is a set of `subject condition` names; `subject *` is any of a subject. Whatever else is
raised, or is raised more than `times`, fails the row.
"""

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from fnmatch import fnmatchcase
from typing import Literal

from middlewatch.navigator.tuning import Tuning
from middlewatch.quantities.lengths import METRES_PER_NM
from middlewatch.reports.alert import Priority
from middlewatch.reports.position import ReportedWay
from middlewatch.reports.satellite import SatelliteState
from watch.meets.boat import Boat, Second, settings

STILL_M = 2.0


@dataclass(frozen=True, slots=True)
class Row:
    """A situation and its one sentence.

    `states`, `ways`: what may be shown from when it begins until it is over, the alert's own states of the
    satellites included; `ends`: what may be shown at the last; `dr`: whether it is held or runs then.
    `must`: each of these (one of several where parted by `|`) is raised within so many seconds of the
    beginning. `gravest`: nothing is raised above it. `area_holds`: at the end the area holds her; None: there
    is none. `area_grows_nm`: by how much it grows at most from when it begins until it is over.
    """

    name: str
    words: str
    sail: Callable[[Boat], None]
    tuning: Tuning = settings()  # noqa: RUF009 -- frozen
    states: frozenset[SatelliteState] = frozenset({"in_step"})
    ends: frozenset[SatelliteState] = frozenset({"in_step"})
    ways: frozenset[ReportedWay] = frozenset({"under_way"})
    dr: Literal["held", "runs", "either"] = "runs"
    may: frozenset[str] = frozenset()
    must: tuple[tuple[str, int], ...] = ()
    gravest: Priority = "caution"
    times: int = 1
    area_holds: bool | None = True
    area_grows_nm: float | None = None
    seeds: tuple[int, ...] = (1, 2)

    def faults(self, seed: int) -> list[str]:
        """Sail it with a seed, and return what is wrong, in words; nothing where all is as it should be."""
        boat = Boat(seed, self.tuning)
        self.sail(boat)
        if boat.begun is None:
            raise ValueError(f"{self.name}: the script never says when it begins")
        last = boat.seconds if boat.ended is None else boat.ended
        there = [each for each in boat.shown if boat.begun < each.second <= last]
        return [*self._shown(there, boat.shown[-1]), *self._heard(boat)]

    def _shown(self, there: list[Second], last: Second) -> list[str]:
        wrong = [
            f"{state} is shown at {each.second} s: {each.satellite.reason}"
            for each in there
            if (state := each.satellite.state) not in self.states
        ][:1]
        wrong += [
            f"{way} is shown at {each.second} s"
            for each in there
            if (way := each.position.way) not in self.ways
        ][:1]
        if last.satellite.state not in self.ends:
            wrong.append(f"{last.satellite.state} is shown at the end: {last.satellite.reason}")
        moved_m = _run_m(there[0], there[-1])
        if self.dr != "either" and (moved_m < STILL_M) != (self.dr == "held"):
            wrong.append(f"the DR moves by {moved_m:.0f} m and should be: {self.dr}")
        return [*wrong, *self._growth(there[0], there[-1]), *self._area(last)]

    def _area(self, last: Second) -> list[str]:
        area = last.area
        if area is None:
            return [] if self.area_holds is None else ["there is no area"]
        wrong = []
        if self.area_holds and not area.outline.holds(last.truly.latitude_deg, last.truly.longitude_deg):
            wrong.append("the area does not hold her")
        return wrong

    def _growth(self, first: Second, last: Second) -> list[str]:
        if self.area_grows_nm is None or first.area is None or last.area is None:
            return []
        grown_nm = last.area.semi_major_nm - first.area.semi_major_nm
        return [f"the area grows by {grown_nm:.2f} nm"] if grown_nm > self.area_grows_nm else []

    def _heard(self, boat: Boat) -> list[str]:
        allowed = self.may | {name for names, _ in self.must for name in names.split("|")}
        wrong = [
            f"{each.name} ({each.priority}) is raised at {each.second} s"
            for each in boat.raised
            if not any(fnmatchcase(each.name, pattern) for pattern in allowed)
            or (self.gravest == "caution" and each.priority != "caution")
        ]
        counted = Counter(each.name for each in boat.raised)
        wrong += [f"{name} is raised {count} times" for name, count in counted.items() if count > self.times]
        begun = boat.begun or 0
        for names, within_s in self.must:
            when = [
                each.second
                for each in boat.raised
                if each.second >= begun and any(fnmatchcase(each.name, one) for one in names.split("|"))
            ]
            if not when:
                wrong.append(f"{names} is never raised")
            elif when[0] - begun > within_s:
                wrong.append(f"{names} is raised after {when[0] - begun} s and not {within_s}")
        return wrong


def _run_m(first: Second, last: Second) -> float:
    """Return how far the DR ran between two seconds."""
    one, other = first.position.dr, last.position.dr
    if one is None or other is None:
        raise ValueError("there is no DR")
    return abs(other.run_nm - one.run_nm) * METRES_PER_NM
