"""How small the area becomes by following the advice, against the crew's own ways: seeded, simulated.

    PYTHONPATH=daemon:tests python -m benchmarks.advice [passages]

Each passage is an hour at 5 kn, from a departure known to a mile, with one mark or three somewhere ahead
and abeam, 3 to 10 miles off. At each five minutes the crew may take bearings:

- "advice": what is advised when it is advised, by the same rules of when to look and when to say it anew;
- "30 degrees": of the mark nearest at first, and again whenever that bears 30 degrees otherwise;
- "as often": the same with the largest even angle that gives as many bearings as the advice; it is chosen
  with the whole hour known beforehand, which no crew has;
- "as few": the advice, but no more bearings than by the 30 degrees: then nothing till the hour is over;
- "chance": as many as by the advice, of any mark at any time.

The area is the root of the determinant of its covariance, as a radius that holds 95 in 100. "Ahead": in how
many passages of a hundred the advice left the smaller one after the hour.
"""

import sys
from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from itertools import pairwise
from math import degrees, radians
from typing import Protocol

import numpy as np

from area.lookout import Sighting
from area.model import Chance, Floats, Model, Places, chance
from area.passages import Family, Passage, Passages, sail
from area.sailing import Plotted
from area.tracks import Leg
from middlewatch.navigator.advice.advised import Act, Advised
from middlewatch.navigator.advice.next_sight import Sight, Worth, best
from middlewatch.navigator.advice.prospect import HALF_HOUR_S, Prospect
from middlewatch.navigator.area.cloud import Cloud, begun
from middlewatch.navigator.area.passage import motion
from middlewatch.navigator.area.seen import BearingSeen
from middlewatch.navigator.area.unknowns import Priors
from middlewatch.quantities.angles import turn
from middlewatch.quantities.instants import MS_PER_SECOND
from middlewatch.quantities.lengths import METRES_PER_NM
from middlewatch.quantities.spreads import RADIUS_95

SEED = 11
SAMPLES = 4_000
STEP_S = 300
HOUR_S = 3600
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


class Crew(Protocol):
    """Takes bearings in its own way."""

    def look(self, cloud: Cloud, taken: Sequence[Sighting], second: int) -> int | None:
        """Say, by the cloud and what was taken so far, which mark to take a bearing of now, if any."""


class ByAdvice:
    """The crew that does what is advised, and is advised as the navigator would."""

    def __init__(self, voyage: Voyage, course: Plotted) -> None:
        self._voyage, self._course = voyage, course
        self._advised = Advised()
        self._taken = 0
        self._bearing: tuple[int, int] | None = None
        self.said = 0

    def look(self, cloud: Cloud, taken: Sequence[Sighting], second: int) -> int | None:
        """Follow the advice that stands: of its mark, once its moment has come."""
        for each in taken[self._taken :]:
            self._advised.sighted("bearing", str(each.mark))
            self._advised.entered = True
        self._taken = len(taken)
        now_ms = second * MS_PER_SECOND
        if self._advised.due(now_ms):
            worth, seconds = self._best(cloud, second)
            if self._advised.take(None if worth is None else _act(worth), now_ms):
                self.said += 1
                self._bearing = None
                if worth is not None:
                    self._bearing = int(worth.sight.mark), seconds[worth.sight.moment]
        if self._bearing is None or self._bearing[1] > second:
            return None
        mark, self._bearing = self._bearing[0], None
        return mark

    def _best(self, cloud: Cloud, second: int) -> tuple[Worth | None, list[int]]:
        seconds = list(range(second, second + HALF_HOUR_S + 1, STEP_S))
        motions = [motion(self._course.stretches(*each)) for each in pairwise(seconds)]
        prospect = Prospect(cloud, motions, seconds, SEED)
        sights = [
            Sight(str(mark), place, _sought(self._course, mark, at, then))
            for mark, at in enumerate(self._voyage.marks.tolist())
            for place, then in enumerate(seconds)
        ]
        return best(prospect, sights), seconds


def _act(worth: Worth) -> Act:
    return Act("bearing", worth.sight.mark, worth.sight.moment > 0, worth.hoped.major_nm)


def _sought(course: Plotted, mark: int, at: complex, second: int) -> BearingSeen:
    sought = course.seen(Sighting(second, "bearing", mark, at, 0.0, radians(SD_DEG), False))
    assert isinstance(sought, BearingSeen)
    return sought


@dataclass(frozen=True, slots=True)
class ByTurning:
    """The crew that takes a bearing of the mark nearest at first whenever it has changed by an angle."""

    voyage: Voyage
    angle_deg: float = 30.0

    def look(self, _cloud: Cloud, taken: Sequence[Sighting], second: int) -> int | None:
        """Look at the mark, and take its bearing once that has changed enough."""
        return self.nearest if self._changed([each.observed for each in taken], second) else None

    @property
    def nearest(self) -> int:
        """The mark nearest at first."""
        return int(np.argmin(np.abs(self.voyage.marks)))

    def count(self) -> int:
        """Return how many bearings it takes in the hour."""
        taken: list[float] = []
        for second in range(0, HOUR_S, STEP_S):
            if self._changed(taken, second):
                taken.append(self.voyage.bearing(self.nearest, second).observed)
        return len(taken)

    def _changed(self, taken: Sequence[float], second: int) -> bool:
        if not taken:
            return True
        would_be = self.voyage.bearing(self.nearest, second).observed
        return abs(turn(degrees(taken[-1]), degrees(would_be))) >= self.angle_deg


def turning_as_often(voyage: Voyage, count: int) -> ByTurning:
    """Return the crew that waits for the largest even angle that gives so many bearings."""
    angles = (float(angle) for angle in range(90, 0, -2))
    return next(
        (way for way in (ByTurning(voyage, each) for each in angles) if way.count() >= count),
        ByTurning(voyage, 0.0),
    )


class ByChance:
    """The crew that takes so many bearings at any time of any mark, no one twice at a time."""

    def __init__(self, voyage: Voyage, count: int) -> None:
        picked = voyage.by_chance.choice(STEPS * voyage.marks.size, count, replace=False).tolist()
        self._plan = sorted((STEP_S * (each % STEPS), each // STEPS) for each in picked)

    def look(self, _cloud: Cloud, _taken: Sequence[Sighting], second: int) -> int | None:
        """Take what is planned for now."""
        return self._plan.pop(0)[1] if self._plan and self._plan[0][0] == second else None


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
        station: list[Sighting] = []
        while second < HOUR_S and len(taken) < at_most:
            mark = crew.look(now, taken, second)
            if mark is None or mark in {each.mark for each in station}:
                break
            station.append(voyage.bearing(mark, second))
            taken.append(station[-1])
            now = course.after(cloud, station)
        cloud = now if station else cloud
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
    """By way: the mean radius in nm after an hour and over the hour, and the bearings taken.

    `ahead`: in which part of the passages the advice left a smaller area after the hour. `said`: how often
    advice was given in an hour.
    """

    after: dict[str, float]
    over: dict[str, float]
    bearings: dict[str, float]
    ahead: dict[str, float]
    said: float


def compare(count: int, marks: int, seed: int = SEED) -> Compared:
    """Sail so many passages with so many marks in each way."""
    ways: dict[str, list[Sailed]] = {}
    said: list[int] = []
    sailed = sail(FAMILY, count, seed)
    for number in range(count):
        by_way, times = _ways(voyage(sailed, number, marks, seed))
        said.append(times)
        for way, hour in by_way.items():
            ways.setdefault(way, []).append(hour)
    after = {way: np.array([each.radii_nm[-1] for each in hours]) for way, hours in ways.items()}
    return Compared(
        {way: float(each.mean()) for way, each in after.items()},
        {way: float(np.mean([each.radii_nm for each in hours])) for way, hours in ways.items()},
        {way: float(np.mean([each.bearings for each in hours])) for way, hours in ways.items()},
        {way: float((after["advice"] < each).mean()) for way, each in after.items()},
        float(np.mean(said)),
    )


def _ways(voyage: Voyage) -> tuple[dict[str, Sailed], int]:
    course = Plotted(voyage.passage)
    sailed_by = partial(follow, voyage, course)
    adviser, no_limit = ByAdvice(voyage, course), STEPS * voyage.marks.size
    by_advice = sailed_by(adviser, no_limit)
    by_rule = sailed_by(ByTurning(voyage), no_limit)
    count = by_advice.bearings
    by_way = {
        "advice": by_advice,
        "30 degrees": by_rule,
        "as often": sailed_by(turning_as_often(voyage, count), count),
        "as few": sailed_by(ByAdvice(voyage, course), by_rule.bearings),
        "chance": sailed_by(ByChance(voyage, count), no_limit),
    }
    return by_way, adviser.said


def main(count: int) -> None:
    """Print the comparison."""
    write = sys.stdout.write
    for marks in (1, 3):
        found = compare(count, marks)
        write(
            f"{count} passages, seed {SEED}, marks: {marks}; advice given {found.said:.1f} times an hour;"
            " radius of the 95 % area, nm\n"
        )
        for way in found.after:
            factor_after, factor_over = (each[way] / each["advice"] for each in (found.after, found.over))
            write(
                f"{way:>10}: after an hour {found.after[way]:.3f} (x {factor_after:.2f}), over the hour"
                f" {found.over[way]:.3f} (x {factor_over:.2f}), {found.bearings[way]:.1f} bearings,"
                f" advice ahead in {found.ahead[way]:.0%}\n"
            )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 500)
