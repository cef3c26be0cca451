"""How an observer scatters, from what was left of his sights: against the chi-square distribution itself."""

from math import exp, factorial, hypot, sqrt
from statistics import NormalDist

import pytest
from hypothesis import given
from hypothesis import strategies as st

from middlewatch.navigator.position.observer import scatter
from middlewatch.reports.answer import ResidualReport

OWN_DEG = 2.5


def left(*residuals_deg: float, area_deg: float = 0.0) -> list[ResidualReport]:
    """Return what was left of bearings of 2.5 degrees, where the area's own part was so wide."""
    return [ResidualReport(each, hypot(OWN_DEG, area_deg), OWN_DEG) for each in residuals_deg]


def beyond(square: float, freedom: int) -> float:
    """Return the part of a chi-square distribution of even freedom that lies beyond, as a Poisson sum."""
    half = square / 2.0
    return exp(-half) * sum(half**term / factorial(term) for term in range(freedom // 2))


def test_eleven_are_too_few() -> None:
    """From twelve sights on."""
    assert scatter(left(*[9.0] * 11)) is None
    assert scatter(left(*[9.0] * 12)) is not None


@pytest.mark.parametrize(("part", "count"), [(1.4, 12), (1.3, 30), (0.6, 20), (1.0, 40)])
def test_with_a_place_well_known_the_squares_are_chi_square(part: float, count: int) -> None:
    """Root mean square by hand; how far out that is by the distribution itself, to 0.03 of a sigma."""
    found = scatter(left(*[part * OWN_DEG] * count))

    assert found is not None
    assert found.of == count
    assert found.part == pytest.approx(part)
    exact = -NormalDist().inv_cdf(beyond(count * part**2, count))
    assert found.sigma == pytest.approx(exact, abs=0.03)


@given(st.lists(st.floats(-7, 7), min_size=12, max_size=40), st.floats(0, 4))
def test_turned_round_an_observer_is_the_same(residuals_deg: list[float], area_deg: float) -> None:
    """To the left or to the right of the mark, first or last: he scatters alike."""
    found = scatter(left(*residuals_deg, area_deg=area_deg))
    again = scatter(left(*(-each for each in reversed(residuals_deg)), area_deg=area_deg))

    assert (found is None) == (again is None)
    if found is not None and again is not None:
        assert again.part == pytest.approx(found.part)
        assert again.sigma == pytest.approx(found.sigma)


def test_a_sight_in_a_wide_area_cannot_tell() -> None:
    """Where the area makes more than three quarters of the variance, it tells of the area."""
    assert scatter(left(*[20.0] * 30, area_deg=4.4)) is None
    assert scatter(left(*[20.0] * 30, area_deg=4.3)) is not None


def test_the_newest_forty_count() -> None:
    """A hand that has learnt is judged by what it does now."""
    found = scatter(left(*[9.0] * 30, *[OWN_DEG] * 40))

    assert found is not None
    assert found.of == 40
    assert found.part == pytest.approx(1.0)


def test_the_area_has_its_part_in_what_is_left() -> None:
    """Bearings of 5 degrees where the area makes 2.5: squares of 31.25 on the mean leave 25."""
    found = scatter(left(*[sqrt(5.0**2 + 2.5**2)] * 20, area_deg=2.5))

    assert found is not None
    assert OWN_DEG * found.part == pytest.approx(5.0)


@given(st.floats(0.0, 1.0), st.floats(0.0, 4.3))
def test_less_is_never_told_than_it_is(part: float, area_deg: float) -> None:
    """The area is wider than it would be by a better hand, by up to its own part: the wide side is told."""
    widest, least = hypot(part * OWN_DEG, area_deg), hypot(part * OWN_DEG, part * area_deg)
    for rms_deg in (widest, (widest + least) / 2.0, least):
        found = scatter(left(*[rms_deg] * 20, area_deg=area_deg))
        assert found is not None
        assert found.part >= part - 1e-6


def test_all_on_the_mark_is_told_as_such() -> None:
    """Without any scatter at all, a fifth of what is set: nobody reads finer."""
    found = scatter(left(*[0.0] * 12))

    assert found is not None
    assert found.part == pytest.approx(0.2)
    assert found.differs
