"""A stretch of a passage, as the errors need it: what each unknown, one unit of it, does to the boat's place.

The water track gives integrals (`Integrals`); their change over a stretch (`Stretch`) says how errors of log,
compass, leeway and stream carry the boat off the EP while it is sailed.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from math import exp

import numpy as np

from middlewatch.navigator.area.unknowns import COUNT, STREAM_MEMORY_S, WANDER_MEMORY_S, Unknown
from middlewatch.navigator.chance import Floats
from middlewatch.navigator.reckoning.integrals import Integrals

_WANDER_VARIANCE = 0.02**2

Effects = np.ndarray[tuple[int, ...], np.dtype[np.complex128]]
"""How far one unit of each unknown moves the boat: complex metres, north + east j."""


@dataclass(frozen=True, slots=True)
class Renewal:
    """Errors of log or compass that are others from a moment on, for it was calibrated then.

    `covariance`: of what is left of these unknowns, row after row; their mean is nothing, and what was before
    is nothing to them.
    """

    unknowns: tuple[Unknown, ...]
    covariance: tuple[tuple[float, ...], ...]

    def motion(self) -> "Motion":
        """Return what comes to the unknowns then: these are forgotten, and begin anew."""
        carry, noise = np.eye(COUNT), np.zeros((COUNT, COUNT))
        for unknown, row in zip(self.unknowns, self.covariance, strict=True):
            carry[unknown, unknown] = 0.0
            noise[unknown, list(self.unknowns)] = row
        return Motion(carry, noise)


@dataclass(frozen=True, slots=True)
class Stretch:
    """What the track ran over `seconds`: the change of its integrals; and what was renewed at its end."""

    seconds: float
    sums: Integrals = Integrals()  # noqa: RUF009 -- a tuple of numbers
    renewed: tuple[Renewal, ...] = ()

    def ending_with(self, renewed: tuple[Renewal, ...]) -> "Stretch":
        """Return it with what was renewed at its end."""
        return replace(self, renewed=renewed) if renewed else self

    def with_(self, later: "Stretch") -> "Stretch":
        """Return this stretch and the next as one, as if nothing had been renewed."""
        return Stretch(self.seconds + later.seconds, self.sums.with_(later.sums))

    def times(self, factor: float) -> "Stretch":
        """Return a stretch so many times as long and otherwise like this one."""
        return Stretch(factor * self.seconds, self.sums.times(factor))

    def effects(self) -> Effects:
        """Return, for one unit of each unknown at the start of the stretch, how far it moves the boat."""
        run, sine, cosine, port, starboard, side_sine, side_cosine, slow, wind, stream_m = self.sums
        stream = stream_m * _lasting(self.seconds, STREAM_MEMORY_S)
        # In the order of `Unknown`. A heading that is really more than shown turns the run clockwise.
        return np.array([
            1.0, 1j, run, 1j * run, 1j * run, 1j * sine, 1j * cosine,
            1j * port, 1j * starboard, 1j * side_sine, 1j * side_cosine,
            slow, wind, 0j, stream, 1j * stream,
            run * _lasting(self.seconds, WANDER_MEMORY_S),
        ])  # fmt: skip


def between(before: Integrals, after: Integrals, seconds: float) -> Stretch:
    """Return the stretch between two moments of which the integrals are known."""
    return Stretch(seconds, after.since(before))


@dataclass(frozen=True, slots=True)
class Motion:
    """How unknowns at one moment become those at a later one: z' = carry z + noise of covariance `noise`."""

    carry: Floats
    noise: Floats

    def then(self, later: "Motion") -> "Motion":
        """Return this motion and a later one as one."""
        return Motion(product(later.carry, self.carry), sandwich(later.carry, self.noise) + later.noise)


def motion(stretches: Iterable[Stretch]) -> Motion:
    """Return the motion over stretches that follow each other; none: standing still."""
    whole = Motion(np.eye(COUNT), np.zeros((COUNT, COUNT)))
    for stretch in stretches:
        whole = whole.then(_over(stretch))
    return whole


def product(one: Floats, other: Floats) -> Floats:
    """Return the product of two small matrices, summed in an order that no processor changes."""
    whole: Floats = (one[:, :, np.newaxis] * other[np.newaxis, :, :]).sum(axis=1)
    return whole


def sandwich(one: Floats, inner: Floats) -> Floats:
    """Return one x inner x one transposed."""
    return product(product(one, inner), one.T)


def _over(stretch: Stretch) -> Motion:
    carry = np.eye(COUNT)
    effect = stretch.effects()
    carry[Unknown.NORTH], carry[Unknown.EAST] = effect.real, effect.imag
    noise = np.zeros((COUNT, COUNT))
    if stretch.seconds > 0.0:
        stream_mps = stretch.sums.stream_m / stretch.seconds
        stream = _Wandering(stretch.seconds, STREAM_MEMORY_S, 1.0)
        stream.add(carry, noise, Unknown.STREAM_NORTH, np.array([stream_mps, 0.0]))
        stream.add(carry, noise, Unknown.STREAM_EAST, np.array([0.0, stream_mps]))
        speed = np.array([stretch.sums.run.real, stretch.sums.run.imag]) / stretch.seconds
        log = _Wandering(stretch.seconds, WANDER_MEMORY_S, _WANDER_VARIANCE)
        log.add(carry, noise, Unknown.WANDER, speed)
    whole = Motion(carry, noise)
    for renewal in stretch.renewed:
        whole = whole.then(renewal.motion())
    return whole


@dataclass(frozen=True, slots=True)
class _Wandering:
    """An Ornstein-Uhlenbeck process over some seconds: what it forgets, and what it newly does.

    The covariance of such a process and its integral is in closed form (from memory; shown by the tests
    against a simulation in small steps).
    """

    seconds: float
    memory_s: float
    variance: float

    def add(self, carry: Floats, noise: Floats, unknown: Unknown, speed: Floats) -> None:
        """Let an unknown wander, and the boat's place feel it at `speed` (north, east)."""
        kept = exp(-self.seconds / self.memory_s)
        carry[unknown, unknown] = kept
        noise[unknown, unknown] += self.variance * (1.0 - kept * kept)
        shared = self.variance * self.memory_s * (1.0 - kept) ** 2
        noise[:2, unknown] += shared * speed
        noise[unknown, :2] += shared * speed
        placed = self.variance * self.memory_s**2 * _placed(self.seconds / self.memory_s)
        noise[:2, :2] += placed * speed[:, np.newaxis] * speed[np.newaxis, :]


def _placed(spans: float) -> float:
    """Return 2 s - 3 + 4 exp(-s) - exp(-2 s); by its series where that would be a difference of nothings."""
    if spans > 0.05:
        return 2.0 * spans - 3.0 + 4.0 * exp(-spans) - exp(-2.0 * spans)
    return spans**3 * (2 / 3 - spans * (1 / 2 - spans * (7 / 30 - spans * (1 / 12 - spans * 31 / 1260))))


def _lasting(seconds: float, memory_s: float) -> float:
    """Return which part of a stretch something with a memory acts at its first strength."""
    return 1.0 if seconds <= 0.0 else memory_s / seconds * (1.0 - exp(-seconds / memory_s))
