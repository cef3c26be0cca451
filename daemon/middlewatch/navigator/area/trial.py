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
from middlewatch.navigator.area.trial_pull import SWING, Pulled, SetIn
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
    Both doubts hold what a pull leaves that is too small to show. `misfit`: the mean square of what each leg
    was off, in its own standard deviations: about one. `set_in`: what likeliest set in meanwhile, fixed to
    the earth; None where nothing was run.
    """

    factor: float
    factor_sd: float
    swing: tuple[float, float, float]
    doubt: tuple[tuple[float, float, float], ...]
    misfit: float
    set_in: SetIn | None

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
        turned = [float(mean[unknown]) for unknown in SWING]
        constant, sine, cosine = (one + more for one, more in zip(self.swing, turned, strict=True))
        return _About(self.factor * (1.0 + float(mean[Unknown.LOG])), (constant, sine, cosine))


@dataclass(frozen=True, slots=True)
class _Worked:
    """Mean and covariance of the unknowns after all legs, and how these fit: as they are, and with a pull."""

    mean: Floats
    covariance: Floats
    misfit: float
    pulled: Pulled


def tried(legs: Sequence[Leg], priors: Priors) -> Trial:
    """Return what legs, one after the other, tell of log and compass."""
    about = _About()
    worked = _worked(legs, priors, about)
    for _ in range(_ROUNDS - 1):
        about = about.moved(worked.mean)
        worked = _worked(legs, priors, about)
    about = about.moved(worked.mean)
    unseen = worked.pulled.unseen()
    constant, sine, cosine = map(degrees, about.swing)
    doubt = degrees(1.0) ** 2 * (worked.covariance[np.ix_(SWING, SWING)] + unseen.swing)
    return Trial(
        factor=about.factor,
        factor_sd=float(worked.covariance[Unknown.LOG, Unknown.LOG] + unseen.log) ** 0.5,
        swing=(constant, sine, cosine),
        doubt=tuple((float(row[0]), float(row[1]), float(row[2])) for row in doubt),
        misfit=worked.misfit,
        set_in=worked.pulled.likeliest(),
    )


def _worked(legs: Sequence[Leg], priors: Priors, about: _About) -> _Worked:
    """Work the unknowns through all legs, and beside them what a pull would make of them."""
    mean, covariance = np.zeros(COUNT), _beforehand(priors)
    # What is known of sine and cosine beforehand is known of the whole of them.
    mean[Unknown.SINE], mean[Unknown.COSINE] = -about.swing[1], -about.swing[2]
    pulled, misfits = Pulled.from_each_of(len(legs)), list[float]()
    for number, leg in enumerate(legs):
        # Each leg begins where the receiver has her.
        mean[_PLACES] = pulled.means[_PLACES] = 0.0
        covariance[_PLACES, :] = covariance[:, _PLACES] = 0.0
        sums = about.sums(leg)
        moved = motion([Stretch(leg.seconds, sums)])
        mean = product(moved.carry, mean[:, np.newaxis])[:, 0]
        pulled.means = product(moved.carry, pulled.means)
        covariance = sandwich(moved.carry, covariance) + moved.noise
        if leg.ground is None:
            continue
        off = leg.ground - leg.laid - sums.run
        for axis, (place, seen) in enumerate(zip(_PLACES, (off.real, off.imag), strict=True)):
            variance = float(covariance[place, place]) + RECEIVER_M**2
            surprise = seen - float(mean[place])
            made = pulled.seen(number, axis, leg.seconds) - pulled.means[place]
            misfits.append(surprise * surprise / variance)
            pulled.missed(surprise, variance, made)
            gain = covariance[:, place] / variance
            mean = mean + gain * surprise
            pulled.means = pulled.means + gain[:, np.newaxis] * made[np.newaxis, :]
            covariance = covariance - gain[:, np.newaxis] * gain[np.newaxis, :] * variance
    return _Worked(mean, covariance, sum(misfits) / max(1, len(misfits)), pulled)


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
    held = _held_tens(legs)
    return 0.0 if not held else 360.0 - 10.0 * max(_gaps(held))


def directions(legs: Sequence[Leg]) -> int:
    """Return on how many headings, forty degrees apart and more, a trial was run."""
    held = _held_tens(legs)
    if not held:
        return 0
    gaps = _gaps(held)
    widest = gaps.index(max(gaps))
    counted, since = 1, 0
    for gap in (*gaps[widest + 1 :], *gaps[:widest]):
        since += gap
        if since >= _APART_TENS:
            counted, since = counted + 1, 0
    return counted


def _held_tens(legs: Sequence[Leg]) -> list[int]:
    """Return the headings that were steered, in tens of degrees."""
    tens: dict[int, int] = {}
    for leg in legs:
        for run in leg.runs if leg.ground is not None else ():
            if run:
                ten = round(degrees(atan2(run.imag, run.real)) / 10.0) % 36
                tens[ten] = tens.get(ten, 0) + 1
    return sorted(ten for ten, seconds in tens.items() if seconds >= _HELD_S)


def _gaps(tens: list[int]) -> list[int]:
    """Return how far it is from each heading to the next, round the circle, in tens of degrees."""
    return [(after - here) % 36 or 36 for here, after in zip(tens, [*tens[1:], tens[0]], strict=True)]


_HELD_S = 120
"""So long a heading is steered, to count as one that was."""
_APART_TENS = 4
