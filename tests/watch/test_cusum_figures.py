"""Page's test has the run lengths that its integral equation gives: the figures the watch is checked by.

The equation: E. S. Page, "Continuous inspection schemes", Biometrika 41 (1954), from memory. The figures are
the project's own; textbooks print 168 and 465 for the two-sided test (from memory).
"""

from math import erf, exp, pi, sqrt

import numpy as np
import pytest
from numpy.polynomial.legendre import leggauss

from area.model import chance
from watch.rivals import page_test

K = 0.5
NODES = 60


def _density(z: float) -> float:
    return exp(-z * z / 2) / sqrt(2 * pi)


def _below(z: float) -> float:
    return (1 + erf(z / sqrt(2))) / 2


def run_length(height: float, shift: float) -> float:
    """Return how long the sum takes from nothing to pass a height, on average, by its integral equation.

    L(z) = 1 + L(0) P(x < k - z) + integral from 0 to h of L(y) p(y + k - z) dy, x normal about the shift.
    """
    nodes, weights = leggauss(NODES)
    at = np.concatenate(([0.0], height * (nodes + 1) / 2))
    weights = height * weights / 2
    system = np.eye(at.size)
    for row, z in enumerate(at.tolist()):
        system[row, 0] -= _below(K - z - shift)
        for column, (y, weight) in enumerate(zip(at[1:].tolist(), weights.tolist(), strict=True), start=1):
            system[row, column] -= weight * _density(y + K - z - shift)
    lengths = np.linalg.solve(system, np.ones(at.size))
    return float(lengths[0])


@pytest.mark.parametrize(
    ("height", "quiet", "two_sided", "delay"), [(4.0, 335.4, 167.7, 8.38), (5.0, 930.9, 465.4, 10.38)]
)
def test_the_integral_equation(height: float, quiet: float, two_sided: float, delay: float) -> None:
    """One-sided, two-sided (half of that, for each side is as likely), and with a shift of one sigma."""
    quiet_by_it, delay_by_it = run_length(height, 0.0), run_length(height, 1.0)

    assert (round(quiet_by_it, 1), round(quiet_by_it / 2, 1)) == (quiet, two_sided)
    assert round(delay_by_it, 2) == delay


@pytest.mark.parametrize(("height", "samples"), [(4.0, 1_000_000), (5.0, 2_000_000)])
def test_both_sides_at_once(height: float, samples: int) -> None:
    """The machinery of the rivals, run up and down: within four standard errors of the equation."""
    drawn = chance(12, round(height)).normal(0.0, 1.0, samples)
    alarms = len(page_test(drawn - K, height)) + len(page_test(-drawn - K, height))

    # Run lengths are spread about as much as they are long.
    assert samples / alarms == pytest.approx(run_length(height, 0.0) / 2, rel=4 / alarms**0.5)


def test_a_shift_is_found_as_soon_as_it_should_be() -> None:
    """From nothing each time: the delay at one standard deviation is that of the equation."""
    steps = chance(13, 0).normal(1.0 - K, 1.0, 300_000)
    alarms = len(page_test(steps, 4.0))

    # A delay of 8.38 is spread by less than its length.
    assert steps.size / alarms == pytest.approx(run_length(4.0, 1.0), rel=4 / alarms**0.5)
