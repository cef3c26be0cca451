"""What a parting that is over has left between satellites and reckoning is said while it is there."""

from collections.abc import Callable

import pytest

from entries.entering import Aboard
from middlewatch.navigator.watch.left import LEAST_NM, Leaving, Left
from middlewatch.navigator.watch.pull import KEPT_S, Pull
from middlewatch.quantities.positions import Position
from watch.test_pull import steady
from watch.test_when_satellites_lie import KNOT, aboard, sailed

DRAWN_S = 400


def drawn_north(boat: Aboard, kn: float) -> Callable[[int], Position]:
    """Return where a receiver has her that is drawn northward from now on for a while, and no further."""
    begins = boat.seconds

    def place(second: int) -> Position:
        return sailed(boat, second).moved(kn * KNOT * max(0, min(DRAWN_S, second - begins)), 0.0)

    return place


def over() -> Aboard:
    """Return a boat whose receiver was drawn off across her heading, which nobody was to blame for."""
    boat = aboard()
    boat.satellites = drawn_north(boat, 1.6)
    boat.run(DRAWN_S + 240)
    assert (boat.satellite.state, boat.satellite.causes) == ("in_step", ())
    return boat


def test_in_step_again_it_is_said_what_was_left() -> None:
    """Two tenths of a mile, ordinary and still there: said as the reason, and where it is departed from."""
    boat = over()
    reason = boat.satellite.reason or ""
    assert reason.startswith("what set in at 0125 is over since 0133, and has left about 0.18 ")
    assert reason.endswith("nm towards 000 T in the gap: only a fix tells whose that is")

    effect = boat.order(id="d2", kind="departure", **{"from": "satellite"}).effect or ""
    assert effect.endswith(f"; mind that {reason}")


def test_it_is_said_until_the_origin_is_another() -> None:
    """A departure from where she is: the gap itself tells now."""
    boat = over()
    here = sailed(boat, boat.seconds)
    boat.depart(id="d2", latitude_deg=here.latitude_deg, longitude_deg=here.longitude_deg)
    boat.run(2)
    assert "set in" not in (boat.satellite.reason or "")


def test_it_is_said_while_it_is_there() -> None:
    """A receiver that comes back to where she is has left nothing."""
    boat = over()
    boat.satellites = lambda second: sailed(boat, second)
    boat.run(90)
    assert "set in" not in (boat.satellite.reason or "")


def pulled(leaving: Leaving, kn: float, seconds: int, pull: Pull | None = None) -> Pull:
    """Let the test see a steady apparent stream northward, and what is left be counted."""
    pull = pull or Pull()
    for _ in range(seconds):
        steady(1, kn, pull)
        leaving.tick(pull.second, pull)
    return pull


@pytest.mark.parametrize(("then_kn", "left_nm"), [(2.5, 0.6), (-2.5, None), (0.0, 0.3)])
def test_what_partings_leave_adds_up(then_kn: float, left_nm: float | None) -> None:
    """Three tenths north, and then as far again, back, or no further: what is left is of both."""
    leaving = Leaving()
    pull = pulled(leaving, 0.0, 1200)
    for kn in (2.5, then_kn):
        pulled(leaving, kn, 432, pull)
        pulled(leaving, 0.0, 400, pull)

    assert pull.parting is None
    assert (leaving.left is None) == (left_nm is None)
    if leaving.left is not None:
        assert leaving.left.nm == pytest.approx(left_nm, abs=0.03)


def test_a_short_one_leaves_nothing_and_one_unended_is_not_over() -> None:
    """Under a tenth of a mile nothing is said; what was taken for the stream goes on."""
    leaving = Leaving()
    pull = pulled(leaving, 0.0, 1200)
    pulled(leaving, 2.0, 100, pull)
    pulled(leaving, 0.0, 300, pull)
    assert (pull.parting, leaving.left) == (None, None)

    pulled(leaving, 2.0, KEPT_S + 100, pull)
    assert pull.unended is not None
    assert (leaving.makes, leaving.left) == (None, None)


def test_it_is_there_while_the_gap_has_half_of_it() -> None:
    """Along it, and not across."""
    left = Left(0, 1, 1852.0 * LEAST_NM, 0.0)
    assert left.is_there(0.06, 0.0)
    assert not left.is_there(0.04, 0.0)
    assert not left.is_there(0.06, 90.0)
