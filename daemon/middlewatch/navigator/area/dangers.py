"""Dangers laid out in the plane round the EP: how far off they are, and which passages come too close.

Metres, complex, north + east j. A danger is its sides; a rock is one side of no length.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from middlewatch.navigator.area.polygons import Bools, inside
from middlewatch.navigator.area.seen import Places
from middlewatch.navigator.chance import Floats
from middlewatch.quantities.positions import EQUATORIAL_RADIUS_M, FLATTENING
from middlewatch.readings.dangers import Danger

_AT_ONCE = 500_000
"""So many pairs of sides are held against each other at once, lest memory run out."""
STEPS_A_QUARTER = 3
_E2 = FLATTENING * (2.0 - FLATTENING)

Ring = Places


@dataclass(frozen=True, slots=True)
class Laid:
    """A danger in the plane: `begins` and `ends` of its sides; `rings`, (north, east) corners, of an area.

    `from_ep_m`: how far its clearance is from the EP; under 0 within it.
    """

    danger: Danger
    begins: Places
    ends: Places
    rings: tuple[Floats, ...]
    from_ep_m: float

    def off_m(self, polygons: Sequence[Ring]) -> float:
        """Return how far the edge of some polygons is from the clearance; 0 where they touch or hold it."""
        edges = [_sides(polygon) for polygon in polygons]
        begins, ends = (np.concatenate(each) for each in zip(*edges, strict=True))
        corners = tuple(np.stack((polygon.real, polygon.imag), axis=1) for polygon in polygons)
        holds = bool(_inside(corners, self.begins).any()) or bool(_inside(self.rings, begins).any())
        least = 0.0 if holds else float(_apart(begins, ends, self.begins, self.ends).min())
        return max(least - self.danger.clearance_m, 0.0)

    def met(self, begins: Places, ends: Places) -> Bools:
        """Return which of the legs from here to there come within the clearance."""
        found = _inside(self.rings, begins)
        # The places of one moment lie close together: most sides are far from all of them.
        sides = np.flatnonzero(_beside((self.begins, self.ends), (begins, ends), self.danger.clearance_m))
        if not sides.size:
            return found
        near = self.begins[sides], self.ends[sides]
        legs = np.flatnonzero(_beside((begins, ends), near, self.danger.clearance_m) & ~found)
        some = max(1, _AT_ONCE // sides.size)
        for first in range(0, legs.size, some):
            part = legs[first : first + some]
            found[part] = _apart(begins[part], ends[part], *near).min(axis=1) <= self.danger.clearance_m
        return found


class Coast:
    """All dangers, and which of them are about."""

    def __init__(self, dangers: Sequence[Danger]) -> None:
        self._dangers = dangers
        self._lines = [
            tuple(np.array([(p.latitude_deg, p.longitude_deg) for p in line]) for line in danger.lines)
            for danger in dangers
        ]

    def about(self, ep: tuple[float, float], within_m: float) -> list[Laid]:
        """Return the dangers with their clearance no further from an EP than this, the nearest first."""
        laid = (self._laid(ep, *each) for each in zip(self._dangers, self._lines, strict=True))
        return sorted((each for each in laid if each.from_ep_m <= within_m), key=lambda each: each.from_ep_m)

    def _laid(self, ep: tuple[float, float], danger: Danger, lines: tuple[Floats, ...]) -> Laid:
        placed = [_placed(ep, line) for line in lines]
        begins = np.concatenate([line[:-1] if line.size > 1 else line for line in placed])
        ends = np.concatenate([line[1:] if line.size > 1 else line for line in placed])
        area = danger.form == "area"
        rings = tuple(np.stack((line.real, line.imag), axis=1) for line in placed) if area else ()
        here = np.zeros(1, dtype=np.complex128)
        within = bool(_inside(rings, here)[0])
        off_m = 0.0 if within else float(_off(here, begins, ends).min())
        return Laid(danger, begins, ends, rings, off_m - danger.clearance_m)


def _placed(ep: tuple[float, float], line: Floats) -> Places:
    """Return places by the metres that lead to them from the EP, at their middle latitude, as `offset_m`."""
    latitude_deg, longitude_deg = line[:, 0], line[:, 1]
    middle = np.radians((latitude_deg + ep[0]) / 2.0)
    flattened = 1.0 - _E2 * np.square(np.sin(middle))
    prime_vertical = EQUATORIAL_RADIUS_M / np.sqrt(flattened)
    north = np.radians(latitude_deg - ep[0]) * prime_vertical * (1.0 - _E2) / flattened
    east_deg = np.remainder(longitude_deg - ep[1] + 180.0, 360.0) - 180.0
    placed: Places = north + 1j * (np.radians(east_deg) * prime_vertical * np.cos(middle))
    return placed


def _beside(sides: tuple[Places, Places], others: tuple[Places, Places], within_m: float) -> Bools:
    """Return which sides lie, by north and by east, within so much of the span of all the others."""
    (begins, ends), (their_begins, their_ends) = sides, others
    beside = np.ones(begins.size, dtype=np.bool_)
    for here, there, side, other in (
        (begins.real, ends.real, their_begins.real, their_ends.real),
        (begins.imag, ends.imag, their_begins.imag, their_ends.imag),
    ):
        low, high = min(side.min(), other.min()) - within_m, max(side.max(), other.max()) + within_m
        beside &= (np.maximum(here, there) >= low) & (np.minimum(here, there) <= high)
    return beside


def _sides(polygon: Ring) -> tuple[Places, Places]:
    return polygon, np.roll(polygon, -1)


def _inside(rings: Sequence[Floats], places: Places) -> Bools:
    if not rings:
        return np.zeros(places.size, dtype=np.bool_)
    return inside(rings, places.real, places.imag)


def _apart(begins: Places, ends: Places, others: Places, their_ends: Places) -> Floats:
    """Return how far each of these sides is from each of the others: (these, others), 0 where they cross."""
    apart = np.minimum(_off(begins, others, their_ends), _off(ends, others, their_ends))
    back = np.minimum(_off(others, begins, ends), _off(their_ends, begins, ends)).T
    side, other = (ends - begins)[:, np.newaxis], (their_ends - others)[np.newaxis]
    across = _turns(side, others[np.newaxis] - begins[:, np.newaxis]) * _turns(
        side, their_ends[np.newaxis] - begins[:, np.newaxis]
    )
    along = _turns(other, begins[:, np.newaxis] - others[np.newaxis]) * _turns(
        other, ends[:, np.newaxis] - others[np.newaxis]
    )
    crossing = (across < 0.0) & (along < 0.0)
    return np.where(crossing, 0.0, np.minimum(apart, back))


def _turns(side: Places, off: Places) -> Floats:
    """Return on which hand of a side something lies: + clockwise."""
    turned: Floats = side.real * off.imag - side.imag * off.real
    return turned


def _off(places: Places, begins: Places, ends: Places) -> Floats:
    """Return how far each place is from each side: (places, sides)."""
    side = (ends - begins)[np.newaxis]
    off = places[:, np.newaxis] - begins[np.newaxis]
    length = np.maximum(np.square(side.real) + np.square(side.imag), 1e-12)
    on_side = ((off.real * side.real + off.imag * side.imag) / length).clip(0.0, 1.0)
    gap: Floats = np.abs(off - on_side * side)
    return gap


@dataclass(frozen=True, slots=True)
class Risk:
    """How probable it is to be within the clearance of any danger, now and in the hour that comes.

    `then`: just then, now and at each quarter of an hour; `by_then`: at some time until then, on the way, now
    and at each five minutes. `likeliest`: the place in the list of dangers of the one it most probably is,
    just then, and in the whole hour; None where it is none.
    """

    then: tuple[float, ...]
    by_then: tuple[float, ...]
    likeliest_then: tuple[int | None, ...]
    likeliest: int | None

    def worse(self, other: "Risk") -> "Risk":
        """Return the worse of two, moment by moment."""
        pairs = zip(self.then, other.then, self.likeliest_then, other.likeliest_then, strict=True)
        return Risk(
            tuple(map(max, self.then, other.then)),
            tuple(map(max, self.by_then, other.by_then)),
            tuple(one_is if one >= two else two_is for one, two, one_is, two_is in pairs),
            self.likeliest if self.by_then[-1] >= other.by_then[-1] else other.likeliest,
        )


NO_RISK = Risk((0.0,) * 5, (0.0,) * 13, (None,) * 5, None)


def risk(dangers: Sequence[Laid], weights: Floats, paths: Iterator[Places]) -> Risk:
    """Return how the paths of weighted samples pass the dangers; the path's first place is that of now."""
    moments = list(paths)
    been_at = [np.zeros(weights.size, dtype=np.bool_) for _ in dangers]
    then, by_then, likeliest_then = list[float](), list[float](), list[int | None]()
    for step, (before, now) in enumerate(pairwise([moments[0], *moments])):
        been_at = [so_far | danger.met(before, now) for so_far, danger in zip(been_at, dangers, strict=True)]
        by_then.append(_chance(weights, _any(been_at, weights.size)))
        if step % STEPS_A_QUARTER == 0:
            at = [danger.met(now, now) for danger in dangers]
            then.append(_chance(weights, _any(at, weights.size)))
            likeliest_then.append(_likeliest(weights, at))
    return Risk(tuple(then), tuple(by_then), tuple(likeliest_then), _likeliest(weights, been_at))


def _any(met: Sequence[Bools], size: int) -> Bools:
    whole = np.zeros(size, dtype=np.bool_)
    for each in met:
        whole |= each
    return whole


def _chance(weights: Floats, met: Bools) -> float:
    return min(float((weights * met).sum()), 1.0)


def _likeliest(weights: Floats, met: Sequence[Bools]) -> int | None:
    chances = [_chance(weights, each) for each in met]
    return int(np.argmax(chances)) if any(chances) else None
