"""The machinery the watch is measured against: Page's test has the run lengths that are published."""

import numpy as np
import pytest

from area.model import chance
from watch.rivals import known_pull, known_size, page_test
from watch.sailed import KN

K = 0.5


@pytest.mark.parametrize(
    ("height", "shift", "run_length", "samples"),
    [
        # The integral equation, as computed for the project; the two-sided 168 and 465 of textbooks are half.
        (4.0, 0.0, 335.4, 3_000_000),
        (5.0, 0.0, 930.9, 6_000_000),
        (4.0, 1.0, 8.38, 300_000),
        (5.0, 1.0, 10.38, 300_000),
    ],
)
def test_run_lengths(height: float, shift: float, run_length: float, samples: int) -> None:
    """Of normal samples, and with a shift of one standard deviation: within four standard errors."""
    steps = chance(11, round(height)).normal(shift - K, 1.0, samples)
    alarms = len(page_test(steps, height))

    # Run lengths are spread about as much as they are long, or less.
    assert samples / alarms == pytest.approx(run_length, rel=4 / alarms**0.5)


@pytest.mark.parametrize("towards_deg", range(5, 360, 25))
def test_one_who_knows_the_size_only_tells_of_a_change_whithersoever(towards_deg: int) -> None:
    """A change of half a knot that sets in at the 600th second; who thinks it goes north tells few."""
    way = 0.5 * complex(np.exp(1j * np.radians(towards_deg)))
    apparent = np.clip(np.arange(1200) - 600.0, 0.0, None) * way * KN
    slow = np.zeros(1200, np.complex128)

    assert 600 < known_size(apparent, slow, 0.5 + 0j, 8.0)[0] < 720
    assert bool(known_pull(apparent, slow, 0.5 + 0j, 8.0)) == (way.real > 0.25)
