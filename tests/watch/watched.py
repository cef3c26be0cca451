"""A simulated passage as the watch sees it: the pull test and the gap, and what is raised by them."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from math import hypot
from typing import Literal

import numpy as np

from area.model import chance
from middlewatch.navigator.area.passage import Stretch, motion
from middlewatch.navigator.area.unknowns import Priors
from middlewatch.navigator.reckoning.integrals import Integrals
from middlewatch.navigator.watch.gap import Bounds, Expected, Gap
from middlewatch.navigator.watch.pull import Moved, Odds, Pull
from watch.sailed import KN, Complex, Floats, Sailed

NM = 1852.0
LIMIT_NM = 0.5
DEPARTS_EVERY_S = 2 * 3600
DEPARTURE_NM = 0.15
"""Every two hours a fix good to so much is made the new departure."""
DRAWN_EVERY_S = 600

Grade = Literal["warning", "caution"]
Word = Literal["parting", "stream", "unusual", "parted", "limit alone"]
GRADES: dict[Word, Grade] = {
    "parting": "caution",
    "stream": "warning",
    "unusual": "caution",
    "parted": "warning",
    "limit alone": "caution",
}


@dataclass(frozen=True, slots=True)
class Raised:
    """Something raised: at which second, and what."""

    second: int
    word: Word


@dataclass(frozen=True, slots=True)
class Seen:
    """A stretch of a passage as the watch takes it: plain lists, a value a second.

    `north`, `east`: what the receiver moved beyond the run, metres; `gap`, `ordinary`: nautical miles.
    """

    north: list[float]
    east: list[float]
    heading: list[float]
    log: list[float]
    strongest: list[float]
    rough: list[bool]
    gap: list[float]
    ordinary: list[float]


def seen(sailed: Sailed, apparent: Complex, first: int = 0, last: int | None = None) -> Seen:
    """Return a passage, with the receiver as it is told, from one second to another."""
    moves = np.diff(apparent, prepend=apparent[:1])[first:last]
    gap = _gap_nm(sailed, apparent)[first:last]
    strongest = sailed.strongest_kn[first:last]
    return Seen(
        moves.real.tolist(),
        moves.imag.tolist(),
        sailed.heading_deg[first:last].tolist(),
        sailed.log_kn[first:last].tolist(),
        strongest.tolist(),
        (strongest > sailed.family.strongest_kn).tolist(),
        np.abs(gap).tolist(),
        _ordinary_nm(sailed)[first:last].tolist(),
    )


def watch(passage: Seen, odds: Odds) -> Iterator[Raised]:
    """Keep the watch over a passage, and give all that is raised."""
    pull, gap = Pull(odds), Gap()
    standing: set[Word] = set()
    parting = None
    seconds = zip(
        passage.north, passage.east, passage.heading, passage.log, passage.strongest, passage.rough,
        passage.gap, passage.ordinary, strict=True,
    )  # fmt: skip
    for second, (north, east, heading, log, strongest, rough, gap_nm, ordinary) in enumerate(seconds):
        pull.tick(Moved(north, east, heading, log, strongest, rough))
        gap.tick(
            second * 1000, gap_nm, Bounds(LIMIT_NM, ordinary, odds.gap_factor), outside=gap_nm > ordinary
        )
        parted = gap.parted.on or gap.growing
        unusual = gap.unusual.on and not parted
        # What was found anew is raised anew.
        if pull.parting is not parting:
            parting = pull.parting
            if parting is not None:
                yield Raised(second, "parting")
        now: dict[Word, bool] = {
            "stream": pull.beyond_the_sea,
            "parted": parted,
            "unusual": unusual,
            "limit alone": gap.wide.on and not parted and not unusual,
        }
        for word, holds in now.items():
            if holds and word not in standing:
                standing.add(word)
                yield Raised(second, word)
            elif not holds:
                standing.discard(word)


def _gap_nm(sailed: Sailed, apparent: Complex) -> Complex:
    """Return the gap (complex nm): since the newest departure, which was wrong by its own error."""
    draw = chance(int(abs(sailed.error_m[-1])), 1)
    gap = np.empty_like(apparent)
    for begins in range(0, apparent.size, DEPARTS_EVERY_S):
        part = slice(begins, begins + DEPARTS_EVERY_S)
        wrong = DEPARTURE_NM * complex(*draw.normal(size=2))
        # The EP is carried from where the boat really was; the receiver tells its own pull all the same.
        gap[part] = (apparent[part] - sailed.error_m[begins]) / NM + wrong
    return gap


def _ordinary_nm(sailed: Sailed) -> Floats:
    """Return the ordinary gap each second, from the area's own model without a sighting since departure."""
    water = sailed.water_kn * KN
    ahead = np.exp(1j * np.radians(sailed.heading_deg))
    stream = 0.45 * sailed.strongest_kn * KN
    each = [np.concatenate(([0], np.cumsum(part))) for part in (
        water, water * ahead.imag, water * ahead.real, stream,
    )]  # fmt: skip
    prior = Priors().covariance(DEPARTURE_NM)
    seconds = sailed.log_kn.size
    ordinary = np.empty(seconds)
    for begins in range(0, seconds, DEPARTS_EVERY_S):
        ends = min(begins + DEPARTS_EVERY_S, seconds)
        cuts = [*range(begins, ends, DRAWN_EVERY_S), ends]
        stretches, told = [], [_expected(prior).ordinary_nm]
        for one, other in pairwise(cuts):
            run, sine, cosine, drift = (complex(part[other] - part[one]) for part in each)
            sums = Integrals(
                run=run, sine=sine, cosine=cosine, side_sine=sine, side_cosine=cosine, stream_m=drift.real
            )
            stretches.append(Stretch(other - one, sums))
            whole = motion(stretches)
            told.append(_expected(whole.carry @ prior @ whole.carry.T + whole.noise).ordinary_nm)
        ordinary[begins:ends] = np.interp(np.arange(begins, ends), cuts, told)
    return ordinary


def _expected(covariance: Floats) -> Expected:
    """Return what the area says with this covariance (square metres), about the EP."""
    north, shared, east = covariance[0, 0], covariance[0, 1], covariance[1, 1]
    half, lean = (north + east) / 2, (north - east) / 2
    reach = hypot(lean, shared)
    along = float(np.degrees(np.arctan2(shared, lean)) / 2)
    return Expected(0.0, 0.0, (half + reach) ** 0.5 / NM, max(0.0, half - reach) ** 0.5 / NM, along)
