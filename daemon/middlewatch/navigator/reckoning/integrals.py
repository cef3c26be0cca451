"""Integrals of the track: what each error of log, compass, leeway or stream would have done to the boat.

Complex metres, north + east j, summed from the beginning of the track; their change over a stretch is all
that the area needs of the time between two sightings.
"""

from math import hypot, radians
from operator import add, sub
from typing import NamedTuple

from middlewatch.quantities.lengths import METRES_PER_SECOND_PER_KNOT

SLOW_MPS = 1.5 * METRES_PER_SECOND_PER_KNOT
"""Below this speed the log's threshold begins to tell (judgement)."""

# How much of the doubt of leeway no wind tells of: all of it (5 degrees) where no wind is known; 2 degrees
# for a leeway by order, and 1.5 for a boat running free (judgement; the design's section 4).
NO_WIND_KNOWN = 1.0
BY_ORDER = 0.4
RUNNING_FREE = 0.3
_REACHING_SHARE = 0.5


class Sideways(NamedTuple):
    """The leeway laid on a run, + to starboard, by wind or not; how much of its doubt no wind tells."""

    leeway_deg: float
    by_wind: bool
    untold: float


class Integrals(NamedTuple):
    """Running sums over the track, complex metres, north + east j; what each is for: `area/passage.py`.

    `run`: through the water with the EP's leeway; `sine`, `cosine`: the same weighted by those of the
    heading; `port`, `starboard`: weighted by the EP's leeway in radians, + to starboard, on each tack;
    `side_sine`, `side_cosine`: weighted by how far leeway is not told by a wind; `slow`: seconds of little
    way along the heading; `wind`: run of the true wind; `stream_m`: one standard deviation of stream and
    other drift, summed over time, real.
    """

    run: complex = 0j
    sine: complex = 0j
    cosine: complex = 0j
    port: complex = 0j
    starboard: complex = 0j
    side_sine: complex = 0j
    side_cosine: complex = 0j
    slow: complex = 0j
    wind: complex = 0j
    stream_m: float = 0.0

    def since(self, before: "Integrals") -> "Integrals":
        """Return what has come to the sums since a moment before."""
        return Integrals(*map(sub, self, before))

    def with_(self, later: "Integrals") -> "Integrals":
        """Return the sums of two stretches together."""
        return Integrals(*map(add, self, later))

    def times(self, factor: float) -> "Integrals":
        """Return the sums of a stretch so many times as long."""
        return Integrals(*(factor * each for each in self))  # type: ignore[arg-type]  # the last of them is real

    def sailed(
        self, water: complex, seconds: float, sideways: Sideways, wind_mps: complex, doubt_mps: float
    ) -> "Integrals":
        """Return the sums after a run through the water, to which leeway is still to be added.

        `wind_mps` is the velocity of the wind over the water, downwind; `doubt_mps` one standard deviation
        an axis of what else may carry the boat.
        """
        length = hypot(water.real, water.imag)
        if length == 0.0:
            return self.lain(seconds, doubt_mps)
        ahead = water / length
        leeway = radians(sideways.leeway_deg)
        # To first order, as everything here; the EP itself turns the run in full.
        run = water * (1.0 + 1j * leeway) if leeway else water
        sine, cosine = run * ahead.imag, run * ahead.real
        by_leeway = run * leeway if sideways.by_wind else 0j
        slow = max(0.0, 1.0 - length / (seconds * SLOW_MPS)) * seconds if seconds else 0.0
        return Integrals(
            self.run + run,
            self.sine + sine,
            self.cosine + cosine,
            self.port + by_leeway if leeway > 0.0 else self.port,
            self.starboard + by_leeway if leeway < 0.0 else self.starboard,
            self.side_sine + sideways.untold * sine,
            self.side_cosine + sideways.untold * cosine,
            self.slow + slow * ahead,
            self.wind + wind_mps * seconds,
            self.stream_m + doubt_mps * seconds,
        )

    def lain(self, seconds: float, doubt_mps: float) -> "Integrals":
        """Return the sums after a time in which the boat made no run of her own through the water."""
        return self._replace(stream_m=self.stream_m + doubt_mps * seconds)


def untold_leeway(leeway_share: float | None, *, by_order: bool) -> float:
    """Return how much of the doubt of leeway no wind tells of.

    `leeway_share`: which part of the whole leeway the apparent wind gives, None where none is heard.
    """
    if by_order:
        return BY_ORDER
    if leeway_share is None:
        return NO_WIND_KNOWN
    return RUNNING_FREE * max(0.0, 1.0 - leeway_share / _REACHING_SHARE)
