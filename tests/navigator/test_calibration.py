"""Log factor and deviation by order: what they do to heading, run and area, from when, and until when."""

from collections.abc import Mapping
from dataclasses import replace
from math import hypot

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from middlewatch.navigator.area.passage import Renewal, Stretch, motion
from middlewatch.navigator.area.unknowns import Unknown
from middlewatch.navigator.reckoning.calibration import Deviation, Found, found_on_one_heading
from middlewatch.navigator.reckoning.integrals import Integrals
from middlewatch.reports.position import CalibratedReport, PositionReport
from navigator.navigating import START, TRUE_COMPASS, Aboard, after, ep_of, taken_up
from reference.rhumb import metres_apart, rhumb_arrival

HOUR_S = 3600
a_metre = 1.0


def underway(heading_deg: float = 90.0, speed_kn: float = 5.0) -> Aboard:
    """Return a boat at her departure with heading and log heard."""
    boat = Aboard()
    boat.sail(2, heading_deg, speed_kn)
    boat.depart()
    return boat


def run_nm(position: PositionReport) -> float:
    """Return the distance logged since the departure."""
    assert position.dr is not None
    return position.dr.run_nm


def size_nm2(position: PositionReport) -> float:
    """Return the half-axes of the area, multiplied."""
    assert position.area is not None
    return position.area.semi_major_nm * position.area.semi_minor_nm


def told(boat: Aboard, seconds: int = 1) -> PositionReport:
    """Return what is told after some more seconds, but what lies ahead: that is worked every so often."""
    return replace(boat.sail(seconds, 90.0, 5.0), ahead=None)


# --- what they do -----------------------------------------------------------------------------------------


def test_a_measured_mile_gives_a_factor_that_counts_from_its_order_on() -> None:
    """A mile run in 11 min 20 s and back in 13 min at 5 kn by log: the mean of both speeds over the log's.

    Common practice, from memory: of the speeds and not of the times. Half an hour of 5 kn, then 4.955.
    """
    factor = (60.0 / (11 + 20 / 60) + 60.0 / 13.0) / 2.0 / 5.0
    assert factor == pytest.approx(0.991, abs=5e-4)

    boat = underway()
    boat.sail(HOUR_S // 2, 90.0, 5.0)
    answer = boat.order("log_factor", factor=0.991)
    position = boat.sail(HOUR_S // 2, 90.0, 5.0)

    assert answer.effect is not None
    assert answer.effect.startswith("log factor 0.991, 1 sigma 3.0 %")
    assert position.speed_kn == pytest.approx(4.955)
    assert run_nm(position) == pytest.approx(2.5 + 2.4775, abs=0.002)


def test_a_transit_gives_a_deviation() -> None:
    """Four east left in a heading of 090 is 094 steered: heading, track and the bow's bearings follow."""
    boat = underway()
    answer = boat.order("deviation", deviation_deg=4)
    position = boat.sail(HOUR_S, 90.0, 5.0)

    assert answer.effect is not None
    assert "deviation 4 E on all headings, 1 sigma 1.0 degrees on this heading" in answer.effect
    assert position.heading_true_deg == pytest.approx(94.0)
    assert metres_apart(ep_of(position), rhumb_arrival(50.0, -4.2, 94.0, 5.0)) < a_metre
    mark = {"latitude_deg": 50.0, "longitude_deg": -4.0}
    bow = boat.enter("sighting", kind="bearing", mark=mark, bearing_deg=10, reference="relative")
    assert bow.sighting is not None
    assert bow.sighting.chain is not None
    assert bow.sighting.chain.true_deg == pytest.approx(104.0)


def test_a_card_corrects_by_the_heading_shown() -> None:
    """Straight lines from point to point round the circle, as the settings' card has them."""
    boat = underway(45.0)
    boat.order("deviation", card=["0:-2", "90:4", "180:0", "270:1"])

    assert boat.sail(5, 45.0, 5.0).heading_true_deg == pytest.approx(46.0)
    assert boat.sail(5, 90.0, 5.0).heading_true_deg == pytest.approx(94.0)


def test_what_is_given_by_hand_is_taken_as_it_is_said() -> None:
    """A heading and a speed by hand are no sensor's; a log reading by hand is the log's."""
    boat = underway()
    boat.order("log_factor", factor=1.1)
    boat.order("deviation", deviation_deg=4)
    boat.order("by_hand", heading_deg=80, reference="true", speed_kn=3)
    by_hand = boat.sail(60, 90.0, 5.0)
    boat.order("by_hand", heading_deg=None, speed_kn=None, log_nm=10.0)
    boat.sail(600, 90.0, 5.0)
    boat.order("by_hand", log_nm=11.0)
    logged = boat.sail(60, 90.0, 5.0)

    assert (by_hand.heading_true_deg, by_hand.speed_kn) == (80.0, 3.0)
    assert (by_hand.basis.heading.calibrated, by_hand.basis.speed.calibrated) == (None, None)
    assert logged.heading_true_deg == pytest.approx(94.0)
    assert logged.speed_kn == pytest.approx(6.6)


def test_the_basis_names_the_calibration_while_it_is_used() -> None:
    """By whom, by which order and since when; cancelled, nothing."""
    boat = underway()
    boat.order("log_factor", factor=1.1, id="mile")
    boat.order("deviation", deviation_deg=4, id="transit")
    named = boat.sail(1, 90.0, 5.0).basis
    boat.order("log_factor", factor=None)
    boat.order("deviation", deviation_deg=None)
    cancelled = boat.sail(1, 90.0, 5.0)

    at = type(START)(START.ms + 2000)
    assert named.speed.calibrated == CalibratedReport("order", "mile", at)
    assert named.heading.calibrated == CalibratedReport("order", "transit", at)
    assert (cancelled.basis.heading.calibrated, cancelled.basis.speed.calibrated) == (None, None)
    assert (cancelled.heading_true_deg, cancelled.speed_kn) == (90.0, 5.0)


def test_a_card_that_no_compass_has_is_refused() -> None:
    """Deviation that falls by a degree in a degree: two headings would be one."""
    answer = underway().enter("order", kind="deviation", card=["0:0", "10:20", "20:0"])

    assert answer.refusal is not None
    assert answer.refusal.field == "card"
    assert "too steep for a compass" in answer.refusal.reason


# --- late, withdrawn, amended, restarted ------------------------------------------------------------------

ORDERS = (
    {"kind": "log_factor", "factor": 0.93, "sd": 0.02, "id": "log"},
    {"kind": "deviation", "deviation_deg": -3.5, "id": "dev"},
)
MARK = {"latitude_deg": 50.05, "longitude_deg": -4.15}


def passage(
    *, late: bool = False, first: Mapping[str, Mapping[str, object]] | None = None, orders: bool = True
) -> Aboard:
    """Sail 50 minutes with a bearing at 15 and 40; the calibrations are of 20, ordered then or at 45."""
    boat = underway()

    def give(seconds: int | None) -> None:
        for order in ORDERS if orders else ():
            at = {} if seconds is None else {"at": after(seconds)}
            boat.enter("order", **{**order, **(first or {}).get(str(order["id"]), {}), **at})

    for minute in range(50):
        if minute in (15, 40):
            boat.enter("sighting", kind="bearing", mark=MARK, bearing_deg=20 + minute, id=f"b{minute}")
        if minute == (45 if late else 20):
            give(2 + 20 * 60 if late else None)
        boat.sail(60, 60.0 + minute, 5.0)
    return boat


def test_late_is_in_time() -> None:
    """25 minutes late they give the same to the last digit, the area after a bearing between included."""
    assert told(passage(late=True)) == told(passage())


def test_withdrawn_is_never() -> None:
    """Position and area are as if they had not been."""
    boat = passage()
    for order in ORDERS:
        boat.order("withdraw", entry=order["id"])

    assert told(boat) == told(passage(orders=False))


def test_amended_is_so_from_the_first() -> None:
    """Another factor, another deviation."""
    boat = passage(first={"log": {"factor": 1.2}, "dev": {"deviation_deg": 20}})
    boat.order("amend", entry="log", change={"factor": 0.93})
    boat.order("amend", entry="dev", change={"deviation_deg": -3.5})

    assert told(boat) == told(passage())


def test_a_restart_changes_nothing() -> None:
    """Taken up from what was kept, the next reports are the same."""
    boat = passage()
    kept = boat.navigator.drain()
    other = Aboard(begin=False)
    other.navigator = taken_up(boat.navigator, boat.navigator.freeze(), kept)
    other.now_ms = boat.now_ms

    assert told(other, 60) == told(boat, 60)
    assert other.navigator.freeze() == boat.navigator.freeze()


# --- what is left to be doubted ---------------------------------------------------------------------------


def test_the_place_has_both_errors_of_the_log_each_on_its_own_run() -> None:
    """3 nm at 5 % and, calibrated, 4 nm at 1 %: the root of the squares, for neither is the other's.

    All other errors left out (closed form).
    """
    run = Integrals(run=3.0 + 0j)
    before = Stretch(0.0, run).ending_with((Renewal((Unknown.LOG,), ((0.01**2,),)),))
    whole = motion([before, Stretch(0.0, Integrals(run=4.0 + 0j))])
    prior = np.zeros_like(whole.carry)
    prior[Unknown.LOG, Unknown.LOG] = 0.05**2
    covariance = whole.carry @ prior @ whole.carry.T + whole.noise

    assert covariance[0, 0] ** 0.5 == pytest.approx(hypot(3 * 0.05, 4 * 0.01))
    assert covariance[Unknown.LOG, Unknown.LOG] == pytest.approx(0.01**2)


def doubt_on(found_deg: float, angle_deg: float) -> float:
    """Return the doubt so far off the heading (53 true) of a deviation found there, by a card's settings."""
    ahead = complex(0.6, 0.8)
    doubt = found_on_one_heading(Found(found_deg, 1.0, ahead), 1.0**2, 1.5**2)
    turn = np.exp(1j * np.radians(angle_deg))
    return Deviation(((0.0, found_deg),), doubt, "order", "e1", 0).sd_deg(complex(ahead * turn))


def test_a_deviation_is_known_best_on_the_heading_it_was_found_on() -> None:
    """There by its own doubt; on the reciprocal by twice the swing besides (closed form)."""
    assert doubt_on(1.0, 0.0) == pytest.approx(1.0)
    assert doubt_on(1.0, 90.0) == pytest.approx(hypot(1.0, 1.5, 1.5))
    assert doubt_on(1.0, 180.0) == pytest.approx(hypot(1.0, 2 * 1.5))


@given(found_deg=st.floats(-15.0, 15.0), angle_deg=st.floats(0.0, 180.0), more_deg=st.floats(0.0, 90.0))
def test_it_is_known_the_worse_the_further_she_turns(
    found_deg: float, angle_deg: float, more_deg: float
) -> None:
    """To either side alike, and from ninety degrees off by more than of a compass nobody ever looked at."""
    further = min(180.0, angle_deg + more_deg)

    assert doubt_on(found_deg, 0.0) == pytest.approx(1.0, abs=1e-6)
    assert doubt_on(found_deg, further) >= doubt_on(found_deg, angle_deg) - 1e-9
    assert doubt_on(found_deg, -angle_deg) == pytest.approx(doubt_on(found_deg, angle_deg))
    assert doubt_on(found_deg, max(90.0, angle_deg)) > hypot(1.0, 1.5)


@pytest.mark.parametrize("found_deg", [6.0, 12.0])
def test_a_large_deviation_on_one_heading_says_that_she_swings(found_deg: float) -> None:
    """Among drawn compasses that have it there, the mean square on the reciprocal is the doubt (sampled)."""
    draw = np.random.default_rng(7)  # noqa: TID251 -- seeded, for a test
    constant, along, off = (draw.normal(0.0, sd, 4_000_000) for sd in (2.0, 4.0, 1.0))
    near = np.abs(constant + along + off - found_deg) < 0.2
    left = (constant - along - found_deg)[near]
    doubt = found_on_one_heading(Found(found_deg, 1.0, 1 + 0j), 2.0**2, 4.0**2)
    told = Deviation(((0.0, found_deg),), doubt, "order", "e1", 0).sd_deg(-1 + 0j)

    # What is measured badly is not drawn back to what is likelier: that is doubted besides, to a tenth here.
    assert float(np.mean(left**2)) ** 0.5 == pytest.approx(told, rel=0.1)
    assert told > hypot(1.0, 2 * 4.0)


def test_the_area_grows_by_the_new_doubt_and_back_by_the_old() -> None:
    """An hour on, an area is smaller with a log known to 1 % than to 5; cancelled, it is as with none."""

    def hour(*orders: tuple[str, Mapping[str, object]]) -> float:
        boat = underway()
        for kind, fields in orders:
            boat.order(kind, **fields)
        return size_nm2(boat.sail(HOUR_S, 90.0, 5.0))

    plain = hour()
    log = ("log_factor", {"factor": 1, "sd": 0.01})
    compass = ("deviation", {"card": ["0:0"], "sd_deg": 0.3})
    cancelled = (("log_factor", {"factor": None}), ("deviation", {"deviation_deg": None}))

    assert hour(log) < plain
    assert hour(log, compass) < hour(log)
    assert hour(("log_factor", {"factor": 1, "sd": 0.2})) > plain
    assert hour(log, compass, *cancelled) == pytest.approx(plain, rel=1e-9)


def test_the_area_is_wider_on_the_reciprocal_of_the_heading_it_was_found_on() -> None:
    """Without a card, an hour on: narrower than uncalibrated on that heading, wider on the reciprocal."""

    def hour(heading_deg: float, *, found: bool) -> float:
        boat = Aboard(replace(TRUE_COMPASS, compass_card=False, strongest_stream_kn=0.2))
        boat.sail(2, 90.0, 5.0)
        if found:
            boat.order("deviation", deviation_deg=5)
        boat.sail(2, heading_deg, 5.0)
        boat.depart()
        area = boat.sail(HOUR_S, heading_deg, 5.0).area
        assert area is not None
        return area.semi_major_nm

    assert hour(90.0, found=True) < hour(90.0, found=False) < hour(270.0, found=True)
