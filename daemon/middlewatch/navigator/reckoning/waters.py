"""The waters: the strongest stream there may be where the boat is reckoned to be."""

from dataclasses import dataclass
from math import cos, radians

import numpy as np

from middlewatch.navigator.chance import Floats
from middlewatch.navigator.tuning import Tuning
from middlewatch.quantities.positions import longitude
from middlewatch.readings.zones import Zone

Plane = np.ndarray[tuple[int, ...], np.dtype[np.complex128]]

NEAR_NM = 0.5
"""So near to a zone's edge its stream may have the boat already: she is not just where she is reckoned, and
a race does not end at a line (judgement)."""


class Waters:
    """The strongest stream at a place, knots: a zone's own inside it, elsewhere what the settings say.

    Near a zone's edge the stronger of the two; of zones that overlap the strongest.
    """

    def __init__(self, tuning: Tuning) -> None:
        self._elsewhere_kn = tuning.strongest_stream_kn
        self._zones = [_Charted.of(zone) for zone in tuning.zones]

    def strongest_kn(self, place: tuple[float, float] | None) -> float:
        """Return it at a (latitude, longitude) in degrees; where no place is known yet, without zones."""
        if place is None or not self._zones:
            return self._elsewhere_kn
        stand = [(zone.strongest_kn, zone.off_nm(place)) for zone in self._zones]
        inside = [kn for kn, off_nm in stand if off_nm <= 0.0]
        near = [kn for kn, off_nm in stand if 0.0 < off_nm <= NEAR_NM]
        return max([*(inside or [self._elsewhere_kn]), *near])


@dataclass(frozen=True, slots=True)
class _Charted:
    """A zone's sides: from (latitude, longitude) `begins` to `ends`, each of shape (sides, 2), degrees."""

    strongest_kn: float
    begins: Floats
    ends: Floats

    @classmethod
    def of(cls, zone: Zone) -> "_Charted":
        rings = [np.array([(each.latitude_deg, each.longitude_deg) for each in ring]) for ring in zone.rings]
        return cls(
            zone.strongest_stream_kn,
            np.concatenate([ring[:-1] for ring in rings]),
            np.concatenate([ring[1:] for ring in rings]),
        )

    def off_nm(self, place: tuple[float, float]) -> float:
        """Return how far a place is from the edge in nautical miles, 0 inside.

        On the plane of the place's own latitude: good to a part in a hundred within a few tens of miles,
        which is as near as anybody draws a race.
        """
        begin, end = self._from(place, self.begins), self._from(place, self.ends)
        crossed = (begin.imag > 0.0) != (end.imag > 0.0)
        side = end - begin
        at = begin.real - begin.imag * side.real / np.where(side.imag == 0.0, 1.0, side.imag)
        if (crossed & (at > 0.0)).sum() % 2 == 1:
            return 0.0
        length = np.maximum(np.square(side.real) + np.square(side.imag), 1e-12)
        along = (-(begin * side.conj()).real / length).clip(0.0, 1.0)
        return float(np.abs(begin + along * side).min())

    @staticmethod
    def _from(place: tuple[float, float], corners: Floats) -> Plane:
        """Return corners as seen from a place: complex nautical miles, north + east j."""
        east = (corners[:, 1] - longitude(place[1]) + 180.0) % 360.0 - 180.0
        plane = np.empty(len(corners), np.complex128)
        plane.real = 60.0 * (corners[:, 0] - place[0])
        plane.imag = 60.0 * east * cos(radians(place[0]))
        return plane
