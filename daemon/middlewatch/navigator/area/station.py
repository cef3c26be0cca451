"""A station: the sightings of three minutes, worked on the cloud."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import exp, inf, log
from typing import TypeVar

import numpy as np

from middlewatch.navigator.area.chain import Chain, Run, Sighted
from middlewatch.navigator.area.cloud import Cloud, effective, gathered, shaken
from middlewatch.navigator.area.passage import Stretch
from middlewatch.navigator.area.seen import Held, Places
from middlewatch.navigator.area.unknowns import COUNT
from middlewatch.navigator.chance import Chance, Floats, Purpose

_FEW = 0.25
"""Below this part of the samples being effective, the cloud is drawn anew."""
_TOO_FEW = _FEW * _FEW
"""Below this, a line is taken in steps."""
_LOOSEST, _HALVINGS = 1e6, 8
_STAGES = 64  # more than a station ever needs
_MOVES = 3
_REACHES = np.array((1.0, 0.5, 0.2, 0.07, 0.025))
"""How far a move goes, in parts of what the passage leaves open; each sample tries one of them at random."""
_TURNS = np.array((0.5, 0.15, 0.04, 0.01, 0.0025))
"""The same for a move round a mark (radians) and towards it (parts of the distance), each by itself."""

Ancestors = np.ndarray[tuple[int, ...], np.dtype[np.intp]]
Each = TypeVar("Each", Floats, Places)


def at_station(cloud: Cloud, sightings: Sequence[Sighted], seed: int, rank: int = 0) -> Cloud:
    """Return the cloud after the sightings of one station, taken at its second; same seed, same cloud.

    `rank`: which of the stations worked at this second it is. Where so narrow a line would leave too few
    samples, it is first taken as if it were looser, the samples are drawn anew, and so on until it is taken
    as it is.
    """
    station = _Station(cloud, sightings)
    state = station.begin(cloud.places(Chance(seed, cloud.second, Purpose.PLACES, rank)))
    stage = rank * _STAGES
    while state.looseness > 1.0:
        station.tighten(state)
        if state.looseness > 1.0 or state.effective < _FEW * state.weights.size:
            state = station.anew(state, seed, stage)
            stage += 1
    return station.end(state)


@dataclass(slots=True)
class _State:
    """Where a station's work stands: which sample of before each is, its place, and how well that fits.

    `ancestors`: None while each is still its own. `looseness`: by what factor the sightings' variances are
    still taken too wide; infinite: not at all yet. `whole`: the sightings taken as they are at these places;
    None where they have not been, or the places or the chain have changed since.
    """

    ancestors: Ancestors | None
    centres: Places
    places: Places
    fits: Floats
    weights: Floats
    looseness: float = inf
    whole: Run | None = None

    @property
    def effective(self) -> float:
        return effective(self.weights)

    def of(self, before: Each) -> Each:
        """Return for each sample what its ancestor had."""
        return before if self.ancestors is None else before[self.ancestors]

    def weighed(self, fits: Floats) -> Floats:
        """Return the weights as they are with these fits in place of those taken."""
        gained = fits - self.fits
        weighed = self.weights * np.exp(gained - gained.max())
        whole: Floats = weighed / weighed.sum()
        return whole


class _Station:
    """The sightings of one station worked on a cloud.

    What a sighting leaves of the errors it shares with the boat is Gaussian; its mean moves with the place.
    """

    def __init__(self, cloud: Cloud, sightings: Sequence[Sighted]) -> None:
        self.cloud, self.sightings = cloud, sightings
        self.gain, self.left = _pinned(cloud.spread)
        self.shifts = [_shift(cloud.means, sighted.since) for sighted in sightings]
        # The shared error of each sighting, as each sample has it before its place is known.
        self.leans = [_lean(cloud.means, sighted.seen.effects) for sighted in sightings]
        self.pulls = [_pull(self.gain, sighted.seen.effects) for sighted in sightings]
        self.chain = Chain(self.left, sightings, [True] * len(sightings))

    def begin(self, places: Places) -> _State:
        """Return the samples as they come in, at the places drawn for them; nothing is taken yet."""
        size = places.size
        centres = self.cloud.means[0] + 1j * self.cloud.means[1]
        state = _State(None, centres, places, np.zeros(size), self.cloud.weights)
        whole = self._whole(state)
        # A sighting that nearly every sample holds for a blunder says nothing of the shared errors.
        weights = state.weighed(whole.fits)
        counted = [bool((weights * each).sum() >= 0.5) for each in whole.good]
        if not all(counted):
            self.chain, state.whole = Chain(self.left, self.sightings, counted), None
        return state

    def tighten(self, state: _State) -> None:
        """Weigh the samples by the sightings, as tight as leaves enough of them."""
        size = state.weights.size
        fits = self._whole(state).fits
        looseness = 1.0
        if effective(state.weighed(fits)) < _TOO_FEW * size:
            low, high = 0.0, log(min(state.looseness, _LOOSEST))
            for _ in range(_HALVINGS):
                middle = (low + high) / 2
                tried = self._run(state, state.places, exp(middle)).fits
                enough = effective(state.weighed(tried)) >= _FEW * size
                low, high = (low, middle) if enough else (middle, high)
            # However few are left, on it goes: each time at least by half.
            looseness = max(1.0, min(exp(high), state.looseness / 2.0))
            fits = self._run(state, state.places, looseness).fits
        state.weights = state.weighed(fits)
        state.fits, state.looseness = fits, looseness

    def anew(self, state: _State, seed: int, stage: int) -> _State:
        """Draw the samples anew by weight, and let each move about so that no two stay alike."""
        size = state.weights.size
        chance = Chance(seed, self.cloud.second, Purpose.RESAMPLING, stage)
        edges = np.cumsum(state.weights)
        picked = np.searchsorted(edges / edges[-1], (np.arange(size) + chance.uniform(1)) / size)
        picked = np.minimum(picked, size - 1)
        state = _State(
            picked if state.ancestors is None else state.ancestors[picked],
            state.centres[picked],
            state.places[picked],
            state.fits[picked],
            np.full(size, 1.0 / size),
            state.looseness,
        )
        chance = Chance(seed, self.cloud.second, Purpose.MOVES, stage)
        marks = [mark for sighted in self.sightings if (mark := sighted.seen.about) is not None]
        for turn in range(_MOVES):
            self._move(state, chance, *self._anywhere(state, chance))
            if marks:
                self._move(state, chance, *self._about(state, chance, marks[turn % len(marks)]))
        return state

    def end(self, state: _State) -> Cloud:
        """Return the cloud that comes out: places pinned, and what is learnt of the shared errors."""
        before = self.cloud.means
        means = before.copy() if state.ancestors is None else np.take(before, state.ancestors, axis=1)
        off = state.places - state.centres
        north, east = off.real.copy(), off.imag.copy()
        for unknown in range(2, COUNT):
            means[unknown] += self.gain[unknown, 0] * north + self.gain[unknown, 1] * east
        means[0], means[1] = state.places.real, state.places.imag
        mistaken = {mark: state.of(each) for mark, each in self.cloud.mistaken.items()}
        whole = self._whole(state)
        for sighted, gain, surprise, good in zip(
            self.sightings, self.chain.gains, whole.surprises, whole.good, strict=True
        ):
            mistaken[sighted.seen.mark] = 1.0 - good
            if gain is not None:
                taken = good * surprise
                for each in np.flatnonzero(gain):
                    means[each] += gain[each] * taken
        return replace(
            self.cloud, means=means, spread=self.chain.left, weights=state.weights, mistaken=mistaken
        )

    def _move(self, state: _State, chance: Chance, tried: Places, odds: Floats | float) -> None:
        """Let each sample try another place, and keep it as often as its odds and the sightings allow."""
        fits = self._run(state, tried, state.looseness).fits
        keep = np.log1p(-chance.uniform(tried.size)) < odds + fits - state.fits
        state.places, state.whole = np.where(keep, tried, state.places), None
        state.fits = np.where(keep, fits, state.fits)

    def _anywhere(self, state: _State, chance: Chance) -> tuple[Places, float]:
        """Return places in any direction: steps that leave what was open before the station as it is.

        So only the sightings decide (a Crank-Nicolson step; from memory).
        """
        reach = _picked(_REACHES, chance, state.places.size)
        step = shaken(self.cloud.spread, chance.normal(2, state.places.size))
        kept = np.sqrt(1.0 - np.square(reach)) * (state.places - state.centres)
        return state.centres + kept + reach * step, 0.0

    def _about(self, state: _State, chance: Chance, mark: complex) -> tuple[Places, Floats]:
        """Return places farther round a mark and nearer to it or farther off: along bearings, along circles.

        A ring or a wedge is thin one way and long the other; such steps find their way in both.
        """
        size = state.places.size
        ahead = _picked(_TURNS, chance, size) * chance.normal(size)
        around = _picked(_TURNS, chance, size) * chance.normal(size)
        tried = mark + (state.places - mark) * np.exp(ahead + 1j * around)
        # Twice as far off, a step as wide covers four times the sea.
        open_ = self._open(tried - state.centres) - self._open(state.places - state.centres)
        return tried, 2.0 * ahead - 0.5 * open_

    def _open(self, off: Places) -> Floats:
        """Return how far out places are, in the square of what was open before the station."""
        a, b, c = self.cloud.spread[0, 0], self.cloud.spread[0, 1], self.cloud.spread[1, 1]
        whole = max(a * c - b * b, 1e-9)
        square: Floats = (c * off.real**2 - 2.0 * b * off.real * off.imag + a * off.imag**2) / whole
        return square

    def _whole(self, state: _State) -> Run:
        """Return how the sightings, taken as they are, fit the samples at their places."""
        if state.whole is None:
            state.whole = self._run(state, state.places, 1.0)
        return state.whole

    def _run(self, state: _State, places: Places, looseness: float) -> Run:
        """Return how the sightings would fit the samples at other places."""
        marks = {sighted.seen.mark for sighted in self.sightings}
        mistaken = {mark: state.of(each) for mark, each in self.cloud.mistaken.items() if mark in marks}
        return self.chain.run(self._helds(state, places), self._known(state, places), mistaken, looseness)

    def _helds(self, state: _State, places: Places) -> list[Held]:
        return [
            sighted.seen.hold(places + state.of(shift))
            for sighted, shift in zip(self.sightings, self.shifts, strict=True)
        ]

    def _known(self, state: _State, places: Places) -> "list[Floats | None]":
        """Return the mean of each sighting's shared error, once the places are known."""
        off = places - state.centres
        return [
            None if lean is None or pull is None else state.of(lean) + pull[0] * off.real + pull[1] * off.imag
            for lean, pull in zip(self.leans, self.pulls, strict=True)
        ]


def _picked(values: Floats, chance: Chance, size: int) -> Floats:
    """Return one of the values for each sample, at random."""
    return values[(chance.uniform(size) * len(values)).astype(np.intp)]


def _pinned(spread: Floats) -> tuple[Floats, Floats]:
    """Return how the unknowns follow a place that becomes known (unknown, axis), and what is left open."""
    a, b, c = spread[0, 0], spread[0, 1], spread[1, 1]
    # A place that is known already teaches nothing.
    whole = max(a * c - b * b, 1e-9)
    inverse = np.array([[c, -b], [-b, a]]) / whole
    gain = (spread[:, :2, np.newaxis] * inverse[np.newaxis, :, :]).sum(axis=1)
    left = spread - (gain[:, :, np.newaxis] * spread[np.newaxis, :2, :]).sum(axis=1)
    left[:2, :] = 0.0
    left[:, :2] = 0.0
    return gain, left


def _shift(means: Floats, since: Stretch) -> Places:
    """Return how far each sample goes on, off the EP, from its station to a sighting a little later."""
    effects = since.effects()
    effects[:2] = 0.0
    shift: Places = gathered(effects.real, means) + 1j * gathered(effects.imag, means)
    return shift


def _lean(means: Floats, effects: Floats | None) -> Floats | None:
    return None if effects is None else gathered(effects, means)


def _pull(gain: Floats, effects: Floats | None) -> "tuple[float, float] | None":
    if effects is None:
        return None
    return float((effects * gain[:, 0]).sum()), float((effects * gain[:, 1]).sum())
