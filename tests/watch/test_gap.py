"""The gap: what is ordinary by the area, and for how long it must be more."""

from itertools import pairwise

import numpy as np
import pytest

from area.model import chance
from middlewatch.navigator.watch.gap import GROWS_MS, Bounds, Expected, Gap
from middlewatch.quantities.spreads import RADIUS_99


@pytest.mark.parametrize(
    "expected",
    [
        Expected(0.0, 0.0, 1.0, 1.0, 0.0),
        Expected(0.0, 0.0, 1.0, 0.1, 30.0),
        Expected(1.0, 0.0, 1.0, 1.0, 0.0),
        Expected(2.0, 1.0, 0.5, 0.1, 0.0),
        Expected(0.0, 1.0, 0.5, 0.1, 0.0),
        Expected(0.3, 0.2, 1.0, 0.3, 120.0),
    ],
)
def test_the_ordinary_gap_is_exceeded_once_in_a_hundred(expected: Expected) -> None:
    """Boats drawn as the area has them: between 0.93 and 1.07 in a hundred lie farther from the EP."""
    draw = chance(1, 1)
    along, across = draw.normal(size=(2, 1_000_000))
    lean = np.exp(1j * np.radians(expected.along_deg))
    boats = complex(expected.north_nm, expected.east_nm) + lean * (
        expected.along_nm * along + 1j * expected.across_nm * across
    )

    assert (np.abs(boats) > expected.ordinary_nm).mean() == pytest.approx(0.01, abs=0.0007)


def test_a_round_area_is_rayleighs() -> None:
    """About the EP itself: 3.03 standard deviations, as the design has it."""
    assert Expected(0.0, 0.0, 0.2, 0.2, 0.0).ordinary_nm == pytest.approx(0.2 * RADIUS_99, rel=3e-3)


def test_nothing_known_wrong_is_no_doubt_at_all() -> None:
    """A place without a spread: the gap to it is all that is ordinary."""
    assert Expected(3.0, 4.0, 0.0, 0.0, 0.0).ordinary_nm == pytest.approx(5.0)


@pytest.mark.parametrize(("shifted", "over_s"), [(False, 61), (True, 1)])
def test_a_gap_that_an_entry_closes_is_closed_at_once(shifted: bool, over_s: int) -> None:
    """By itself it must stay below its bounds for a minute; closed by an entry it has nothing to wait for."""
    gap, bounds = Gap(), Bounds(0.5, 0.6, 1.0)
    for second in range(120):
        gap.tick(1000 * second, 1.0, bounds, outside=True)
    standing = (gap.wide, gap.apart, gap.unusual, gap.parted)
    assert all(each.on for each in standing)

    lasted_s = 0
    while any(each.on for each in standing):
        gap.tick(1000 * (120 + lasted_s), 0.1, bounds, outside=False, shifted=shifted and lasted_s == 0)
        lasted_s += 1
    assert lasted_s == over_s


def test_an_entry_that_leaves_the_gap_open_ends_nothing() -> None:
    """Moved nearer, and past its bounds still."""
    gap, bounds = Gap(), Bounds(0.5, 0.6, 1.0)
    for second in range(120):
        gap.tick(1000 * second, 1.0, bounds, outside=True)
    gap.tick(120_000, 0.7, bounds, outside=True, shifted=True)
    assert all(each.on for each in (gap.wide, gap.apart, gap.unusual, gap.parted))


def test_a_gap_that_goes_on_growing() -> None:
    """Past limit and ordinary and wider after a quarter of an hour: growing; one that stays is not."""
    for growth_nm, growing in ((0.1, True), (0.0, False)):
        gap = Gap()
        for now_ms in range(0, GROWS_MS + 2000, 1000):
            gap.tick(now_ms, 0.7 + growth_nm * now_ms / GROWS_MS, Bounds(0.5, 0.6, 2.0), outside=True)
        assert (gap.growing, gap.parted.on) == (growing, False)


def test_a_gap_that_grows_slowly_is_told_as_growing_once() -> None:
    """A fifth of a knot, with the receiver's two metres of noise: it does not come and go with the noise."""
    gap, draw, told = Gap(), chance(2, 1), [False]
    for now_ms in range(0, 3 * GROWS_MS, 1000):
        gap_nm = 0.7 + 0.2 * now_ms / 3_600_000 + float(draw.normal()) * 2.0 / 1852.0
        gap.tick(now_ms, gap_nm, Bounds(0.5, 0.6, 0.8), outside=True)
        told.append(gap.growing)

    assert [one for one, other in pairwise(told) if one != other] == [False]
    gap.tick(3 * GROWS_MS, 0.69, Bounds(0.5, 0.6, 0.8), outside=True)
    assert not gap.growing


def test_the_budget_moves_the_warning_alone() -> None:
    """At twice the ordinary gap a warning waits; the caution does not."""
    gap = Gap()
    for now_ms in range(0, 100_000, 1000):
        gap.tick(now_ms, 0.7, Bounds(0.5, 0.6, 1.5), outside=False)

    assert (gap.unusual.on, gap.parted.on, gap.wide.on) == (True, False, True)
