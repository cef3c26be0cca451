"""A trial: what runs on several headings tell of log and compass, the ground known and the stream not.

On one heading a log that shows too little, and a compass that is off, look just like a stream. A stream
stays where it is when the boat turns; what is the log's goes with her way, what is the compass's goes across
it. So the unknowns of the area's own model are worked from the way over the ground, with nothing taken for
known of stream, log and compass beforehand but how a stream changes and a log wanders meanwhile.

Method: the area's linear Gaussian model, leg by leg (a Kalman filter), worked again about what was found
until it stays; from memory, and held against simulated runs in `tests/navigator`.
"""

from cmath import exp
from collections.abc import Sequence
from dataclasses import dataclass
from math import atan2, degrees, radians

import numpy as np

from middlewatch.navigator.area.passage import Stretch, motion, product, sandwich
from middlewatch.navigator.area.unknowns import COUNT, Priors, Unknown
from middlewatch.navigator.chance import Floats
from middlewatch.navigator.reckoning.integrals import Integrals, Sideways
from middlewatch.quantities.lengths import METRES_PER_SECOND_PER_KNOT

RECEIVER_M = 6.0
"""How well a leg of the receiver is known on each axis: two positions of 4 m, one sigma (judgement)."""

_ROUNDS = 4
# Nothing is known beforehand of what is looked for: half the log, thirty degrees, five times any stream.
_LOG, _COMPASS_DEG, _STREAM = 0.5, 30.0, 5.0
_PLACES = [Unknown.NORTH, Unknown.EAST]
_SWING = [Unknown.COMPASS, Unknown.SINE, Unknown.COSINE]


@dataclass(frozen=True, slots=True)
class Leg:
    """A minute or two of a trial: metres, north + east j, true.

    `ground`: by the receiver, None where that, or the run, is not to be used; `runs`: through the water,
    second by second, as log and compass have it uncorrected; `laid`: what leeway and stream by order carry
    her beside that; `untold`: how much of the doubt of leeway no wind tells; `doubt_kn`: one standard
    deviation of an unknown stream on an axis.
    """

    seconds: int
    ground: complex | None
    runs: tuple[complex, ...]
    laid: complex
    untold: float
    doubt_kn: float


@dataclass(frozen=True, slots=True)
class Trial:
    """What a trial found; `factor_sd` a part of one, degrees, square degrees.

    `swing`: constant, sine and cosine (of the true heading) of the deviation, E+; `doubt`: their covariance.
    `misfit`: the mean square of what each leg was off, in its own standard deviations: about one.
    """

    factor: float
    factor_sd: float
    swing: tuple[float, float, float]
    doubt: tuple[tuple[float, float, float], ...]
    misfit: float

    def deviation_deg(self, ahead: complex) -> float:
        """Return the deviation on a heading, cosine + sine j."""
        constant, sine, cosine = self.swing
        return constant + sine * ahead.imag + cosine * ahead.real


@dataclass(frozen=True, slots=True)
class _About:
    """About what it is worked: the factor, and constant, sine and cosine of the deviation in radians."""

    factor: float = 1.0
    swing: tuple[float, float, float] = (0.0, 0.0, 0.0)

    def sums(self, leg: Leg) -> Integrals:
        """Return the integrals of a leg, its runs corrected by these."""
        constant, sine, cosine = self.swing
        doubt_mps = leg.doubt_kn * METRES_PER_SECOND_PER_KNOT
        sideways = Sideways(0.0, by_wind=False, untold=leg.untold)
        sums = Integrals()
        for run in leg.runs:
            ahead = run / abs(run) if run else 0j
            turned = constant + sine * ahead.imag + cosine * ahead.real
            sums = sums.sailed(self.factor * run * exp(1j * turned), 1.0, sideways, 0j, doubt_mps)
        return sums

    def moved(self, mean: Floats) -> "_About":
        """Return it as the unknowns found about it have it."""
        turned = [float(mean[unknown]) for unknown in _SWING]
        constant, sine, cosine = (one + more for one, more in zip(self.swing, turned, strict=True))
        return _About(self.factor * (1.0 + float(mean[Unknown.LOG])), (constant, sine, cosine))


def tried(legs: Sequence[Leg], priors: Priors) -> Trial:
    """Return what legs, one after the other, tell of log and compass."""
    about = _About()
    mean, covariance, misfit = _worked(legs, priors, about)
    for _ in range(_ROUNDS - 1):
        about = about.moved(mean)
        mean, covariance, misfit = _worked(legs, priors, about)
    about = about.moved(mean)
    constant, sine, cosine = map(degrees, about.swing)
    square = degrees(1.0) ** 2
    doubt = [tuple(square * float(covariance[one, other]) for other in _SWING) for one in _SWING]
    return Trial(
        factor=about.factor,
        factor_sd=float(covariance[Unknown.LOG, Unknown.LOG]) ** 0.5,
        swing=(constant, sine, cosine),
        doubt=tuple((row[0], row[1], row[2]) for row in doubt),
        misfit=misfit,
    )


def _worked(legs: Sequence[Leg], priors: Priors, about: _About) -> tuple[Floats, Floats, float]:
    """Return mean and covariance of the unknowns after all legs, and how well these fit."""
    mean, covariance = np.zeros(COUNT), _beforehand(priors)
    # What is known of sine and cosine beforehand is known of the whole of them.
    mean[Unknown.SINE], mean[Unknown.COSINE] = -about.swing[1], -about.swing[2]
    misfits: list[float] = []
    for leg in legs:
        # Each leg begins where the receiver has her.
        mean[_PLACES] = 0.0
        covariance[_PLACES, :] = covariance[:, _PLACES] = 0.0
        sums = about.sums(leg)
        moved = motion([Stretch(leg.seconds, sums)])
        mean = product(moved.carry, mean[:, np.newaxis])[:, 0]
        covariance = sandwich(moved.carry, covariance) + moved.noise
        if leg.ground is None:
            continue
        off = leg.ground - leg.laid - sums.run
        for place, seen in zip(_PLACES, (off.real, off.imag), strict=True):
            variance = float(covariance[place, place]) + RECEIVER_M**2
            surprise = seen - float(mean[place])
            misfits.append(surprise * surprise / variance)
            gain = covariance[:, place] / variance
            mean = mean + gain * surprise
            covariance = covariance - gain[:, np.newaxis] * gain[np.newaxis, :] * variance
    return mean, covariance, sum(misfits) / max(1, len(misfits))


def _beforehand(priors: Priors) -> Floats:
    """Return the covariance before a trial; what variation is off is the deviation's here."""
    covariance = priors.covariance(0.0)
    covariance[Unknown.LOG, Unknown.LOG] = _LOG**2
    covariance[Unknown.COMPASS, Unknown.COMPASS] = radians(_COMPASS_DEG) ** 2
    for unknown in (Unknown.STREAM_NORTH, Unknown.STREAM_EAST):
        covariance[unknown, unknown] = _STREAM**2
    for unknown in (
        Unknown.VARIATION,
        Unknown.HAND,
        Unknown.PORT_TACK,
        Unknown.STARBOARD_TACK,
        Unknown.WIND_DRIFT,
    ):
        covariance[unknown, unknown] = 0.0
    return covariance


def headings_span_deg(legs: Sequence[Leg]) -> float:
    """Return over how much of the circle the headings of legs go: 360 less the widest gap between them.

    To ten degrees; what she passed through in a turn does not count.
    """
    tens: dict[int, int] = {}
    for leg in legs:
        for run in leg.runs if leg.ground is not None else ():
            if run:
                ten = round(degrees(atan2(run.imag, run.real)) / 10.0) % 36
                tens[ten] = tens.get(ten, 0) + 1
    held = sorted(ten for ten, seconds in tens.items() if seconds >= _HELD_S)
    if not held:
        return 0.0
    gaps = [(after - here) % 36 or 36 for here, after in zip(held, [*held[1:], held[0]], strict=True)]
    return 360.0 - 10.0 * max(gaps)


_HELD_S = 120
"""So long a heading is steered, to count as one that was."""
