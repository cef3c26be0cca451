"""One simulated passage through the cloud's own functions, as the navigator would work it."""

from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from area.lookout import Sighting
from area.passages import Passage
from middlewatch.navigator.area.area import Sheet, drawn
from middlewatch.navigator.area.chain import Sighted
from middlewatch.navigator.area.cloud import Cloud, begun
from middlewatch.navigator.area.passage import Stretch, between, motion
from middlewatch.navigator.area.polygons import inside
from middlewatch.navigator.area.seen import BearingSeen, DistanceSeen, Plane, Seen
from middlewatch.navigator.area.station import at_station
from middlewatch.navigator.area.stations import STATION_S
from middlewatch.navigator.area.unknowns import COUNT, Priors, Unknown
from middlewatch.navigator.reckoning.integrals import Integrals

SEED = 1


def sheets(passage: Passage, samples: int) -> list[Sheet]:
    """Return the area at each time asked, with all that had been seen by then."""
    return sheets_on(Plotted(passage), passage, samples)


def sheets_on(course: "Plotted", passage: Passage, samples: int) -> list[Sheet]:
    """Return the same for a track reckoned elsewhere."""
    model = passage.family.model
    priors = Priors(log_calibrated=model.log < 0.1, card=model.swing_deg < 2.0)
    cloud = begun(course.begin, priors.mean(), priors.covariance(model.departure_nm), samples)
    made: list[Sheet] = []
    stations = grouped(tuple(course.dated(each) for each in passage.sightings))
    for second in (course.begin + asked_s for asked_s in passage.asked_s):
        while stations and stations[0][-1].second <= second:
            cloud = course.after(cloud, stations.pop(0))
        partly = [each for each in stations[0] if each.second <= second] if stations else []
        now = course.after(cloud, partly) if partly else cloud
        made.append(drawn(now, motion(course.stretches(now.second, second)), second, SEED))
    return made


def grouped(sightings: tuple[Sighting, ...]) -> list[list[Sighting]]:
    """Return the sightings by station."""
    stations: list[list[Sighting]] = []
    for sighting in sightings:
        if stations and sighting.second <= stations[-1][0].second + STATION_S:
            stations[-1].append(sighting)
        else:
            stations.append([sighting])
    return stations


class Plotted:
    """The reckoned track of a passage, as stretches and integrals; `begin`: the second of its departure."""

    begin = 0

    def __init__(self, passage: Passage) -> None:
        self.track = passage.track
        self.sums = passage.track.integrals()

    def dated(self, sighting: Sighting) -> Sighting:
        """Return a sighting of the passage with its second as it is counted here."""
        return replace(sighting, second=self.begin + sighting.second)

    def plane(self, _: Sighting) -> Plane:
        """Return the plane the sighting is weighed on."""
        return Plane()

    def off(self, sighting: Sighting) -> complex:
        """Return where the mark lies from the EP of the sighting's second, metres."""
        return sighting.mark_at - self.track.ep_at(sighting.second)

    def at(self, second: int) -> Integrals:
        """Return the integrals at a second."""
        step = second // 10
        d, s, c, p, q, u, v, t, g = (complex(self.sums[name][step]) for name in "DSCPQUVTG")
        return Integrals(d, s, c, p, q, u, v, t, 0j, g.real)

    def stretches(self, from_second: int, to_second: int) -> list[Stretch]:
        """Return the stretches between two seconds."""
        cuts = [from_second, *range((from_second // 600 + 1) * 600, to_second, 600), to_second]
        return [between(self.at(a), self.at(b), b - a) for a, b in pairwise(cuts) if b > a]

    def after(self, cloud: Cloud, station: list[Sighting]) -> Cloud:
        """Return the cloud after a station."""
        second = station[0].second
        cloud = cloud.carried(motion(self.stretches(cloud.second, second)), second)
        sighted = [
            Sighted(self.seen(each), between(self.at(second), self.at(each.second), each.second - second))
            for each in station
        ]
        return at_station(cloud, sighted, SEED)

    def seen(self, sighting: Sighting) -> Seen:
        """Return a sighting as the cloud weighs it."""
        mark_at = self.off(sighting)
        if sighting.kind == "range":
            return DistanceSeen(str(sighting.mark), mark_at, sighting.observed, sighting.sd)
        effects = np.zeros(COUNT)
        effects[Unknown.HAND], effects[Unknown.VARIATION] = 1.0, -1.0
        plane = self.plane(sighting)
        return BearingSeen(str(sighting.mark), mark_at, sighting.observed, sighting.sd, effects, plane)


@dataclass(frozen=True, slots=True)
class Sailed:
    """An area held against the truth: a deviation from the EP, metres."""

    sheet: Sheet
    truth: complex

    @property
    def in_outline(self) -> bool:
        """Whether the boat is inside the outline."""
        north, east = np.array([self.truth.real]), np.array([self.truth.imag])
        return bool(inside(self.sheet.drawn.polygons, north, east)[0])

    @property
    def in_ellipse(self) -> bool:
        """Whether the boat is inside the ellipse."""
        spread, off = self.sheet.spread, self.truth - self.sheet.spread.mean
        whole = spread.north * spread.east - spread.shared**2
        north, east = off.real, off.imag
        square = spread.east * north**2 - 2 * spread.shared * north * east + spread.north * east**2
        return bool(square / whole <= self.sheet.drawn.factor**2)

    @property
    def off_m(self) -> float:
        """How far the boat is from the mean."""
        return abs(self.truth - self.sheet.spread.mean)
