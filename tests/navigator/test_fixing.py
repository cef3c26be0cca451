"""Plotted fixes: which lines are brought together, published cases, and what no fix is made of."""

from dataclasses import replace
from math import radians, sin

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from middlewatch.navigator.position.fix import NoFix, Outcome, PlottedFix, report
from middlewatch.navigator.position.fixing import FixRules, chosen, plotted
from middlewatch.navigator.position.lines import Circle, Point, PositionLine, Ray, TransitRay
from middlewatch.quantities.angles import direction, turn
from middlewatch.quantities.instants import Instant
from middlewatch.quantities.lengths import METRES_PER_NM
from middlewatch.quantities.positions import Position
from navigator.legs import Leg, Legs, leg, line, metres_between, off, ranged, seen, stream_mps
from reference import fixes

RULES = FixRules()
A_METRE = 1.0
PLANE = Position(0.0, -30.0)
LIGHT, HEAD = Position(50.0, -4.0), Position(50.05, -3.9)
BOAT = Position(49.95, -4.0)
LYING = Legs(BOAT, [leg(0.0, 0.0, 3600)])
UNDER_WAY = Legs(BOAT, [leg(270.0, 5.0, 3600)])

bearings = st.floats(0, 360, exclude_max=True)
distances = st.floats(0.5, 12)


def made(outcome: Outcome) -> PlottedFix:
    """Return the fix that must have come of it."""
    assert isinstance(outcome, PlottedFix), outcome
    return outcome


def refused(outcome: Outcome) -> str:
    """Return the reason why no fix came of it."""
    assert isinstance(outcome, NoFix), outcome
    return outcome.reason


def two_bearings(course_deg: float, run_nm: float, first_deg: float, second_deg: float) -> PlottedFix:
    """Return the running fix of two bearings of one mark at `PLANE`, an hour's run between."""
    run = Legs(off(PLANE, -5.0, 0.0), [leg(course_deg, run_nm, 3600)])
    first, second = (Ray(PLANE, bearing, 2.0) for bearing in (first_deg, second_deg))
    return made(plotted(line("b2", 3600, "light", second), [line("b1", 0, "light", first)], run, RULES))


# --- published cases ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("case", fixes.TWO_BEARINGS, ids=lambda case: case.case)
def test_distance_off_by_two_bearings(case: fixes.TwoBearings) -> None:
    """Two bearings of one mark and the run between give the distance off (sources in reference/fixes.py).

    The cases are of the plane, so they are laid at the equator, where the meridians do not converge.
    """
    fix = two_bearings(case.course_deg, case.run_nm, *case.bearings_deg)
    angle = abs(turn(case.course_deg, case.bearings_deg[1]))

    assert fix.label == "R Fix"
    assert fix.distance_off_nm is not None
    assert fix.place.to(PLANE)[1] == pytest.approx(fix.distance_off_nm)
    assert fix.distance_off_nm == pytest.approx(case.at_second_nm, abs=case.tolerance_nm)
    if case.abeam_nm is not None:
        abeam_nm = fix.distance_off_nm * sin(radians(angle))
        assert abeam_nm == pytest.approx(case.abeam_nm, abs=case.tolerance_nm)


@pytest.mark.parametrize(
    ("first", "second", "at_second", "abeam"),
    [*fixes.TABLE_18_PRINTED, *fixes.TABLE_18],
)
def test_bowditchs_factors(first: float, second: float, at_second: float, abeam: float) -> None:
    """Rows of Bowditch Table 18: distance off at the second bearing and abeam, as parts of the run."""
    fix = two_bearings(0.0, 1.0, first, second)
    assert fix.distance_off_nm is not None

    assert fix.distance_off_nm == pytest.approx(at_second, abs=fixes.TABLE_18_TOLERANCE)
    assert fix.distance_off_nm * sin(radians(second)) == pytest.approx(abeam, abs=fixes.TABLE_18_TOLERANCE)
    assert fix.cut_deg == pytest.approx(second - first)
    assert ("narrow cut" in fix.flags) == (second - first < 30)


@pytest.mark.parametrize(("first", "second", "at_second", "abeam"), fixes.SPECIAL_PAIRS)
def test_special_pairs(first: float, second: float, at_second: float | None, abeam: float) -> None:
    """The pairs of angles that navigators know by heart (reference/fixes.py)."""
    fix = two_bearings(0.0, 3.0, first, second)
    assert fix.distance_off_nm is not None
    factor = fix.distance_off_nm / 3.0

    assert factor * sin(radians(second)) == pytest.approx(abeam, abs=fixes.SPECIAL_PAIRS_TOLERANCE)
    if at_second is not None:
        assert factor == pytest.approx(at_second, abs=fixes.SPECIAL_PAIRS_TOLERANCE)


def test_a_running_fix_west_of_the_mark() -> None:
    """Course 000, bearings 045 and 090, run 3.0: 3.0 W of the mark (the design's check figures)."""
    fix = two_bearings(0.0, 3.0, 45.0, 90.0)

    assert fix.place.to(off(PLANE, 0.0, -3.0))[1] < 0.001


def test_a_running_fix_over_two_courses_and_a_stream() -> None:
    """Three vectors of run between two bearings of one mark (constructed: reference/fixes.py)."""
    set_deg, stream_nm = fixes.THREE_LEGS_STREAM
    legs = [leg(course_deg, distance_nm, 3600) for course_deg, distance_nm in fixes.THREE_LEGS]
    run = Legs(off(PLANE, -4.0, 4.0), legs, stream=stream_mps(set_deg, stream_nm / 2))
    first, second = (Ray(PLANE, bearing, 2.0) for bearing in fixes.THREE_LEGS_BEARINGS_DEG)
    fix = made(plotted(line("b2", 7200, "light", second), [line("b1", 0, "light", first)], run, RULES))

    assert fix.place.to(off(PLANE, *fixes.THREE_LEGS_PLACE))[1] < fixes.THREE_LEGS_TOLERANCE_NM


def test_cross_bearings_of_two_lights() -> None:
    """Cape Charles and Cape Henry, US Coast Guard question bank (reference/fixes.py)."""
    first, second = (
        line(
            light.name,
            0,
            light.name,
            Ray(Position(light.latitude_deg, light.longitude_deg), light.bearing_deg, 2.0),
        )
        for light in fixes.CROSS_BEARINGS
    )
    run = Legs(Position(36.9, -75.9), [leg(0.0, 0.0, 60)])
    fix = made(plotted(second, [first], run, RULES))
    latitude, longitude = fixes.CROSS_BEARINGS_FIX

    assert fix.label == "Fix"
    assert fix.place.latitude_deg * 60 == pytest.approx(latitude * 60, abs=fixes.CROSS_BEARINGS_TOLERANCE_MIN)
    assert fix.place.longitude_deg * 60 == pytest.approx(
        longitude * 60, abs=fixes.CROSS_BEARINGS_TOLERANCE_MIN
    )


def test_bearing_and_distance_of_one_light() -> None:
    """Old Point Comfort bearing 000, 0.6 nm: one mark, two kinds, a Fix (reference/fixes.py)."""
    light = fixes.BEARING_AND_DISTANCE
    mark = Position(light.latitude_deg, light.longitude_deg)
    bearing = line("b", 0, light.name, Ray(mark, light.bearing_deg, 2.0))
    distance = line("r", 0, light.name, Circle(mark, fixes.BEARING_AND_DISTANCE_NM, 0.05), "range")
    fix = made(plotted(distance, [bearing], Legs(mark, [leg(0.0, 0.0, 60)]), RULES))
    tolerance = fixes.BEARING_AND_DISTANCE_TOLERANCE_MIN / 60

    assert fix.label == "Fix"
    assert fix.rival is None
    assert fix.place.latitude_deg == pytest.approx(fixes.BEARING_AND_DISTANCE_FIX[0], abs=tolerance)
    assert fix.place.longitude_deg == pytest.approx(fixes.BEARING_AND_DISTANCE_FIX[1], abs=tolerance)
    assert fix.distance_off_nm == pytest.approx(0.6)


def two_ranges(run: Legs) -> Outcome:
    """Return what the constructed two distances make."""
    near, far = (
        line(f"r{number}", 0, f"m{number}", Circle(off(PLANE, *mark), radius, 0.05), "range")
        for number, (mark, radius) in enumerate(zip(fixes.TWO_RANGES_MARKS, fixes.TWO_RANGES_NM, strict=True))
    )
    return plotted(far, [near], run, RULES)


def test_of_two_crossings_the_nearer_the_ep_is_taken_and_the_other_named() -> None:
    """Two distances cross twice: the reckoning chooses, the mirror is the rival (reference/fixes.py)."""
    fix = made(two_ranges(Legs(off(PLANE, *fixes.TWO_RANGES_NEAR), [leg(0.0, 0.0, 60)])))

    assert fix.place.to(off(PLANE, *fixes.TWO_RANGES_FIX))[1] < fixes.TWO_RANGES_TOLERANCE_NM
    assert fix.rival is not None
    assert fix.rival.to(off(PLANE, *fixes.TWO_RANGES_MIRROR))[1] < fixes.TWO_RANGES_TOLERANCE_NM
    assert fix.distance_off_nm is None
    assert "two crossings: 0.4 nm from the EP, the rival 4.4 nm" in fix.flags


def test_two_crossings_and_no_reckoning_make_no_fix() -> None:
    """Without an EP nothing tells one crossing from the other: both are named, neither is taken."""
    reason = refused(two_ranges(Legs(PLANE, [leg(0.0, 0.0, 60)], departed=False)))

    assert reason == (
        "the lines cross at 00 02.41 S 029 56.81 W and at 00 02.41 N 029 56.81 W,"
        " and there is no reckoning to choose by"
    )


def test_a_cocked_hat_and_its_size() -> None:
    """Three bearings wrong by a degree: least-squares place, three corners, longest side, no praise."""
    lines = [
        line(f"b{number}", 0, f"m{number}", Ray(off(PLANE, *mark), bearing, 1.0))
        for number, (mark, bearing) in enumerate(
            zip(fixes.COCKED_HAT_MARKS, fixes.COCKED_HAT_BEARINGS_DEG, strict=True)
        )
    ]
    run = Legs(off(PLANE, -4.0, 2.0), [leg(0.0, 0.0, 60)])
    fix = made(plotted(lines[-1], lines[:-1], run, RULES))
    assert fix.hat is not None
    sides = [fix.hat.corners[one].to(fix.hat.corners[other])[1] for one, other in ((0, 1), (1, 2), (0, 2))]

    assert fix.place.to(off(PLANE, *fixes.COCKED_HAT_LEAST_SQUARES))[1] < 0.002
    assert len(fix.hat.corners) == 3
    assert fix.hat.longest_side_nm == max(sides)
    assert f"cocked hat {max(sides):.1f} nm" in fix.flags
    assert not {"good", "%", "safe"} & set(" ".join((*fix.flags, fix.worth)).split())
    # Each corner lies on two of the lines.
    for corner in fix.hat.corners:
        assert sum(abs(each.miss_m(corner)) < A_METRE for each in fix.lines) == 2


# --- which lines are brought together ----------------------------------------------------------------------


def bearing(name: str, second: int, mark: str, place: Position, run: Legs = UNDER_WAY) -> PositionLine:
    """Return the true bearing of a mark from a boat under way."""
    return line(name, second, mark, seen(run.place(second), place))


def test_lines_of_one_time_are_carried_to_the_newest_one() -> None:
    """Two bearings two minutes apart are a Fix, the first one carried along the EP."""
    fix = made(
        plotted(bearing("b2", 120, "head", HEAD), [bearing("b1", 0, "light", LIGHT)], UNDER_WAY, RULES)
    )

    assert fix.label == "Fix"
    assert [each.line.id for each in fix.lines] == ["b1", "b2"]
    assert metres_between(fix.place, UNDER_WAY.place(120)) < A_METRE


def test_the_newest_of_each_other_mark_and_kind_counts() -> None:
    """Of a burst of one mark only the newest line goes into a fix with another mark."""
    earlier = [
        bearing("a1", 0, "head", HEAD),
        bearing("a2", 60, "head", HEAD),
        bearing("b1", 90, "light", LIGHT),
    ]
    fix = made(plotted(bearing("b2", 120, "light", LIGHT), earlier, UNDER_WAY, RULES))

    assert [each.line.id for each in fix.lines] == ["a2", "b2"]


def test_a_burst_of_one_mark_is_no_fix() -> None:
    """Three bearings of one mark within three minutes are one observation."""
    earlier = [bearing("b1", 0, "light", LIGHT), bearing("b2", 60, "light", LIGHT)]

    assert refused(plotted(bearing("b3", 180, "light", LIGHT), earlier, UNDER_WAY, RULES)) == (
        "a burst of one mark, not a fix"
    )


def test_the_burst_ends_with_the_time_that_counts_as_one() -> None:
    """To the millisecond: 180 s apart is a burst, a millisecond more is a running fix."""
    abeam = Legs(BOAT, [leg(270.0, 60.0, 3600)])
    first = bearing("b1", 0, "light", LIGHT, abeam)
    newest = bearing("b2", 180, "light", LIGHT, abeam)

    assert isinstance(plotted(newest, [first], abeam, RULES), NoFix)
    assert made(plotted(replace(newest, at_ms=180_001), [first], abeam, RULES)).label == "R Fix"


def test_a_burst_still_crosses_with_an_older_line() -> None:
    """The newest of a burst makes a running fix with the line of an hour ago."""
    earlier = [bearing("b1", 0, "light", LIGHT), bearing("b2", 3540, "light", LIGHT)]
    fix = made(plotted(bearing("b3", 3600, "light", LIGHT), earlier, UNDER_WAY, RULES))

    assert [each.line.id for each in fix.lines] == ["b1", "b3"]
    assert metres_between(fix.place, UNDER_WAY.place(3600)) < A_METRE


def test_of_the_older_lines_the_one_that_cuts_best_is_taken() -> None:
    """Neither the newest nor the oldest, but the best cut."""
    run = Legs(BOAT, [leg(270.0, 8.0, 3600)])
    newest = bearing("n", 5400, "light", LIGHT, run)
    cuts = {}
    earlier = [bearing(f"b{second}", second, "light", LIGHT, run) for second in (0, 1200, 2400, 3600)]
    for each in earlier:
        assert isinstance(each.shape, Ray)
        assert isinstance(newest.shape, Ray)
        cuts[each.id] = abs(90 - abs(turn(each.shape.bearing_true_deg, newest.shape.bearing_true_deg)))
    fix = made(plotted(newest, earlier, run, RULES))

    assert fix.lines[0].line.id == min(cuts, key=lambda name: cuts[name])


def test_an_older_distance_is_ranked_by_its_cut_too() -> None:
    """An older circle that cuts square is taken before a bearing that hardly cuts."""
    newest = bearing("n", 1800, "light", LIGHT)
    narrow = bearing("b", 1500, "light", LIGHT)
    square = line("r", 1200, "light", ranged(UNDER_WAY.place(1200), LIGHT), "range")
    fix = made(plotted(newest, [narrow, square], UNDER_WAY, RULES))

    assert [each.line.id for each in fix.lines] == ["r", "n"]


def test_a_line_too_old_is_left_alone() -> None:
    """Past `oldest_line_h` a line makes no running fix; on its last second it does."""
    run = Legs(BOAT, [leg(270.0, 2.0, 3600)])
    old, newest = bearing("b1", 0, "light", LIGHT, run), bearing("b2", 3 * 3600, "light", LIGHT, run)

    assert made(plotted(newest, [old], run, RULES)).label == "R Fix"
    assert refused(plotted(replace(newest, at_ms=newest.at_ms + 1), [old], run, RULES)) == (
        "one line, and nothing within 3 h to cross it with"
    )


def test_a_line_that_comes_later_in_order_takes_no_part() -> None:
    """Earlier means before in the order of time and id: a late entry's fix does not look ahead."""
    first, second = bearing("a", 60, "light", LIGHT), bearing("b", 60, "head", HEAD)

    assert isinstance(plotted(first, [second], UNDER_WAY, RULES), NoFix)
    assert isinstance(plotted(second, [first], UNDER_WAY, RULES), PlottedFix)


def test_a_point_is_a_fix_by_itself() -> None:
    """A buoy passed close by needs no other line, and has no cut."""
    fix = made(plotted(line("p", 0, "buoy", Point(BOAT, 0.02), "passing"), [], LYING, RULES))

    assert (fix.label, fix.cut_deg, fix.distance_off_nm, fix.hat) == ("Fix", None, None, None)
    assert metres_between(fix.place, BOAT) < A_METRE
    assert fix.worth == "A point by itself, unchecked: one standard deviation is 0.02 nm each way."


def test_a_point_is_weighed_with_a_bearing_of_its_time() -> None:
    """A bearing taken just after a buoy was passed hardly moves the place, whatever its cut with anything."""
    passed = line("p", 0, "buoy", Point(BOAT, 0.01), "passing")
    aside = line("b", 60, "light", seen(off(BOAT, 0.0, 0.1), LIGHT))
    fix = made(plotted(aside, [passed], LYING, RULES))

    assert [each.line.id for each in fix.lines] == ["p", "b"]
    assert metres_between(fix.place, BOAT) < 20
    assert fix.worth.startswith("Weighed with a point")


def test_an_old_point_is_not_made_a_running_fix() -> None:
    """A point of an hour ago carried along is the EP: it cuts nothing."""
    passed = line("p", 0, "buoy", Point(BOAT, 0.01), "passing")

    assert isinstance(plotted(bearing("b", 3600, "light", LIGHT), [passed], UNDER_WAY, RULES), NoFix)


def test_transit_and_bearing_make_a_fix() -> None:
    """A transit crosses a bearing of another mark."""
    transit = TransitRay(BOAT.along(350.0, 3.0), BOAT.along(350.0, 4.0), 1.0)
    fix = made(
        plotted(
            bearing("b", 30, "head", HEAD, LYING),
            [line("t", 0, "a over b", transit, "transit")],
            LYING,
            RULES,
        )
    )

    assert metres_between(fix.place, BOAT) < A_METRE


# --- what no fix is made of --------------------------------------------------------------------------------


def test_a_cut_under_ten_makes_no_fix_and_says_so() -> None:
    """Seven degrees and more are told as seven: a cut is never rounded up to ten."""
    first = line("b1", 0, "light", Ray(LIGHT, 0.0, 2.0))
    second = line("b2", 0, "head", Ray(HEAD, 7.9, 2.0))
    barely = line("b2", 0, "head", Ray(HEAD, 9.99, 2.0))

    assert refused(plotted(second, [first], LYING, RULES)) == "cut 7: under 10, no fix"
    assert refused(plotted(barely, [first], LYING, RULES)) == "cut 9: under 10, no fix"


def test_parallel_lines_make_no_fix() -> None:
    """Lines that never meet cut at nothing."""
    first, second = line("b1", 0, "light", Ray(LIGHT, 20.0, 2.0)), line("b2", 0, "head", Ray(HEAD, 20.0, 2.0))

    assert refused(plotted(second, [first], LYING, RULES)) == "cut 0: under 10, no fix"


def test_too_narrow_a_cut_of_one_time_leaves_the_older_lines() -> None:
    """Where two marks stand nearly in line, the line of half an hour ago makes the running fix."""
    beyond = LIGHT.along(UNDER_WAY.place(1800).to(LIGHT)[0] + 2.0, 3.0)
    earlier = [bearing("old", 0, "light", LIGHT), bearing("b1", 1790, "beyond", beyond)]
    fix = made(plotted(bearing("b2", 1800, "light", LIGHT), earlier, UNDER_WAY, RULES))

    assert fix.label == "R Fix"
    assert [each.line.id for each in fix.lines] == ["old", "b2"]
    assert "beyond (b1) left out: it cuts at under 10" in fix.flags


def test_a_narrow_cut_is_drawn_and_flagged() -> None:
    """Between ten and thirty degrees the fix is made, and marked."""
    assert "narrow cut" in two_bearings(0.0, 3.0, 30.0, 59.0).flags
    assert "narrow cut" not in two_bearings(0.0, 3.0, 30.0, 60.0).flags


@given(bearings, st.floats(10, 170), distances, distances, st.sampled_from([(0,), (1,), (0, 1)]))
def test_reciprocal_bearings_give_no_fix(
    first_deg: float, between: float, near: float, far: float, turned: tuple[int, ...]
) -> None:
    """One bearing or both read from the wrong end meet behind a mark: that is said, and nothing is made."""
    marks = BOAT.along(first_deg, near), BOAT.along(first_deg + between, far)
    lines = []
    for number, mark in enumerate(marks):
        ray = seen(BOAT, mark)
        end = direction(ray.bearing_true_deg + 180.0) if number in turned else ray.bearing_true_deg
        lines.append(line(f"b{number}", 0, f"m{number}", Ray(mark, end, 2.0)))
    assume(min(between, 180.0 - between) >= 10.0)

    outcome = plotted(lines[1], lines[:1], LYING, RULES)
    reason = refused(outcome)
    assert "do not meet ahead: reciprocal or wrong mark?" in reason or reason.startswith("cut 9")


def test_a_reciprocal_is_not_passed_over_for_an_older_line() -> None:
    """Lines that contradict each other are named; no older one is quietly taken instead."""
    rock = BOAT.along(330.0, 4.0)
    old, wrong = bearing("old", 0, "light", LIGHT), bearing("b1", 1790, "rock", rock)
    assert isinstance(wrong.shape, Ray)
    wrong = replace(wrong, shape=Ray(rock, direction(wrong.shape.bearing_true_deg + 180.0), 2.0))

    assert refused(plotted(bearing("b2", 1800, "light", LIGHT), [old, wrong], UNDER_WAY, RULES)) == (
        "rock (b1) and light (b2) do not meet ahead: reciprocal or wrong mark?"
    )


def test_distances_that_do_not_reach_each_other_make_no_fix() -> None:
    """Circles apart have no crossing, and none is made up between them."""
    first = line("r1", 0, "light", Circle(LIGHT, 1.0, 0.1), "range")
    second = line("r2", 0, "head", Circle(HEAD, 1.0, 0.1), "range")

    assert refused(plotted(second, [first], LYING, RULES)) == "light (r1) and head (r2) do not meet"


def test_two_bearings_of_one_mark_from_one_place_make_no_fix() -> None:
    """Without a run both lines meet in the mark itself, where the boat is not."""
    first, second = (
        line("b1", 0, "light", Ray(LIGHT, 0.0, 2.0)),
        line("b2", 3600, "light", Ray(LIGHT, 15.0, 2.0)),
    )

    assert refused(plotted(second, [first], LYING, RULES)) == (
        "no run between light (b1) and light (b2): two bearings of one mark then fix nothing"
    )


def test_an_unknown_run_makes_no_running_fix() -> None:
    """Before a departure, or over a gap of unknown length, an old line cannot be carried."""
    unknown = replace(UNDER_WAY, departed=False)
    first, second = bearing("b1", 0, "light", LIGHT), bearing("b2", 3600, "head", HEAD)

    assert refused(plotted(second, [first], unknown, RULES)) == "the run since light (b1) is not known"


def test_before_a_departure_lines_of_one_time_make_a_fix_and_say_they_were_not_carried() -> None:
    """A first fix is possible without a reckoning; what it leaves out is said."""
    unknown = replace(UNDER_WAY, departed=False)
    first, second = bearing("b1", 0, "light", LIGHT), bearing("b2", 60, "head", HEAD)
    fix = made(plotted(second, [first], unknown, RULES))

    assert fix.label == "Fix"
    assert fix.flags == ("lines not brought to one time: the run between them is not known",)
    assert (fix.dr, fix.set_drift.set_deg) == (None, None)
    # A minute at 5 kn is 154 m: the first line is out by no more.
    assert metres_between(fix.place, UNDER_WAY.place(60)) < 2 * 154


def test_a_line_that_contradicts_two_others_is_named() -> None:
    """Of three lines, one that passes more than two of its sigmas from the fix is pointed out."""
    wrong = line("b3", 0, "rock", seen(BOAT, BOAT.along(120.0, 3.0), error_deg=12.0, sd_deg=1.5))
    earlier = [
        line(f"b{n}", 0, f"m{n}", seen(BOAT, BOAT.along(angle, 3.0), sd_deg=1.5))
        for n, angle in ((1, 0.0), (2, 60.0))
    ]
    fix = made(plotted(wrong, earlier, LYING, RULES))

    assert any(flag.startswith("rock (b3) is ") and "standard deviations" in flag for flag in fix.flags)


def test_three_distances_reject_the_mirror_image() -> None:
    """A third circle tells which crossing is the boat's, however near the EP is to the other."""
    marks = [LIGHT, HEAD, BOAT.along(200.0, 4.0)]
    lines = [line(f"r{n}", 0, f"m{n}", ranged(BOAT, mark), "range") for n, mark in enumerate(marks)]
    far_off = Legs(BOAT.along(315.0, 6.0), [leg(0.0, 0.0, 60)])
    fix = made(plotted(lines[-1], lines[:-1], far_off, RULES))

    assert fix.rival is None
    assert metres_between(fix.place, BOAT) < A_METRE


# --- laws --------------------------------------------------------------------------------------------------


@given(
    st.builds(
        Position,
        st.sampled_from([-70.0, -33.0, 0.0, 50.0, 70.0]),
        st.sampled_from([-180.0, 179.98, -4.0, 0.0]),
    ),
    st.lists(st.tuples(bearings, st.floats(2, 8), st.floats(300, 1500)), min_size=1, max_size=5),
    bearings,
    distances,
)
def test_a_running_fix_of_exact_bearings_returns_the_truth(
    start: Position, steered: list[tuple[float, float, float]], mark_deg: float, distance: float
) -> None:
    """Through any alterations, across 180 and at 70 N, exact bearings give the boat to a metre."""
    legs: list[Leg] = [leg(*each) for each in steered]
    run = Legs(start, legs, stream=stream_mps(100.0, 1.0))
    end = int(sum(seconds for seconds, _, _ in legs))
    mark = start.along(mark_deg, distance)
    outcome = plotted(bearing("b2", end, "m", mark, run), [bearing("b1", 0, "m", mark, run)], run, RULES)
    cut = abs(turn(start.to(mark)[0], run.place(end).to(mark)[0]))
    assume(15 <= cut <= 165)

    assert metres_between(made(outcome).place, run.place(end)) < A_METRE


@given(st.permutations(["a", "b", "c", "d", "old"]))
def test_the_order_in_which_lines_are_handed_over_does_not_matter(order: list[str]) -> None:
    """The fix is the same to the last digit, whatever order its lines are heard in."""
    known = {
        "a": bearing("a", 3500, "light", LIGHT),
        "b": bearing("b", 3550, "head", HEAD),
        "c": bearing("c", 3560, "head", HEAD),
        "d": line("d", 3570, "rock", ranged(UNDER_WAY.place(3570), LIGHT.along(90.0, 2.0)), "range"),
        "old": bearing("old", 0, "light", LIGHT),
    }
    newest = bearing("n", 3600, "light", LIGHT)

    assert plotted(newest, [known[name] for name in order], UNDER_WAY, RULES) == plotted(
        newest, list(known.values()), UNDER_WAY, RULES
    )


# --- the skipper's choice, and the report ------------------------------------------------------------------


def test_chosen_lines_are_all_used() -> None:
    """The skipper's own choice is worked as it stands, old and new together, as a running fix."""
    lines = [
        bearing("b3", 3600, "head", HEAD),
        bearing("b1", 0, "light", LIGHT),
        bearing("b2", 1800, "light", LIGHT),
    ]
    fix = made(chosen(lines, UNDER_WAY, RULES))

    assert fix.label == "R Fix"
    assert [each.line.id for each in fix.lines] == ["b1", "b2", "b3"]
    assert metres_between(fix.place, UNDER_WAY.place(3600)) < A_METRE


def test_chosen_lines_past_the_age_are_worked_and_named() -> None:
    """A line older than the settings allow is used if the skipper says so, and its age is told."""
    run = Legs(BOAT, [leg(270.0, 2.0, 3600)])
    fix = made(
        chosen([bearing("b1", 0, "light", LIGHT, run), bearing("b2", 14_400, "head", HEAD, run)], run, RULES)
    )

    assert "light (b1) is 4.0 h old" in fix.flags


def test_a_chosen_burst_counts_once_and_says_so() -> None:
    """Two bearings of one mark and time are one observation, chosen or not: the one left out is named."""
    lines = [
        bearing("b1", 0, "light", LIGHT),
        bearing("b2", 60, "light", LIGHT),
        bearing("b3", 60, "head", HEAD),
    ]
    fix = made(chosen(lines, UNDER_WAY, RULES))

    assert [each.line.id for each in fix.lines] == ["b2", "b3"]
    assert "light (b1) left out: of a burst only the newest counts" in fix.flags
    assert refused(chosen(lines[:2], UNDER_WAY, RULES)) == "a burst of one mark, not a fix"


def test_nothing_chosen_makes_nothing() -> None:
    """No line, or one, is no fix; a point alone is."""
    assert refused(chosen([], UNDER_WAY, RULES)) == "no line to make a fix of"
    assert (
        refused(chosen([bearing("b", 0, "light", LIGHT)], UNDER_WAY, RULES))
        == "one line, nothing to cross it with"
    )
    assert made(chosen([line("p", 0, "buoy", Point(BOAT, 0.02))], LYING, RULES)).label == "Fix"


def test_a_fix_is_reported_with_its_lines_as_drawn() -> None:
    """The report carries the newest line's time, all sightings, and each carried line where it is drawn."""
    fix = made(
        plotted(bearing("b2", 1800, "light", LIGHT), [bearing("b1", 0, "light", LIGHT)], UNDER_WAY, RULES)
    )
    said = report(fix, "f-b2.2", "f-b2")

    assert (said.id, said.revises, said.label, said.at) == ("f-b2.2", "f-b2", "R Fix", Instant(1_800_000))
    assert said.sightings == ("b1", "b2")
    assert [each.transferred_to for each in said.lines] == [Instant(1_800_000), None]
    assert Position(said.lines[0].latitude_deg, said.lines[0].longitude_deg) == LIGHT.moved(
        fix.lines[0].north_m, fix.lines[0].east_m
    )
    assert said.dr is not None
    assert (said.dr.latitude_deg, said.dr.longitude_deg) == pytest.approx(
        (UNDER_WAY.place(1800).latitude_deg, UNDER_WAY.place(1800).longitude_deg)
    )
    assert (said.area, said.cocked_hat, said.rival, said.withdrawn) == (None, None, None, None)
    assert said.distance_off_nm == pytest.approx(UNDER_WAY.place(1800).to(LIGHT)[1], abs=1 / METRES_PER_NM)


def test_a_report_carries_hat_and_rival() -> None:
    """A cocked hat's corners and a second crossing are published as places."""
    three = [
        line(f"b{n}", 0, f"m{n}", seen(BOAT, BOAT.along(angle, 4.0), error))
        for n, (angle, error) in enumerate([(0.0, 1.0), (60.0, -1.0), (130.0, 1.0)])
    ]
    hat = report(made(plotted(three[-1], three[:-1], LYING, RULES)), "f-b2").cocked_hat
    rival = report(made(two_ranges(Legs(off(PLANE, -2.0, 3.0), [leg(0.0, 0.0, 60)]))), "f-r1").rival

    assert hat is not None
    assert len(hat.corners) == 3
    assert hat.longest_side_nm > 0
    assert rival is not None
    assert rival.latitude_deg > 0
