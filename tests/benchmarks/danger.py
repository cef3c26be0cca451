"""Whether a told chance of coming too close to a danger is what it is said to be; seeded.

    PYTHONPATH=daemon:tests python -m benchmarks.danger [passages]

Passages of families on one steady leg are sailed by `area.passages`, with every error of the model. At some
moments of each the cloud is asked about rocks, lines and shoals laid at random round where the EP is or will
be, without a look at the truth; then the truth is sailed on for an hour. Printed by what was told: how often
she really was within the clearance, just then and at some time until then.
"""

import sys
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field, replace
from functools import lru_cache, partial
from itertools import pairwise
from math import sqrt
from multiprocessing import get_context

import numpy as np

from area.model import Chance, Places, chance
from area.passages import FAMILIES, Passage, Passages, sail
from area.sailing import SEED, Plotted, grouped
from middlewatch.navigator.area import paths as ahead
from middlewatch.navigator.area.ahead import Onward, Pace
from middlewatch.navigator.area.cloud import Cloud, begun
from middlewatch.navigator.area.dangers import Laid, Risk, risk
from middlewatch.navigator.area.passage import between, motion
from middlewatch.navigator.area.unknowns import Priors
from middlewatch.navigator.chance import Chance as Drawn
from middlewatch.navigator.chance import Purpose
from middlewatch.readings.dangers import Danger

SAILED = ("one_light_two_bearings", "three_bearings", "range_only", "bursts")
HOUR_S = 3600
ASKED_S = (1800, 4500)
"""Moments at which the cloud is asked; the legs go on for an hour after each."""
DANGERS = 25
EDGES = (0.0, 0.02, 0.05, 0.08, 0.12, 0.2, 0.35, 0.5, 0.75, 1.01)
TELLINGS = ("now", "within 30 min", "within the hour", "in an hour")


@dataclass(slots=True)
class Tally:
    """By telling and bin: how many were told, the sum of the chances told, how many were so."""

    told: Counter[tuple[str, int]] = field(default_factory=Counter)
    were: Counter[tuple[str, int]] = field(default_factory=Counter)
    chances: dict[tuple[str, int], float] = field(default_factory=dict)

    def take(self, telling: str, chance_told: float, *, was: bool) -> None:
        """Count one."""
        key = telling, int(np.searchsorted(EDGES, chance_told, side="right")) - 1
        self.told[key] += 1
        self.chances[key] = self.chances.get(key, 0.0) + chance_told
        self.were[key] += was

    def add(self, other: "Tally") -> None:
        """Count another tally in."""
        self.told += other.told
        self.were += other.were
        for key, chances in other.chances.items():
            self.chances[key] = self.chances.get(key, 0.0) + chances

    def of(self, low: float, high: float, *tellings: str) -> tuple[int, float, float]:
        """Return, of the chances told between two edges: how many, their mean, and the part that was so."""
        bins = range(EDGES.index(low), EDGES.index(high))
        keys = [(telling, place) for telling in tellings or TELLINGS for place in bins]
        told = sum(self.told[key] for key in keys)
        if not told:
            return 0, 0.0, 0.0
        mean = sum(self.chances.get(key, 0.0) for key in keys) / told
        return told, mean, sum(self.were[key] for key in keys) / told


def measured(passages: int, seed: int = 1) -> Tally:
    """Return what comes of so many passages of each family."""
    whole = Tally()
    with ProcessPoolExecutor(mp_context=get_context("spawn")) as workers:
        for name in SAILED:
            for tally in workers.map(partial(asked, name, passages, seed), range(passages), chunksize=8):
                whole.add(tally)
    return whole


def asked(name: str, passages: int, seed: int, number: int) -> Tally:
    """Return what comes of one passage."""
    passage = _sailed(name, passages, seed).passage(number)
    drawn = chance(seed, 1000 + len(SAILED) * number + SAILED.index(name))
    tally = Tally()
    course = Plotted(passage)
    for second in ASKED_S:
        _ask(passage, course, second, drawn, tally)
    return tally


@lru_cache(maxsize=1)
def _sailed(name: str, passages: int, seed: int) -> Passages:
    every = tuple(range(ahead.STEP_S, round(60 * FAMILIES[name].legs[0].minutes), ahead.STEP_S))
    return sail(replace(FAMILIES[name], asked_s=every), passages, seed)


def _ask(passage: Passage, course: Plotted, second: int, drawn: Chance, tally: Tally) -> None:
    cloud = _cloud(passage, course, second)
    cloud = ahead.thinned(cloud)
    onward = _onward(passage, course, second)
    lies = list(ahead.paths(cloud, onward, 0j, Drawn(SEED, second, Purpose.AHEAD)))
    truth = _truth(passage, second)
    one = np.ones(1)
    for danger in _dangers(lies, onward, drawn):
        told = risk([danger], cloud.weights, iter(lies))
        was = risk([danger], one, iter(truth))
        for telling, chance_told, came in zip(TELLINGS, _tellings(told), _tellings(was), strict=True):
            if 0.0 < chance_told < 1.0:
                tally.take(telling, chance_told, was=came > 0.5)


def _tellings(seen: Risk) -> tuple[float, float, float, float]:
    return seen.then[0], seen.by_then[ahead.STEPS // 2], seen.by_then[-1], seen.then[-1]


def _cloud(passage: Passage, course: Plotted, second: int) -> Cloud:
    model = passage.family.model
    priors = Priors(log_calibrated=model.log < 0.1, card=model.swing_deg < 2.0)
    cloud = begun(0, priors.mean(), priors.covariance(model.departure_nm), 20_000)
    for station in grouped(passage.up_to(second)):
        cloud = course.after(cloud, station)
    return cloud.carried(motion(course.stretches(cloud.second, second)), second)


def _onward(passage: Passage, course: Plotted, second: int) -> Onward:
    run = (passage.track.ep_at(second + 10) - passage.track.ep_at(second)) / 10.0
    ten = between(course.at(second), course.at(second + 10), 10.0)
    pace = Pace(run, ten.times(0.1))
    return Onward(passage.track.legs[0].heading_deg, 0, pace, pace)


def _truth(passage: Passage, second: int) -> list[Places]:
    """Return where she really was, from the EP of the moment asked, at each five minutes of the hour."""
    begin = passage.track.ep_at(second)
    return [
        np.array([passage.track.ep_at(at) + passage.deviation[passage.asked_s.index(at)] - begin])
        for at in range(second, second + HOUR_S + 1, ahead.STEP_S)
    ]


def _dangers(lies: list[Places], onward: Onward, drawn: Chance) -> Iterator[Laid]:
    """Yield rocks, lines and shoals round where the EP will be at some time of the hour."""
    for number in range(DANGERS):
        step = int(drawn.integers(0, ahead.STEPS + 1))
        spread = float(np.std(lies[step]))
        off = 1.5 * spread * complex(*drawn.standard_normal(2))
        at = onward.run_m(step * ahead.STEP_S) + off
        clearance_m = spread * float(drawn.uniform(0.05, 1.0))
        corners = [at + spread * complex(*drawn.standard_normal(2)) / 3.0 for _ in range(2)]
        form = ("point", "line", "area")[number % 3]
        places = {"point": [at], "line": [at, *corners], "area": [at, *corners, at]}[form]
        yield _laid(form, np.array(places, dtype=np.complex128), clearance_m)


def _laid(form: str, places: Places, clearance_m: float) -> Laid:
    rings = (np.stack((places.real, places.imag), axis=1),) if form == "area" else ()
    begins, ends = (places, places) if places.size == 1 else (places[:-1], places[1:])
    danger = Danger(form, "area" if form == "area" else "line", (), clearance_m)
    return Laid(danger, begins, ends, rings, 0.0)


def _print(tally: Tally) -> None:
    write = sys.stdout.write
    for telling in (*TELLINGS, "all"):
        write(f"{telling}\n    told          times   mean told   were so   95 % of chance alone\n")
        for low, high in pairwise(EDGES):
            times, mean, were = tally.of(low, high, *(TELLINGS if telling == "all" else (telling,)))
            if times:
                half = 1.96 * sqrt(mean * (1.0 - mean) / times)
                write(
                    f"    {low:4.0%}-{min(high, 1.0):4.0%}  {times:8}   {mean:9.1%}   {were:7.1%}"
                    f"   {max(mean - half, 0):.1%}-{mean + half:.1%}\n"
                )


if __name__ == "__main__":
    _print(measured(int(sys.argv[1]) if len(sys.argv) > 1 else 500))
