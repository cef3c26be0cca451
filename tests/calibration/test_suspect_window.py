"""A suspect window: what parts the satellites and is log's or compass's own calibrates; a pull never does."""

from dataclasses import replace

import numpy as np
import pytest

from calibration.test_from_satellites import course, legs_by, on_trial, ordered
from calibration.trials import BOX, NEVER_CALIBRATED, RECIPROCAL, OnTrial, Wrong
from middlewatch.navigator.area.trial import Leg, directions, tried
from middlewatch.navigator.area.trial_pull import UNSEEN_KN
from middlewatch.navigator.area.unknowns import Priors
from middlewatch.navigator.deck_log.trial_runs import SET_IN
from middlewatch.navigator.watch.agreed import Parted
from navigator.navigating import Aboard, taken_up

WRONG = Wrong(0.9, 4.0)
KN = 1852.0 / 3600.0
HEADINGS = [20.0] * 4 + [110.0] * 4 + [200.0] * 4 + [290.0] * 4


def boxed(seed: int, pull_kn: float = 0.0, after_s: float = 0.0, towards: complex = 1j) -> OnTrial:
    """Return a boat that departed and then sailed the box; a receiver drawn off from some second on."""
    boat = OnTrial(seed, WRONG, tuning=NEVER_CALIBRATED)
    if pull_kn:
        boat.draw_off(after_s, towards, pull_kn)
    boat.sail(((20.0, 60),))
    boat.depart()
    boat.sail(BOX)
    return boat


def legs(pull_kn: complex = 0j, since: int = 0, wrong: complex = 1.0 + 0j) -> list[Leg]:
    """Return a box of legs of two minutes, drawn off from one on."""
    plain = legs_by(0.4 + 0.2j, wrong, HEADINGS, np.zeros(16))
    return [
        replace(leg, ground=leg.ground + 120 * pull_kn * KN)
        if number >= since and leg.ground is not None
        else leg
        for number, leg in enumerate(plain)
    ]


# --- the trial alone --------------------------------------------------------------------------------------


@pytest.mark.parametrize("since", [2, 4, 6, 8, 11, 14])
def test_a_pull_is_found_where_it_set_in(since: int) -> None:
    """A knot to the north-east from one leg on: that leg, or the one beside it, and about that size."""
    found = tried(legs(0.7 + 0.7j, since, 0.9 + 0.06j), Priors(card=False)).set_in

    assert found is not None
    assert found.odds > SET_IN
    assert abs(found.leg - since) <= 1
    assert abs(found.mps / KN - (0.7 + 0.7j)) < 0.5


@pytest.mark.parametrize("wrong", [1.0 + 0j, 0.75 + 0j, 1.25 + 0j, complex(np.exp(1j * np.radians(15.0)))])
def test_a_log_or_a_compass_far_off_is_no_pull(wrong: complex) -> None:
    """However much they turn the apparent stream at each turn, nothing fixed to the earth set in."""
    found = tried(legs(wrong=wrong), Priors(card=False)).set_in

    assert found is not None
    assert found.odds < SET_IN / 4


def test_what_a_small_pull_leaves_is_within_what_is_told() -> None:
    """Twice what nothing betrays, set in with any leg and whichever way: within 1.96 told deviations."""
    for since in range(1, 16):
        for towards in (1.0, 1j):
            found = tried(legs(2.0 * UNSEEN_KN * towards, since, 0.9 + 0j), Priors(card=False))

            assert abs(found.factor - 0.9) < 1.96 * found.factor_sd
            assert abs(found.swing[0]) < 1.96 * found.doubt[0][0] ** 0.5


def test_on_how_many_headings_a_trial_was_run() -> None:
    """Forty degrees apart and more; all round the circle nine of them."""

    def counted(*headings: float) -> int:
        return directions(legs_by(0j, 1.0, list(headings), np.zeros(len(headings))))

    assert [counted(20), counted(20, 30), counted(20, 200), counted(20, 110, 200, 290)] == [1, 1, 2, 4]
    assert counted(350, 30, 60) == 2
    assert counted(*(10.0 * n for n in range(36))) == 9


# --- at sea -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", [13, 28])
def test_what_log_and_compass_part_they_are_calibrated_by(seed: int) -> None:
    """Ten per cent and four degrees out she parts at a turn: both are found as they are told to be known."""
    boat = boxed(seed)
    check = boat.boat.navigator.room.check
    assert check.pull.parting is not None
    assert "parting" in (check.state, *check.also)
    log, compass = ordered(boat, "log_factor"), ordered(boat, "deviation")

    assert log.accepted, log.refusal
    assert compass.accepted, compass.refusal
    found = course(boat)
    assert found.log_factor is not None
    assert found.deviation is not None
    assert abs(found.log_factor.factor - 0.9) < 1.96 * found.log_factor.sd
    assert abs(found.deviation.at(20.0) - 4.0) < 1.96 * found.deviation.sd_deg(1 + 0j)
    boat.sail(((290.0, 120),))
    assert "parting" not in (check.state, *check.also)


@pytest.mark.parametrize(("pull_kn", "after_s"), [(1.0, 900.0), (2.0, 541.0), (2.0, 1400.0)])
def test_a_pulled_receiver_calibrates_nothing(pull_kn: float, after_s: float) -> None:
    """Within a leg or at a turn: refused, and the reason is the satellites', not the runs' being too few."""
    for kind in ("log_factor", "deviation"):
        refusal = ordered(boxed(3, pull_kn, after_s, -1 + 1j), kind).refusal

        assert refusal is not None
        assert refusal.field == "from"
        assert "satellites" in refusal.reason


def test_before_a_departure_a_pull_is_found_too() -> None:
    """No state can say so then; the runs do."""
    boat = OnTrial(3, WRONG, tuning=NEVER_CALIBRATED)
    boat.draw_off(900.0, -1 + 1j, 1.5)
    boat.sail(BOX)
    refusal = ordered(boat, "log_factor").refusal

    assert refusal is not None
    assert "change of 1." in refusal.found
    assert refusal.reason.startswith("it is fixed to the earth, and so neither the log's nor the compass's")


def test_on_two_headings_a_parting_is_not_told_apart() -> None:
    """A pull that sets in with the turn looks like a log and a compass that are off: three headings tell."""
    boat = on_trial(RECIPROCAL)
    now = boat.boat.now_ms // 1000
    agreed = boat.boat.navigator.room.check.agreed
    agreed.parted = Parted(now - 700, now - 400)
    refusal = ordered(boat, "log_factor").refusal
    agreed.parted = None

    assert refusal is not None
    assert "three headings" in refusal.reason
    assert ordered(boat, "log_factor").accepted


def test_a_parting_from_before_the_runs_is_none_of_theirs() -> None:
    """What set in before the first leg cannot be judged by them."""
    boat = on_trial(BOX)
    now = boat.boat.now_ms // 1000
    boat.boat.navigator.room.check.agreed.parted = Parted(now - 3000, now)
    refusal = ordered(boat, "log_factor").refusal

    assert refusal is not None
    assert refusal.reason == "the satellites were parting before these runs began"


def test_a_restart_between_changes_nothing() -> None:
    """Killed after the parting, taken up again: the same is found, to the last digit."""
    boat, other = boxed(13), boxed(13)
    kept = other.boat.navigator.drain()
    fresh = Aboard(begin=False)
    fresh.navigator = taken_up(other.boat.navigator, other.boat.navigator.freeze(), kept)
    fresh.now_ms, other.boat = other.boat.now_ms, fresh

    for each in (boat, other):
        assert ordered(each, "log_factor", id="log").accepted
        assert ordered(each, "deviation", id="dev").accepted
    assert course(other).log_factor == course(boat).log_factor
    assert course(other).deviation == course(boat).deviation
    assert other.boat.navigator.freeze() == boat.boat.navigator.freeze()
