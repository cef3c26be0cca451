"""Misread: what may have been meant by an entry whose figure, or whose mark, is another than was seen.

Nothing here is judged: each is the entry as it would have been, to be taken like any other.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from math import copysign, cos, inf, radians

from middlewatch.quantities.angles import direction, turn
from middlewatch.quantities.positions import Position
from middlewatch.readings.entries import (
    Bearing,
    HorizontalAngle,
    LightRange,
    Passing,
    PositionSight,
    Range,
    SectorSeen,
    Sighting,
    Sounding,
    Transit,
    VerticalAngle,
)
from middlewatch.readings.marks import Mark, MarkRef

_OF_A_SECTOR_DEG = 1.0
"""A bearing within so much of a sector's limit was read off the chart or the list."""
_OF_A_DISTANCE = 0.5
"""How much rarer two digits of a distance change places than two of a bearing: it has fewer (judgement)."""


@dataclass(frozen=True, slots=True)
class Circumstances:
    """What had, or might have had, a part in an entry: None where it had none.

    Variation and deviation are E+, degrees; the latitude is the EP's; the mark is that of the marks file.
    """

    latitude_deg: float
    variation_deg: float | None = None
    deviation_deg: float | None = None
    mark: Mark | None = None


@dataclass(frozen=True, slots=True)
class Misread:
    """An entry as it would have been without a slip, and its figure then, in the entry's own reference.

    `part`: of all such slips how many are like this one.
    """

    slip: str
    value: float
    request: Sighting
    part: float = 1.0


def misread(request: Sighting, then: Circumstances) -> Iterator[Misread]:
    """Return what may have been meant by another figure than the one that was entered."""
    match request:
        case Bearing():
            for slip, bearings in _bearings(request, then):
                directions = [direction(each) for each in bearings]
                yield from _each(slip, directions, lambda each: replace(request, bearing_deg=each))
        case Range(distance_nm=entered):
            # A minute of longitude, taken for a mile, is shorter.
            distance_nm = entered * cos(radians(then.latitude_deg))
            yield Misread("longitude scale", distance_nm, replace(request, distance_nm=distance_nm))
            swapped = _distances_swapped(entered)
            for each in _each("digits swapped", swapped, lambda value: replace(request, distance_nm=value)):
                yield replace(each, part=_OF_A_DISTANCE * each.part)
        case VerticalAngle(angle_min=entered):
            for slip, angles in _sextant_angles(entered):
                yield from _each(slip, angles, lambda each: replace(request, angle_min=each))
        case HorizontalAngle(angle_deg=entered):
            for slip, angles in (*_sextant_angles(entered), ("hundred out", [entered - 100, entered + 100])):
                below_half = [each for each in angles if each < 180.0]
                yield from _each(slip, below_half, lambda each: replace(request, angle_deg=each))
        case PositionSight():
            yield from _positions(request)
        case _:
            return


def mistaken(request: Sighting, in_reach: Sequence[Mark], contours: Iterable[str]) -> Iterator[Sighting]:
    """Return the entry as of each other mark in reach that may have been taken for its own.

    Of two marks either may be another, or the two were named the wrong way round; of a sounding it is another
    contour.
    """
    names = [mark.name for mark in in_reach]
    match request:
        case Transit(mark=front, rear_mark=rear):
            for one, other in _pairs(front, rear, names):
                yield replace(request, mark=one, rear_mark=other)
        case HorizontalAngle(mark=left, second_mark=right):
            for one, other in _pairs(left, right, names):
                yield replace(request, mark=one, second_mark=other)
        case VerticalAngle():
            # A height that was entered was the height of the mark that was named.
            yield from (replace(request, mark=name, height_m=None) for name in names if name != request.mark)
        case Bearing() | Range() | Passing() | LightRange() | SectorSeen():
            yield from (replace(request, mark=name) for name in names if name != request.mark)
        case Sounding():
            yield from (replace(request, contour=name) for name in contours if name != request.contour)
        case _:
            return


def digits_swapped(figure: float, width: int, most: float) -> list[float]:
    """Return what a figure may have been before two neighbouring digits of it changed places.

    Its whole part is written with at least so many digits; what comes of it is over 0 and at most `most`.
    """
    whole, rest = int(figure), figure - int(figure)
    written = f"{whole:0{width}d}"
    swapped = {
        int(written[:place] + written[place + 1] + written[place] + written[place + 2 :])
        for place in range(len(written) - 1)
    } - {whole}
    return sorted(value + rest for value in swapped if 0.0 < value + rest <= most)


def _each(slip: str, values: Sequence[float], entered: Callable[[float], Sighting]) -> Iterator[Misread]:
    for value in values:
        yield Misread(slip, value, entered(value), 1.0 / len(values))


def _bearings(bearing: Bearing, then: Circumstances) -> Iterator[tuple[str, list[float]]]:
    entered = bearing.bearing_deg
    yield "reciprocal", [entered + 180.0]
    if _on_a_limit(bearing, then.mark):
        yield "light from seaward", [entered + 180.0]
    if then.variation_deg is not None:
        # Entered as true, it still wants its east variation added; entered as read, it was true before.
        variation = then.variation_deg if bearing.reference == "true" else -then.variation_deg
        yield "variation not applied", [entered + variation]
        yield "variation wrong way", [entered + 2.0 * variation]
    if bearing.reference == "compass" and then.deviation_deg:
        # It was taken off, or even put on, already: compass to magnetic adds an east deviation.
        yield "deviation", [entered - then.deviation_deg, entered - 2.0 * then.deviation_deg]
    yield "digits swapped", digits_swapped(entered, 3, 360.0)
    yield "ten out", [entered - 10.0, entered + 10.0]
    yield "hundred out", [value for value in (entered - 100.0, entered + 100.0) if 0.0 <= value < 360.0]


def _on_a_limit(bearing: Bearing, mark: Mark | None) -> bool:
    """Tell whether it is a sector's limit as seen from the light; lists give them from seaward, true."""
    if mark is None or bearing.reference != "true":
        return False
    limits = [limit for each in mark.sectors for limit in (each.from_true_deg, each.to_true_deg)]
    return any(abs(turn(limit + 180.0, bearing.bearing_deg)) <= _OF_A_SECTOR_DEG for limit in limits)


def _sextant_angles(entered: float) -> Iterator[tuple[str, list[float]]]:
    yield "digits swapped", digits_swapped(entered, 2, entered * 100.0)
    yield "ten out", [value for value in (entered - 10.0, entered + 10.0) if value > 0.0]


def _positions(seen: PositionSight) -> Iterator[Misread]:
    latitude_deg, longitude_deg = seen.position.latitude_deg, seen.position.longitude_deg
    places = [(value, Position(value, longitude_deg)) for value in _minutes_swapped(latitude_deg)]
    places += [(value, Position(latitude_deg, value)) for value in _minutes_swapped(longitude_deg)]
    for value, place in places:
        yield Misread("digits swapped", value, replace(seen, position=place), 1.0 / len(places))


def _distances_swapped(entered_nm: float) -> list[float]:
    """Return a distance in tenths or hundredths of a mile with two digits swapped, the point passed over.

    Nobody writes more figures of a distance than those: what has more was not written by hand.
    """
    hundredths = round(entered_nm * 100.0, 6)
    if hundredths != int(hundredths):
        return []
    parts = 10 if hundredths % 10.0 == 0.0 else 100
    return [each / parts for each in digits_swapped(round(entered_nm * parts), 2, inf)]


def _minutes_swapped(angle_deg: float) -> list[float]:
    """Return a latitude or longitude with the two digits of its whole minutes in the other order."""
    whole_deg, minutes = divmod(round(abs(angle_deg) * 60.0, 4), 60.0)
    swapped = [each for each in digits_swapped(minutes, 2, 60.0) if each < 60.0]
    return [copysign(whole_deg + each / 60.0, angle_deg) for each in swapped]


def _pairs(one: MarkRef, other: MarkRef, names: Iterable[str]) -> Iterator[tuple[MarkRef, MarkRef]]:
    yield other, one
    for name in names:
        if name not in {one, other}:
            yield name, other
            yield one, name
