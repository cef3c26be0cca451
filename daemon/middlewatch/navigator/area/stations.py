"""Stations: the sightings grouped by their time, and the cloud worked from station to station.

The cloud after a station is a function of the departure, the track, the sightings so far and the seed. So a
late, amended or withdrawn sighting is worked by going back to a station before it that is still kept.
"""

from bisect import bisect_left
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from middlewatch.navigator.area.chain import Sighted
from middlewatch.navigator.area.cloud import Cloud, begun
from middlewatch.navigator.area.passage import Renewal, Stretch, motion, sandwich
from middlewatch.navigator.area.seen import Seen
from middlewatch.navigator.area.station import at_station
from middlewatch.navigator.area.unknowns import Priors
from middlewatch.navigator.position.lines import PositionLine

STATION_S = 180
"""Sightings so close together are worked at one place of each sample: she moves off the EP by metres."""

STATION_LINES = 8
"""More are another station: a station is worked anew with each sighting that comes to it."""

CHECKPOINTS = 8


@dataclass(frozen=True, slots=True)
class Start:
    """Where a cloud begins: the second, one standard deviation an axis (nm), and the order that did it.

    `first_counted`: the first second whose sightings count; an adopted fix holds those of its own moment.
    `moments`: of a passage so long that its beginning is forgotten, the covariance of all unknowns at this
    second and, as one more row, their mean.
    """

    second: int
    sd_nm: float
    id: str
    first_counted: int
    moments: tuple[tuple[float, ...], ...] | None = None


@dataclass(frozen=True, slots=True)
class Station:
    """The sightings that are worked together, in order, and its rank among stations of the same second."""

    lines: tuple[PositionLine, ...]
    rank: int = 0

    @property
    def second(self) -> int:
        """The second of its first sighting, at which it is worked."""
        return self.lines[0].second

    def first(self, had: Callable[[PositionLine], bool]) -> "Station":
        """Return it with its first sightings only, those that had been taken."""
        return replace(self, lines=tuple(line for line in self.lines if had(line)))


Stretches = Callable[[int, int], Sequence[Stretch]]
"""From a second to a later one: the stretches of the track between, none longer than ten minutes."""


@dataclass(frozen=True, slots=True)
class Worked:
    """What the stations are worked with; `drawn`, if any, is told the cloud right after each sighting.

    `calibrated`: the renewals in force at a second, for a cloud that begins then.
    """

    stretches: Stretches
    seen: Callable[[PositionLine], Seen]
    priors: Priors
    seed: int
    samples: int
    drawn: Callable[[PositionLine, Cloud], None] | None
    calibrated: Callable[[int], Iterable[Renewal]] = lambda _second: ()


@dataclass(slots=True)
class Stations:
    """The stations since the departure; `clouds` keeps some of those that came out of them, by their place.

    Place 0 is the departure; the cloud after the nth station is at place n. `asked` is the one a late
    sighting was judged by, with its place: it is worked in from there next.
    """

    start: Start
    stations: list[Station] = field(default_factory=list)
    clouds: dict[int, Cloud] = field(default_factory=dict)
    asked: tuple[int, Cloud] | None = None

    def work(self, start: Start, lines: Sequence[PositionLine], changed_from: int, by: Worked) -> None:
        """Work the sightings in order of time; of the track all from a second on may have changed."""
        grouped = grouped_in_time(lines)
        stands = self._stands(start, grouped, changed_from)
        self.start, self.stations = start, grouped
        if self.asked is not None:
            self.clouds.setdefault(*self.asked)
            self.asked = None
        self.clouds = {place: cloud for place, cloud in self.clouds.items() if place <= stands}
        if not self.clouds:
            self.clouds[0] = _departed(start, by)
        place = max(self.clouds)
        cloud = self.clouds[place]
        for station in grouped[place:]:
            changed = place >= stands
            if changed and by.drawn is not None:
                for part, line in enumerate(station.lines[:-1], start=1):
                    by.drawn(line, _after(cloud, replace(station, lines=station.lines[:part]), by))
            cloud = _after(cloud, station, by)
            if changed and by.drawn is not None:
                by.drawn(station.lines[-1], cloud)
            place += 1
            self.clouds[place] = cloud
            self._thin_out()

    @property
    def cloud(self) -> Cloud:
        """The cloud after the newest station, or at the departure."""
        return self.clouds[max(self.clouds)]

    @property
    def newest(self) -> PositionLine | None:
        """The newest sighting worked, None where there is none since the departure."""
        return self.stations[-1].lines[-1] if self.stations else None

    def cloud_at(self, second: int, had: Callable[[PositionLine], bool], by: Worked) -> Cloud:
        """Return the cloud at a second after the first sightings, those that had been taken by then."""
        whole = [station for station in self.stations if had(station.lines[-1])]
        part = [station.first(had) for station in self.stations[len(whole) : len(whole) + 1]]
        place = max((place for place in self.clouds if place <= len(whole)), default=0)
        cloud = self.clouds.get(place) or _departed(self.start, by)
        for station in whole[place:]:
            cloud = _after(cloud, station, by)
        if place < len(whole):
            self.asked = len(whole), cloud
        for station in part:
            if station.lines:
                cloud = _after(cloud, station, by)
        return cloud.carried(motion(by.stretches(cloud.second, second)), second)

    def condensed(self, second: int, by: Worked) -> Start:
        """Return where the cloud begins anew, all before a second being only its mean and covariance."""
        mean, covariance = self.cloud_at(second, lambda line: line.second < second, by).moments()
        rows = (*covariance, mean)
        return Start(
            second, self.start.sd_nm, self.start.id, second, tuple(tuple(map(float, row)) for row in rows)
        )

    def rest(self) -> None:
        """Let go of the clouds, once another departure has begun another cloud; they can be worked again."""
        self.clouds = {}

    def _stands(self, start: Start, grouped: list[Station], changed_from: int) -> int:
        """Return the place up to which everything is as it was; -1 where not even the departure is."""
        if start != self.start or start.second >= changed_from:
            return -1
        for place, (before, now) in enumerate(zip(self.stations, grouped, strict=False)):
            if before != now or now.lines[-1].second >= changed_from:
                return place
        return min(len(self.stations), len(grouped))

    def _thin_out(self) -> None:
        """Keep the departure and the newest, and of those between the closer together the newer they are."""
        places = sorted(self.clouds)
        if len(places) <= CHECKPOINTS:
            return
        newest = places[-1]

        def missed(n: int) -> float:
            return (places[n + 1] - places[n - 1]) / (newest - places[n] + 1)

        del self.clouds[places[min(range(1, len(places) - 1), key=missed)]]


def grouped_in_time(lines: Sequence[PositionLine]) -> list[Station]:
    """Return sightings as stations: within three minutes of the first of each, and no more than eight."""
    ordered = sorted(lines, key=lambda line: line.order)
    grouped: list[Station] = []
    begin = 0
    while begin < len(ordered):
        until = ordered[begin].second + STATION_S
        end = bisect_left(ordered, until + 1, lo=begin, key=lambda line: line.second)
        end = min(end, begin + STATION_LINES)
        rank = sum(station.second == ordered[begin].second for station in grouped)
        grouped.append(Station(tuple(ordered[begin:end]), rank))
        begin = end
    return grouped


def _departed(start: Start, by: Worked) -> Cloud:
    if start.moments is None:
        mean, covariance = by.priors.mean(), by.priors.covariance(start.sd_nm)
        for renewal in by.calibrated(start.second):
            renewed = renewal.motion()
            covariance = sandwich(renewed.carry, covariance) + renewed.noise
    else:
        mean, covariance = np.array(start.moments[-1]), np.array(start.moments[:-1])
    return begun(start.second, mean, covariance, by.samples)


def _after(cloud: Cloud, station: Station, by: Worked) -> Cloud:
    second = station.second
    at = cloud.carried(motion(by.stretches(cloud.second, second)), second)
    sighted = [Sighted(by.seen(line), _one(by.stretches(second, line.second))) for line in station.lines]
    return at_station(at, sighted, by.seed, station.rank)


def _one(stretches: Sequence[Stretch]) -> Stretch:
    """Return stretches of a few minutes as one."""
    whole = Stretch(0.0)
    for stretch in stretches:
        whole = whole.with_(stretch)
    return whole
