"""A chain of sightings at one station: what they have in common, also with the boat, is learnt once."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from middlewatch.navigator.area.passage import Stretch
from middlewatch.navigator.area.seen import Held, Places, Seen
from middlewatch.navigator.chance import Floats

BLUNDER = 0.03
"""So many entries in a hundred are anything at all (judgement; the design's section 4)."""
REPEATED = 0.5
"""How often a blunder about a mark comes with the next sighting of that mark too."""


@dataclass(frozen=True, slots=True)
class Sighted:
    """A sighting in its place: what was seen, and the stretch from its station to it."""

    seen: Seen
    since: Stretch


@dataclass(frozen=True, slots=True)
class Run:
    """How well the sightings fit each sample (log), and of each its surprise and whether it is good."""

    fits: Floats
    surprises: list[Floats | Places]
    good: list[Floats]


class Chain:
    """The sightings one after another, each taking up what the ones before it left of the shared errors."""

    def __init__(self, spread: Floats, sightings: Sequence[Sighted], counted: Sequence[bool]) -> None:
        self.gains: list[Floats | None] = []
        self.left = spread
        self._marks = [sighted.seen.mark for sighted in sightings]
        self._wide: list[float] = []
        self._bends: list[list[float]] = []
        for sighted, counts in zip(sightings, counted, strict=True):
            effects = sighted.seen.effects
            if effects is None:
                self.gains.append(None)
                self._wide.append(0.0)
                self._bends.append([])
                continue
            towards = (self.left * effects).sum(axis=1)
            wide = float((effects * towards).sum())
            self._wide.append(wide)
            self._bends.append(
                [0.0 if gain is None else float((effects * gain).sum()) for gain in self.gains]
            )
            if not counts:
                self.gains.append(None)
                continue
            whole = wide + float(sighted.seen.sd) ** 2  # type: ignore[attr-defined]
            gain = towards / whole
            self.left = self.left - gain[:, np.newaxis] * gain[np.newaxis, :] * whole
            self.gains.append(gain)

    def run(
        self,
        helds: Sequence[Held],
        known: "Sequence[Floats | None]",
        mistaken: Mapping[str, Floats],
        looseness: float,
    ) -> Run:
        """Return how well all sightings fit each sample; their own variances are taken so much too wide."""
        last = dict(mistaken)
        fits: Floats | float = 0.0
        surprises: list[Floats | Places] = []
        goods: list[Floats] = []
        for place, (held, mean, mark) in enumerate(zip(helds, known, self._marks, strict=True)):
            surprise = held.residual if mean is None else held.residual - mean
            for bend, before, good in zip(self._bends[place], surprises, goods, strict=False):
                if bend:
                    surprise = surprise - bend * (good * before)
            variance = looseness * held.sd * held.sd + self._wide[place]
            odd = BLUNDER * (1.0 - REPEATED) + REPEATED * last.get(mark, BLUNDER)
            fine = np.log1p(-odd) + held.log_density(surprise, variance)
            either = np.logaddexp(fine, np.log(odd) + held.log_blunder)
            surprises.append(surprise)
            goods.append(np.exp(fine - either))
            last[mark] = 1.0 - goods[-1]
            fits = fits + either
        return Run(fits, surprises, goods)  # type: ignore[arg-type]
