"""The crews' lookout: what each saw of the marks, with the errors of eye, compass and pencil."""

from dataclasses import dataclass
from math import pi, radians

import numpy as np

from area.families import Family, Sight
from area.model import (
    METRES_PER_NM,
    RANGE_BLUNDER_M,
    VARIATION_IN_BEARING,
    Chance,
    Errors,
    Flags,
    Floats,
    Places,
)


@dataclass(frozen=True, slots=True)
class Sighting:
    """What one crew saw; the estimator may use all but `blunder`.

    `second` from the departure; `kind`: bearing or range; `mark`: its number, `mark_at`: its charted place,
    metres from the EP's start; `observed`: true bearing in radians, 0 to 2 pi, taken with a magnetic
    hand-bearing compass, or metres; `sd`: of its own noise, in the same unit, the observer's shared error
    not in it.
    """

    second: int
    kind: str
    mark: int
    mark_at: complex
    observed: float
    sd: float
    blunder: bool


@dataclass(frozen=True, slots=True)
class Seen:
    """One sighting of the plan as all crews took it; arrays of shape (passages,), fields as in `Sighting`."""

    second: int
    kind: str
    mark: int
    mark_at: Places
    observed: Floats
    sd: Floats
    blunder: Flags


class Lookout:
    """The lookouts of many boats at once; sights are to be taken in order of time.

    `marks`: charted places of each mark, shape (passages,), metres from the EP's start.
    """

    def __init__(self, family: Family, errors: Errors, marks: list[Places], chance: Chance) -> None:
        self._model, self._truth = family.model, family.truth
        self._errors, self._marks, self._chance = errors, marks, chance
        self._count = errors.log.size
        self._mistaken_still = self._truth.twin_sightings
        self._twin = self._beside(marks[0]) if self._mistaken_still else None
        self._before: dict[int, tuple[Flags, Floats]] = {}

    def look(self, sight: Sight, boat: Places) -> Seen:
        """Take one sighting from the true places of the boats, metres from the EP's start."""
        mark = self._marks[sight.mark]
        bearing = sight.kind == "bearing"
        towards = self._really(sight) - boat
        honest = self._bearing(sight, towards) if bearing else self._range(sight, towards)
        blunder = self._blundered(sight)
        slip = self._slip(sight, honest)
        self._before[sight.mark] = blunder, slip
        observed = np.where(blunder, honest + slip, honest)
        if bearing:
            sd = np.full(self._count, radians(sight.sd))
            return Seen(sight.second, sight.kind, sight.mark, mark, observed % (2.0 * pi), sd, blunder)
        observed = np.maximum(observed, 1.0)
        # Nobody at sea knows the true distance: the stated sd is a part of what was seen.
        return Seen(sight.second, sight.kind, sight.mark, mark, observed, sight.sd * observed, blunder)

    def _really(self, sight: Sight) -> Places:
        """Return where that really stands which is taken for the mark."""
        if self._twin is None or sight.mark != 0 or self._mistaken_still <= 0:
            return self._marks[sight.mark]
        self._mistaken_still -= 1
        return self._twin

    def _beside(self, mark: Places) -> Places:
        off_m = METRES_PER_NM * self._chance.uniform(*self._truth.twin_nm, self._count)
        beside: Places = mark + off_m * np.exp(2j * pi * self._chance.random(self._count))
        return beside

    def _bearing(self, sight: Sight, towards: Places) -> Floats:
        shared = self._errors.hand + VARIATION_IN_BEARING * self._errors.variation
        noise = radians(sight.sd) * self._chance.standard_normal(self._count)
        # The angle of a complex number north + 1j * east is the bearing.
        seen: Floats = np.angle(towards) + shared + noise
        return seen

    def _range(self, sight: Sight, towards: Places) -> Floats:
        seen: Floats = np.abs(towards) * (1.0 + sight.sd * self._chance.standard_normal(self._count))
        return seen

    def _blundered(self, sight: Sight) -> Flags:
        """Draw which are blunders: as the one before of the same mark, or by chance anew."""
        rate = self._model.blunder if self._truth.blunder is None else self._truth.blunder
        fresh: Flags = self._chance.random(self._count) < rate
        again = self._chance.random(self._count) < self._model.repeated
        return np.where(again, self._before[sight.mark][0], fresh) if sight.mark in self._before else fresh

    def _slip(self, sight: Sight, honest: Floats) -> Floats:
        """Draw by how much each would be out if it were a blunder: it is then anything at all."""
        whole = 2.0 * pi if sight.kind == "bearing" else RANGE_BLUNDER_M
        slip: Floats = whole * self._chance.random(self._count) - honest
        if not self._truth.same_slip or sight.mark not in self._before:
            return slip
        mistaken, same = self._before[sight.mark]
        return np.where(mistaken, same, slip)
