"""How small the area becomes by following the advice, against two ways of the crew: seeded, simulated.

    PYTHONPATH=daemon:tests python -m benchmarks.advice [passages]

Each passage is an hour at 5 kn, from a departure known to a mile, with one mark or three somewhere ahead
and abeam, 3 to 10 miles off. At each five minutes the crew may take a bearing:

- by the advice: when it says so, of the mark it says;
- by the 30-degree rule: of the mark nearest at first, and again whenever that bears 30 degrees otherwise;
- by the advice, but no more of them than by that rule;
- by chance: as many as by the advice, of any mark at any time.

The area is the root of the determinant of its covariance, as a radius that holds 95 in 100.
"""

import sys
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from itertools import pairwise
from math import degrees, radians

import numpy as np

from area.lookout import Sighting
from area.model import Chance, Floats, Model, Places, chance
from area.passages import Family, Passage, Passages, sail
from area.sailing import Plotted
from area.tracks import Leg
from middlewatch.navigator.advice.next_sight import Sight, best
from middlewatch.navigator.advice.prospect import Prospect
from middlewatch.navigator.area.cloud import Cloud, begun
from middlewatch.navigator.area.passage import motion
from middlewatch.navigator.area.seen import BearingSeen
from middlewatch.navigator.area.unknowns import Priors
from middlewatch.quantities.angles import turn
from middlewatch.quantities.lengths import METRES_PER_NM
from middlewatch.quantities.spreads import RADIUS_95

SEED = 11
SAMPLES = 4_000
STEP_S = 300
HOUR_S = 3600
HALF_HOUR_S = 1800
STEPS = HOUR_S // STEP_S
SD_DEG = 2.5
FAMILY = Family(
    "advice",
    (Leg(130.0, 65.0, wind="free"),),
    asked_s=tuple(range(0, HOUR_S + 1, STEP_S)),
    model=Model(departure_nm=1.0),
)


@dataclass(frozen=True, slots=True)
class Voyage:
    """One passage with its marks, metres from the EP's start, and what each look at one of them errs by."""

    passage: Passage
    marks: Places
    errors: Floats  # (mark, step), radians
    by_chance: Chance

    def bearing(self, mark: int, second: int) -> Sighting:
        """Take a bearing."""
        boat = self.passage.track.ep_at(second) + self.passage.deviation[second // STEP_S]
        observed = float(np.angle(self.marks[mark] - boat)) + self.errors[mark, second // STEP_S]
        return Sighting(second, "bearing", mark, complex(self.marks[mark]), observed, radians(SD_DEG), False)


Crew = Callable[[Cloud, list[Sighting], int], int | None]
"""Says, by the cloud, what was taken so far and the second, which mark to take a bearing of, if any."""


def advised(voyage: Voyage, course: Plotted) -> Crew:
    """Return the crew that follows the advice."""

    def look(cloud: Cloud, taken: list[Sighting], second: int) -> int | None:
        seconds = list(range(second, second + HOUR_S + 1, STEP_S))
        motions = [motion(course.stretches(*each)) for each in pairwise(seconds)]
        sighted = {str(each.mark) for each in taken}
        sights = [
            Sight(str(mark), place, _sought(course, mark, at, then))
            for mark, at in enumerate(voyage.marks.tolist())
            for place, then in enumerate(seconds)
            if then - second <= HALF_HOUR_S or str(mark) in sighted
        ]
        worth = best(Prospect(cloud, motions, seconds, SEED), sights, sighted)
        return None if worth is None or worth.sight.moment else int(worth.sight.mark)

    return look


def _sought(course: Plotted, mark: int, at: complex, second: int) -> BearingSeen:
    sought = course.seen(Sighting(second, "bearing", mark, at, 0.0, radians(SD_DEG), False))
    assert isinstance(sought, BearingSeen)
    return sought


def by_thirty_degrees(voyage: Voyage, _course: Plotted) -> Crew:
    """Return the crew that takes a bearing of the mark nearest whenever it has changed by 30 degrees."""
    nearest = int(np.argmin(np.abs(voyage.marks)))

    def look(_cloud: Cloud, taken: list[Sighting], second: int) -> int | None:
        if not taken:
            return nearest
        would_be = voyage.bearing(nearest, second).observed
        changed = abs(turn(degrees(taken[-1].observed), degrees(would_be)))
        return nearest if changed >= 30.0 else None

    return look


def at_random(voyage: Voyage, _course: Plotted, count: int) -> Crew:
    """Return the crew that takes so many bearings at any time of any mark."""
    seconds = (STEP_S * voyage.by_chance.choice(STEPS, count, replace=False)).tolist()
    marks = voyage.by_chance.integers(0, voyage.marks.size, count).tolist()
    plan = dict(zip(seconds, marks, strict=True))

    def look(_cloud: Cloud, _taken: list[Sighting], second: int) -> int | None:
        return plan.get(second)

    return look


@dataclass(frozen=True, slots=True)
class Sailed:
    """The radius of the area in nm at each five minutes, and how many bearings were taken."""

    radii_nm: list[float]
    bearings: int


def follow(voyage: Voyage, course: Plotted, crew: Crew, at_most: int) -> Sailed:
    """Sail the hour with a crew."""
    model = voyage.passage.family.model
    priors = Priors()
    cloud = begun(0, priors.mean(), priors.covariance(model.departure_nm), SAMPLES)
    taken: list[Sighting] = []
    radii: list[float] = []
    for second in range(0, HOUR_S + 1, STEP_S):
        now = cloud.carried(motion(course.stretches(cloud.second, second)), second)
        mark = crew(now, taken, second) if second < HOUR_S and len(taken) < at_most else None
        if mark is not None:
            taken.append(voyage.bearing(mark, second))
            cloud = now = course.after(cloud, taken[-1:])
        radii.append(radius_nm(now))
    return Sailed(radii, len(taken))


def radius_nm(cloud: Cloud) -> float:
    """Return the radius of a circle as large as the ellipse that holds 95 in 100."""
    _, covariance = cloud.moments()
    size = covariance[0, 0] * covariance[1, 1] - covariance[0, 1] ** 2
    return float(RADIUS_95 * size**0.25 / METRES_PER_NM)


def voyage(sailed: Passages, number: int, marks: int, seed: int) -> Voyage:
    """Return one of the passages with so many marks."""
    passage, drawn = sailed.passage(number), chance(seed, 100 + number)
    side = drawn.choice([-1.0, 1.0], marks)
    bearing = passage.track.course_at(0) + side * np.radians(drawn.uniform(10.0, 110.0, marks))
    places: Places = METRES_PER_NM * drawn.uniform(3.0, 10.0, marks) * np.exp(1j * bearing)
    shared = sailed.errors.hand[number] - sailed.errors.variation[number]
    errors = shared + radians(SD_DEG) * drawn.standard_normal((marks, STEPS + 1))
    return Voyage(passage, places, errors, drawn)


@dataclass(frozen=True, slots=True)
class Compared:
    """The mean radius in nm after an hour, over the hour, and the bearings taken, of each way."""

    after: dict[str, float]
    over: dict[str, float]
    bearings: dict[str, float]


def compare(count: int, marks: int, seed: int = SEED) -> Compared:
    """Sail so many passages with so many marks in each way."""
    radii: dict[str, list[list[float]]] = {}
    bearings: dict[str, list[int]] = {}
    sailed = sail(FAMILY, count, seed)
    for number in range(count):
        for way, by_way in _ways(voyage(sailed, number, marks, seed)).items():
            radii.setdefault(way, []).append(by_way.radii_nm)
            bearings.setdefault(way, []).append(by_way.bearings)
    return Compared(
        {way: float(np.mean([each[-1] for each in of_way])) for way, of_way in radii.items()},
        {way: float(np.mean(of_way)) for way, of_way in radii.items()},
        {way: float(np.mean(of_way)) for way, of_way in bearings.items()},
    )


def _ways(voyage: Voyage) -> dict[str, Sailed]:
    course = Plotted(voyage.passage)
    sailed_by = partial(follow, voyage, course)
    by_advice = sailed_by(advised(voyage, course), STEPS)
    by_rule = sailed_by(by_thirty_degrees(voyage, course), STEPS)
    return {
        "advice": by_advice,
        "30 degrees": by_rule,
        "as few": sailed_by(advised(voyage, course), by_rule.bearings),
        "chance": sailed_by(at_random(voyage, course, by_advice.bearings), STEPS),
    }


def main(count: int) -> None:
    """Print the comparison."""
    write = sys.stdout.write
    for marks in (1, 3):
        found = compare(count, marks)
        write(f"{count} passages, marks: {marks}; radius of the 95 % area, nm\n")
        for way in found.after:
            factor_after, factor_over = (each[way] / each["advice"] for each in (found.after, found.over))
            write(
                f"{way:>10}: after an hour {found.after[way]:.3f} (x {factor_after:.2f}), over the hour"
                f" {found.over[way]:.3f} (x {factor_over:.2f}), {found.bearings[way]:.1f} bearings\n"
            )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 500)
