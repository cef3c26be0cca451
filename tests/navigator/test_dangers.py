"""Dangers in the plane: how far the area's edge is from them, and which passages come too close."""

from math import hypot, inf

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from middlewatch.navigator.area.dangers import Coast, Laid, risk
from middlewatch.navigator.area.seen import Places
from middlewatch.quantities.positions import Position
from middlewatch.readings.dangers import Danger

EP = Position(50.0, -4.0)
SQUARE: Places = np.array([1000 + 1000j, 1000 - 1000j, -1000 - 1000j, -1000 + 1000j])
"""An area of two kilometres square round the EP."""

METRES = st.floats(-5000, 5000)
PLACES = st.builds(complex, METRES, METRES)


def laid(danger: Danger) -> Laid:
    """Return a danger laid out round the EP."""
    (only,) = Coast((danger,)).about((EP.latitude_deg, EP.longitude_deg), inf)
    return only


def rock(north_m: float, east_m: float, clearance_m: float = 100.0) -> Laid:
    """Return a rock laid out."""
    return laid(Danger("Rock", "point", ((EP.moved(north_m, east_m),),), clearance_m))


def shore(*places: complex, clearance_m: float = 100.0) -> Laid:
    """Return a line laid out."""
    return laid(Danger("Shore", "line", (tuple(EP.moved(p.real, p.imag) for p in places),), clearance_m))


def shoal(*rings: tuple[complex, ...], clearance_m: float = 100.0) -> Laid:
    """Return an area laid out, its rings closed."""
    lines = tuple(tuple(EP.moved(p.real, p.imag) for p in (*ring, ring[0])) for ring in rings)
    return laid(Danger("Shoal", "area", lines, clearance_m))


def square(side_m: float, at: complex = 0j) -> tuple[complex, ...]:
    """Return a square's corners."""
    return tuple(at + side_m / 2 * corner for corner in (1 + 1j, 1 - 1j, -1 - 1j, -1 + 1j))


# --- from the edge of the area ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("danger", "off_m"),
    [
        pytest.param(rock(3000, 0), 1900.0, id="a rock ahead: two kilometres less its clearance"),
        pytest.param(rock(4000, 5000, 0), 5000.0, id="off a corner: three and four make five"),
        pytest.param(rock(1050, 0), 0.0, id="its clearance touches"),
        pytest.param(rock(0, 0), 0.0, id="in the middle of the area"),
        pytest.param(shore(3000 - 9000j, 3000 + 9000j), 1900.0, id="a shore, its ends far away"),
        pytest.param(shore(500 - 9000j, 500 + 9000j), 0.0, id="a shore right through, no end of it inside"),
        pytest.param(shoal(square(9000)), 0.0, id="a shoal that holds the whole area"),
        pytest.param(shoal(square(9000), square(3000)), 400.0, id="good water in the midst of a shoal"),
        pytest.param(shoal(square(2000, 4000 + 0j)), 1900.0, id="a shoal ahead"),
    ],
)
def test_how_far_the_edge_of_the_area_is_from_a_clearance(danger: Laid, off_m: float) -> None:
    """Worked by hand on a square of two kilometres; to a metre, for the plane is one round the EP."""
    assert danger.off_m([SQUARE]) == pytest.approx(off_m, abs=1.0)


def test_of_several_polygons_the_nearest_counts() -> None:
    """Two heaps: the danger is as near as the nearer of them."""
    assert rock(9000, 0).off_m([SQUARE, SQUARE + 6000]) == pytest.approx(1900.0, abs=1.0)


def test_the_plane_is_that_of_positions() -> None:
    """Places are laid out as `Position.offset_to` does, across the date line too."""
    one, other = Position(-17.0, 179.95), Position(-17.2, -179.9)
    (found,) = Coast((Danger("Reef", "point", ((other,),), 0.0),)).about((-17.0, 179.95), inf)

    assert (found.begins[0].real, found.begins[0].imag) == pytest.approx(one.offset_to(other), abs=1e-6)
    assert found.from_ep_m == pytest.approx(hypot(*one.offset_to(other)), abs=1e-6)


def test_what_is_about_comes_nearest_first() -> None:
    """By the distance to the clearance; what is further off than asked is left out; under 0 within it."""
    rocks = [
        Danger(name, "point", ((EP.moved(north_m, 0),),), clearance_m)
        for name, north_m, clearance_m in (("far", 9000, 0), ("near", 3000, 0), ("wide", 4000, 4500))
    ]
    about = Coast(rocks).about((50.0, -4.0), 8000.0)

    assert [each.danger.name for each in about] == ["wide", "near"]
    assert [each.from_ep_m for each in about] == pytest.approx([-500.0, 3000.0], abs=1.0)


# --- on the way ---------------------------------------------------------------------------------------------


def one_leg(danger: Laid, begin: complex, end: complex) -> bool:
    """Return whether a leg comes too close."""
    return bool(danger.met(np.array([begin]), np.array([end]))[0])


def test_a_rock_is_passed_at_its_clearance_or_not() -> None:
    """Both ends of the leg are a mile off: only the way between is too close."""
    danger = rock(0, 0, 100.0)

    assert one_leg(danger, -2000 + 99j, 2000 + 99j)
    assert not one_leg(danger, -2000 + 101j, 2000 + 101j)


def test_a_leg_right_through_a_shore_meets_it_whatever_its_clearance() -> None:
    """No end of the one is near the other, and there is nothing to keep off but the line itself."""
    assert one_leg(shore(-9000j, 9000j, clearance_m=0.0), -500 + 0j, 500 + 0j)


def test_lying_in_the_midst_of_a_shoal_is_too_close() -> None:
    """Inside is inside, far from any side; and in a hole of it she floats."""
    assert one_leg(shoal(square(9000)), 0j, 0j)
    assert not one_leg(shoal(square(9000), square(3000)), 0j, 0j)


@given(PLACES, PLACES, PLACES, PLACES, st.floats(1, 3000))
def test_a_leg_meets_a_line_where_any_two_of_their_points_are_near(
    begin: complex, end: complex, one: complex, other: complex, clearance_m: float
) -> None:
    """Held against points set densely on both, but where the clearance is a hair from their distance."""
    danger = shore(one, other, clearance_m=clearance_m)
    along = np.linspace(0.0, 1.0, 201)
    leg = begin + along * (end - begin)
    side = danger.begins[0] + along * (danger.ends[0] - danger.begins[0])
    nearest_m = float(np.abs(leg[:, np.newaxis] - side[np.newaxis]).min())
    grain_m = (abs(end - begin) + abs(other - one)) / 200.0

    if nearest_m <= clearance_m:
        assert one_leg(danger, begin, end)
    if nearest_m > clearance_m + grain_m:
        assert not one_leg(danger, begin, end)


# --- the chance of it ---------------------------------------------------------------------------------------


@given(st.integers(0, 2**32 - 1), st.floats(50, 1500), st.floats(1.0, 3.0))
def test_a_chance_by_then_never_falls_nor_is_less_than_just_then(
    seed: int, clearance_m: float, wider: float
) -> None:
    """Also never less with a wider clearance, never more than all; and any danger is as likely as one."""
    drawn = np.random.Generator(np.random.Philox(seed))  # noqa: TID251 -- seeded by the test
    steps = drawn.normal(0, 800, (13, 40)) + 1j * drawn.normal(0, 800, (13, 40))
    paths = list(np.cumsum(steps, axis=0))
    weights = np.full(40, 1 / 40)
    narrow, wide = (rock(1500, 1500, each) for each in (clearance_m, clearance_m * wider))
    seen, also = risk([narrow], weights, iter(paths)), risk([wide], weights, iter(paths))
    both = risk([narrow, rock(-1500, 0, clearance_m)], weights, iter(paths))

    assert list(seen.by_then) == sorted(seen.by_then)
    assert seen.then[0] == seen.by_then[0]
    assert all(just <= by for just, by in zip(seen.then, seen.by_then[::3], strict=True))
    assert all(less <= more for less, more in zip(seen.by_then, also.by_then, strict=True))
    assert all(less <= more for less, more in zip(seen.by_then, both.by_then, strict=True))
    assert also.by_then[-1] <= 1.0


def test_of_two_tellings_the_worse_holds_moment_by_moment() -> None:
    """As danger is judged while an entry is open: the chances of one now, those of the other later."""
    weights = np.ones(1)
    near_now = [np.array([0j]), *[np.array([9000 + 0j])] * 12]
    near_later = [np.array([-9000 + 0j])] * 12 + [np.array([-9000 + 9000j])]
    rocks = [rock(0, 0), rock(-9000, 9000)]
    whole = risk(rocks, weights, iter(near_now)).worse(risk(rocks, weights, iter(near_later)))

    assert whole.then == (1.0, 0.0, 0.0, 0.0, 1.0)
    assert whole.likeliest_then == (0, None, None, None, 1)
