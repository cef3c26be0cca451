"""The deviation card is read off round the whole circle, and back again."""

from math import inf, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from middlewatch.navigator.reckoning.card import Card
from middlewatch.quantities.angles import turn
from reference.compass_cases import COMPASS_READ, DEVIATION_READ, CardReading

a_billionth = 1e-9
directions = st.floats(0.0, 360.0, exclude_max=True)


@st.composite
def cards(draw: st.DrawFn) -> Card:
    """Make a card as compasses have: points 10 degrees apart or more, falling by under a degree in one."""
    spokes = draw(st.lists(st.integers(0, 35), min_size=1, max_size=12, unique=True))
    first = draw(st.floats(0.0, 9.9))
    return Card(tuple((first + 10.0 * spoke, draw(st.floats(-4.9, 4.9))) for spoke in spokes))


@pytest.mark.parametrize(
    ("asked", "expected"), list(zip(DEVIATION_READ.asked_deg, DEVIATION_READ.expected_deg, strict=True))
)
def test_deviation_between_two_points(asked: float, expected: float) -> None:
    """Deviation between two points lies on the line between them, through north too (C-11)."""
    card = Card(DEVIATION_READ.points)

    assert card.deviation_at(asked) == pytest.approx(expected, abs=DEVIATION_READ.tolerance_deg)


@pytest.mark.parametrize("printed", COMPASS_READ, ids=lambda printed: printed.case)
def test_the_compass_heading_for_a_magnetic_one(printed: CardReading) -> None:
    """A steer-by card gives the compass heading for a magnetic one (C-13, C-14)."""
    compass_deg = Card(printed.points).compass(printed.asked_deg[0])

    assert compass_deg == pytest.approx(printed.expected_deg[0], abs=printed.tolerance_deg)


def test_a_steer_by_card_worked_straight() -> None:
    """Between the published points the line is straight: 219 M is 220.7 C (C-13, worked again)."""
    assert Card(COMPASS_READ[0].points).compass(219.0) == pytest.approx(220.7, abs=a_billionth)


@given(cards(), directions)
def test_compass_and_magnetic_are_each_others_inverse(card: Card, heading: float) -> None:
    """From compass to magnetic and back, and from magnetic to compass and back, is home."""
    assert turn(card.compass(card.magnetic(heading)), heading) == pytest.approx(0.0, abs=a_billionth)
    assert turn(card.magnetic(card.compass(heading)), heading) == pytest.approx(0.0, abs=a_billionth)


@given(cards())
def test_the_points_are_on_the_card(card: Card) -> None:
    """At each of its points the card gives that point's deviation."""
    for heading, deviation in card.points:
        assert card.deviation_at(heading) == pytest.approx(deviation, abs=a_billionth)


@given(cards(), directions)
def test_no_deviation_beyond_the_points(card: Card, heading: float) -> None:
    """Between its points a card never gives more than the largest of them, nor less than the least."""
    deviations = [deviation for _, deviation in card.points]

    assert min(deviations) - a_billionth <= card.deviation_at(heading) <= max(deviations) + a_billionth


@given(cards(), directions)
def test_the_order_of_the_points_does_not_matter(card: Card, heading: float) -> None:
    """A card written from the last point to the first is the same card."""
    assert Card(card.points[::-1]).deviation_at(heading) == card.deviation_at(heading)


@given(st.floats(-20.0, 20.0), directions)
def test_one_point_is_a_constant(deviation: float, heading: float) -> None:
    """A card of one point has that deviation on every heading."""
    assert Card(((90.0, deviation),)).deviation_at(heading) == deviation


@given(directions)
def test_a_blank_card_changes_nothing(heading: float) -> None:
    """A card without points is blank, its deviation nil, compass and magnetic the same."""
    card = Card(())

    assert card.blank
    assert card.deviation_at(heading) == 0.0
    assert card.magnetic(heading) == card.compass(heading) == heading


def test_a_card_with_points_is_not_blank() -> None:
    """A card that says nil is a card."""
    assert not Card(((0.0, 0.0),)).blank


def test_360_is_000() -> None:
    """A card may close itself with 360, where it says the same as at 000."""
    assert Card(((0.0, 2.0), (180.0, -2.0), (360.0, 2.0))).deviation_at(270.0) == pytest.approx(0.0)


@pytest.mark.parametrize(
    ("points", "why"),
    [
        (((0.0, 2.0), (360.0, 1.0)), "two deviations at 0"),
        (((10.0, 5.0), (20.0, -5.0)), "falls from 5 at 10 to -5 at 20"),
        (((350.0, 10.0), (10.0, -11.0)), "falls from 10 at 350 to -11 at 10"),
        (((nan, 1.0),), "not two numbers"),
        (((10.0, inf),), "not two numbers"),
    ],
)
def test_no_compass_has_such_a_card(points: tuple[tuple[float, float], ...], why: str) -> None:
    """A card that contradicts itself, or on which two headings share one magnetic heading, is refused."""
    with pytest.raises(ValueError, match=why):
        Card(points)
