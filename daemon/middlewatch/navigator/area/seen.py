"""Sightings as the cloud weighs them: how likely each is from wherever the boat may have been.

Places are deviations from the EP at the second of the sighting, complex metres, north + east j; marks stand
in the same plane, laid out round the EP by direction and distance (so bearings and distances from the EP are
exact, and from some miles beside it good to a few metres).
"""

from dataclasses import dataclass, field
from math import atan2, hypot, log, pi, tan
from typing import Protocol

import numpy as np

from middlewatch.navigator.chance import Floats

Places = np.ndarray[tuple[int, ...], np.dtype[np.complex128]]

_EARTH_M = 6_371_000.0
_LOG_TWO_PI = log(2.0 * pi)


@dataclass(frozen=True, slots=True)
class Plane:
    """The plane round an EP: how far its meridians lean, radians a metre of easting."""

    leaning: float = 0.0

    @classmethod
    def at(cls, latitude_rad: float) -> "Plane":
        """Return the plane at a latitude; a metre further east, true north lies that much to the west."""
        return cls(tan(latitude_rad) / _EARTH_M)


class Seen(Protocol):
    """A sighting, held against places."""

    @property
    def mark(self) -> str:
        """The key of its mark."""

    @property
    def effects(self) -> Floats | None:
        """What one unit of each unknown adds to the residual; None where the boat's errors have no part."""

    @property
    def about(self) -> complex | None:
        """The mark round which the line is simple, None where there is none."""

    def hold(self, places: Places) -> "Held":
        """Return residuals and how likely they are."""


@dataclass(frozen=True, slots=True)
class Held:
    """Residuals, seen less expected, with their standard deviation, and the density of a blunder (log).

    Where several residuals belong to one sighting (a point) they are complex. `barred`: places from which it
    cannot have been seen so at all.
    """

    residual: Floats | Places
    sd: Floats | float
    log_blunder: float
    barred: "np.ndarray[tuple[int, ...], np.dtype[np.bool_]] | None" = None

    def log_density(self, residual: Floats | Places, variance: Floats | float) -> Floats:
        """Return the log of the density of residuals with this variance; two of them where complex."""
        two = 1.0 if np.iscomplexobj(residual) else 0.5
        square = np.square(residual.real) + np.square(residual.imag) if two == 1.0 else np.square(residual)
        density: Floats = -0.5 * square / variance - two * (np.log(variance) + _LOG_TWO_PI)
        return density if self.barred is None else np.where(self.barred, -np.inf, density)


@dataclass(frozen=True, slots=True)
class BearingSeen:
    """A bearing, true, of a mark at `mark_at`; radians. Its shared errors are in `effects`.

    `own_sd`: the sight's own; `mark_sd`: how well the mark's place is known, metres.
    """

    mark: str
    mark_at: complex
    bearing: float
    own_sd: float
    effects: Floats | None = None
    plane: Plane = field(default_factory=Plane)
    mark_sd: float = 0.0

    @property
    def sd(self) -> float:
        """One standard deviation as it holds at the EP: for what is learnt by all samples alike."""
        return hypot(self.own_sd, atan2(self.mark_sd, abs(self.mark_at)))

    @property
    def about(self) -> complex | None:
        """The mark."""
        return self.mark_at

    def hold(self, places: Places) -> Held:
        """Return bearing seen less bearing expected, brought to half a turn either side."""
        # atan2(east, north) is clockwise from north: the complex plane's own angle.
        expected = np.angle(self.mark_at - places) + self.plane.leaning * places.imag
        residual = np.remainder(self.bearing - expected + pi, 2.0 * pi) - pi
        return Held(residual, with_marks(self.own_sd, (self.mark_sd, self.mark_at - places)), -_LOG_TWO_PI)


@dataclass(frozen=True, slots=True)
class DistanceSeen:
    """A distance off a mark, metres: by radar, by eye, by vertical angle; `sd` has the mark's own in it."""

    mark: str
    mark_at: complex
    distance: float
    sd: float
    effects: Floats | None = None

    @property
    def about(self) -> complex | None:
        """The mark."""
        return self.mark_at

    def hold(self, places: Places) -> Held:
        """Return distance seen less distance expected; a blunder is anything up to twice as far."""
        residual = self.distance - np.abs(self.mark_at - places)
        return Held(residual, self.sd, -log(2.0 * self.distance + 10.0 * self.sd))


@dataclass(frozen=True, slots=True)
class PointSeen:
    """A position as such, metres from the EP."""

    mark: str
    at: complex
    sd: float
    effects: Floats | None = None

    @property
    def about(self) -> complex | None:
        """None: it is no line about a mark."""
        return None

    def hold(self, places: Places) -> Held:
        """Return how far the point lies from each place; a blunder is anywhere within ten miles square."""
        return Held(self.at - places, self.sd, -2.0 * log(18_520.0))


@dataclass(frozen=True, slots=True)
class TransitSeen:
    """Two marks in line, seen from the front one's side; `sd` radians is how well the eye judges that.

    `mark_sds`: how well the places of front and rear mark are known, metres.
    """

    mark: str
    front_at: complex
    rear_at: complex
    sd: float
    effects: Floats | None = None
    mark_sds: tuple[float, float] = (0.0, 0.0)

    @property
    def about(self) -> complex | None:
        """The mark."""
        return self.front_at

    def hold(self, places: Places) -> Held:
        """Return by what angle the marks would stand apart, + the rear one to the left."""
        front, rear = self.front_at - places, self.rear_at - places
        apart = np.angle(front * np.conj(rear))
        behind = np.abs(rear) < np.abs(front)
        sd = with_marks(self.sd, *zip(self.mark_sds, (front, rear), strict=True))
        # By blunder two marks stand apart by anything up to a quarter of a turn either way.
        return Held(apart, sd, -log(pi), behind)


@dataclass(frozen=True, slots=True)
class AngleSeen:
    """An angle from a left mark clockwise to a right one; radians, the marks' own doubts in metres.

    From where the marks would stand the other way round it cannot have been seen.
    """

    mark: str
    left_at: complex
    right_at: complex
    angle: float
    sd: float
    mark_sds: tuple[float, float]
    effects: Floats | None = None

    @property
    def about(self) -> complex | None:
        """None: it is no line about a mark."""
        return None

    def hold(self, places: Places) -> Held:
        """Return angle seen less angle expected; by blunder it is anything up to half a turn."""
        left, right = self.left_at - places, self.right_at - places
        expected = np.angle(right * np.conj(left))
        sd = with_marks(self.sd, *zip(self.mark_sds, (left, right), strict=True))
        return Held(self.angle - expected, sd, -log(pi), expected <= 0.0)


def with_marks(own_sd: float, *marks: tuple[float, Places]) -> Floats | float:
    """Return the standard deviation of an angle from each place: its own, and that of each mark.

    Of a mark: how well its place is known, metres, and the way to it from each place. A mark out by so much
    across the sight stands elsewhere by an angle that is the larger the nearer it is.
    """
    if not any(mark_sd for mark_sd, _ in marks):
        return own_sd
    variance: Floats | float = own_sd**2
    for mark_sd, off in marks:
        variance = variance + np.square(np.arctan2(mark_sd, np.abs(off)))
    return np.sqrt(variance)
