"""The compass: every direction brought from what was read to true, link by link, each link shown.

Compass + deviation = magnetic; magnetic + variation = true; both E+. Deviation belongs to the *ship's head*,
whatever bearing is read on the ship's compass. A hand-bearing compass has no card: it reads magnetic.
"""

from dataclasses import dataclass

from middlewatch.navigator.reckoning.card import Card
from middlewatch.navigator.reckoning.variation import Found
from middlewatch.quantities.angles import direction, turn
from middlewatch.readings.entries import Reference
from middlewatch.readings.sentences import Heading, HeadingKind
from middlewatch.reports.answer import ChainReport

# A head worked true from magnetic is the same head; published directions have two decimals.
_SAME_HEAD_DEG = 0.01


class NoCard(Exception):  # noqa: N818 - it is the refusal's name, not an error of ours
    """A direction by the ship's compass, and no card for that compass."""


@dataclass(frozen=True, slots=True)
class ShipHead:
    """The ship's head at a moment, as far as it is known: magnetic, true, both or neither, in degrees."""

    magnetic_deg: float | None
    true_deg: float | None


def sensor_magnetic(heading: Heading, sensor_card: Card, *, hdm_corrected: bool) -> float:
    """Return the magnetic heading [0, 360) of a heading heard on the bus.

    HDG: its own deviation field, else the card (a blank one leaves the heading as it stands). HDM: as it
    stands where `hdm_corrected`, else through the card. VHW's M field: as it stands. ValueError for a true
    heading.
    """
    match heading.kind:
        case HeadingKind.TRUE:
            raise ValueError(f"{heading.source} is a true heading")
        case HeadingKind.SENSOR if heading.deviation_deg is not None:
            return direction(heading.heading_deg + heading.deviation_deg)
        case HeadingKind.SENSOR:
            return sensor_card.magnetic(heading.heading_deg)
        case HeadingKind.MAGNETIC if _formatter(heading.source) == "HDM" and not hdm_corrected:
            return sensor_card.magnetic(heading.heading_deg)
        case HeadingKind.MAGNETIC:
            return direction(heading.heading_deg)


def heading_chain(
    heading_deg: float, reference: Reference, *, steering_card: Card, variation: Found | None
) -> ChainReport:
    """Return the chain of a heading: its deviation is the card's at that very heading.

    `true_deg` is None where the variation is not known. NoCard for `compass` with a blank card; ValueError
    for `relative`: no heading is relative to itself.
    """
    match reference:
        case "true":
            return _true(heading_deg)
        case "magnetic":
            return _from_magnetic(heading_deg, variation)
        case "compass":
            return _from_compass(heading_deg, _card(steering_card).deviation_at(heading_deg), variation)
        case "relative":
            raise ValueError("a heading cannot be relative to the ship's head")


def bearing_chain(
    bearing_deg: float, reference: Reference, *, ship: ShipHead, steering_card: Card, variation: Found | None
) -> ChainReport:
    """Return the chain of a bearing taken while the ship had this head.

    `compass`: the card's deviation for the ship's head, never for the bearing. `relative`: clockwise from the
    bow; shown through the magnetic head where the true head is made of it. What cannot be known (variation or
    head missing) is None, and so is `true_deg` then. NoCard for `compass` with a blank card.
    """
    match reference:
        case "true":
            return _true(bearing_deg)
        case "magnetic":
            return _from_magnetic(bearing_deg, variation)
        case "compass":
            return _from_compass(
                bearing_deg, _deviation_for(ship, _card(steering_card), variation), variation
            )
        case "relative":
            return _from_bow(bearing_deg, ship, variation)


def in_words(chain: ChainReport) -> str:
    """Return the chain as a navigator says it, every direction tagged T, M or C.

    `253 C, deviation 2 E, 255 M, variation 17 E (chart rose ...), 272 T`. Whole degrees, or a decimal where
    there is one; a chain that breaks says at which link.
    """
    links = []
    if chain.compass_deg is not None:
        links += [f"{_to_the_tenth(chain.compass_deg)} C", f"deviation {_named(chain.deviation_deg)}"]
    if chain.magnetic_deg is not None:
        source = f" ({chain.variation_source})" if chain.variation_source is not None else ""
        links += [
            f"{_to_the_tenth(chain.magnetic_deg)} M",
            f"variation {_named(chain.variation_deg)}{source}",
        ]
    if chain.true_deg is not None:
        links.append(f"{_to_the_tenth(chain.true_deg)} T")
    return ", ".join(links) if links else "true direction unknown"


def _formatter(source: str) -> str:
    """Return the sentence formatter of a source: `HDM` of `HCHDM@bow`."""
    return source.partition("@")[0][-3:]


def _card(steering_card: Card) -> Card:
    if steering_card.blank:
        raise NoCard("no deviation card for the ship's compass")
    return steering_card


def _deviation_for(ship: ShipHead, steering_card: Card, variation: Found | None) -> float | None:
    """Return the deviation on the ship's head; None where the head is not known."""
    magnetic_deg = ship.magnetic_deg
    if magnetic_deg is None and ship.true_deg is not None and variation is not None:
        # True to magnetic: east variation is taken off.
        magnetic_deg = ship.true_deg - variation.value_deg
    if magnetic_deg is None:
        return None
    return steering_card.deviation_at(steering_card.compass(magnetic_deg))


def _from_compass(compass_deg: float, deviation_deg: float | None, variation: Found | None) -> ChainReport:
    if deviation_deg is None:
        return ChainReport(direction(compass_deg), None, None, *_shown(variation), None)
    # Compass to magnetic: east deviation adds.
    onward = _from_magnetic(compass_deg + deviation_deg, variation)
    return ChainReport(
        direction(compass_deg), deviation_deg, onward.magnetic_deg, *_shown(variation), onward.true_deg
    )


def _from_magnetic(magnetic_deg: float, variation: Found | None) -> ChainReport:
    # Magnetic to true: east variation adds.
    true_deg = None if variation is None else direction(magnetic_deg + variation.value_deg)
    return ChainReport(None, None, direction(magnetic_deg), *_shown(variation), true_deg)


def _from_bow(relative_deg: float, ship: ShipHead, variation: Found | None) -> ChainReport:
    by_true = None if ship.true_deg is None else _true(ship.true_deg + relative_deg)
    by_magnetic = None
    if ship.magnetic_deg is not None:
        by_magnetic = _from_magnetic(ship.magnetic_deg + relative_deg, variation)
    if by_true is None or by_magnetic is None:
        return by_true or by_magnetic or ChainReport(None, None, None, None, None, None)
    # Of a true head that is not made of the magnetic one (a gyro's) no variation is part.
    return by_magnetic if _same(by_magnetic.true_deg, by_true.true_deg) else by_true


def _true(true_deg: float) -> ChainReport:
    return ChainReport(None, None, None, None, None, direction(true_deg))


def _shown(variation: Found | None) -> tuple[float | None, str | None]:
    return (None, None) if variation is None else (variation.value_deg, variation.source)


def _same(one_deg: float | None, other_deg: float | None) -> bool:
    return one_deg is not None and other_deg is not None and abs(turn(one_deg, other_deg)) < _SAME_HEAD_DEG


def _to_the_tenth(direction_deg: float) -> str:
    return f"{round(direction_deg, 1) % 360.0:05.1f}".removesuffix(".0")


def _named(degrees_east: float | None) -> str:
    if degrees_east is None:
        return "unknown"
    size = f"{abs(degrees_east):.1f}".removesuffix(".0")
    if size == "0":
        return "nil"
    return f"{size} {'E' if degrees_east > 0.0 else 'W'}"
