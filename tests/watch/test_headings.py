"""Two compasses against each other: which turned alone, and what is said of it."""

from collections.abc import Callable
from math import radians, sin

import pytest

from area.model import chance
from entries.entering import Aboard
from middlewatch.navigator.tuning import Tuning
from middlewatch.navigator.watch.headings import APART_DEG, KEPT, SAMPLE_S, Headings, Pair
from middlewatch.quantities.angles import direction
from middlewatch.readings.sentences import Heading, HeadingKind

SOURCES = ("HCHDM@bow", "TIROT@mast")
Shown = Callable[[int], tuple[float, float]]


def compared(shown: Shown, seconds: int = 900) -> Headings:
    """Return what comes of two compasses that show so much at a second."""
    headings = Headings()
    for second in range(0, seconds, SAMPLE_S):
        steering_deg, other_deg = shown(second)
        headings.tick(second, SOURCES, Pair(direction(steering_deg), direction(other_deg)))
    return headings


def test_the_one_that_turns_alone_is_found() -> None:
    """The steering one steps by 20 degrees, or the other, across north too; the words give both."""
    steering = compared(lambda second: (350.0 + (20.0 if second >= 600 else 0.0), 353.0)).apart
    other = compared(lambda second: (350.0, 353.0 - (20.0 if second >= 600 else 0.0))).apart

    assert steering is not None
    assert steering.steering_turned
    assert steering.words.startswith(
        "HCHDM@bow went from 350 to 010, TIROT@mast went from 353 to 353: 20 degrees"
    )
    assert other is not None
    assert not other.steering_turned


@pytest.mark.parametrize("turn_deg", [30.0, 90.0, -170.0])
def test_a_turn_of_the_boat_parts_nothing(turn_deg: float) -> None:
    """Both turn within 20 s, the other some seconds late, their deviations 5 degrees apart then."""

    def shown(second: int) -> tuple[float, float]:
        on, late = (min(1.0, max(0.0, (second - at) / 20.0)) for at in (600, 604))
        return 80.0 + turn_deg * on, 82.0 + turn_deg * late + 5.0 * late

    assert compared(shown).apart is None


@pytest.mark.parametrize("degrees_a_second", [1.5, 3.0, -6.0])
def test_circling_parts_nothing(degrees_a_second: float) -> None:
    """Under engine, round and round for ten minutes: the other is eight seconds behind all the while."""

    def shown(second: int) -> tuple[float, float]:
        turned, behind = (degrees_a_second * max(0, second - at) for at in (300, 308))
        return 80.0 + turned, 82.0 + behind

    assert compared(shown).apart is None


def test_a_seaway_parts_nothing_in_a_day() -> None:
    """Both yaw by 10 degrees, each with 2 of its own, for 24 hours; and a step of just the least is found."""
    draw = chance(7, 0)
    own = draw.normal(0.0, 2.0, (2, 24 * 3600))

    def shown(second: int) -> tuple[float, float]:
        yaw = 10.0 * sin(radians(second * 9.0))
        return 200.0 + yaw + float(own[0, second]), 205.0 + yaw + float(own[1, second])

    def then(second: int) -> tuple[float, float]:
        steering_deg, other_deg = shown(second)
        return steering_deg + (1.2 * APART_DEG if second >= 3600 else 0.0), other_deg

    assert compared(shown, 24 * 3600).apart is None
    assert compared(then, 3600 + KEPT * SAMPLE_S).apart is not None


def test_back_where_it_was_it_is_over() -> None:
    """A loudspeaker beside the sensor, for two minutes."""
    assert (
        compared(lambda second: (90.0 + (25.0 if 600 <= second < 720 else 0.0), 90.0), 700).apart is not None
    )
    assert compared(lambda second: (90.0 + (25.0 if 600 <= second < 720 else 0.0), 90.0), 900).apart is None


def test_a_pair_that_changes_begins_anew() -> None:
    """Another source beside it, or a silence, and nothing is concluded for a while."""
    headings = compared(lambda _: (90.0, 90.0), 600)
    headings.tick(600, ("HCHDM@bow", "AGHDG@helm"), Pair(90.0, 140.0))
    silent = compared(lambda _: (90.0, 90.0), 600)
    silent.tick(600, SOURCES, None)
    silent.tick(605, SOURCES, Pair(90.0, 140.0))

    assert (headings.apart, len(headings.samples)) == (None, 1)
    assert (silent.apart, len(silent.samples)) == (None, 1)


# --- through the navigator ----------------------------------------------------------------------------------


class TwoCompasses(Aboard):
    """A boat with a second compass, of another maker and place."""

    other_deg: float | None = 97.0
    other = "IIHDM@helm"

    def second(self) -> list:  # type: ignore[type-arg]  # as the boat's own
        """Hear the second compass too."""
        if self.other_deg is not None:
            heading = Heading(self.now_ms + 50, self.other, HeadingKind.MAGNETIC, self.other_deg, None, None)
            self.navigator.step(heading)
        return super().second()


def test_a_compass_that_steps_beside_another_is_told() -> None:
    """No satellites are heard: the two alone tell, with both readings; by hand it ends."""
    boat = TwoCompasses(Tuning(area_warn_nm=5.0))
    boat.run(10)
    boat.depart()
    boat.run(300)
    before = boat.alerts("heading")
    boat.heading_magnetic_deg = 113.0
    boat.run(60)
    told = boat.alerts("heading")[-1]
    boat.order(kind="by_hand", heading_deg=95, reference="magnetic")
    boat.run(10)

    assert before == []
    assert (told.priority, told.state) == ("caution", "active")
    assert told.text.startswith("HCHDM@bow went from 095 to 113, IIHDM@helm went from 097 to 097: 18 degrees")
    assert boat.alerts("heading")[-1].state == "normal"


def test_one_instrument_in_two_sentences_is_no_second_witness() -> None:
    """The same talker on the same input is not held against itself."""
    boat = TwoCompasses(Tuning(area_warn_nm=5.0))
    boat.other = "HCHDT@bow"
    boat.run(300)
    boat.heading_magnetic_deg = 113.0
    boat.run(60)

    assert boat.navigator.room.instruments.beside is None
    assert boat.alerts("heading") == []


def test_a_deviation_that_goes_on_with_another_compass_is_told() -> None:
    """It was found with the one that is silent now; the caution of the change names the order."""
    boat = TwoCompasses(Tuning(area_warn_nm=5.0))
    boat.run(10)
    boat.depart()
    boat.order(id="dv1", kind="deviation", deviation_deg=3)
    boat.run(60)
    boat.heading_magnetic_deg = None
    boat.run(15)

    assert "the deviation by order (dv1) goes on with it: cancel it if it was the other's" in (
        boat.alerts("heading")[-1].text
    )
