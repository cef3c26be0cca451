"""Slips: what the crew may have meant, where an entry is too unusual to be taken as it stands.

Each slip of the pen, the eye or the clock that applies is undone, and what is left held against the cloud. It
is offered where it explains the entry better than "anything at all" would; nothing is changed.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from math import cos, exp, radians

from middlewatch.navigator.area.unusual import Awaited
from middlewatch.quantities.angles import direction, turn
from middlewatch.quantities.lengths import METRES_PER_NM
from middlewatch.readings.entries import Reference
from middlewatch.readings.marks import Mark

UNUSUAL_SIGMA = 3.0
"""From here on an entry is suspected; of good ones 1 in 370 would be, were all normal."""

_FITS_WITHIN_SIGMA = 3.0
_FITS_BETTER = 0.7
"""A slip explains an entry where it leaves no more than so many sigmas, and than this part of them."""

_ANYTHING = 0.05
"""So many of the blunders are no slip that is known here (judgement, as all shares are)."""
_SHARES = {
    "reciprocal": 0.08,
    "light from seaward": 0.15,
    "variation not applied": 0.10,
    "variation wrong way": 0.08,
    "digits swapped": 0.10,
    "ten out": 0.08,
    "hundred out": 0.10,
    "deviation": 0.08,
    "longitude scale": 0.10,
    "other mark": 0.20,
    "stale": 0.08,
    "hour out": 0.10,
}
_OF_A_SECTOR_DEG = 1.0
"""A bearing within so much of a sector's limit was read off the chart or the list."""


@dataclass(frozen=True, slots=True)
class Slip:
    """A slip that explains an entry: the value meant, the sigmas left, and how likely it is beside others.

    `mark`, `second`: which was meant, where the slip is in that; `likely` has no unit, per radian or metre.
    """

    slip: str
    value: float
    fits: float
    likely: float
    mark: str | None = None
    second: int | None = None


@dataclass(frozen=True, slots=True)
class Meant:
    """What may have been meant: the value, in the entry's own reference, and as what it was to be expected.

    `change`: what undoing it adds to the entry, radians or metres; `part`: of all such slips how many are
    like this one; `known`: how often, per radian or metre, just this entry comes of it, where that does not
    hang on how well it fits alone.
    """

    slip: str
    value: float
    awaited: Awaited
    change: float = 0.0
    part: float = 1.0
    mark: str | None = None
    second: int | None = None
    known: float | None = None


@dataclass(frozen=True, slots=True)
class BearingEntered:
    """A bearing as entered, degrees, by its reference; the variation and deviation (E+) with a part in it."""

    bearing_deg: float
    reference: Reference
    variation_deg: float | None
    deviation_deg: float | None
    mark: Mark | None

    def meant(self, awaited: Awaited) -> Iterator[Meant]:
        """Return what may have been meant of this very mark at this very moment."""
        for slip, values in self._values():
            for value in values:
                change = radians(turn(self.bearing_deg, value))
                yield Meant(slip, direction(value), awaited, change, 1.0 / len(values))

    def _values(self) -> Iterator[tuple[str, list[float]]]:
        entered = self.bearing_deg
        yield "reciprocal", [entered + 180.0]
        if self._on_a_limit():
            yield "light from seaward", [entered + 180.0]
        if self.variation_deg is not None:
            # Entered as true, it still wants its east variation added; entered as read, it was true before.
            variation = self.variation_deg if self.reference == "true" else -self.variation_deg
            yield "variation not applied", [entered + variation]
            yield "variation wrong way", [entered + 2.0 * variation]
        if self.reference == "compass" and self.deviation_deg:
            # It was taken off, or even put on, already: compass to magnetic adds an east deviation.
            yield "deviation", [entered - self.deviation_deg, entered - 2.0 * self.deviation_deg]
        swapped = digits_swapped(entered)
        if swapped:
            yield "digits swapped", swapped
        yield "ten out", [entered - 10.0, entered + 10.0]
        yield "hundred out", [value for value in (entered - 100.0, entered + 100.0) if 0.0 <= value < 360.0]

    def _on_a_limit(self) -> bool:
        """Tell whether it is a sector's limit as seen from the light; lists give them from seaward, true."""
        if self.mark is None or self.reference != "true":
            return False
        limits = [limit for each in self.mark.sectors for limit in (each.from_true_deg, each.to_true_deg)]
        return any(abs(turn(limit + 180.0, self.bearing_deg)) <= _OF_A_SECTOR_DEG for limit in limits)


@dataclass(frozen=True, slots=True)
class DistanceEntered:
    """A distance off as entered, and the latitude it was taken in."""

    distance_nm: float
    latitude_deg: float

    def meant(self, awaited: Awaited) -> Iterator[Meant]:
        """Return what was meant, had it been taken off the scale of longitude: a minute there is shorter."""
        value = self.distance_nm * cos(radians(self.latitude_deg))
        yield Meant("longitude scale", value, awaited, (value - self.distance_nm) * METRES_PER_NM)


def digits_swapped(bearing_deg: float) -> list[float]:
    """Return what a bearing may have been before two neighbouring figures of its three changed places."""
    whole, rest = int(bearing_deg), bearing_deg - int(bearing_deg)
    hundreds, tens, ones = list(f"{whole:03d}")
    swapped = {int(tens + hundreds + ones), int(hundreds + ones + tens)} - {whole}
    return sorted(value + rest for value in swapped if value + rest <= 360.0)


def explained(entered: Awaited, log_blunder: float, meant: Iterable[Meant]) -> tuple[Slip, ...]:
    """Return the slips that explain an entry, the likeliest first.

    `entered`: the entry as it stands; `log_blunder`: the log of how dense "anything at all" is there.
    """
    within = min(_FITS_WITHIN_SIGMA, _FITS_BETTER * entered.sigmas())
    any_blunder = _ANYTHING * exp(log_blunder)
    found: list[Slip] = []
    for each in meant:
        dense = each.awaited.density(each.change) if each.known is None else each.known
        likely = _SHARES[each.slip] * each.part * dense
        if likely <= any_blunder:
            continue
        fits = each.awaited.sigmas(each.change)
        if fits <= within:
            found.append(Slip(each.slip, each.value, fits, likely, each.mark, each.second))
    return tuple(sorted(found, key=lambda slip: (-slip.likely, slip.slip, slip.value)))
