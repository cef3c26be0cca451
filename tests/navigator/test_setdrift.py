"""Set and drift: against the DR, through the run of a running fix, and when there is none."""

from math import hypot, sqrt

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from middlewatch.navigator.position.fix import PlottedFix
from middlewatch.navigator.position.fixing import FixRules, plotted
from middlewatch.navigator.position.lines import Point, PositionLine
from middlewatch.navigator.position.setdrift import SetDrift
from middlewatch.quantities.angles import turn
from middlewatch.quantities.lengths import METRES_PER_NM
from middlewatch.quantities.positions import Position
from navigator.legs import Legs, leg, line, off, ranged, seen, stream_mps
from reference import fixes

RULES = FixRules()
START = Position(50.0, -5.0)
HOUR = 3600


def fix_of(lines: list[PositionLine], run: Legs) -> PlottedFix:
    """Return the fix the last line makes with the others."""
    outcome = plotted(lines[-1], lines[:-1], run, RULES)
    assert isinstance(outcome, PlottedFix), outcome
    return outcome


def by_point(place: Position, second: int, run: Legs, sd_nm: float = 0.02) -> SetDrift:
    """Return set and drift from a point fix."""
    return fix_of([line("p", second, "buoy", Point(place, sd_nm), "passing")], run).set_drift


def passage(set_deg: float, drift_kn: float, course_deg: float = 0.0) -> tuple[Legs, Legs]:
    """Return a truth at 5 kn in a stream, and the reckoning that knows nothing of the stream."""
    legs = [leg(course_deg, 5.0, HOUR)]
    return Legs(START, legs, stream=stream_mps(set_deg, drift_kn)), Legs(START, legs)


def two_of_one_light(truth: Legs, light: Position, first_s: int, second_s: int) -> list[PositionLine]:
    """Return two true bearings of one light."""
    return [
        line(f"b{second}", second, "light", seen(truth.place(second), light))
        for second in (first_s, second_s)
    ]


def test_set_and_drift_from_dr_to_fix() -> None:
    """The BoatSafe course's worked answer (reference/fixes.py): 214, 1.9 kn as plotted, 2.01 as worked."""
    case = fixes.DR_AND_FIX
    run = Legs(Position(*case.start), [leg(case.course_deg, case.speed_kn, HOUR)])
    found = by_point(Position(*case.fix), int(case.minutes * 60), run)

    assert found.set_deg == pytest.approx(case.set_deg, abs=case.set_tolerance_deg)
    assert found.drift_kn == pytest.approx(case.drift_kn, abs=case.drift_tolerance_kn)
    assert found.drift_kn == pytest.approx(2.01, abs=0.01)
    assert found.over_s == 3000


def test_half_a_mile_in_half_an_hour_is_a_knot() -> None:
    """Set is from the DR to the fix (Jamieson, reference/fixes.py)."""
    case = fixes.HALF_MILE_IN_HALF_AN_HOUR
    seconds = int(case["minutes"] * 60)
    _, run = passage(0.0, 0.0)
    found = by_point(run.place(seconds).along(case["direction_deg"], case["distance_nm"]), seconds, run)

    assert found.set_deg == pytest.approx(45.0, abs=0.5)
    assert found.drift_kn == pytest.approx(case["drift_kn"], abs=0.01)


def test_a_running_fix_read_off_against_the_dr_would_show_a_quarter_of_the_stream() -> None:
    """Departure, one light a quarter of the time on and abeam: naively 090/0.25, with the stream 090/1.00."""
    legs = [leg(0.0, 5.0, HOUR)]
    # A case of the plane: laid at the equator, where the meridians do not converge.
    start = Position(0.0, -30.0)
    truth, run = Legs(start, legs, stream=stream_mps(90.0, 1.0)), Legs(start, legs)
    light = truth.place(HOUR).along(90.0, 3.0)
    fix = fix_of(two_of_one_light(truth, light, HOUR // 4, HOUR), run)
    towards_deg, naive_nm = run.place(HOUR).to(fix.place)

    assert fix.label == "R Fix"
    assert (towards_deg, naive_nm) == pytest.approx((90.0, 0.25), abs=0.005)
    assert fix.set_drift.set_deg == pytest.approx(90.0, abs=0.05)
    assert fix.set_drift.drift_kn == pytest.approx(1.0, abs=0.002)
    assert fix.set_drift.over_s == HOUR


@given(
    st.floats(0, 360, exclude_max=True),
    st.floats(0.3, 3),
    st.floats(0, 360, exclude_max=True),
    st.floats(2, 8),
    st.sampled_from([50.0, -70.0, 0.0]),
)
def test_a_running_fix_gives_back_the_true_stream(
    set_deg: float, drift_kn: float, light_deg: float, off_nm: float, latitude: float
) -> None:
    """Two exact bearings of one light give the stream the boat was in, of which the EP knew nothing."""
    legs = [leg(20.0, 5.0, HOUR)]
    start = Position(latitude, 179.99)
    truth, run = Legs(start, legs, stream=stream_mps(set_deg, drift_kn)), Legs(start, legs)
    light = truth.place(HOUR).along(light_deg, off_nm)
    lines = two_of_one_light(truth, light, 1800, HOUR)
    bearings = [truth.place(second).to(light)[0] for second in (1800, HOUR)]
    assume(15 <= abs(turn(*bearings)) <= 165)
    outcome = plotted(lines[1], lines[:1], run, RULES)
    # A stream strong against the run can lay the crossing behind the light: then there is no fix to judge.
    assume(isinstance(outcome, PlottedFix))
    assert isinstance(outcome, PlottedFix)
    found = outcome.set_drift

    assert found.set_deg is not None
    assert turn(found.set_deg, set_deg) == pytest.approx(0.0, abs=0.5)
    assert found.drift_kn == pytest.approx(drift_kn, abs=0.01)


def test_distances_through_the_run_give_the_stream_too() -> None:
    """Circles are solved by the same search: two distances of one light, half an hour apart."""
    truth, run = passage(150.0, 1.2)
    light = truth.place(HOUR).along(80.0, 2.5)
    lines = [
        line(f"r{second}", second, "light", ranged(truth.place(second), light), "range")
        for second in (900, HOUR)
    ]
    found = fix_of(lines, run).set_drift

    assert found.set_deg == pytest.approx(150.0, abs=0.2)
    assert found.drift_kn == pytest.approx(1.2, abs=0.005)


def test_an_ordered_stream_does_not_come_out_twice() -> None:
    """Set and drift are against the DR: with the EP right, the whole stream is still what comes out."""
    truth, _ = passage(90.0, 1.0)
    light = truth.place(HOUR).along(60.0, 3.0)
    found = fix_of(two_of_one_light(truth, light, 1200, HOUR), truth).set_drift

    assert found.set_deg == pytest.approx(90.0, abs=0.1)
    assert found.drift_kn == pytest.approx(1.0, abs=0.002)


def test_the_doubt_of_a_fix_is_lines_and_origin_over_the_time() -> None:
    """A point good to 0.03 nm against a departure good to 0.04, over half an hour: 0.05 / 0.5 = 0.1 kn."""
    truth, run = passage(90.0, 1.0)
    found = by_point(truth.place(1800), 1800, Legs(run.start, run.legs, sd_nm=0.04), sd_nm=0.03)

    assert found.drift_sd_kn == pytest.approx(0.1, rel=1e-3)


def test_the_doubt_of_a_running_fix_is_what_errors_would_make_of_it() -> None:
    """The stated sigma is the root of the squares of what each single error does to the drift."""
    truth, run = passage(90.0, 1.0)
    light = truth.place(HOUR).along(70.0, 3.0)
    lines = two_of_one_light(truth, light, 1800, HOUR)
    plain = fix_of(lines, run).set_drift
    assert plain.drift_kn is not None
    assert plain.drift_sd_kn is not None
    by_lines = []
    for number, second in enumerate((1800, HOUR)):
        # A tenth of the bearing's sigma, for the drift is no straight function of it.
        wrong = lines.copy()
        wrong[number] = line(f"b{second}", second, "light", seen(truth.place(second), light, error_deg=0.25))
        drift = fix_of(wrong, run).set_drift.drift_kn
        assert drift is not None
        by_lines.append((drift - plain.drift_kn) * 10)
    by_origin = []
    for north_nm, east_nm in ((0.005, 0.0), (0.0, 0.005)):
        moved = Legs(off(run.start, north_nm, east_nm), run.legs)
        drift = fix_of(lines, moved).set_drift.drift_kn
        assert drift is not None
        by_origin.append((drift - plain.drift_kn) * 10)

    assert plain.drift_sd_kn == pytest.approx(sqrt(hypot(*by_lines) ** 2 + hypot(*by_origin) ** 2), rel=0.05)


def test_it_says_what_it_holds_besides_the_stream() -> None:
    """Log and steering error, and leeway, lie in every set and drift."""
    truth, run = passage(90.0, 1.0)
    found = by_point(truth.place(HOUR), HOUR, run)

    assert found.remarks == ("set and drift includes log and steering error, and leeway",)


@pytest.mark.parametrize(("drift_kn", "told"), [(0.9, True), (1.1, False)])
def test_under_twice_its_doubt_it_is_not_told_from_none(drift_kn: float, told: bool) -> None:
    """With half a knot of doubt, 0.9 kn might be none at all, 1.1 kn not."""
    truth, run = passage(90.0, drift_kn)
    found = by_point(truth.place(HOUR), HOUR, Legs(run.start, run.legs, sd_nm=0.3), sd_nm=0.4)

    assert found.drift_sd_kn == pytest.approx(0.5, rel=1e-3)
    assert ("set and drift not distinguishable from none" in found.remarks) == told


@pytest.mark.parametrize(("second", "given"), [(599, False), (600, True)])
def test_under_ten_minutes_there_is_none(second: int, given: bool) -> None:
    """A short run says nothing of a stream."""
    truth, run = passage(90.0, 1.0)
    found = by_point(truth.place(second), second, run)

    assert (found.drift_kn is not None) == given
    assert ("no set and drift: under 10 min since the DR's origin" in found.remarks) != given


def test_against_a_dr_that_began_from_a_satellite_position_there_is_none() -> None:
    """Neither a Fix nor an R Fix makes a stream of what a satellite position may have begun."""
    truth, run = passage(90.0, 1.0)
    tainted = Legs(run.start, run.legs, by_sight=False)
    light = truth.place(HOUR).along(70.0, 3.0)
    reason = ("no set and drift: the DR began from a satellite position",)

    assert by_point(truth.place(HOUR), HOUR, tainted) == SetDrift(remarks=reason)
    assert fix_of(two_of_one_light(truth, light, 1800, HOUR), tainted).set_drift == SetDrift(remarks=reason)


def test_without_a_departure_there_is_none() -> None:
    """No DR, no set and drift, and nothing to remark."""
    _, run = passage(0.0, 0.0)

    assert by_point(run.place(HOUR), HOUR, Legs(run.start, run.legs, departed=False)) == SetDrift()


def test_a_line_older_than_the_origin_gives_none() -> None:
    """An adopted fix rests on the earlier lines already: they say nothing new of the stream since."""
    truth, _ = passage(90.0, 1.0)
    light = truth.place(HOUR).along(70.0, 3.0)
    run = Legs(truth.place(2000), [leg(0.0, 5.0, HOUR)], start_second=2000)
    found = fix_of(two_of_one_light(truth, light, 1800, HOUR), run).set_drift

    assert found == SetDrift(remarks=("no set and drift: a line is older than the DR's origin",))


def test_a_line_taken_at_the_origin_leaves_the_stream_open() -> None:
    """No stream has run at the departure's own second: one later line cannot fix two figures."""
    truth, run = passage(90.0, 1.0)
    light = truth.place(HOUR).along(70.0, 4.0)
    found = fix_of(two_of_one_light(truth, light, 0, HOUR), run).set_drift

    assert found == SetDrift(remarks=("no set and drift: the lines do not fix it",))


def test_no_drift_has_no_set() -> None:
    """Where the fix is the DR, the drift is nothing and points nowhere."""
    _, run = passage(0.0, 0.0)
    found = by_point(run.place(HOUR), HOUR, run)

    assert found.set_deg is None
    assert found.drift_kn == pytest.approx(0.0, abs=0.0005)
    assert found.drift_sd_kn is not None
    assert "set and drift not distinguishable from none" in found.remarks


def test_an_origin_moved_moves_the_set() -> None:
    """A departure 0.1 nm wrong is 0.1 kn over an hour: why its own doubt is in the drift's."""
    truth, run = passage(90.0, 1.0)
    found = by_point(truth.place(HOUR), HOUR, Legs(run.start.moved(0.0, -0.1 * METRES_PER_NM), run.legs))

    assert found.drift_kn == pytest.approx(1.1, abs=0.002)
