"""The outline of a cloud: what it holds, what shape it says, and that it is never narrower than it says."""

from collections.abc import Callable
from math import pi

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from middlewatch.navigator.area.outline import Drawn, draw
from middlewatch.navigator.area.polygons import bridged, inside, simplified
from middlewatch.navigator.chance import Chance, Floats, Purpose

NM = 1852.0
N = 20_000
CHI_SQUARE_95 = 5.991
"""The 95 % point of chi-square for two degrees of freedom, -2 ln 0.05: a general fact."""

Places = tuple[Floats, Floats]


def even(count: int) -> Floats:
    """Return equal weights."""
    return np.full(count, 1.0 / count)


def normal(seed: int, long_m: float, short_m: float, count: int = N) -> Places:
    """Return a normal cloud that lies along 040."""
    along, across = Chance(seed, 0, Purpose.SHAPE).normal(2, count) * np.array([[long_m], [short_m]])
    cosine, sine = np.cos(np.radians(40.0)), np.sin(np.radians(40.0))
    return along * cosine - across * sine, along * sine + across * cosine


def polar(range_m: Floats, bearing_rad: Floats) -> Places:
    """Return places by range and bearing from a mark at nought."""
    return range_m * np.cos(bearing_rad), range_m * np.sin(bearing_rad)


def fan(seed: int, count: int = N) -> Places:
    """Return where one bearing of 030 leaves the boat: 1 to 5 miles off, the bearing good to 2.5 degrees."""
    chance = Chance(seed, 1, Purpose.SHAPE)
    bearing = np.radians(30.0 + 2.5 * chance.normal(count))
    return polar((1.0 + 4.0 * chance.uniform(count)) * NM, bearing)


def ring(seed: int, thick: float, count: int = N) -> Places:
    """Return where one range of 3 miles leaves the boat, good to `thick` of itself."""
    chance = Chance(seed, 2, Purpose.SHAPE)
    return polar(3.0 * NM * (1.0 + thick * chance.normal(count)), 2.0 * pi * chance.uniform(count))


def two_heaps(seed: int, count: int = N) -> Places:
    """Return seven tenths about nought and three tenths two miles east, each 0.2 mile."""
    chance = Chance(seed, 3, Purpose.SHAPE)
    north, east = 0.2 * NM * chance.normal(2, count)
    return north, east + np.where(chance.uniform(count) < 0.3, 2.0 * NM, 0.0)


def banana(seed: int, count: int = N) -> Places:
    """Return a bow of a circle of three miles, a hundred degrees long, 0.06 mile thick."""
    chance = Chance(seed, 4, Purpose.SHAPE)
    range_m = 3.0 * NM * (1.0 + 0.02 * chance.normal(count))
    return polar(range_m, np.radians(100.0 * chance.uniform(count) - 20.0))


def thin_wedge(seed: int, count: int = N) -> Places:
    """Return three miles by a tenth of a mile, bent by a third of a mile."""
    chance = Chance(seed, 5, Purpose.SHAPE)
    along = 3.0 * chance.uniform(count) - 1.5
    return along * NM, (0.15 * along * along + 0.025 * chance.normal(count)) * NM


def drawn(places: Places) -> Drawn:
    """Draw places of equal weight."""
    return draw(*places, even(places[0].size))


def size(polygons: tuple[Floats, ...]) -> float:
    """Return the area in polygons, by the sum of cross products."""
    ahead = [np.roll(polygon, -1, axis=0) for polygon in polygons]
    pairs = zip(polygons, ahead, strict=True)
    turns = [(p[:, 0] * q[:, 1] - p[:, 1] * q[:, 0]).sum() for p, q in pairs]
    return float(sum(abs(turn) for turn in turns)) / 2.0


def crosses_itself(polygon: Floats) -> bool:
    """Return whether two sides of a polygon without bridges cross, each pair looked at in turn."""
    ends = [complex(*corner) for corner in polygon]
    sides = list(zip(ends, ends[1:] + ends[:1], strict=True))

    def parts(a: complex, b: complex, c: complex, d: complex) -> bool:
        return ((b - a).conjugate() * (c - a)).imag * ((b - a).conjugate() * (d - a)).imag < 0.0

    return any(
        parts(*one, *other) and parts(*other, *one)
        for place, one in enumerate(sides)
        for other in sides[place + 2 : len(sides) - (place == 0)]
    )


def windings(polygon: Floats, north_m: float, east_m: float) -> int:
    """Return how many times a polygon goes round a place, by adding up the angles it is seen under."""
    seen = (polygon[:, 0] - north_m) + 1j * (polygon[:, 1] - east_m)
    return round(float(np.angle(np.roll(seen, -1) / seen).sum()) / (2.0 * pi))


def corners(found: Drawn) -> int:
    """Return the number of corners of all polygons."""
    return sum(len(polygon) for polygon in found.polygons)


@pytest.mark.parametrize("ratio", [1, 3, 10, 30])
def test_normal_cloud_has_the_area_of_its_ellipse(ratio: int) -> None:
    """A normal cloud's outline is as large as pi x 5.991 x both deviations, and its factor is 2.448."""
    found = drawn(normal(1, 200.0 * ratio, 200.0))

    assert size(found.polygons) == pytest.approx(pi * CHI_SQUARE_95 * 200.0 * 200.0 * ratio, rel=0.04)
    assert found.factor == pytest.approx(CHI_SQUARE_95**0.5, rel=0.02)
    assert np.hypot(*found.most_probable) < 0.5 * 200.0 * ratio


@pytest.mark.parametrize("ratio", [1, 5, 30])
def test_normal_cloud_says_ellipse(ratio: int) -> None:
    """Of 34 seeded normal clouds of each axis ratio none says anything but ellipse."""
    said = {drawn(normal(seed, 150.0 * ratio, 150.0)).shape for seed in range(34)}

    assert said == {"ellipse"}


def test_weighted_cloud_says_ellipse() -> None:
    """A wide normal cloud weighted by a normal line is the normal cloud that is their product."""
    north, east = Chance(7, 0, Purpose.SHAPE).normal(2, N) * 1500.0
    weights = np.exp(-0.5 * (north / 500.0) ** 2)
    found = draw(north, east, weights / weights.sum())
    both = (1.0 / 1500.0**2 + 1.0 / 500.0**2) ** -0.5

    assert found.shape == "ellipse"
    assert size(found.polygons) == pytest.approx(pi * CHI_SQUARE_95 * both * 1500.0, rel=0.06)


def test_one_bearing_says_wedge() -> None:
    """A fan from one bearing says wedge, each of ten times, in one polygon of some 64 corners."""
    for seed in range(10):
        found = drawn(fan(seed))

        assert (found.shape, len(found.polygons), found.heaps) == ("wedge", 1, ())
        assert corners(found) <= 64
        assert not crosses_itself(found.polygons[0])


@pytest.mark.parametrize("bent", [banana, thin_wedge])
def test_bent_and_thin_says_wedge(bent: Callable[[int], Places]) -> None:
    """A bow says wedge, and its outline does not fill the hollow of the bow."""
    found = drawn(bent(2))
    middle = np.array([float(bent(2)[0].mean())]), np.array([float(bent(2)[1].mean())])

    assert (found.shape, len(found.polygons)) == ("wedge", 1)
    assert not inside(found.polygons, *middle).any()
    assert corners(found) <= 64
    assert not crosses_itself(found.polygons[0])


@pytest.mark.parametrize("thick", [0.01, 0.05, 0.15])
def test_one_range_says_ring(thick: float) -> None:
    """A range says ring, in one polygon whose hole is left out by even-odd and by non-zero winding alike."""
    north, east = ring(3, thick)
    found = drawn((north, east))

    assert (found.shape, len(found.polygons)) == ("ring", 1)
    assert corners(found) <= 66
    polygon = found.polygons[0]
    assert [abs(windings(polygon, 0.0, off * NM)) for off in (0.0, 1.5, 3.0, 5.0)] == [0, 0, 1, 0]
    odd = inside((polygon,), north[:500], east[:500])
    wound = [windings(polygon, *place) != 0 for place in zip(north[:500], east[:500], strict=True)]
    assert odd.tolist() == wound
    assert 3.0 - 3.0 * 3.0 * thick < np.hypot(*found.most_probable) / NM < 3.0 + 3.0 * 3.0 * thick


def test_two_heaps_are_told_apart() -> None:
    """Two heaps are two polygons, the heavier first, each with its weight and its own middle."""
    found = drawn(two_heaps(4))

    assert (found.shape, len(found.polygons)) == ("two", 2)
    assert corners(found) <= 64
    assert [weight for weight, _, _ in found.heaps] == pytest.approx([0.7 * 0.953, 0.3 * 0.953], abs=0.02)
    middles = [place for _, *place in found.heaps]
    assert middles[0] == pytest.approx([0.0, 0.0], abs=0.01 * NM)
    assert middles[1] == pytest.approx([0.0, 2.0 * NM], abs=0.01 * NM)
    assert np.hypot(*found.most_probable) < 0.2 * NM


def test_a_heap_under_five_in_a_hundred_is_no_second_heap() -> None:
    """A dense heap of 4 in 100 five miles off has its own polygon, and the area is not called two."""
    north, east = Chance(5, 0, Purpose.SHAPE).normal(2, N) * 300.0
    light = N // 25
    north[:light], east[:light] = north[:light] / 3.0, east[:light] / 3.0 + 5.0 * NM
    found = drawn((north, east))

    assert len(found.polygons) == 2
    assert found.shape != "two"
    assert found.heaps == ()


@pytest.mark.parametrize("cloud", [fan, banana, thin_wedge, two_heaps, lambda seed: ring(seed, 0.05)])
def test_holds_what_it_was_not_drawn_from(cloud: Callable[[int], Places]) -> None:
    """An outline holds 95 in 100 of other samples of the same kind, and not many more."""
    shares = [inside(drawn(cloud(seed)).polygons, *cloud(1000 + seed)).mean() for seed in range(5)]

    # Five times 20,000 samples: the share itself is known to 0.0007.
    assert 0.95 - 3 * 0.0007 <= float(np.mean(shares)) <= 0.965


@pytest.mark.parametrize("cloud", [fan, banana, thin_wedge, two_heaps, lambda seed: ring(seed, 0.05)])
def test_says_what_it_holds(cloud: Callable[[int], Places]) -> None:
    """`held` is the weight really inside, from 0.95 to 0.965, and the factor's ellipse holds 95 % too."""
    north, east = cloud(6)
    found = drawn((north, east))
    off = np.stack((north - north.mean(), east - east.mean()))
    reach = (off * np.linalg.solve(np.cov(off, bias=True), off)).sum(axis=0)

    assert found.held == pytest.approx(float(inside(found.polygons, north, east).mean()), abs=1e-9)
    assert 0.95 <= found.held <= 0.965
    assert 0.95 <= float((reach <= found.factor**2 * (1.0 + 1e-9)).mean()) < 0.9502


def test_far_tail_does_not_coarsen_the_outline() -> None:
    """Three samples in a hundred thirty miles about leave the outline of the others as it was."""
    north, east = normal(8, 900.0, 300.0)
    wild = Chance(9, 0, Purpose.SHAPE).normal(2, 600) * 30.0 * NM
    north[:600], east[:600] = wild
    found = drawn((north, east))

    # 95 of the 97 parts left: -2 ln(2 / 97) in place of 5.991.
    ellipse = pi * -2.0 * np.log(0.0205) * 900.0 * 300.0
    assert size(found.polygons) == pytest.approx(ellipse, rel=0.15)


@pytest.mark.parametrize("count", [1, 2, N])
def test_all_in_one_place(count: int) -> None:
    """Samples all in one place get a round area of a boat's length, never nothing."""
    found = drawn((np.full(count, 700.0), np.full(count, -300.0)))

    assert found.shape == "ellipse"
    assert found.held == pytest.approx(1.0)
    assert found.factor == pytest.approx(CHI_SQUARE_95**0.5, rel=1e-3)
    assert 20.0 < size(found.polygons) < 2000.0
    assert found.most_probable == pytest.approx((700.0, -300.0), abs=1.0)


def test_on_a_line() -> None:
    """Samples on a line get an area round it, some metres wide."""
    along = Chance(10, 0, Purpose.SHAPE).normal(N) * 1000.0
    found = drawn((0.6 * along, 0.8 * along))

    assert found.held >= 0.95
    assert size(found.polygons) > 2 * 1.96 * 1000.0 * 0.3


@pytest.mark.parametrize("effective", [3, 20, 100])
def test_few_that_count_make_it_wider(effective: int) -> None:
    """Where few samples carry the weight the outline is no smaller than the ellipse of their own spread."""
    north, east = normal(11, 500.0, 500.0, effective)
    idle = np.zeros(N - effective)
    weights = np.concatenate((even(effective), idle))
    found = draw(np.append(north, idle), np.append(east, idle), weights)
    spread = np.sqrt(np.linalg.det(np.cov(north, east, bias=True)))

    assert found.held >= 0.95
    assert size(found.polygons) >= pi * CHI_SQUARE_95 * spread
    assert found.factor >= CHI_SQUARE_95**0.5 - 1e-3


def test_copies_are_no_evidence() -> None:
    """Three hundred samples copied seventy times are drawn as smoothly as the three hundred."""
    north, east = normal(12, 900.0, 300.0, 300)
    once, often = drawn((north, east)), drawn((np.repeat(north, 70), np.repeat(east, 70)))

    assert often.shape == once.shape == "ellipse"
    assert size(often.polygons) == pytest.approx(size(once.polygons), rel=0.05)


def test_same_samples_same_outline() -> None:
    """Drawn twice, it is the same to the last bit."""
    first, second = drawn(fan(13)), drawn(fan(13))

    assert all((a == b).all() for a, b in zip(first.polygons, second.polygons, strict=True))
    assert (first.shape, first.held, first.factor, first.most_probable) == (
        second.shape,
        second.held,
        second.factor,
        second.most_probable,
    )


@pytest.mark.parametrize("north", [[], [np.nan], [np.inf]])
def test_refuses_what_is_no_place(north: list[float]) -> None:
    """No samples, or one without a place, is refused and not drawn."""
    with pytest.raises(ValueError, match="a place and a weight"):
        draw(np.array(north), np.zeros(len(north)), np.ones(len(north)))


def test_inside_a_square_with_a_notch() -> None:
    """Even-odd by hand: a square of ten with a notch cut from the east to its middle."""
    square = np.array([[0, 0], [10, 0], [10, 10], [6, 10], [5, 5], [4, 10], [0, 10]], dtype=np.float64)
    north, east = np.array([5.0, 5.0, 9.0, 1.0, -1.0, 5.0]), np.array([2.0, 8.0, 9.0, 9.0, 5.0, -1.0])

    assert inside((square,), north, east).tolist() == [True, False, True, True, False, False]
    assert inside((square[::-1],), north, east).tolist() == [True, False, True, True, False, False]


def test_bridge_goes_round_the_hole_and_back() -> None:
    """A square of ten with a hole of four is one polygon of 100 - 16, and the hole is outside it."""
    outer = np.array([[0, 0], [10, 0], [10, 10], [0, 10]], dtype=np.float64)
    hole = np.array([[3, 3], [3, 7], [7, 7], [7, 3]], dtype=np.float64)
    polygon = bridged(outer, [hole])

    assert len(polygon) == 4 + 4 + 2
    assert size((polygon,)) == pytest.approx(100.0 - 16.0)
    assert [windings(polygon, *place) for place in ((5.0, 5.0), (1.0, 5.0), (11.0, 5.0))] == [0, 1, 0]


def test_rings_too_close_for_few_corners_get_more() -> None:
    """Two circles of 1000 and 999.5 would cross in 60 corners; they get what keeps them apart."""
    around = np.exp(2j * pi * np.arange(2000) / 2000)
    circles = [np.stack((off * around.real, off * around.imag), axis=-1) for off in (1000.0, 999.5)]
    outer, inner = simplified(circles)

    # Neither has a dent: with all its corners inside, the inner one lies inside whole.
    assert inside((outer,), inner[:, 0], inner[:, 1]).all()
    assert len(outer) + len(inner) > 64


def test_a_dozen_heaps_become_a_few() -> None:
    """A dozen heaps a mile apart are drawn together, in eight polygons at most, and still hold 95 %."""
    chance = Chance(14, 0, Purpose.SHAPE)
    north, east = 0.02 * NM * chance.normal(2, N)
    found = drawn((north, east + np.floor(12.0 * chance.uniform(N)) * NM))

    assert 1 <= len(found.polygons) <= 8
    assert found.held >= 0.95


CLOUDS = st.sampled_from([fan, banana, two_heaps, lambda seed, count: ring(seed, 0.08, count)])


@settings(max_examples=25, deadline=None)
@given(CLOUDS, st.integers(0, 2**32), st.floats(-50.0 * NM, 50.0 * NM), st.floats(-50.0 * NM, 50.0 * NM))
def test_moved_it_is_the_same(
    cloud: Callable[[int, int], Places], seed: int, north_m: float, east_m: float
) -> None:
    """A cloud carried elsewhere is drawn as the same outline there: same shape, same weight held."""
    north, east = cloud(seed, 3000)
    here, there = drawn((north, east)), drawn((north + north_m, east + east_m))

    assert there.shape == here.shape
    assert there.held == pytest.approx(here.held, abs=2 / 3000)
    assert there.factor == pytest.approx(here.factor, rel=1e-6)


@settings(max_examples=25, deadline=None)
@given(CLOUDS, st.integers(0, 2**32))
def test_turned_it_is_the_same(cloud: Callable[[int, int], Places], seed: int) -> None:
    """A cloud turned by a right angle is drawn as the same outline turned: same shape, same weight held."""
    north, east = cloud(seed, 3000)
    here, there = drawn((north, east)), drawn((-east, north))

    assert there.shape == here.shape
    assert there.held == pytest.approx(here.held, abs=2 / 3000)
    assert there.factor == pytest.approx(here.factor, rel=1e-6)


PLACES = st.tuples(
    st.floats(-1e5, 1e5),
    st.floats(-1e5, 1e5),
    st.floats(1e-12, 1.0),
)


@settings(max_examples=120, deadline=None)
@given(st.lists(PLACES, min_size=1, max_size=40))
def test_whatever_the_samples_it_holds_them(samples: list[tuple[float, float, float]]) -> None:
    """However few, far and unequal the samples, 95 % of their weight is inside and no polygon is empty."""
    north, east, weights = np.array(samples).T
    found = draw(north, east, weights / weights.sum())
    within = float((weights * inside(found.polygons, north, east)).sum() / weights.sum())

    assert min(found.held, within) >= 0.95
    assert all(len(polygon) >= 3 and size((polygon,)) > 0.0 for polygon in found.polygons)
    assert np.isfinite(found.factor)
    assert found.factor >= CHI_SQUARE_95**0.5 - 1e-3
