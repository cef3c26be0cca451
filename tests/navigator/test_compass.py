"""Compass to magnetic to true: each link is applied once, the right way, and shown."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from middlewatch.navigator.reckoning.card import Card
from middlewatch.navigator.reckoning.compass import (
    NoCard,
    ShipHead,
    bearing_chain,
    heading_chain,
    in_words,
    sensor_magnetic,
)
from middlewatch.navigator.reckoning.variation import Found
from middlewatch.quantities.angles import direction, turn
from middlewatch.readings.entries import Reference
from middlewatch.readings.sentences import Heading, HeadingKind
from middlewatch.reports.answer import ChainReport
from reference.compass_cases import (
    BEARING_ON_A_HEAD,
    FROM_COMPASS,
    MAGNETIC_AND_TRUE,
    TO_COMPASS,
    Chain,
)

BLANK = Card(())
LOST = ShipHead(None, None)
a_billionth = 1e-9
directions = st.floats(0.0, 360.0, exclude_max=True)


def constant(deviation_deg: float) -> Card:
    """Return a card of one deviation on every heading."""
    return Card(((0.0, deviation_deg),))


def east(variation_deg: float | None) -> Found | None:
    """Return a variation, or None for one not known."""
    return None if variation_deg is None else Found(variation_deg, "the chart")


@pytest.mark.parametrize("printed", FROM_COMPASS, ids=lambda printed: printed.case)
def test_from_compass_to_true(printed: Chain) -> None:
    """A heading by compass comes to the printed magnetic and true headings."""
    assert printed.compass_deg is not None
    chain = heading_chain(
        *(printed.compass_deg, "compass"),
        steering_card=constant(printed.deviation_deg),
        variation=east(printed.variation_deg),
    )

    assert chain.deviation_deg == printed.deviation_deg
    if printed.magnetic_deg is not None:
        assert chain.magnetic_deg == pytest.approx(printed.magnetic_deg, abs=a_billionth)
    if printed.true_deg is not None:
        assert chain.true_deg == pytest.approx(printed.true_deg, abs=a_billionth)


@pytest.mark.parametrize("printed", TO_COMPASS, ids=lambda printed: printed.case)
def test_from_true_or_magnetic_to_compass(printed: Chain) -> None:
    """The compass heading printed for a magnetic or true one is the card's inverse, and chains back to it."""
    magnetic_deg = printed.magnetic_deg
    if printed.true_deg is not None and printed.variation_deg is not None:
        magnetic_deg = direction(printed.true_deg - printed.variation_deg)
    assert magnetic_deg is not None
    card = constant(printed.deviation_deg)

    compass_deg = card.compass(magnetic_deg)
    back = heading_chain(compass_deg, "compass", steering_card=card, variation=east(printed.variation_deg))

    assert compass_deg == pytest.approx(printed.compass_deg, abs=a_billionth)
    assert back.true_deg == (None if printed.true_deg is None else pytest.approx(printed.true_deg))


@pytest.mark.parametrize("printed", MAGNETIC_AND_TRUE, ids=lambda printed: printed.case)
def test_magnetic_and_true(printed: Chain) -> None:
    """A magnetic bearing comes to the printed true one."""
    assert printed.magnetic_deg is not None
    chain = bearing_chain(
        *(printed.magnetic_deg, "magnetic"),
        ship=LOST,
        steering_card=BLANK,
        variation=east(printed.variation_deg),
    )

    assert chain.true_deg == pytest.approx(printed.true_deg, abs=a_billionth)
    assert chain == ChainReport(
        None, None, printed.magnetic_deg, printed.variation_deg, "the chart", chain.true_deg
    )


def test_variation_that_fits() -> None:
    """180 C with deviation 2 E and 176 T leaves variation 6 W (C-18, NAVEDTRA 14221)."""
    chain = heading_chain(180.0, "compass", steering_card=constant(2.0), variation=None)

    assert chain.magnetic_deg is not None
    assert turn(chain.magnetic_deg, 176.0) == -6.0


def test_deviation_is_for_the_ships_head() -> None:
    """A bearing by the ship's compass takes the deviation of the head, not of the bearing (C-16)."""
    case = BEARING_ON_A_HEAD
    card = Card(((case.head_compass_deg, case.deviation_on_head_deg), (case.bearing_compass_deg, -9.0)))
    variation = east(case.variation_deg)
    ship = ShipHead(case.head_compass_deg + case.deviation_on_head_deg, None)

    chain = bearing_chain(
        case.bearing_compass_deg, "compass", ship=ship, steering_card=card, variation=variation
    )

    assert chain.true_deg == pytest.approx(case.bearing_true_deg, abs=a_billionth)
    assert chain.deviation_deg == pytest.approx(case.deviation_on_head_deg, abs=a_billionth)


@given(directions, directions, st.floats(-30.0, 30.0))
def test_the_head_may_be_known_true_only(bearing: float, head_true: float, variation_deg: float) -> None:
    """The deviation for a true head is that for the magnetic head it stands for."""
    card = Card(((0.0, 5.0), (90.0, -3.0), (200.0, 4.0)))
    variation = Found(variation_deg, "the chart")
    heads = ShipHead(None, head_true), ShipHead(direction(head_true - variation_deg), None)

    by_true, by_magnetic = (
        bearing_chain(bearing, "compass", ship=ship, steering_card=card, variation=variation).true_deg
        for ship in heads
    )

    assert by_true is not None
    assert by_magnetic is not None
    assert turn(by_true, by_magnetic) == pytest.approx(0.0, abs=a_billionth)


@pytest.mark.parametrize("ship", [LOST, ShipHead(None, 90.0)])
def test_no_head_no_deviation(ship: ShipHead) -> None:
    """A bearing by the ship's compass on a head not known stays a compass bearing."""
    chain = bearing_chain(44.0, "compass", ship=ship, steering_card=constant(3.0), variation=None)

    assert chain == ChainReport(44.0, None, None, None, None, None)
    assert in_words(chain) == "044 C, deviation unknown"


def test_no_card_no_compass() -> None:
    """A direction by the ship's compass without a card is refused, never taken as magnetic."""
    variation = Found(1.0, "the chart")
    with pytest.raises(NoCard, match="no deviation card"):
        bearing_chain(44.0, "compass", ship=ShipHead(10.0, 11.0), steering_card=BLANK, variation=variation)
    with pytest.raises(NoCard, match="no deviation card"):
        heading_chain(44.0, "compass", steering_card=BLANK, variation=variation)


@pytest.mark.parametrize(
    ("ship", "variation", "expected"),
    [
        # By a magnetic compass: the variation is part of the chain.
        (ShipHead(300.0, 317.0), 17.0, ChainReport(None, None, 30.0, 17.0, "the chart", 47.0)),
        (ShipHead(300.0, None), 17.0, ChainReport(None, None, 30.0, 17.0, "the chart", 47.0)),
        (ShipHead(300.0, None), None, ChainReport(None, None, 30.0, None, None, None)),
        # By a gyro: it is not, whatever a magnetic compass says beside it.
        (ShipHead(None, 317.0), 17.0, ChainReport(None, None, None, None, None, 47.0)),
        (ShipHead(300.0, 318.0), 17.0, ChainReport(None, None, None, None, None, 48.0)),
        (ShipHead(300.0, 317.0), None, ChainReport(None, None, None, None, None, 47.0)),
        (LOST, 17.0, ChainReport(None, None, None, None, None, None)),
    ],
)
def test_relative_to_the_bow(ship: ShipHead, variation: float | None, expected: ChainReport) -> None:
    """A relative bearing is added to the ship's true head, shown through the magnetic one if made of it."""
    assert (
        bearing_chain(90.0, "relative", ship=ship, steering_card=BLANK, variation=east(variation)) == expected
    )


def test_a_heading_is_never_relative() -> None:
    """A heading relative to itself is refused."""
    with pytest.raises(ValueError, match="cannot be relative"):
        heading_chain(10.0, "relative", steering_card=BLANK, variation=None)


@given(directions, st.sampled_from(("true", "magnetic")))
def test_true_and_magnetic_need_no_head(degrees: float, reference: Reference) -> None:
    """True and magnetic directions chain alike as heading and as bearing, and need no card."""
    variation = Found(17.0, "the chart")

    as_heading = heading_chain(degrees, reference, steering_card=BLANK, variation=variation)
    as_bearing = bearing_chain(degrees, reference, ship=LOST, steering_card=BLANK, variation=variation)

    assert as_heading == as_bearing
    assert as_heading.true_deg == (degrees if reference == "true" else direction(degrees + 17.0))


@pytest.mark.parametrize(
    ("source", "kind", "deviation", "corrected", "expected"),
    [
        ("HCHDG@bow", HeadingKind.SENSOR, None, True, 93.0),
        ("HCHDG@bow", HeadingKind.SENSOR, -2.0, True, 88.0),
        ("HCHDG@bow", HeadingKind.SENSOR, 0.0, True, 90.0),
        ("HCHDM@bow", HeadingKind.MAGNETIC, None, True, 90.0),
        ("HCHDM@bow", HeadingKind.MAGNETIC, None, False, 93.0),
        ("IIVHW@bow", HeadingKind.MAGNETIC, None, False, 90.0),
    ],
)
def test_the_sensors_heading_made_magnetic(
    source: str, kind: HeadingKind, deviation: float | None, corrected: bool, expected: float
) -> None:
    """A sensor's own deviation goes before the card; HDM takes the card only where it is not corrected."""
    heading = Heading(0, source, kind, 90.0, deviation, None)

    assert sensor_magnetic(heading, constant(3.0), hdm_corrected=corrected) == expected


@pytest.mark.parametrize(("reading", "deviation", "expected"), [(359.0, 2.0, 1.0), (1.0, -2.0, 359.0)])
def test_magnetic_headings_wrap(reading: float, deviation: float, expected: float) -> None:
    """Deviation carries a heading through north either way."""
    heading = Heading(0, "HCHDG@bow", HeadingKind.SENSOR, reading, deviation, None)

    assert sensor_magnetic(heading, BLANK, hdm_corrected=True) == expected


def test_a_sensor_without_any_deviation_stands() -> None:
    """With a blank card and no deviation field the sensor's heading is taken as magnetic."""
    heading = Heading(0, "HCHDG@bow", HeadingKind.SENSOR, 90.0, None, None)

    assert sensor_magnetic(heading, BLANK, hdm_corrected=False) == 90.0


def test_a_true_heading_is_not_magnetic() -> None:
    """A true heading is never taken for a magnetic one."""
    heading = Heading(0, "HEHDT@bridge", HeadingKind.TRUE, 90.0, None, None)

    with pytest.raises(ValueError, match="HEHDT@bridge is a true heading"):
        sensor_magnetic(heading, BLANK, hdm_corrected=True)


@pytest.mark.parametrize(
    ("chain", "words"),
    [
        (
            ChainReport(253.0, 2.0, 255.0, 17.0, "WMM2025 at 50 06 N 004 12 W, 2026.3", 272.0),
            "253 C, deviation 2 E, 255 M, variation 17 E (WMM2025 at 50 06 N 004 12 W, 2026.3), 272 T",
        ),
        (
            ChainReport(None, None, 8.04, -0.96, "the chart", 7.08),
            "008 M, variation 1 W (the chart), 007.1 T",
        ),
        (
            ChainReport(None, None, 359.97, 0.02, "the chart", 359.99),
            "000 M, variation nil (the chart), 000 T",
        ),
        (
            ChainReport(1.0, -2.5, 358.5, None, None, None),
            "001 C, deviation 2.5 W, 358.5 M, variation unknown",
        ),
        (ChainReport(None, None, None, None, None, 272.0), "272 T"),
        (ChainReport(None, None, None, None, None, None), "true direction unknown"),
    ],
)
def test_the_chain_in_words(chain: ChainReport, words: str) -> None:
    """The chain is said link by link in three figures, and where it breaks it says so."""
    assert in_words(chain) == words


@given(directions, st.floats(-30.0, 30.0), st.floats(-179.0, 180.0))
def test_every_direction_is_tagged(heading: float, deviation: float, variation: float) -> None:
    """Each direction said has three figures below 360 and one tag, and they stand in the order C, M, T."""
    chain = heading_chain(heading, "compass", steering_card=constant(deviation), variation=east(variation))

    said = re.findall(r"(?:^|, )(\d{3})(?:\.\d)? ([CMT])\b", in_words(chain))

    assert [tag for _, tag in said] == ["C", "M", "T"]
    assert all(int(figures) < 360 for figures, _ in said)
