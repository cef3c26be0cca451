"""Log and compass calibrated from satellites by order: what is found, when it is refused, what enters."""

from dataclasses import replace

import numpy as np
import pytest

from calibration.trials import BOX, NEVER_CALIBRATED, ONE_HEADING, RECIPROCAL, Legs, OnTrial, Wrong
from middlewatch.navigator.area.trial import Leg, headings_span_deg, tried
from middlewatch.navigator.area.unknowns import Priors
from middlewatch.navigator.deck_log.trial_runs import MISFIT
from middlewatch.navigator.reckoning.course import Course
from middlewatch.reports.alert import AlertReport
from middlewatch.reports.answer import Answer
from middlewatch.reports.position import PositionReport

FROM_SATELLITE = {"from": "satellite"}
WRONG = Wrong(0.9, 4.0)
KN = 1852.0 / 3600.0


def on_trial(legs: Legs, wrong: Wrong = WRONG, *, seed: int = 1, steady: bool = True) -> OnTrial:
    """Return a boat that departed and then sailed these legs; steady: without a stream that changes."""
    boat = OnTrial(seed, wrong, strongest_kn=None if steady else 1.5, tuning=NEVER_CALIBRATED)
    boat.sail(((legs[0][0], 10),))
    boat.depart()
    boat.sail(legs)
    return boat


def ordered(boat: OnTrial, kind: str, **fields: object) -> Answer:
    """Order a calibration from satellites."""
    return boat.boat.enter("order", kind=kind, **FROM_SATELLITE, **fields)


def course(boat: OnTrial) -> Course:
    """Return how she is reckoned now."""
    return boat.boat.navigator.room.reckoning.now


def told(position: PositionReport) -> PositionReport:
    """Return a report without what names the calibration, and without what lies ahead."""
    basis = position.basis
    plain = replace(
        basis, heading=replace(basis.heading, calibrated=None), speed=replace(basis.speed, calibrated=None)
    )
    return replace(position, basis=plain, ahead=None)


# --- what is found ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("legs", [BOX, RECIPROCAL])
def test_a_box_or_a_pair_of_reciprocals_finds_what_is_wrong(legs: Legs) -> None:
    """In still water, nothing else wrong: both to what they are said to be known by."""
    boat = on_trial(legs)
    log, compass = ordered(boat, "log_factor"), ordered(boat, "deviation")
    found = course(boat)

    assert log.accepted, log.refusal
    assert compass.accepted, compass.refusal
    assert found.log_factor is not None
    assert found.log_factor.factor == pytest.approx(0.9, abs=0.9 * found.log_factor.sd)
    assert found.deviation is not None
    assert found.deviation.at(legs[-1][0]) == pytest.approx(4.0, abs=found.deviation.doubt[0][0] ** 0.5)


def test_the_answer_says_how_sure_it_is_and_that_no_stream_comes_of_it() -> None:
    """One sigma; and EP and order hold no stream."""
    boat = on_trial(BOX)
    words = ordered(boat, "log_factor").effect or ""

    assert words.startswith("log factor 0.9")
    assert "found from satellites by order, 1 sigma 2." in words
    assert words.endswith("the stream of those runs is not used")
    assert course(boat).stream is None


def legs_by(stream_kn: complex, wrong: complex, headings: list[float], noise: np.ndarray) -> list[Leg]:
    """Return legs of two minutes on these headings at 5 kn by log; `wrong` turns and stretches the way."""
    legs = []
    for heading, off in zip(headings, noise, strict=True):
        run = 5.0 * KN * np.exp(1j * np.radians(heading))
        ground = 120 * (run * wrong + stream_kn * KN) + off
        legs.append(Leg(120, complex(ground), (complex(run),) * 120, 0j, 0.4, 0.675))
    return legs


def test_least_squares_agree() -> None:
    """As numpy's least squares have factor, deviation and a steady stream, to a third of the doubt told."""
    draw = np.random.default_rng(4)  # noqa: TID251 -- seeded, for a test
    headings = [20.0] * 4 + [110.0] * 4 + [200.0] * 4 + [290.0] * 4
    noise = 6.0 * (draw.normal(size=16) + 1j * draw.normal(size=16))
    wrong = 0.93 * np.exp(1j * np.radians(-3.0))
    legs = legs_by(0.8 - 0.5j, wrong, headings, noise)
    runs = np.array([sum(leg.runs) for leg in legs])
    design = np.block([
        [runs.real[:, None], -runs.imag[:, None], np.full((16, 1), 120.0), np.zeros((16, 1))],
        [runs.imag[:, None], runs.real[:, None], np.zeros((16, 1)), np.full((16, 1), 120.0)],
    ])  # fmt: skip
    ground = np.array([leg.ground for leg in legs])
    along, across, *_ = np.linalg.lstsq(design, np.concatenate((ground.real, ground.imag)), rcond=None)[0]
    found = tried(legs, Priors(card=False))

    assert found.factor == pytest.approx(np.hypot(along, across), abs=found.factor_sd / 3)
    assert found.swing[0] == pytest.approx(
        np.degrees(np.arctan2(across, along)), abs=found.doubt[0][0] ** 0.5 / 3
    )
    assert found.misfit < 2.0


def test_a_swing_is_found_as_far_as_leeway_lets_it() -> None:
    """Of three degrees by the sine, the nearer the less leeway is unknown; the rest is within its doubt."""
    headings = [10.0 * n for n in range(36)]
    legs = legs_by(0j, 1.0, headings, np.zeros(36))
    swung = [
        replace(leg, ground=leg.ground * complex(np.exp(1j * np.radians(3.0 * np.sin(np.radians(heading))))))
        for leg, heading in zip(legs, headings, strict=True)
        if leg.ground is not None
    ]
    under_engine = tried(swung, Priors(card=False))
    sailing = tried([replace(leg, untold=1.0) for leg in swung], Priors(card=False))

    assert 0.0 < sailing.swing[1] < under_engine.swing[1] < 3.0
    for found in (sailing, under_engine):
        assert abs(3.0 - found.swing[1]) < 2.0 * found.doubt[1][1] ** 0.5
        assert found.swing[2] == pytest.approx(0.0, abs=0.2)


def test_over_how_much_of_the_circle_headings_go() -> None:
    """One: none of it; reciprocals: half; a box: three quarters; a turn passed through does not count."""

    def span(*headings: float) -> float:
        return headings_span_deg(legs_by(0j, 1.0, list(headings), np.zeros(len(headings))))

    turning = Leg(
        60, 1 + 0j, tuple(complex(np.exp(1j * np.radians(6.0 * n))) for n in range(60)), 0j, 1.0, 0.7
    )
    assert [span(20), span(20, 200), span(20, 110, 200, 290)] == [0.0, 180.0, 270.0]
    assert headings_span_deg([turning]) == 0.0


# --- when it is refused -----------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", ["log_factor", "deviation"])
def test_one_heading_is_refused_with_what_would_do(kind: str) -> None:
    """Half an hour on one heading cannot tell a stream from log or compass, however long it is."""
    refusal = ordered(on_trial(ONE_HEADING, Wrong(0.98, 0.5)), kind).refusal

    assert refusal is not None
    assert (refusal.field, refusal.found) == ("from", "28 min in step, on headings over 0 degrees")
    assert refusal.wanted.startswith("ten minutes on one heading and ten on its reciprocal")
    assert "a stream looks like a wrong log" in refusal.reason


def test_too_short_a_trial_is_refused() -> None:
    """Three minutes each way: however well they fit, a sea or a gust may have made them."""
    refusal = ordered(on_trial(((20.0, 190), (200.0, 190))), "log_factor").refusal

    assert refusal is not None
    assert refusal.reason == "so short a trial may be a sea's or a gust's: ten minutes at least"


def test_runs_that_do_not_fit_together_are_refused() -> None:
    """A log that shows half from the second leg on: no one factor and no stream makes both."""
    boat = on_trial(((20.0, 300), (200.0, 300)), Wrong())
    halved = legs_by(0j, 1.0, [20.0] * 3 + [200.0] * 3 + [110.0] * 3, np.zeros(9)) + legs_by(
        0j, 2.0, [110.0] * 3 + [20.0] * 3, np.zeros(6)
    )
    boat.log_kn, boat.wrong = 2.5, Wrong(2.0)
    boat.sail(((20.0, 300), (200.0, 300)))

    assert tried(halved, Priors()).misfit > MISFIT
    assert not ordered(boat, "log_factor").accepted


def test_satellites_that_jumped_calibrate_nothing() -> None:
    """In a suspect window it is refused, and says what does instead."""
    boat = on_trial(BOX)
    boat.truly_m += 600.0  # the receiver leaps, and so would the boat
    boat.sail(((290.0, 20),))
    refusal = ordered(boat, "deviation").refusal

    assert refusal is not None
    assert refusal.reason.startswith("the satellites are jumped")
    assert refusal.wanted == "a figure by hand: of a measured mile, a transit, the Sun"


def test_what_was_before_a_suspicion_is_not_used() -> None:
    """In step again, the runs of before do not count: they may have been drawn off already."""
    boat = on_trial(BOX)
    room = boat.boat.navigator.room
    room.check.agreed.doubted = boat.boat.now_ms // 1000 - 60

    assert ordered(boat, "log_factor").refusal is not None


def test_of_the_past_it_is_refused() -> None:
    """The satellites' word is taken as it stands now."""
    refusal = ordered(on_trial(BOX), "log_factor", ago_s=60).refusal

    assert refusal is not None
    assert (refusal.field, refusal.wanted) == ("at", "now")


def test_a_receiver_that_doubts_itself_calibrates_nothing() -> None:
    """Before a departure too, where no state says so."""
    boat = OnTrial(1, WRONG, strongest_kn=None, tuning=NEVER_CALIBRATED)
    boat.sail(BOX)
    boat.heard = False
    boat.sail(((290.0, 30),))
    refusal = ordered(boat, "log_factor").refusal

    assert refusal is not None
    assert "no satellite position is heard" in refusal.reason


def test_before_any_reckoning_it_is_possible() -> None:
    """A box in the bay before the departure."""
    boat = OnTrial(1, WRONG, strongest_kn=None, tuning=NEVER_CALIBRATED)
    boat.sail(BOX)

    assert ordered(boat, "log_factor").accepted
    assert ordered(boat, "deviation").accepted


# --- that nothing else enters -----------------------------------------------------------------------------


def test_only_the_factor_and_the_deviation_enter() -> None:
    """By hand, the same figures known as well give the same reckoning and area, satellites heard or not."""
    boat = on_trial(BOX, steady=False, seed=3)
    assert ordered(boat, "log_factor").accepted
    assert ordered(boat, "deviation").accepted
    found = course(boat)
    assert found.log_factor is not None
    assert found.deviation is not None
    boat.heard = False
    there = told(boat.sail(((290.0, 900), (60.0, 900))))

    other = on_trial(BOX, steady=False, seed=3)
    other.boat.order("log_factor", factor=found.log_factor.factor, sd=found.log_factor.sd)
    other.boat.order("deviation", card=[f"{heading:g}:{off:g}" for heading, off in found.deviation.points])
    here = told(other.sail(((290.0, 900), (60.0, 900))))

    assert (here.dr, here.ep, here.heading_true_deg) == (there.dr, there.ep, there.heading_true_deg)
    assert here.origin == there.origin


def test_what_was_found_stays_found() -> None:
    """Restarted, with the receiver silent, it is not found anew; withdrawn, it never was."""
    boat, never = (on_trial(BOX, steady=False, seed=3) for _ in range(2))
    assert ordered(boat, "log_factor", id="cal").accepted
    found = course(boat).log_factor
    boat.heard = never.heard = False
    boat.sail(((290.0, 60),))
    boat.boat.restart(60, gap_known=True)
    again = course(boat).log_factor
    withdrawn = on_trial(BOX, steady=False, seed=3)
    ordered(withdrawn, "log_factor", id="cal")
    withdrawn.boat.order("withdraw", entry="cal")
    withdrawn.heard = False

    assert again == found
    assert told(withdrawn.sail(((290.0, 120),))) == told(never.sail(((290.0, 120),)))


def test_the_basis_names_the_satellites() -> None:
    """`calibrated` by satellite, with the order's id, as long as it is used."""
    boat = on_trial(BOX)
    ordered(boat, "log_factor", id="cal")
    named = boat.sail(((290.0, 1),)).basis.speed.calibrated

    assert named is not None
    assert (named.by, named.id) == ("satellite", "cal")


def test_a_calibration_is_no_pull() -> None:
    """What the satellites seem to do otherwise once log and compass are others is not held against them."""
    boat = on_trial(BOX)
    boat.sail(((290.0, 300),))
    said = len(boat.boat.said)
    boat.boat.order("log_factor", factor=0.9)
    boat.boat.order("deviation", deviation_deg=4)
    boat.sail(((290.0, 900),))

    raised = [r for r in boat.boat.said[said:] if isinstance(r, AlertReport) and r.name == "satellite"]
    assert not [alert.text for alert in raised if "parting" in alert.text]


# --- the area after it ------------------------------------------------------------------------------------


def test_the_area_holds_her_an_hour_later_and_is_smaller() -> None:
    """Of a dozen boats 10 % and 4 degrees off, eleven or more; `tests/benchmarks/calibration.py` has 200."""
    held, sizes = 0, []
    for seed in range(1, 13):
        boat = OnTrial(seed, WRONG, tuning=NEVER_CALIBRATED)
        boat.sail(BOX)
        assert ordered(boat, "log_factor").accepted
        assert ordered(boat, "deviation").accepted
        boat.depart()
        boat.heard = False
        area = boat.sail(((20.0, 3600),)).area
        held += boat.holds(area)
        assert area is not None
        sizes.append(area.semi_major_nm)
    plain = OnTrial(1, WRONG, tuning=NEVER_CALIBRATED, heard=False)
    plain.sail(((20.0, 10),))
    plain.depart()
    uncalibrated = plain.sail(((20.0, 3600),)).area

    assert held >= 11
    assert uncalibrated is not None
    assert max(sizes) < uncalibrated.semi_major_nm
