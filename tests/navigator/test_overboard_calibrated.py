"""Overboard by a log and a compass calibrated by order: the way back is doubted as these are."""

from math import hypot, radians

import numpy as np
import pytest

from entries.entering import Aboard
from middlewatch.navigator.area.unknowns import Priors
from middlewatch.navigator.navigator import Navigator
from middlewatch.navigator.overboard.way_back import Ellipse, way_back
from middlewatch.navigator.reckoning.calibration import Deviation, Found, LogFactor, found_on_one_heading
from middlewatch.navigator.reckoning.casualty import Casualty, Frame, Leg
from middlewatch.navigator.tuning import Tuning, VariationChoice
from middlewatch.quantities.angles import unit
from middlewatch.quantities.spreads import RADIUS_95
from middlewatch.reports.overboard import CasualtyReport, OverboardReport
from navigator.navigating import stowed

NO_CARD = Priors(card=False)
A_CENTIMETRE = 0.01
FOUND = Deviation(((0.0, 3.0),), found_on_one_heading(Found(3.0, 1.0, 1 + 0j), 4.0, 16.0), "order", "dev", 0)
"""Found heading north."""
NOTHING = 0.0, 0.0, 0.0
SURE = Deviation(((0.0, 0.0),), (NOTHING, NOTHING, NOTHING), "order", "sure", 0)
TWO_KM_M = 2000.0


def left(
    *legs: tuple[float, float],
    by: Deviation | None = None,
    log: LogFactor | None = None,
    frame: Frame = "true",
) -> Casualty:
    """Return a casualty left behind by (heading, metres) at 2.5 m/s, with no leeway, in a breeze of none."""
    casualty = Casualty("o", 0, 0.0, frame, 0.0, 5.0, None, None, 0j, log_factor=log, deviation=by)
    for heading_deg, metres in legs:
        for _ in range(round(metres / 2.5)):
            ahead = complex(*unit(heading_deg))
            casualty = casualty.left_by(
                Leg(
                    frame,
                    1.0,
                    2.5 * ahead,
                    ahead,
                    0.0,
                    by_wind=False,
                    untold=0.0,
                    wind_mps=0j,
                    astray_mps=0.0,
                )
            )
    return casualty


def across_m(casualty: Casualty, priors: Priors = NO_CARD) -> float:
    """Return one standard deviation across a run north or south."""
    return _east_m(way_back(casualty, priors).area)


def _east_m(area: Ellipse) -> float:
    along = radians(area.along_deg)
    return hypot(area.major_m * np.sin(along), area.minor_m * np.cos(along)) / RADIUS_95


def turned_m(deg: float) -> float:
    """Return how far two kilometres are carried aside by a compass so far out."""
    return TWO_KM_M * radians(deg)


def besides_m(of: Casualty) -> float:
    """Return what is doubted across whatever the deviation: with one that is known for sure."""
    return across_m(left((0.0 if of.run.real > 0 else 180.0, TWO_KM_M), by=SURE))


@pytest.mark.parametrize(("heading_deg", "doubt_deg"), [(0.0, 1.0), (180.0, hypot(1.0, 2 * 4.0))])
def test_a_deviation_found_on_one_heading_is_doubted_as_she_turns_from_it(
    heading_deg: float, doubt_deg: float
) -> None:
    """On that heading by its own doubt, on the reciprocal by twice the swing besides (closed form)."""
    casualty = left((heading_deg, TWO_KM_M), by=FOUND)

    expected = hypot(besides_m(casualty), turned_m(doubt_deg))
    assert across_m(casualty) == pytest.approx(expected, rel=1e-6)


def test_without_a_calibration_it_is_the_settings_doubt() -> None:
    """Two degrees and four of swing where there is no card."""
    casualty = left((0.0, TWO_KM_M))

    expected = hypot(besides_m(casualty), turned_m(hypot(2.0, 4.0)))
    assert across_m(casualty) == pytest.approx(expected, rel=1e-6)


def test_the_log_is_doubted_as_it_is_calibrated() -> None:
    """Two kilometres along by a factor known to a fifth, and to a hundredth."""

    def along_m(sd: float) -> float:
        casualty = left((0.0, TWO_KM_M), by=FOUND, log=LogFactor(1.0, sd, "order", "log", 0))
        area = way_back(casualty, NO_CARD).area
        along = radians(area.along_deg)
        return hypot(area.major_m * np.cos(along), area.minor_m * np.sin(along)) / RADIUS_95

    assert along_m(0.2) ** 2 - along_m(0.01) ** 2 == pytest.approx(
        (0.2 * TWO_KM_M) ** 2 - (0.01 * TWO_KM_M) ** 2, rel=1e-6
    )


def test_calibrated_on_the_way_each_part_has_its_own_doubt() -> None:
    """A kilometre out and one back: by one compass its error is gone, by two it is both squared."""
    out = left((0.0, 1000.0), by=FOUND)
    other = Deviation(FOUND.points, ((1.0, 0.0, 0.0), NOTHING, NOTHING), "order", "other", 9)
    back = out.calibrated(None, other)
    for _ in range(400):
        back = back.left_by(
            Leg("true", 1.0, -2.5 + 0j, -1 + 0j, 0.0, by_wind=False, untold=0.0, wind_mps=0j, astray_mps=0.0)
        )
    known = left((0.0, 1000.0), (180.0, 1000.0), by=SURE)

    assert abs(back.run) < A_CENTIMETRE
    each_m = 1000.0 * radians(1.0)
    assert across_m(back) == pytest.approx(hypot(across_m(known), each_m, each_m), rel=1e-6)


@pytest.mark.parametrize("variation_deg", [-20.0, 12.0])
def test_the_doubt_is_by_the_true_heading(variation_deg: float) -> None:
    """The same run in the magnetic frame: the same area, turned by the variation."""
    true = left((70.0, 1500.0), (200.0, 700.0), by=FOUND)
    magnetic = true.in_frame("magnetic", variation_deg)
    assert magnetic is not None
    one, other = way_back(true, NO_CARD).area, way_back(magnetic, NO_CARD, variation_deg).area

    assert (other.major_m, other.minor_m) == pytest.approx((one.major_m, one.minor_m))
    turned_deg = (one.along_deg - variation_deg - other.along_deg + 90.0) % 180.0 - 90.0
    assert turned_deg == pytest.approx(0.0, abs=1e-6)


# --- through the navigator's own door ---------------------------------------------------------------------


CALIBRATED = (
    {"id": "dev", "kind": "deviation", "deviation_deg": 3},
    {"id": "log", "kind": "log_factor", "factor": 0.9},
)


def afloat() -> Aboard:
    """Return a boat without a card, heading 095 by compass at 6 kn."""
    boat = Aboard(Tuning(variation=VariationChoice("chart", 0.0, 2026.0), compass_card=False))
    boat.run(10)
    return boat


def told(boat: Aboard) -> CasualtyReport:
    """Return the one who is overboard, as last told."""
    said = next(each for each in reversed(boat.said) if isinstance(each, OverboardReport))
    return said.casualties[0]


def pressed(boat: Aboard, *, turned: bool) -> CasualtyReport:
    """Press, and run five minutes, on the heading of now or on its reciprocal."""
    assert boat.order(id="o", kind="overboard").accepted
    boat.heading_magnetic_deg = 275.0 if turned else 95.0
    boat.run(300)
    return told(boat)


def test_the_area_of_the_way_back_is_wider_on_the_reciprocal() -> None:
    """Found to a degree on 095: on it the area is narrower than the settings', on 275 wider."""
    areas = []
    for turned, ordered in ((False, True), (True, True), (False, False)):
        boat = afloat()
        if ordered:
            boat.order(id="dev", kind="deviation", deviation_deg=3)
        areas.append(pressed(boat, turned=turned).area)
    near, far, plain = areas

    assert near is not None
    assert far is not None
    assert plain is not None
    assert near.semi_major_nm < plain.semi_major_nm < far.semi_major_nm


def test_late_withdrawn_and_restarted_are_what_they_are_for_any_order() -> None:
    """Two minutes late is in time; withdrawn is never; taken up again, the same is told."""

    def sailed(*, late: bool = False, withdrawn: bool = False, ordered: bool = True) -> Aboard:
        boat = afloat()
        boat.order(id="o", kind="overboard")
        boat.run(100)
        for each in CALIBRATED:
            if ordered and not late:
                boat.order(**each)
        boat.run(120)
        for each in CALIBRATED:
            if ordered and late:
                boat.order(**each, ago_s=120)
            if withdrawn:
                boat.order(kind="withdraw", entry=each["id"])
        boat.run(100)
        return boat

    in_time = sailed()
    assert told(sailed(late=True)) == told(in_time)
    assert told(sailed(withdrawn=True)) == told(sailed(ordered=False))
    assert told(in_time) != told(sailed(ordered=False))
    room = in_time.navigator.room
    fresh = Navigator(room.tuning, room.marks, room.reader)
    fresh.thaw(in_time.navigator.freeze(), stowed(in_time.navigator.drain()))
    again = Aboard(room.tuning)
    again.navigator, again.now_ms = fresh, in_time.now_ms
    again.run(30)
    in_time.run(30)
    assert told(again) == told(in_time)
