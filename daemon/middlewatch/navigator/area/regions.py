"""Regions as the cloud weighs them: how likely it is to see just this, from wherever the boat may have been.

What is seen here is no figure but a yes, a colour, a place on a contour. A soft edge is logistic: close to a
normal one of the same spread, and quick to work.
"""

from dataclasses import dataclass, field
from itertools import pairwise
from math import log, pi, sqrt

import numpy as np

from middlewatch.navigator.area.seen import Held, Places, Plane, with_marks
from middlewatch.navigator.chance import Floats

_LOGISTIC = sqrt(3.0) / pi
"""The scale of a logistic distribution, as a part of its standard deviation."""
_IN_SIGHT_BY_BLUNDER = log(0.5)
_NEVER = -700.0  # the log of what a double still holds
_NO_SOUNDING_M = 18_520.0


@dataclass(frozen=True, slots=True)
class SoftHeld(Held):
    """What was seen is no figure: `likely` is the log of how likely it is from each place.

    The residual tells how far outside each place is, for how unusual the sighting is.
    """

    likely: Floats = field(default_factory=lambda: np.zeros(1))

    def log_density(self, _residual: Floats | Places, _variance: Floats | float) -> Floats:
        """Return the log of how likely the sighting is from each place."""
        return self.likely


@dataclass(frozen=True, slots=True)
class LightSeen:
    """A light in sight: at or inside a range, metres."""

    mark: str
    mark_at: complex
    range_: float
    sd: float
    effects: Floats | None = None

    @property
    def about(self) -> complex | None:
        """None: it is no line about a mark."""
        return None

    def hold(self, places: Places) -> Held:
        """Return how far outside each place is; by blunder a light is in sight as often as not."""
        inside = self.range_ - np.abs(self.mark_at - places)
        likely = -np.logaddexp(0.0, -inside / (_LOGISTIC * self.sd))
        return SoftHeld(np.minimum(inside, 0.0), self.sd, _IN_SIGHT_BY_BLUNDER, None, likely)


@dataclass(frozen=True, slots=True)
class ColourSeen:
    """The colour of a light: `sectors` that show it, (middle, half width), radians from seaward.

    `shown` false: it showed nothing, and these are all it has. `sd`: how soft the edges are; `mark_sd`: how
    well the light's place is known, metres.
    """

    mark: str
    mark_at: complex
    sectors: tuple[tuple[float, float], ...]
    shown: bool
    sd: float
    plane: Plane = field(default_factory=Plane)
    effects: Floats | None = None
    mark_sd: float = 0.0

    @property
    def about(self) -> complex | None:
        """None: it is no line about a mark."""
        return None

    def hold(self, places: Places) -> Held:
        """Return by what angle each place is outside; by blunder any colour of four is seen."""
        bearing = np.angle(self.mark_at - places) + self.plane.leaning * places.imag
        sd = with_marks(self.sd, (self.mark_sd, self.mark_at - places))
        lit, inside = np.zeros(places.size), np.full(places.size, -pi)
        for middle, half in self.sectors:
            off = np.remainder(bearing - middle + pi, 2.0 * pi) - pi
            inside = np.maximum(inside, half - np.abs(off))
            # The sector once more a turn either way, so that one all round has no edge at its back.
            for turned in (off - 2.0 * pi, off, off + 2.0 * pi):
                lit = lit + _risen(turned + half, sd) - _risen(turned - half, sd)
        likely = np.log(np.maximum(lit if self.shown else 1.0 - lit, np.exp(_NEVER)))
        outside = np.minimum(inside if self.shown else -inside, 0.0)
        return SoftHeld(outside, sd, log(0.25), None, likely)


@dataclass(frozen=True, slots=True)
class ContourSounded:
    """A depth sounded on a contour: its points, and how far off it the boat may be, metres."""

    mark: str
    points: tuple[complex, ...]
    sd: float
    effects: Floats | None = None

    @property
    def about(self) -> complex | None:
        """None: it is no line about a mark."""
        return None

    def hold(self, places: Places) -> Held:
        """Return how far off the contour each place is; by blunder anything within five miles either way."""
        off = np.full(places.size, np.inf)
        for one, other in pairwise(self.points):
            off = np.minimum(off, _off_segment(places, one, other))
        return Held(off, self.sd, -log(_NO_SOUNDING_M))


def _risen(angle: Floats, sd: Floats | float) -> Floats:
    """Return how much of a soft edge is passed."""
    risen: Floats = 0.5 * (1.0 + np.tanh(angle / (2.0 * _LOGISTIC * sd)))
    return risen


def _off_segment(places: Places, one: complex, other: complex) -> Floats:
    way = other - one
    square = way.real * way.real + way.imag * way.imag
    along = ((places - one) * np.conj(way)).real / square if square > 0.0 else np.zeros(places.size)
    off: Floats = np.abs(places - one - np.clip(along, 0.0, 1.0) * way)
    return off
