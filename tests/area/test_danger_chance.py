"""The chance told of coming too close to a danger is what it is said to be: a small run of the benchmark."""

import pytest

from benchmarks.danger import SAILED, Tally, asked

PASSAGES = 8


@pytest.fixture(scope="module")
def tally() -> Tally:
    """Return what comes of a few passages of each family."""
    whole = Tally()
    for name in SAILED:
        for number in range(PASSAGES):
            whole.add(asked(name, PASSAGES, 20260503, number))
    return whole


@pytest.mark.parametrize(("low", "high"), [(0.0, 0.05), (0.05, 0.2), (0.2, 0.5), (0.5, 1.01)])
def test_so_often_as_told_it_was_so(tally: Tally, low: float, high: float) -> None:
    """Within what 64 independent tellings may be out once in a hundred.

    There are thousands, but those of one moment share one truth, and are worth little more than one. The
    whole run is made by hand.
    """
    times, mean, were = tally.of(low, high)
    moments = 2 * len(SAILED) * PASSAGES

    assert times > 200
    assert abs(were - mean) < 2.58 * (mean * (1.0 - mean) / moments) ** 0.5
