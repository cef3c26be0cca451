"""Passing a mark: how far off, and when it comes abeam, with the doubt of both."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from middlewatch.navigator.advice.prospect import Prospect
from middlewatch.navigator.area.seen import Places
from middlewatch.navigator.chance import Floats
from middlewatch.quantities.lengths import METRES_PER_NM


@dataclass(frozen=True, slots=True)
class Passing:
    """How far off a mark is passed, the middle and what holds it 95 times in 100, and when it is abeam."""

    off_nm: float
    least_nm: float
    most_nm: float
    abeam_second: int


def passing(prospect: Prospect, mark_at: Sequence[complex]) -> Passing | None:
    """Return how a mark is passed; `mark_at`: its place at each moment. None: it comes not abeam by then.

    As every place here, the mark's is in metres from the path the area goes by, which runs on.
    """
    moments = prospect.moments
    weights = moments[0].passages.weights
    off = [at - moment.places for at, moment in zip(mark_at, moments, strict=True)]
    middle = [complex((weights * each).sum()) for each in off]
    abeam_second = _abeam([moment.second for moment in moments], middle)
    if abeam_second is None:
        return None
    nearest = np.abs(off[0])
    for before, after in pairwise(off):
        nearest = np.minimum(nearest, _nearest(before, after))
    least, half, most = _quantiles(nearest / METRES_PER_NM, weights, (0.025, 0.5, 0.975))
    return Passing(half, least, most, abeam_second)


def _abeam(seconds: Sequence[int], middle: Sequence[complex]) -> int | None:
    """Return the second at which a mark goes from before the beam to abaft it."""
    for place, (before, after) in enumerate(pairwise(middle)):
        way = before - after
        ahead, left = (before * way.conjugate()).real, (after * way.conjugate()).real
        if ahead > 0.0 >= left:
            begin, end = seconds[place], seconds[place + 1]
            return begin + round(ahead / (ahead - left) * (end - begin))
    return None


def _nearest(before: Places, after: Places) -> Floats:
    """Return how near the mark comes while it goes by from here to there, as seen from the boat."""
    way = after - before
    length = np.maximum(np.square(way.real) + np.square(way.imag), 1e-12)
    part = (-(before.real * way.real + before.imag * way.imag) / length).clip(0.0, 1.0)
    nearest: Floats = np.abs(before + part * way)
    return nearest


def _quantiles(values: Floats, weights: Floats, parts: Sequence[float]) -> list[float]:
    order = np.argsort(values, kind="stable")
    summed = np.cumsum(weights[order])
    places = np.minimum(np.searchsorted(summed / summed[-1], parts), values.size - 1)
    return [float(each) for each in values[order][places]]
