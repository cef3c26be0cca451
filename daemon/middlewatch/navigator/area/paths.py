"""Paths: where each sample would go over the coming hour, all that is open of it drawn."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from middlewatch.navigator.area.ahead import Onward
from middlewatch.navigator.area.cloud import Cloud
from middlewatch.navigator.area.seen import Places
from middlewatch.navigator.area.unknowns import COUNT
from middlewatch.navigator.chance import Chance, Floats

STEP_S = 300
STEPS = 12
FEWER = 10
"""Of so many samples one is taken: of 20,000 are left 2,000; ten in a hundred are told to 0.7 (one standard
deviation)."""

_NOTHING = np.zeros((COUNT, COUNT))


def thinned(cloud: Cloud) -> Cloud:
    """Return the cloud with every tenth of its samples; they lie in the order they came of each other."""
    weights = cloud.weights[::FEWER]
    return Cloud(cloud.second, cloud.means[:, ::FEWER], cloud.spread, weights / weights.sum())


def paths(cloud: Cloud, onward: Onward, off_m: complex, chance: Chance) -> Iterator[Places]:
    """Yield the place of each sample now and at each five minutes of the hour: metres from the EP of now.

    `off_m` leads from the EP to the path the cloud goes by.
    """
    pinned = pinned_down(cloud, chance)
    yield off_m + _places(pinned)
    for step, motion in enumerate(onward.motions(STEP_S, STEPS), start=1):
        pinned = pinned_down(pinned.carried(motion, cloud.second + step * STEP_S), chance)
        yield off_m + onward.run_m(step * STEP_S) + _places(pinned)


def _places(cloud: Cloud) -> Places:
    places: Places = cloud.means[0] + 1j * cloud.means[1]
    return places


def pinned_down(cloud: Cloud, chance: Chance) -> Cloud:
    """Draw what a cloud leaves open of each sample, so that each is one passage with nothing left open."""
    open_ = np.flatnonzero(cloud.spread.diagonal() > 0.0)
    root = _root(cloud.spread[np.ix_(open_, open_)])
    normal = chance.normal(open_.size, cloud.weights.size)
    means = cloud.means.copy()
    for row, unknown in enumerate(open_.tolist()):
        for column in np.flatnonzero(root[row]).tolist():
            means[unknown] += root[row, column] * normal[column]
    return replace(cloud, means=means, spread=_NOTHING)


def _root(covariance: Floats) -> Floats:
    """Return the lower triangle whose product with itself, turned over, is a covariance (Cholesky).

    What follows wholly from the unknowns before it gets no chance of its own.
    """
    root = np.zeros_like(covariance)
    for place in range(len(covariance)):
        pivot = covariance[place, place] - float(np.square(root[place, :place]).sum())
        if pivot <= 1e-12 * covariance[place, place]:
            continue
        root[place, place] = pivot**0.5
        shared = (root[place + 1 :, :place] * root[place, :place]).sum(axis=1)
        root[place + 1 :, place] = (covariance[place + 1 :, place] - shared) / root[place, place]
    return root
