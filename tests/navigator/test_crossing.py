"""Where lines meet: plane cases, the ellipsoid anywhere, and the carrying of lines along the run."""

from itertools import pairwise
from math import radians, sin

import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import least_squares  # type: ignore[import-untyped]  # it ships no types

from middlewatch.navigator.position.crossing import (
    Carried,
    Pull,
    Spread,
    best_step,
    carry,
    cut_deg,
    meetings,
    newest_ray,
    spread_m2,
    widest_cut_deg,
)
from middlewatch.navigator.position.lines import Circle, Point, Ray, Shape, TransitRay
from middlewatch.quantities.angles import turn
from middlewatch.quantities.lengths import METRES_PER_NM
from middlewatch.quantities.positions import Position
from navigator.legs import Legs, leg, line, metres_between, off, ranged, seen
from reference import fixes

A_METRE = 1.0
PLANE = Position(0.0, -30.0)

places = st.builds(
    Position,
    st.one_of(st.floats(-70, 70), st.just(70.0), st.just(-70.0)),
    st.one_of(st.floats(-180, 180, exclude_max=True), st.just(-180.0), st.just(179.99)),
)
bearings = st.floats(0, 360, exclude_max=True)
distances = st.floats(0.3, 15)


def taken(*shapes: Shape) -> list[Carried]:
    """Return lines that stand at their own moment."""
    return [Carried(line(f"s{number}", 0, f"m{number}", shape)) for number, shape in enumerate(shapes)]


@given(places, bearings, bearings, distances, distances)
def test_two_exact_bearings_meet_in_the_boat(
    boat: Position, first: float, second: float, near: float, far: float
) -> None:
    """Anywhere, the 180th meridian and 70 N included, exact bearings return the truth within a metre."""
    assume(10 <= abs(turn(first, second)) <= 170)
    lines = taken(seen(boat, boat.along(first, near)), seen(boat, boat.along(second, far)))
    (met,) = meetings(lines)

    assert metres_between(met, boat) < A_METRE
    assert all(each.ahead(met) for each in lines)


@given(places, bearings, bearings, distances, distances)
def test_two_exact_distances_meet_in_the_boat_and_once_more(
    boat: Position, first: float, second: float, near: float, far: float
) -> None:
    """Two circles cross twice; one of the crossings is the boat's, and each lies on both."""
    assume(10 <= abs(turn(first, second)) <= 170)
    lines = taken(ranged(boat, boat.along(first, near)), ranged(boat, boat.along(second, far)))
    met = meetings(lines)

    assert len(met) == 2
    assert min(metres_between(each, boat) for each in met) < A_METRE
    assert all(abs(each.miss_m(place)) < A_METRE for each in lines for place in met)


@given(places, bearings, bearings, distances, distances)
def test_a_bearing_and_a_distance_meet_in_the_boat(
    boat: Position, first: float, second: float, near: float, far: float
) -> None:
    """A ray and another mark's circle meet in the boat, whichever comes first."""
    # A ray square to the circle's own bearing touches it, which is no crossing: the cut is to be ten or more.
    assume(abs(abs(turn(first, second)) - 90.0) >= 10.0)
    shapes: list[Shape] = [seen(boat, boat.along(first, near)), ranged(boat, boat.along(second, far))]

    for order in (shapes, shapes[::-1]):
        assert min(metres_between(met, boat) for met in meetings(taken(*order))) < A_METRE


@given(places, bearings, distances)
def test_bearing_and_distance_of_one_mark_meet_once_ahead(
    boat: Position, bearing: float, distance: float
) -> None:
    """The line through the mark cuts the circle twice, and only one place has the mark where it was seen."""
    mark = boat.along(bearing, distance)
    lines = taken(seen(boat, mark), ranged(boat, mark))
    ahead = [met for met in meetings(lines) if all(each.ahead(met) for each in lines)]

    assert len(ahead) == 1
    assert metres_between(ahead[0], boat) < A_METRE


@given(places, bearings, bearings, distances, distances)
def test_a_transit_and_a_bearing_meet_in_the_boat(
    boat: Position, first: float, second: float, near: float, far: float
) -> None:
    """Two marks in line are a ray through both."""
    assume(10 <= abs(turn(first, second)) <= 170)
    transit = TransitRay(boat.along(first, near), boat.along(first, near + 2.0), 1.0)
    (met,) = meetings(taken(transit, seen(boat, boat.along(second, far))))

    assert metres_between(met, boat) < A_METRE


@given(places, st.lists(bearings, min_size=3, max_size=5), distances)
def test_many_exact_lines_meet_in_the_boat(boat: Position, directions: list[float], distance: float) -> None:
    """Three and more exact lines leave no hat: their least squares are the truth."""
    assume(any(30 <= abs(turn(one, other)) <= 150 for one, other in pairwise(directions)))
    met = meetings(taken(*(seen(boat, boat.along(each, distance)) for each in directions)))

    assert len(met) == 1
    assert metres_between(met[0], boat) < A_METRE


def test_parallel_bearings_do_not_meet() -> None:
    """Two bearings of one figure have no crossing."""
    assert meetings(taken(Ray(PLANE, 45.0, 2.0), Ray(off(PLANE, 2.0, 0.0), 45.0, 2.0))) == ()


@pytest.mark.parametrize("radius_nm", [1.0, 9.0])
def test_circles_out_of_each_others_reach_do_not_meet(radius_nm: float) -> None:
    """Too small, or one inside the other: no crossing is made up."""
    assert meetings(taken(Circle(PLANE, radius_nm, 0.1), Circle(off(PLANE, 5.0, 0.0), 1.0, 0.1))) == ()


def test_circles_of_one_centre_do_not_meet() -> None:
    """Two distances of one mark cross nowhere, or everywhere."""
    assert meetings(taken(Circle(PLANE, 3.0, 0.1), Circle(PLANE, 3.0, 0.1))) == ()


def test_a_bearing_past_a_circle_does_not_meet_it() -> None:
    """A ray that passes three miles off a circle of two has no crossing with it."""
    assert meetings(taken(Ray(PLANE, 0.0, 2.0), Circle(off(PLANE, 0.0, 3.0), 2.0, 0.1))) == ()


def test_two_distances_cross_as_the_triangle_says() -> None:
    """A 3-4-5 triangle and its mirror image (constructed: reference/fixes.py)."""
    shapes = [
        Circle(off(PLANE, *mark), radius, 0.1)
        for mark, radius in zip(fixes.TWO_RANGES_MARKS, fixes.TWO_RANGES_NM, strict=True)
    ]
    met = sorted(meetings(taken(*shapes)), key=lambda place: place.latitude_deg)

    assert len(met) == 2
    for place, wanted in zip(met, (fixes.TWO_RANGES_FIX, fixes.TWO_RANGES_MIRROR), strict=True):
        assert place.to(off(PLANE, *wanted))[1] < fixes.TWO_RANGES_TOLERANCE_NM


@pytest.mark.parametrize("latitude", [0.0, 50.0])
def test_a_cocked_hat_comes_together_by_least_squares(latitude: float) -> None:
    """Three wrong bearings come together in the constructed least-squares point (reference/fixes.py)."""
    base = Position(latitude, -30.0)
    rays = [
        Ray(off(base, *mark), bearing, 1.0)
        for mark, bearing in zip(fixes.COCKED_HAT_MARKS, fixes.COCKED_HAT_BEARINGS_DEG, strict=True)
    ]
    lines = taken(*rays)
    (met,) = meetings(lines)
    spread = spread_m2(lines, met)
    truth = off(base, *fixes.COCKED_HAT_TRUTH)

    assert met.to(off(base, *fixes.COCKED_HAT_LEAST_SQUARES))[1] < fixes.COCKED_HAT_TOLERANCE_NM
    # The case wants the truth inside the 95 % ellipse of bearings good to a degree.
    assert met.to(truth)[1] * METRES_PER_NM < 2.448 * spread.along(met.to(truth)[0])


@given(
    st.builds(Position, st.floats(-60, 60), st.floats(-180, 179)),
    st.lists(st.tuples(bearings, st.floats(0.5, 8), st.floats(-2, 2)), min_size=3, max_size=5),
)
@settings(max_examples=40, deadline=None)
def test_the_least_squares_point_is_scipys(boat: Position, sights: list[tuple[float, float, float]]) -> None:
    """Wrong bearings of many marks come together where scipy has the least squares of their perpendiculars.

    Its residuals are worked with geographiclib alone: how far off the line of each bearing the place is. They
    also turn with the meridians as the place moves, which ours leave out: it makes less than five metres.
    """
    assume(any(40 <= abs(turn(one[0], other[0])) <= 140 for one, other in pairwise(sights)))
    marks = [boat.along(direction_deg, away_nm) for direction_deg, away_nm, _ in sights]
    lines = taken(*(seen(boat, mark, off_deg) for mark, (_, _, off_deg) in zip(marks, sights, strict=True)))

    def misses_m(step_m: tuple[float, float]) -> list[float]:
        place = Geodesic.WGS84.Direct(boat.latitude_deg, boat.longitude_deg, 0.0, step_m[0])
        place = Geodesic.WGS84.Direct(place["lat2"], place["lon2"], 90.0, step_m[1])
        found = []
        for mark, each in zip(marks, lines, strict=True):
            ray = each.line.shape
            assert isinstance(ray, Ray)
            to = Geodesic.WGS84.Inverse(place["lat2"], place["lon2"], mark.latitude_deg, mark.longitude_deg)
            found.append(to["s12"] * sin(radians(to["azi1"] - ray.bearing_true_deg)))
        return found

    best = least_squares(misses_m, (0.0, 0.0), xtol=1e-12, ftol=1e-12, gtol=1e-12)
    north_m, east_m = best.x
    (met,) = meetings(lines)
    oracle = Geodesic.WGS84.Direct(boat.latitude_deg, boat.longitude_deg, 0.0, north_m)
    oracle = Geodesic.WGS84.Direct(oracle["lat2"], oracle["lon2"], 90.0, east_m)

    assert metres_between(met, Position(oracle["lat2"], oracle["lon2"])) < 5.0


def test_on_the_plane_least_squares_come_to_the_third_figure() -> None:
    """At the equator, where a chart is nearly a plane, the constructed point is met to 0.002 nm."""
    rays = [
        Ray(off(PLANE, *mark), bearing, 1.0)
        for mark, bearing in zip(fixes.COCKED_HAT_MARKS, fixes.COCKED_HAT_BEARINGS_DEG, strict=True)
    ]
    (met,) = meetings(taken(*rays))

    assert met.to(off(PLANE, *fixes.COCKED_HAT_LEAST_SQUARES))[1] < 0.002


@given(st.permutations(range(4)), places)
def test_the_order_of_lines_does_not_matter(order: list[int], boat: Position) -> None:
    """The same lines in any order come together in the same place."""
    shapes: list[Shape] = [
        seen(boat, boat.along(20.0, 4.0), 1.0),
        seen(boat, boat.along(100.0, 6.0), -1.5),
        seen(boat, boat.along(220.0, 3.0), 2.0),
        ranged(boat.along(45.0, 0.1), boat.along(150.0, 5.0)),
    ]
    ordered = meetings(taken(*shapes))
    shuffled = meetings(taken(*(shapes[number] for number in order)))

    assert any(metres_between(one, boat) < 0.5 * METRES_PER_NM for one in ordered)
    for one in ordered:
        assert min(metres_between(one, other) for other in shuffled) < 0.01


def test_a_point_among_bearings_is_weighed_not_averaged() -> None:
    """A buoy passed at 20 m holds the fix against a far light's bearing that runs 400 m by."""
    buoy = off(PLANE, 0.0, 0.0)
    aside = buoy.moved(0.0, 400.0)
    lines = taken(Point(buoy, 0.01), seen(aside, off(PLANE, 5.0, 0.0), sd_deg=2.5))
    (met,) = meetings(lines)

    assert metres_between(met, buoy) < 5.0


def test_a_poor_point_gives_way_to_good_lines() -> None:
    """A position good to two miles does not draw two bearings' crossing away."""
    boat = PLANE
    lines = taken(
        Point(off(boat, 1.0, 1.0), 2.0),
        seen(boat, off(boat, 3.0, 0.0), sd_deg=1.0),
        seen(boat, off(boat, 0.0, 3.0), sd_deg=1.0),
    )
    (met,) = meetings(lines)

    assert metres_between(met, boat) < 5.0


def test_a_point_alone_is_where_it_is() -> None:
    """A point needs no other line."""
    (met,) = meetings(taken(Point(PLANE, 0.1)))

    assert metres_between(met, PLANE) < 0.001


def test_two_equal_lines_at_thirty_degrees_spread_as_worked() -> None:
    """Two equal lines that cut at 30 spread 2.73 and 0.73 of their sigma (the design's check figures)."""
    lines = taken(Circle(off(PLANE, -5.0, 0.0), 5.0, 0.1), Circle(PLANE.along(210.0, 5.0), 5.0, 0.1))
    spread = spread_m2(lines, PLANE)

    assert cut_deg(lines[0], lines[1], PLANE) == pytest.approx(30.0, abs=0.01)
    assert spread.longer / (0.1 * METRES_PER_NM) == pytest.approx(2.73, abs=0.005)
    assert spread.shorter / (0.1 * METRES_PER_NM) == pytest.approx(0.73, abs=0.005)


@given(bearings, bearings)
def test_a_cut_is_the_acute_angle(first: float, second: float) -> None:
    """A cut lies between 0 and 90 and does not depend on which end a line is looked at from."""
    one, other, turned = taken(
        Ray(PLANE, first, 2.0), Ray(PLANE, second, 2.0), Ray(PLANE, second + 180.0, 2.0)
    )
    cut = cut_deg(one, other, PLANE)

    assert cut is not None
    assert 0.0 <= cut <= 90.0
    assert cut == pytest.approx(cut_deg(one, turned, PLANE), abs=1e-9)
    assert cut == pytest.approx(min(abs(turn(first, second)), 180.0 - abs(turn(first, second))), abs=1e-9)


def test_a_point_has_no_cut() -> None:
    """Nothing cuts a point; of three lines the best pair counts."""
    point, north, east, near_north = taken(
        Point(PLANE, 0.1), Ray(PLANE, 0.0, 2.0), Ray(PLANE, 80.0, 2.0), Ray(PLANE, 5.0, 2.0)
    )

    assert cut_deg(point, north, PLANE) is None
    assert widest_cut_deg([point, north], PLANE) is None
    assert widest_cut_deg([north, near_north, east], PLANE) == pytest.approx(80.0)


def test_lines_are_carried_to_the_last_ones_moment() -> None:
    """An earlier line gets the run since; one of the same second none; an unknown run carries nothing."""
    run = Legs(PLANE, [leg(90.0, 6.0, 600)])
    shape = Ray(PLANE, 0.0, 2.0)
    lines = [line("a", 0, "m", shape), line("b", 300, "m", shape), line("c", 300, "n", shape)]
    carried = carry(lines, run)

    assert carried is not None
    assert (carried[0].north_m, carried[0].east_m) == pytest.approx((0.0, 926.0), abs=0.01)
    assert [each.to_ms for each in carried] == [300_000, None, None]
    assert (carried[1].north_m, carried[1].east_m) == (0.0, 0.0)
    assert carry(lines, Legs(PLANE, [leg(90.0, 6.0, 600)], departed=False)) is None


@given(
    places,
    st.lists(st.tuples(bearings, st.floats(1, 8), st.floats(60, 1200)), min_size=2, max_size=8),
    bearings,
)
def test_a_run_through_many_alterations_is_the_straight_carry_of_its_sum(
    start: Position, steered: list[tuple[float, float, float]], bearing: float
) -> None:
    """A line carried leg by leg stands where one straight run of the same sum would have brought it."""
    legs = [leg(*each) for each in steered]
    whole_s = int(sum(seconds for seconds, _, _ in legs))
    many = Legs(start, legs)
    north_m, east_m = start.offset_to(many.place(whole_s))
    straight = Legs(start, [(whole_s, north_m, east_m)])
    mark = start.along(bearing, 6.0)
    lines = [line("a", 0, "m", seen(start, mark)), line("b", whole_s, "n", seen(many.place(whole_s), mark))]
    by_many, by_one = carry(lines, many), carry(lines, straight)

    assert by_many is not None
    assert by_one is not None
    end = many.place(whole_s)
    assert by_many[0].miss_m(end) == pytest.approx(by_one[0].miss_m(end), abs=0.1)
    assert abs(by_many[0].miss_m(end)) < A_METRE


def test_the_newest_ray_is_the_last_bearing_or_transit() -> None:
    """Circles and points have no bearing to be distance off along."""
    first, circle, last = Ray(PLANE, 0.0, 2.0), Circle(PLANE, 1.0, 0.1), Ray(PLANE, 90.0, 2.0)

    assert newest_ray(taken(first, last, circle)) == last
    assert newest_ray(taken(circle)) is None


def test_nothing_is_fixed_by_equations_that_say_the_same() -> None:
    """Two misses that grow the same way leave the step open."""
    assert best_step([Pull(3.0, 1.0, 0.0, 1.0), Pull(4.0, 1.0, 0.0, 1.0)]) is None
    assert best_step([Pull(3.0, 1.0, 0.0, 1.0), Pull(4.0, 0.0, 1.0, 1.0)]) == pytest.approx((-3.0, -4.0))


@given(st.floats(1, 100), st.floats(1, 100), st.floats(0, 180, exclude_max=True))
def test_a_spread_has_its_axes(longer: float, shorter: float, axis_deg: float) -> None:
    """A spread made of two axes gives them back."""
    assume(longer > 1.01 * shorter)
    lines = taken(
        Circle(PLANE.along(axis_deg, 5.0), 5.0, longer), Circle(PLANE.along(axis_deg + 90, 5.0), 5.0, shorter)
    )
    spread = spread_m2(lines, PLANE)

    assert spread.longer == pytest.approx(longer * METRES_PER_NM, rel=1e-3)
    assert spread.shorter == pytest.approx(shorter * METRES_PER_NM, rel=1e-3)
    assert Spread(4.0, 0.0, 1.0).along(0.0) == 2.0
