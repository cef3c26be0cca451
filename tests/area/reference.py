"""Two brute-force references of where the boat may be, each by a method and code of its own.

`ByImportance` draws whole passages from the model and weighs them; `by_filtering` carries particles from
event to event, weighs and resamples them. They share the model's figures and nothing else: steps, streams,
likelihoods and the chain of blunders are each written twice. Either takes any family, also those whose truth
breaks the model: what they say is what the *model* makes of what was seen.

Neither is any good where too few particles fit what was seen (`Posterior.thinnest`): a passage that is rare
under the model, three sharp ranges. The first gets there soonest, for it never resamples; under a thousand,
give it more particles, or go by the second.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import pairwise
from math import cos, exp, inf, log, pi, radians, sin, sqrt

import numpy as np

from area.families import Family
from area.model import (
    METRES_PER_NM,
    MPS_PER_KN,
    RANGE_BLUNDER_M,
    SLOW_KN,
    STREAM_PART,
    VARIATION_IN_BEARING,
    Chance,
    Errors,
    Floats,
    Model,
    Places,
    Wander,
    chance,
)
from area.passages import Passage, Sighting
from area.posterior import Posterior, effective
from area.tracks import STEP_S, UNTOLD, Leg, Track

_KNOT_S = 60
_CHUNK = 50_000
_Choice = np.ndarray[tuple[int, ...], np.dtype[np.int64]]


class ByImportance:
    """Plain importance sampling: one set of passages from the model serves all passages of the family.

    They are drawn in chunks; what is kept is 16 bytes a particle for every second at which something is seen
    or asked. Streams and the wandering log go by knots of a minute, straight between.
    """

    def __init__(self, family: Family, particles: int = 1_000_000, seed: int = 0) -> None:
        self._model, self._track = family.model, Track(family.legs)
        seconds = sorted({*family.asked_s, *(sight.second for sight in family.sights)})
        self._row = {second: row for row, second in enumerate(seconds)}
        self._deviations = np.empty((len(seconds), particles), dtype=np.complex128)
        self._shared = np.empty(particles)
        drawn = chance(seed, 11)
        for first in range(0, particles, _CHUNK):
            piece = slice(first, min(first + _CHUNK, particles))
            errors = self._model.draw(piece.stop - piece.start, drawn)
            self._shared[piece] = errors.hand + VARIATION_IN_BEARING * errors.variation
            for second, deviation in self._sailed(errors, drawn):
                if second in self._row:
                    self._deviations[self._row[second], piece] = deviation

    def posteriors(self, passage: Passage) -> tuple[Posterior, ...]:
        """Return one posterior for each second asked."""
        weighing = _Weighing(self._model)
        sightings = list(passage.sightings)
        posteriors, thinnest = [], float(self._shared.size)
        for second in passage.asked_s:
            while sightings and sightings[0].second <= second:
                sighting = sightings.pop(0)
                place = passage.track.ep_at(sighting.second) + self._deviations[self._row[sighting.second]]
                weighing.weigh(sighting, place, self._shared)
            weights = weighing.weights(self._shared.size)
            thinnest = min(thinnest, effective(weights))
            posteriors.append(Posterior(second, self._deviations[self._row[second]], weights, thinnest))
        return tuple(posteriors)

    def _sailed(self, errors: Errors, drawn: Chance) -> Iterator[tuple[int, Places]]:
        """Sail one chunk; give the deviation at each knot."""
        track, model, count = self._track, self._model, errors.log.size
        wander = Wander(drawn, count, model.wander, model.wander_memory_s)
        north = Wander(drawn, count, 1.0, model.stream_memory_s)
        east = Wander(drawn, count, 1.0, model.stream_memory_s)
        turned = [
            np.exp(
                1j
                * errors.turn(
                    radians(leg.heading_deg),
                    radians(leg.leeway_deg),
                    UNTOLD[leg.wind],
                    by_wind=leg.wind == "told",
                )
            )
            for leg in track.legs
        ]
        sums = track.integrals()
        deviation = errors.start
        knots = self._knots()
        yield knots[0], deviation
        for before, after in pairwise(knots):
            one, other = before // STEP_S, after // STEP_S
            run, slow, stream_m = (sums[name][other] - sums[name][one] for name in "DTG")
            factor = 1.0 + errors.log + wander.over(after - before)
            deviation = deviation + run * (factor * turned[track.leg_of[one]] - 1.0) + slow * errors.threshold
            stream = north.over(after - before) + 1j * east.over(after - before)
            deviation = deviation + stream * stream_m.real
            yield after, deviation

    def _knots(self) -> list[int]:
        """Return each minute, each second wanted and each change of leg."""
        changes = STEP_S * (np.flatnonzero(np.diff(self._track.leg_of)) + 1)
        length_s = self._track.length_s
        return sorted({*range(0, length_s, _KNOT_S), *self._row, *(int(each) for each in changes), length_s})


class _Weighing:
    """Weights of whole passages: by mark, how likely what was seen is, the last of it good or a blunder."""

    def __init__(self, model: Model) -> None:
        self._model = model
        self._of_mark: dict[int, tuple[Floats, Floats]] = {}

    def weigh(self, sighting: Sighting, place: Places, shared: Floats) -> None:
        """Take in one sighting from these places, with the shared errors of the hand-bearing compass."""
        rate, again = self._model.blunder, self._model.repeated
        to_mark = sighting.mark_at - place
        if sighting.kind == "bearing":
            off = np.angle(np.exp(1j * (sighting.observed - shared)) * np.conj(to_mark))
            anything = 1.0 / (2.0 * pi)
        else:
            off = sighting.observed - np.abs(to_mark)
            anything = 1.0 / RANGE_BLUNDER_M
        fits = np.exp(-0.5 * (off / sighting.sd) ** 2) / (sighting.sd * sqrt(2.0 * pi))
        if sighting.mark in self._of_mark:
            good, bad = self._of_mark[sighting.mark]
            fresh = (1.0 - again) * (good + bad)
            good, bad = again * good + (1.0 - rate) * fresh, again * bad + rate * fresh
            self._of_mark[sighting.mark] = good * fits, bad * anything
        else:
            self._of_mark[sighting.mark] = (1.0 - rate) * fits, np.full(off.size, rate * anything)

    def weights(self, count: int) -> Floats:
        """Return weights that add up to one."""
        whole = np.ones(count)
        for good, bad in self._of_mark.values():
            whole = whole * (good + bad)
        weights: Floats = whole / whole.sum()
        return weights


def by_filtering(passage: Passage, particles: int = 200_000, seed: int = 0) -> tuple[Posterior, ...]:
    """Return one posterior for each second asked, by a bootstrap particle filter.

    Between events (a change of leg, a sighting, a second asked) streams and log wander exactly as their joint
    normal law with their own integral has it. Blunders are drawn, not summed over. Below half the particles
    effective it resamples systematically and shakes the errors a little, first and second moments kept.
    """
    swarm = _Swarm.departed(passage.family.model, particles, chance(seed, 22))
    posteriors = []
    ep = 0j
    for start_s, end_s, leg in _pieces(passage):
        swarm.sail(leg, end_s - start_s)
        ep += leg.speed_kn * MPS_PER_KN * (end_s - start_s) * _towards(leg.heading_deg + leg.leeway_deg)
        for sighting in passage.sightings:
            if sighting.second == end_s:
                swarm.see(sighting, ep)
        if end_s in passage.asked_s:
            posteriors.append(Posterior(end_s, swarm.place.copy(), swarm.weights.copy(), swarm.thinnest))
    return tuple(posteriors)


def _pieces(passage: Passage) -> Iterator[tuple[int, int, Leg]]:
    """Cut the legs at every second where something is seen or asked."""
    events = {*passage.asked_s, *(sighting.second for sighting in passage.sightings)}
    start = 0
    for leg in passage.family.legs:
        end = start + round(leg.minutes * 60)
        cuts = [start, *sorted(event for event in events if start < event < end), end]
        for one, other in pairwise(cuts):
            yield one, other, leg
        start = end


def _towards(degrees: float) -> complex:
    return complex(cos(radians(degrees)), sin(radians(degrees)))


@dataclass(slots=True)
class _Swarm:
    """Particles: a place (deviation from the EP, metres), what each supposes of the errors, and a weight.

    `errors` (11, particles): log, compass, variation, its sine and cosine parts, leeway's logarithm on port
    and starboard tack, leeway untold by sine and cosine, threshold (m/s), hand. `wandering` (3, particles):
    stream north, stream east, log; in standard deviations.
    """

    model: Model
    drawn: Chance
    place: Places
    errors: Floats
    wandering: Floats
    weights: Floats
    thinnest: float
    mistaken: "dict[int, np.ndarray[tuple[int, ...], np.dtype[np.bool_]]]" = field(default_factory=dict)

    @classmethod
    def departed(cls, model: Model, count: int, drawn: Chance) -> "_Swarm":
        """Return the swarm at a departure."""
        degrees = [model.compass_deg, model.variation_deg, model.swing_deg, model.swing_deg]
        leeway = [log(model.leeway_factor)] * 2
        untold = [radians(model.side_deg)] * 2
        last = [model.threshold_kn * MPS_PER_KN, radians(model.hand_deg)]
        sd = [model.log, *(radians(each) for each in degrees), *leeway, *untold, *last]
        errors = np.array(sd)[:, np.newaxis] * drawn.standard_normal((len(sd), count))
        north, east = model.departure_nm * METRES_PER_NM * drawn.standard_normal((2, count))
        wandering = drawn.standard_normal((3, count))
        return cls(model, drawn, north + 1j * east, errors, wandering, np.full(count, 1.0 / count), count)

    def sail(self, leg: Leg, seconds: float) -> None:
        """Carry every particle along a piece of a leg."""
        log_, compass, variation, sine, cosine, port, starboard, side_sine, side_cosine, threshold, _ = (
            self.errors
        )
        ahead = _towards(leg.heading_deg)
        leeway = radians(leg.leeway_deg)
        untold = {"none": 1.0, "free": 0.3, "ordered": 0.4, "told": 0.0}[leg.wind]
        real_leeway = leeway + untold * (side_sine * ahead.imag + side_cosine * ahead.real)
        if leg.wind == "told" and leeway:
            real_leeway = leeway * np.exp(port if leeway > 0.0 else starboard)
        helm = compass + variation + sine * ahead.imag + cosine * ahead.real
        speed = leg.speed_kn * MPS_PER_KN
        north, east, wander = self._wander(seconds)
        run = speed * ((1.0 + log_) * seconds + self.model.wander * wander)
        sailed = run * ahead * np.exp(1j * (helm + real_leeway))
        creep = threshold * max(0.0, 1.0 - leg.speed_kn / SLOW_KN) * seconds * ahead
        stream = STREAM_PART * leg.strongest_kn * MPS_PER_KN * (north + 1j * east)
        reckoned = speed * seconds * _towards(leg.heading_deg + leg.leeway_deg)
        self.place = self.place + sailed + creep + stream - reckoned

    def _wander(self, seconds: float) -> Floats:
        """Let stream and log wander on; return their integrals over the time, (3, particles), seconds.

        Joint law of an Ornstein-Uhlenbeck process and its integral: from memory, and the first method, which
        goes by small steps, is its check.
        """
        integrals = np.empty_like(self.wandering)
        for row, memory_s in enumerate((self.model.stream_memory_s,) * 2 + (self.model.wander_memory_s,)):
            now = self.wandering[row]
            if memory_s == inf:
                integrals[row] = seconds * now
                continue
            kept = exp(-seconds / memory_s)
            spread = sqrt(1.0 - kept * kept)
            both = memory_s * (1.0 - kept) ** 2
            wide = memory_s**2 * (2.0 * seconds / memory_s - 3.0 + 4.0 * kept - kept * kept)
            one, other = self.drawn.standard_normal((2, now.size))
            along = both / spread
            integrals[row] = (
                memory_s * (1.0 - kept) * now + along * one + sqrt(max(wide - along**2, 0.0)) * other
            )
            self.wandering[row] = kept * now + spread * one
        return integrals

    def see(self, sighting: Sighting, ep: complex) -> None:
        """Weigh every particle by a sighting; each makes up its mind whether it is a blunder."""
        before = self.mistaken.get(sighting.mark)
        mistaken = self.drawn.random(self.place.size) < self.model.blunder
        if before is not None:
            mistaken = np.where(self.drawn.random(self.place.size) < self.model.repeated, before, mistaken)
        self.mistaken[sighting.mark] = mistaken
        north, east = (sighting.mark_at - ep - self.place).real, (sighting.mark_at - ep - self.place).imag
        if sighting.kind == "bearing":
            expected = np.arctan2(east, north) + self.errors[10] + VARIATION_IN_BEARING * self.errors[2]
            residual = np.remainder(sighting.observed - expected + pi, 2.0 * pi) - pi
            nothing_known = -log(2.0 * pi)
        else:
            residual = sighting.observed - np.hypot(north, east)
            nothing_known = -log(RANGE_BLUNDER_M)
        fit = -0.5 * np.square(residual / sighting.sd) - log(sighting.sd) - 0.5 * log(2.0 * pi)
        fit = np.where(mistaken, nothing_known, fit)
        weights = self.weights * np.exp(fit - fit.max())
        self.weights = weights / weights.sum()
        left = float(1.0 / np.square(self.weights).sum())
        self.thinnest = min(self.thinnest, left)
        if left < 0.5 * self.weights.size:
            self._resample()

    def _resample(self) -> None:
        """Make the particles equal again, systematically, and shake the errors by a thirtieth of an sd."""
        count = self.weights.size
        marks = (np.arange(count) + self.drawn.random()) / count
        chosen: _Choice = np.minimum(np.searchsorted(np.cumsum(self.weights), marks), count - 1)
        self.place = self.place[chosen]
        self.errors = self._shaken(self.errors[:, chosen])
        self.wandering = self._shaken(self.wandering[:, chosen])
        self.mistaken = {mark: each[chosen] for mark, each in self.mistaken.items()}
        self.weights = np.full(count, 1.0 / count)

    def _shaken(self, values: Floats) -> Floats:
        part = 1.0 / 30.0
        mean, sd = values.mean(axis=1, keepdims=True), values.std(axis=1, keepdims=True)
        noise = self.drawn.standard_normal(values.shape)
        shaken: Floats = mean + sqrt(1.0 - part * part) * (values - mean) + part * sd * noise
        return shaken
