"""Explaining: the odds against a covariance worked by hand, and which cause explains what best."""

from cmath import exp
from math import log, pi

import numpy as np
import numpy.typing as npt
import pytest

from area.model import chance
from middlewatch.navigator.watch.causes import PRIOR
from middlewatch.navigator.watch.explaining import NOTHING, Explaining, Products, Told
from middlewatch.navigator.watch.pull import Odds
from watch.spelled import Fault, Heading, altering, spells, straight

ONSET = 70
STRONGEST_KN = 2.6


def nothing(_spell: int, water: complex, apart: complex) -> tuple[complex, complex]:
    """Leave it as it is."""
    return water, apart


def pulled(spell: int, water: complex, apart: complex) -> tuple[complex, complex]:
    """Draw the receiver away by 2 kn towards 150."""
    return water, apart + (2.0 * exp(1j * pi * 150.0 / 180.0) if spell >= ONSET else 0.0)


def fouled(spell: int, water: complex, apart: complex) -> tuple[complex, complex]:
    """Let the log show half."""
    return (0.5 * water, apart + 0.5 * water) if spell >= ONSET else (water, apart)


def stopped(spell: int, water: complex, apart: complex) -> tuple[complex, complex]:
    """Let the log's wheel stand."""
    return (0j, apart + water) if spell >= ONSET else (water, apart)


def stepped(spell: int, water: complex, apart: complex) -> tuple[complex, complex]:
    """Let the boat go 18 degrees to starboard of what the compass shows."""
    return water, apart + (water * exp(1j * pi / 10.0) - water if spell >= ONSET else 0.0)


def tide(spell: int, water: complex, apart: complex) -> tuple[complex, complex]:
    """Let the stream change by 2 kn within ten minutes."""
    return water, apart + complex(0.0, 2.0 * min(1.0, max(0, spell - ONSET) / 20.0))


def line(spell: int, water: complex, apart: complex) -> tuple[complex, complex]:
    """Cross a line of tide of 0.8 kn within three minutes."""
    return water, apart + complex(0.0, 0.8 * min(1.0, max(0, spell - ONSET) / 6.0))


def first(explaining: Explaining) -> str:
    """Return the cause that stands first by the way of the receiver and the priors alone."""
    odds = {
        "satellite": explaining.satellite().odds,
        "log": explaining.log().odds,
        "compass": explaining.compass().odds,
        "stream": explaining.stream().odds,
    }
    return max(odds, key=lambda cause: odds[cause] + log(PRIOR[cause]))  # type: ignore[index]  # four of the five


@pytest.mark.parametrize("seed", range(5))
@pytest.mark.parametrize(
    ("fault", "heading", "stands_first"),
    [
        (nothing, straight, "stream"),
        (nothing, altering, "stream"),
        (pulled, altering, "satellite"),
        (fouled, straight, "log"),
        (fouled, altering, "log"),
        (stopped, altering, "log"),
        (stepped, straight, "compass"),
        (stepped, altering, "compass"),
        (tide, straight, "stream"),
        (tide, altering, "stream"),
        (line, altering, "stream"),
    ],
)
def test_each_fault_is_explained_best_by_its_own_cause(
    fault: Fault, heading: Heading, stands_first: str, seed: int
) -> None:
    """Fixed to the earth, along the heading, across it, or slow: four causes are told apart.

    Where log and compass step at the fault, that is known, as it would be on board.
    """
    steps = ONSET if fault in (fouled, stopped, stepped) else None
    made = spells(fault, heading, seed=seed, stepped=steps)

    assert first(Explaining(made, STRONGEST_KN, Odds(), 1.0, rough=False)) == stands_first


def test_size_and_onset_are_found() -> None:
    """A log that shows half is out by all it shows, from the spell on at which it was fouled."""
    made = spells(fouled, altering, seed=3, stepped=ONSET)
    found = Explaining(made, STRONGEST_KN, Odds(), 1.0, rough=False).log()

    assert found.size == pytest.approx((1.0,), abs=0.05)
    assert found.onset == made[ONSET].second - 30


def test_odds_are_those_of_two_normal_densities() -> None:
    """A pull at a known onset: the density with its variance added, over the one without (numpy's slogdet).

    Any textbook: the marginal likelihood of a linear Gaussian model is a normal density.
    """
    made = spells(pulled, altering, seed=1, count=12)
    explaining = Explaining(made, STRONGEST_KN, Odds(), 1.0, rough=False)
    n, sd = len(made), 2.5
    covariance = np.linalg.inv(explaining._precision.reshape(2 * n, 2 * n))
    seen = np.array([each.apart for each in made]).T.ravel()
    onset = 7
    ways = np.zeros((2, 2 * n))
    ways[0, onset:n], ways[1, n + onset :] = 1.0, 1.0
    with_pull = covariance + sd * sd * (ways.T @ ways)

    def density(spread: npt.NDArray[np.floating]) -> float:
        return float(-0.5 * np.linalg.slogdet(spread)[1] - 0.5 * seen @ np.linalg.solve(spread, seen))

    at = np.full(n, -np.inf)
    at[onset] = 0.0
    found = explaining._change((sd, sd), explaining._earth, at)

    assert found.odds == pytest.approx(density(with_pull) - density(covariance), abs=1e-6)


def test_nothing_is_no_news() -> None:
    """While nothing happens, that nothing did is the likeliest the water can do, and no fault gains by it."""
    explaining = Explaining(spells(nothing, altering, seed=2), STRONGEST_KN, Odds(), 1.0, rough=False)

    assert explaining.stream().odds == pytest.approx(log(NOTHING), abs=0.3)
    assert max(explaining.satellite().odds, explaining.log().odds, explaining.compass().odds) < 0.5


@pytest.mark.parametrize("over", [1, 2, 3, 8, 40])
def test_a_ramp_is_the_mean_of_its_steps(over: int) -> None:
    """A change over some spells is as many steps of a share each; one after the last spell is none."""
    draw = chance(5, over)
    n = 12
    since, told = draw.normal(size=(n, n)), draw.normal(size=n)
    padded, told_on = np.zeros((n + over, n + over)), np.zeros(n + over)
    padded[:n, :n], told_on[:n] = since, told
    products = Products(since, np.pad(since.cumsum(axis=0).cumsum(axis=1), ((1, 0), (1, 0))))
    said = Told(told, np.append(0.0, told.cumsum()))
    steps = [slice(onset, onset + over) for onset in range(n)]

    assert products.ramped(over) == pytest.approx([padded[each, each].mean() for each in steps])
    assert said.ramped(over) == pytest.approx([told_on[each].mean() for each in steps])
