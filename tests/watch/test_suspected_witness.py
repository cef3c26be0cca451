"""When heading or log is suspected before the receiver: it swings and comes back, or she may go astern."""

from cmath import exp
from math import radians, sin

import pytest

from middlewatch.navigator.watch.brought_up import BroughtUp
from middlewatch.navigator.watch.swung import AGAIN_S, MOST_S, Swung

KN = 5.0


def suspected(headings_deg: list[float], swung: Swung | None = None) -> list[bool]:
    """Return in which seconds heading or log is suspected at five knots, after two steady minutes."""
    swung = swung or Swung()
    for _ in range(120):
        swung.suspected(KN + 0j)
    return [swung.suspected(KN * exp(1j * radians(each))) for each in headings_deg]


def test_a_compass_that_swings_and_comes_back_is_suspected_while_it_is_far_off() -> None:
    """Twenty degrees and back within ten seconds, as under a power line: while it is over fifteen off."""
    swings = [20.0 * sin(radians(18.0 * second)) for second in range(11)]

    far = [abs(swing) > 15.0 for swing in swings]
    assert all(seen for seen, is_far in zip(suspected(swings), far, strict=True) if is_far)
    assert sum(far) == 5


def test_a_heading_that_stays_is_suspected_for_twenty_seconds_at_most() -> None:
    """A step in a witness within twenty seconds is the witness's (the design); a lasting one is looked at."""
    assert sum(suspected([40.0] * 300)) <= MOST_S + 300 / AGAIN_S
    assert not any(suspected([40.0] * 300)[150:])


def test_of_a_boat_that_yaws_one_second_in_six_is_suspected_in_the_end() -> None:
    """However she yaws, a pull is only that much smaller."""
    yaw = suspected([25.0 * sin(radians(30.0 * second)) for second in range(3600)])

    assert sum(yaw) <= MOST_S + 3600 / AGAIN_S


def test_steady_steering_is_never_suspected() -> None:
    """Two degrees to either side."""
    assert not any(suspected([2.0 * sin(radians(45.0 * second)) for second in range(600)]))


@pytest.mark.parametrize(("by_order", "seconds"), [(False, 60), (True, 180)])
def test_a_boat_brought_up_may_go_astern_for_a_while(by_order: bool, seconds: int) -> None:
    """Stopped from five knots, the wheel turns again and nobody knows which way; longer by order."""
    up = BroughtUp()
    assert not any(up.may_back(1000 * second, KN, by_order=by_order) for second in range(60))
    assert up.may_back(60_000, 0.3, by_order=by_order)
    backs = [up.may_back(60_000 + 1000 * second, 1.5, by_order=by_order) for second in range(1, 300)]

    assert backs == [True] * (seconds - 1) + [False] * (300 - seconds)


@pytest.mark.parametrize(
    ("log_kn", "along_kn", "seconds"),
    [
        (2.0, -4.0, 300),  # astern at two knots
        (2.0, -2.0, 60),  # drawn back at two knots, while she goes ahead
        (5.0, -2.0, 60),
        (2.0, 2.0, 60),  # drawn ahead
        (1.0, -2.0, 300),  # this one looks like backing, and is told later
    ],
)
def test_what_looks_like_backing_is_taken_for_it_longer(log_kn: float, along_kn: float, seconds: int) -> None:
    """A log that shows her ahead at what she makes astern is off by twice that, along the heading."""
    up = BroughtUp()
    assert not any(up.may_back(1000 * second, KN, by_order=False) for second in range(60))
    assert up.may_back(60_000, 0.3, by_order=False)
    backs = [
        up.may_back(60_000 + 1000 * second, log_kn, by_order=False, along_kn=along_kn)
        for second in range(1, 400)
    ]

    assert backs == [True] * (seconds - 1) + [False] * (400 - seconds)


def test_in_light_airs_nobody_was_brought_up() -> None:
    """A boat that never had two knots of way is not taken to back."""
    up = BroughtUp()

    assert not any(up.may_back(1000 * second, second % 20 / 15.0, by_order=True) for second in range(3600))
