"""Log and compass found out: steps that the boat did not make, and all the steps that she did."""

from collections.abc import Callable
from math import cos, radians, sin

import pytest

from middlewatch.navigator.watch.log_and_compass import LogAndCompass, Sample

KN = 1852.0 / 3600.0
CHANGES = 150


class Sailing:
    """A boat at true heading and speed, what her instruments show, and a wind from 100 true."""

    def __init__(self) -> None:
        self.watch = LogAndCompass()
        self.north_m = self.east_m = 0.0
        self.second = 0

    def sail(
        self,
        seconds: int,
        true: Callable[[int], tuple[float, float]],
        shown: Callable[[int], tuple[float, float]],
        *,
        wind: bool = False,
    ) -> None:
        """Sail; `true` and `shown`: heading (degrees) and speed (kn) at a second."""
        for _ in range(seconds):
            self.second += 1
            (heading, kn), (shown_deg, log_kn) = true(self.second), shown(self.second)
            self.north_m += KN * (kn * cos(radians(heading)) - log_kn * cos(radians(shown_deg)))
            self.east_m += KN * (kn * sin(radians(heading)) - log_kn * sin(radians(shown_deg)))
            if self.second % 5 == 0:
                angle = (100.0 - heading) % 360.0 if wind else None
                self.watch.tick(
                    self.second,
                    Sample(self.second, shown_deg, shown_deg, log_kn, self.north_m, self.east_m, angle),
                )


def from_change(
    before: tuple[float, float], after: tuple[float, float]
) -> Callable[[int], tuple[float, float]]:
    """Return one thing until the change and another from then on."""
    return lambda second: before if second <= CHANGES else after


def steady(heading: float, kn: float) -> Callable[[int], tuple[float, float]]:
    """Return the same always."""
    return lambda _second: (heading, kn)


def test_a_log_that_falls_by_half_while_she_goes_on() -> None:
    """Six knots made good all the time, the log falls to three: fouled, within three quarters of a minute."""
    sailing = Sailing()
    sailing.sail(CHANGES + 45, steady(40.0, 6.0), from_change((40.0, 6.0), (40.0, 3.0)))

    assert sailing.watch.fouled is not None
    assert sailing.watch.fouled.words.startswith("log went from 6.0 to 3.0 kn")
    assert sailing.watch.stepped is None


def test_a_boat_that_loses_her_way_has_no_fouled_log() -> None:
    """She slows from six to three in a lull, and so does the log."""
    sailing = Sailing()
    change = from_change((40.0, 6.0), (40.0, 3.0))
    sailing.sail(CHANGES + 120, change, change)

    assert sailing.watch.fouled is None


@pytest.mark.parametrize("weedy_kn", [3.0, 0.0])
def test_a_log_that_is_clear_again_is_fouled_no_more(weedy_kn: float) -> None:
    """The weed comes off: the log shows six again, also where the wheel had stood."""
    sailing = Sailing()
    weed = lambda second: (40.0, weedy_kn if CHANGES < second <= CHANGES + 100 else 6.0)  # noqa: E731 -- one use
    sailing.sail(CHANGES + 100, steady(40.0, 6.0), weed)
    assert sailing.watch.fouled is not None
    sailing.sail(60, steady(40.0, 6.0), weed)
    assert sailing.watch.fouled is None
    sailing.sail(120, steady(40.0, 6.0), weed)
    assert sailing.watch.fouled is None


@pytest.mark.parametrize("wind", [False, True])
@pytest.mark.parametrize("by_deg", [13.0, 20.0, 60.0, 61.0, 90.0, 120.0, 179.0])
def test_a_heading_that_steps_while_she_goes_straight_on(wind: bool, by_deg: float) -> None:
    """Steered by hand, the compass shows so much more from one second to the next, and goes on so."""
    sailing = Sailing()
    shown = from_change((40.0, 5.0), (40.0 + by_deg, 5.0))
    sailing.sail(CHANGES + 30, steady(40.0, 5.0), shown, wind=wind)

    assert sailing.watch.stepped is not None
    assert f"stepped {by_deg:.0f} degrees to starboard" in sailing.watch.stepped.words
    sailing.sail(120, steady(40.0, 5.0), shown, wind=wind)
    assert sailing.watch.stepped is not None


def test_a_compass_that_swings_round_by_half_a_circle_to_and_fro_has_stepped_once() -> None:
    """Shown to either side of the other end while it lasts, it is the same step; back again, it is over."""
    sailing = Sailing()

    def round_about(second: int) -> tuple[float, float]:
        there = CHANGES < second <= CHANGES + 90
        return (219.0 if second // 10 % 2 else 221.0) if there else 40.0, 5.0

    sailing.sail(CHANGES + 90, steady(40.0, 5.0), round_about)
    assert sailing.watch.stepped is not None
    sailing.sail(60, steady(40.0, 5.0), round_about)
    assert sailing.watch.stepped is None


def test_a_compass_that_steps_back_has_stepped_no_more() -> None:
    """Along a steel wall for a minute: found, and over when it shows what it showed before."""
    sailing = Sailing()

    def wall(second: int) -> tuple[float, float]:
        return (60.0 if CHANGES < second <= CHANGES + 60 else 40.0), 5.0

    sailing.sail(CHANGES + 60, steady(40.0, 5.0), wall)
    assert sailing.watch.stepped is not None
    sailing.sail(60, steady(40.0, 5.0), wall)
    assert sailing.watch.stepped is None
    sailing.sail(120, steady(40.0, 5.0), wall)
    assert sailing.watch.stepped is None


@pytest.mark.parametrize("by_deg", [20.0, -40.0, 60.0, 90.0, -120.0, 180.0])
def test_a_turn_is_no_step(by_deg: float) -> None:
    """She alters course, and makes it good."""
    sailing = Sailing()
    change = from_change((40.0, 5.0), (40.0 + by_deg, 5.0))
    sailing.sail(CHANGES + 120, change, change, wind=True)

    assert sailing.watch.stepped is None
    assert sailing.watch.stuck is None


def test_a_turn_with_ten_degrees_of_other_leeway_is_no_step() -> None:
    """She bears away by 30 degrees, and 8 of leeway are gone with that."""
    sailing = Sailing()
    sailing.sail(CHANGES + 120, from_change((48.0, 5.0), (70.0, 5.0)), from_change((40.0, 5.0), (70.0, 5.0)))

    assert sailing.watch.stepped is None


@pytest.mark.parametrize("by_deg", [13.0, 20.0, 90.0, 150.0])
def test_an_autopilot_on_a_compass_that_steps_turns_the_boat(by_deg: float) -> None:
    """Shown is the same course; wind and satellites say that she turned by so much to port."""
    sailing = Sailing()
    sailing.sail(CHANGES + 40, from_change((40.0, 5.0), (40.0 - by_deg, 5.0)), steady(40.0, 5.0), wind=True)

    assert sailing.watch.stepped is not None
    assert f"turned {by_deg:.0f} degrees to port by wind and satellites" in sailing.watch.stepped.words


def test_a_compass_that_shows_the_same_through_a_turn_is_stuck() -> None:
    """Two minutes of the same digits through a turn of 70 degrees; the first other digit ends it."""
    sailing = Sailing()
    sailing.sail(CHANGES + 60, from_change((40.0, 5.0), (110.0, 5.0)), steady(40.0, 5.0))
    assert sailing.watch.stuck is not None
    assert "through a turn of 70 degrees" in sailing.watch.stuck.words

    sailing.sail(5, steady(110.0, 5.0), steady(108.0, 5.0))
    assert sailing.watch.stuck is None


def test_a_steady_course_is_not_stuck() -> None:
    """The same digits for ten minutes on a course that is made good."""
    sailing = Sailing()
    sailing.sail(600, steady(40.0, 5.0), steady(40.0, 5.0), wind=True)

    assert sailing.watch.stuck is None


def test_what_was_found_is_let_go_of() -> None:
    """Half an hour after a step, also where no satellites are heard; at once when she is steered by hand."""
    sailing = Sailing()
    sailing.sail(CHANGES + 30, steady(40.0, 5.0), from_change((40.0, 5.0), (60.0, 5.0)))
    found = sailing.watch.stepped
    assert found is not None

    sailing.watch.tick(found.second + 1799, None)
    assert sailing.watch.stepped is not None
    sailing.watch.tick(found.second + 1801, None)
    assert sailing.watch.stepped is None

    sailing.watch.stepped = found
    sailing.watch.mend(log=True, compass=False)
    assert sailing.watch.stepped is not None
    sailing.watch.mend(log=False, compass=True)
    assert sailing.watch.stepped is None
