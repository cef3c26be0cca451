"""Lines of position: what each shape says of a place, and how it is reported."""

from math import atan2, degrees, hypot, radians, tan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from middlewatch.navigator.position.lines import Circle, Point, Ray, Shape, TransitRay, report
from middlewatch.quantities.angles import turn
from middlewatch.quantities.instants import Instant
from middlewatch.quantities.lengths import METRES_PER_NM
from middlewatch.quantities.positions import Position
from navigator.legs import line, off, ranged, seen

MARK = Position(50.0, -4.0)
directions = st.floats(0, 360, exclude_max=True)
latitudes = st.floats(-72, 72)
longitudes = st.floats(-180, 180, exclude_max=True)


def test_a_ray_is_missed_by_distance_times_the_sine_of_the_error() -> None:
    """Five miles south of a mark, a bearing of 358 where 000 is true is missed by 323 m (5 nm x sin 2)."""
    boat = MARK.along(180.0, 5.0)

    assert Ray(MARK, 358.0, 2.0).miss_m(boat) == pytest.approx(323.2, abs=0.1)


@pytest.mark.parametrize(
    ("distance_nm", "sd_deg", "across_m"),
    [(1, 1, 32), (5, 1, 162), (10, 1, 323), (1, 2, 65), (5, 2, 323), (10, 2, 647)],
)
def test_a_bearings_doubt_grows_with_the_distance_off(
    distance_nm: float, sd_deg: float, across_m: float
) -> None:
    """A degree is 32 m wide at a mile (D tan s; common practice, worked to the metre)."""
    boat = MARK.along(200.0, distance_nm)
    wanted = distance_nm * METRES_PER_NM * tan(radians(sd_deg))

    assert wanted == pytest.approx(across_m, abs=1)
    assert seen(boat, MARK, sd_deg=sd_deg).sd_m(boat) == pytest.approx(wanted, rel=1e-3)


@given(directions)
def test_a_ray_ends_at_its_mark(bearing: float) -> None:
    """On one side of the mark it stands ahead; on the far side of it, on the same line, it does not."""
    ray = Ray(MARK, bearing, 2.0)
    before, beyond = MARK.along(bearing + 180.0, 3.0), MARK.along(bearing, 3.0)

    assert ray.ahead(before)
    assert not ray.ahead(beyond)
    # The meridians converge a little over the mile, so the far side is no more than nearly on the line.
    assert abs(ray.miss_m(beyond)) < 10


def shapes(boat: Position, bearing: float) -> list[Shape]:
    """Return one of each line, near the boat but not through it."""
    mark = boat.along(bearing, 4.0)
    return [
        Ray(mark, bearing + 3.0, 2.0),
        TransitRay(mark, mark.along(bearing + 2.0, 2.0), 1.0),
        Circle(mark, 3.5, 0.1),
        Point(boat.along(bearing, 0.5), 0.1),
    ]


@given(latitudes, longitudes, directions)
def test_a_step_the_way_a_miss_grows_makes_it_grow_by_the_step(
    lat: float, lon: float, bearing: float
) -> None:
    """The unit vector given with a miss is the way the miss grows, for every shape, anywhere."""
    boat = Position(lat, lon)
    for shape in shapes(boat, bearing):
        for number, miss in enumerate(shape.misses(boat)):
            stepped = shape.misses(boat.moved(10 * miss.north, 10 * miss.east))[number]
            assert stepped.metres - miss.metres == pytest.approx(10.0, abs=0.1)


@given(latitudes, longitudes, directions)
def test_the_miss_of_a_line_is_the_one_it_is_solved_by(lat: float, lon: float, bearing: float) -> None:
    """`miss_m` is what `misses` holds; a point's is its whole distance."""
    boat = Position(lat, lon)
    *straight, point = shapes(boat, bearing)

    for shape in straight:
        assert [miss.metres for miss in shape.misses(boat)] == [shape.miss_m(boat)]
    assert point.miss_m(boat) == pytest.approx(0.5 * METRES_PER_NM, abs=1.0)


def test_a_transit_runs_through_both_marks_to_the_boats_side() -> None:
    """Boats in line on the front mark's side are on the transit; one between the marks is not."""
    transit = TransitRay(MARK, MARK.along(60.0, 1.0), 1.0)
    boat = MARK.along(240.0, 4.0)

    assert abs(transit.miss_m(boat)) < 1.0
    assert transit.ahead(boat)
    assert not transit.ahead(MARK.along(60.0, 0.5))


def test_a_transits_miss_has_the_sign_of_a_rays() -> None:
    """A transit is missed as the ray to its front mark along the same line is."""
    transit = TransitRay(MARK, MARK.along(0.0, 1.0), 1.0)
    boat = off(MARK, -4.0, 0.2)

    assert transit.miss_m(boat) == pytest.approx(Ray(MARK, 0.0, 1.0).miss_m(boat), abs=5)


def test_a_transits_doubt_is_what_the_eye_cannot_tell_apart() -> None:
    """One standard deviation off the line, the marks stand just the sight's resolution apart."""
    front, rear = MARK, MARK.along(0.0, 0.5)
    on_line = front.along(180.0, 4.0)
    aside = on_line.moved(0.0, TransitRay(front, rear, 1.0).sd_m(on_line))
    apart_deg = abs(turn(aside.to(front)[0], aside.to(rear)[0]))

    assert apart_deg * 60 == pytest.approx(1.0, abs=0.01)


@pytest.mark.parametrize(("off_nm", "turned_deg"), [(0.5, 11.31), (1.0, 5.71), (3.0, 1.91), (10.0, 0.57)])
def test_a_bearing_is_no_better_than_the_place_of_its_mark(off_nm: float, turned_deg: float) -> None:
    """A mark out by 0.1 nm across the sight turns the bearing by the arc tangent of 0.1 over the distance."""
    ray, boat = Ray(MARK, 20.0, 2.5, 0.1), MARK.along(200.0, off_nm)

    assert degrees(ray.sd_rad(boat)) == pytest.approx(hypot(2.5, turned_deg), abs=0.01)
    # On the chart it lies as far aside as the mark, and what the angle makes of the distance.
    assert ray.sd_m(boat) == pytest.approx(1852 * hypot(off_nm * radians(2.5), 0.1), rel=1e-6)


@given(st.floats(0.05, 30), st.floats(0.05, 30), st.floats(0, 2), st.floats(0.1, 20))
def test_a_marks_doubt_tells_the_more_the_nearer_it_is(
    one_nm: float, other_nm: float, mark_sd_nm: float, sd_deg: float
) -> None:
    """Never less than the sight's own, never more the farther off."""
    near, far = sorted((one_nm, other_nm))
    by_near, by_far = (
        Ray(MARK, 0.0, sd_deg, mark_sd_nm).sd_rad(MARK.along(180.0, off)) for off in (near, far)
    )

    assert radians(sd_deg) <= by_far <= by_near * (1.0 + 1e-9)


def test_a_transit_is_no_better_than_the_places_of_its_marks() -> None:
    """A mark out by its doubt carries the line aside at the boat by just what is told."""
    front, rear = MARK, MARK.along(0.0, 0.5)
    boat, sd_nm = front.along(180.0, 2.0), 0.02
    by_front, by_rear = TransitRay(front, rear, 0.0, sd_nm, 0.0), TransitRay(front, rear, 0.0, 0.0, sd_nm)

    aside = TransitRay(front.along(90.0, sd_nm), rear, 1.0), TransitRay(front, rear.along(90.0, sd_nm), 1.0)
    moved = [abs(transit.miss_m(boat)) for transit in aside]
    # 2.0 nm before a spacing of 0.5: the front mark five times, the rear one four times as far.
    assert moved == pytest.approx([5 * sd_nm * 1852, 4 * sd_nm * 1852], rel=2e-3)
    assert [by_front.sd_m(boat), by_rear.sd_m(boat)] == pytest.approx(moved, rel=2e-3)
    both = TransitRay(front, rear, 1.0, sd_nm, sd_nm).sd_m(boat)
    assert both == pytest.approx(hypot(*moved, TransitRay(front, rear, 1.0).sd_m(boat)), rel=2e-3)


def test_a_carried_line_is_as_doubtful_as_where_it_was_seen() -> None:
    """The run carries mark and line along; how far off the mark was when it was seen, it was."""
    boat = MARK.along(180.0, 4.0)
    transit = line("t1", 60, "a over b", TransitRay(MARK, MARK.along(0.0, 0.5), 1.0), "transit")
    ray = line("b1", 60, "a", Ray(MARK, 0.0, 2.5, 0.1))

    for taken in (transit, ray):
        still, carried = (
            report(taken, seen_from=boat),
            report(taken, transferred_to=Instant(3_600_000), run_m=(9000.0, 0.0), seen_from=boat),
        )
        assert (carried.sd_deg, carried.sd_nm) == (still.sd_deg, still.sd_nm)
    assert report(ray, seen_from=boat).sd_deg == pytest.approx(hypot(2.5, degrees(atan2(0.1, 4.0))))
    assert report(ray).sd_deg == 2.5


def test_no_line_is_known_better_than_to_a_metre() -> None:
    """A bearing taken at the mark itself, or a perfect distance, is not without doubt."""
    assert Ray(MARK, 0.0, 2.0).sd_m(MARK) == 1.0
    assert Circle(MARK, 1.0, 0.0).sd_m(MARK) == 1.0
    assert Point(MARK, 0.0).sd_m(MARK) == 1.0


def test_a_circle_runs_square_to_the_way_to_its_centre() -> None:
    """South of the centre a circle runs east and west."""
    assert ranged(MARK.along(180.0, 2.0), MARK).direction_deg(MARK.along(180.0, 2.0)) == pytest.approx(90.0)


def test_each_line_is_reported_in_its_own_terms() -> None:
    """A ray gives bearing and degrees, a circle its radius, a point its place; the rest is null."""
    at = Instant(60_000)
    ray = report(line("b1", 60, "light", Ray(MARK, 65.0, 2.0)))
    circle = report(line("r1", 60, "light", Circle(MARK, 3.0, 0.1)))
    point = report(line("p1", 60, "buoy", Point(MARK, 0.02)))

    assert (ray.shape, ray.bearing_deg, ray.sd_deg, ray.sd_nm, ray.radius_nm) == (
        "ray",
        65.0,
        2.0,
        None,
        None,
    )
    assert (circle.shape, circle.radius_nm, circle.sd_nm, circle.bearing_deg) == ("circle", 3.0, 0.1, None)
    assert (point.shape, point.latitude_deg, point.longitude_deg, point.sd_nm) == ("point", 50.0, -4.0, 0.02)
    assert {each.at for each in (ray, circle, point)} == {at}
    assert {each.transferred_to for each in (ray, circle, point)} == {None}


def test_a_transit_reports_its_spread_where_the_boat_is_thought_to_be() -> None:
    """The spread depends on the distance: without a place it is not known, and null."""
    taken = line("t1", 60, "a over b", TransitRay(MARK, MARK.along(0.0, 0.5), 1.0), "transit")
    boat = MARK.along(180.0, 4.0)
    seen_there = report(taken, seen_from=boat)

    assert report(taken).sd_nm is None
    # 1' x d (d + s) / s at d = 4, s = 0.5 nm.
    assert seen_there.sd_nm == pytest.approx(radians(1 / 60) * 4 * 4.5 / 0.5, rel=1e-6)
    assert seen_there.bearing_deg == pytest.approx(0.0)


@given(st.floats(-20_000, 20_000), st.floats(-20_000, 20_000))
def test_a_carried_line_is_reported_where_it_is_drawn(north_m: float, east_m: float) -> None:
    """The mark of a transferred line is given as moved by the run, its bearing as it was."""
    taken = line("b1", 60, "light", Ray(MARK, 65.0, 2.0))
    carried = report(taken, transferred_to=Instant(120_000), run_m=(north_m, east_m))
    moved = Position(carried.latitude_deg, carried.longitude_deg)

    assert carried.transferred_to == Instant(120_000)
    assert carried.bearing_deg == 65.0
    assert MARK.offset_to(moved) == pytest.approx((north_m, east_m), abs=0.1)


@pytest.mark.parametrize("shape", shapes(MARK, 30.0), ids=["ray", "transit", "circle", "point"])
def test_a_shape_carried_along_is_missed_as_before(shape: Shape) -> None:
    """Boat and line moved by one run keep their distance, but for the meridians' convergence."""
    run = (3_000.0, -2_000.0)
    # Mark and boat go over the same metres at latitudes up to 4 nm apart: 3606 m x 4' x tan 50.
    convergence_m = hypot(*run) * radians(4 / 60) * tan(radians(50.0))

    assert shape.shifted(*run).miss_m(MARK.moved(*run)) == pytest.approx(
        shape.miss_m(MARK), abs=convergence_m
    )


def test_lines_stand_in_order_of_time_then_id() -> None:
    """Order is by the millisecond, then by id."""
    first, second = line("b", 60, "m", Point(MARK, 1.0)), line("a", 60, "m", Point(MARK, 1.0))

    assert sorted([first, second], key=lambda each: each.order) == [second, first]
    assert first.named == "m (b)"


def test_a_rays_bearing_is_the_geodesics_at_the_boat() -> None:
    """Along the parallel of 60 N, for a degree, the geodesic leaves 0.43 degree north of west."""
    boat, mark = Position(60.0, 10.0), Position(60.0, 9.0)
    # Half the convergence of the meridians: d.long/2 x sin latitude.
    convergence = degrees(atan2(tan(radians(0.5)) * 0.8660254, 1.0))

    assert turn(270.0, boat.to(mark)[0]) == pytest.approx(convergence, abs=0.002)
    assert Ray(mark, 270.0 + convergence, 2.0).miss_m(boat) == pytest.approx(0.0, abs=2.0)
