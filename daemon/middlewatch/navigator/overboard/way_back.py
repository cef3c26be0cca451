"""The way back: minus the boat's run through the water since the press, and how surely that is known.

The stream carries boat and casualty alike and takes no part; nothing of satellites does. What is not known is
worked to first order, as in the area (`area/passage.py`), each with its standard deviation of the design's
section 4, but for those named here.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from math import atan2, degrees, hypot, radians, sqrt

from middlewatch.navigator.area.unknowns import Priors, Unknown
from middlewatch.navigator.reckoning.calibration import Deviation, LogFactor
from middlewatch.navigator.reckoning.casualty import Casualty
from middlewatch.quantities.angles import unit
from middlewatch.quantities.lengths import METRES_PER_SECOND_PER_KNOT
from middlewatch.quantities.spreads import RADIUS_95

LATE_S, LATE_PART = 6.0, 0.25
"""How late a press may be, and one told to have been some time ago, in parts of that time (judgement)."""
LOOSE_M = 5.0
"""Damped instruments, and where on board the press was: one standard deviation an axis (judgement)."""
UNDER_ENGINE = 0.7
"""She may have dropped her sails and started the engine, and nobody has ordered the leeway off: the leeway by
wind is whole or nil, in parts of itself (judgement)."""
SIDEWAYS_DEG = 1.5
"""What a boat goes sideways anyway, to either side (the design's section 4, for one that is not pressed)."""
BLOWN_PART, BLOWN_PART_SD, BLOWN_KN = 0.011, 0.006, 0.07
"""A person in the water, state unknown, goes downwind at 1.1 % of the wind and 0.07 kn (Allen and Plourde,
Review of Leeway, US Coast Guard 1999; from memory). The spread of the part, and the 0.07 kn taken as a spread
either way, are judgement."""
BLOWN_UNKNOWN_KN = 0.15
"""The same where no wind is heard: as much as 10 to 15 kn of wind from anywhere would do (judgement)."""


Shares = tuple[complex, complex, complex]
"""How far the boat is carried off by one radian of a deviation's constant, sine and cosine, metres."""
Doubt = tuple[tuple[float, float, float], ...]
"""The covariance of these three."""


@dataclass(frozen=True, slots=True)
class Ellipse:
    """An ellipse that holds 95 in 100: half axes in metres, and the direction of the longer, degrees."""

    major_m: float
    minor_m: float
    along_deg: float


@dataclass(frozen=True, slots=True)
class WayBack:
    """Where the casualty lies from the boat, metres north + east j in the casualty's frame, and its area."""

    back: complex
    area: Ellipse


@dataclass(slots=True)
class _Spread:
    """A covariance of north and east, square metres."""

    north: float = 0.0
    both: float = 0.0
    east: float = 0.0

    def add(self, effect: complex) -> None:
        """Add what is carried off by one standard deviation of one unknown."""
        self.north += effect.real * effect.real
        self.both += effect.real * effect.imag
        self.east += effect.imag * effect.imag

    def add_together(self, effects: Shares, doubt: Doubt) -> None:
        """Add what is carried off by unknowns that go together: one unit of each, and their covariance."""
        for one, row in zip(effects, doubt, strict=True):
            for other, covariance in zip(effects, row, strict=True):
                self.north += covariance * one.real * other.real
                self.both += covariance * one.real * other.imag
                self.east += covariance * one.imag * other.imag

    def add_round(self, metres: float) -> None:
        """Add what is alike in every direction."""
        self.north += metres * metres
        self.east += metres * metres

    def ellipse(self) -> Ellipse:
        """Return the ellipse that holds 95 in 100 of a normal cloud."""
        middle, half = (self.north + self.east) / 2.0, (self.north - self.east) / 2.0
        swing = hypot(half, self.both)
        along_deg = degrees(atan2(self.both, half)) / 2.0
        major, minor = sqrt(middle + swing), sqrt(max(0.0, middle - swing))
        return Ellipse(RADIUS_95 * major, RADIUS_95 * minor, along_deg % 180.0)


def way_back(casualty: Casualty, priors: Priors, variation_deg: float = 0.0) -> WayBack:
    """Return the way back, by the likeliest leeway and the likeliest drift of a person by the wind.

    `variation_deg`: what makes a magnetic heading true, where the casualty is in a magnetic frame.
    """
    likely = float(priors.mean()[Unknown.PORT_TACK])
    run = casualty.run + 1j * likely * (casualty.port + casualty.starboard)
    back = -run + BLOWN_PART * casualty.wind
    spread = _Spread(casualty.wander_north, casualty.wander_both, casualty.wander_east)
    for effect in _effects(casualty, priors):
        spread.add(effect)
    _add_log_and_compass(spread, casualty, priors, variation_deg)
    spread.add_round(hypot(LOOSE_M, casualty.astray_m, _blown_m(casualty)))
    return WayBack(back, spread.ellipse())


def _effects(casualty: Casualty, priors: Priors) -> Iterable[complex]:
    """Yield how far one standard deviation of each unknown carries the boat off, the casualty being left."""
    sd = [sqrt(variance) for variance in priors.covariance(0.0).diagonal().tolist()]
    yield sd[Unknown.VARIATION] * 1j * casualty.run
    yield sd[Unknown.PORT_TACK] * 1j * casualty.port
    yield sd[Unknown.STARBOARD_TACK] * 1j * casualty.starboard
    yield UNDER_ENGINE * 1j * (casualty.port + casualty.starboard)
    yield radians(SIDEWAYS_DEG) * 1j * casualty.run
    yield sd[Unknown.SIDE_SINE] * 1j * casualty.side_sine
    yield sd[Unknown.SIDE_COSINE] * 1j * casualty.side_cosine
    yield hypot(LATE_S, LATE_PART * casualty.ago_s) * casualty.velocity_mps


def _add_log_and_compass(spread: _Spread, casualty: Casualty, priors: Priors, variation_deg: float) -> None:
    """Add what log and compass make, each part of the run by what its calibration left to be doubted."""
    before = priors.covariance(0.0).diagonal().tolist()
    log, compass = dict[LogFactor | None, complex](), dict[Deviation | None, Shares]()
    turn = complex(*unit(variation_deg if casualty.frame == "magnetic" else 0.0))
    for part in casualty.steered:
        log[part.log_factor] = log.get(part.log_factor, 0j) + part.run
        # The doubt of a deviation is by the true heading.
        sine = part.sine * turn.real + part.cosine * turn.imag
        cosine = part.cosine * turn.real - part.sine * turn.imag
        run, by_sine, by_cosine = compass.get(part.deviation, (0j, 0j, 0j))
        compass[part.deviation] = run + 1j * part.run, by_sine + 1j * sine, by_cosine + 1j * cosine
    for factor, run in log.items():
        spread.add(run * (sqrt(before[Unknown.LOG]) if factor is None else factor.sd))
    for deviation, effects in compass.items():
        spread.add_together(effects, _as_settings(before) if deviation is None else _radians(deviation.doubt))


def _as_settings(variances: list[float]) -> Doubt:
    swing = variances[Unknown.SINE], variances[Unknown.COSINE]
    return (variances[Unknown.COMPASS], 0.0, 0.0), (0.0, swing[0], 0.0), (0.0, 0.0, swing[1])


def _radians(doubt_deg2: Doubt) -> Doubt:
    square = radians(1.0) ** 2
    return tuple((square * row[0], square * row[1], square * row[2]) for row in doubt_deg2)


def _blown_m(casualty: Casualty) -> float:
    """Return how far the wind may have blown the casualty otherwise, one standard deviation an axis."""
    known_s = casualty.seconds - casualty.no_wind_s
    return (
        hypot(
            BLOWN_PART_SD * abs(casualty.wind),
            BLOWN_KN * METRES_PER_SECOND_PER_KNOT * known_s,
        )
        + BLOWN_UNKNOWN_KN * METRES_PER_SECOND_PER_KNOT * casualty.no_wind_s
    )
