"""A simulated passage through the navigator's own door, and the same through the cloud's functions.

The boat sails from the equator, where miles of latitude and of longitude are nearly alike, so that the plane
of the passages lies on the earth with hardly a fold.
"""

from cmath import rect
from collections.abc import Iterator
from dataclasses import dataclass
from math import degrees, radians

from area.lookout import Sighting
from area.passages import Passage
from area.sailing import SEED, Plotted, sheets_on
from area.tracks import Leg
from middlewatch.navigator.area.area import Sheet
from middlewatch.navigator.area.seen import Plane
from middlewatch.navigator.reckoning.integrals import Integrals
from middlewatch.navigator.reckoning.reckoning import Reckoning
from middlewatch.navigator.tuning import Tuning
from middlewatch.quantities.lengths import METRES_PER_NM
from middlewatch.quantities.positions import Position
from middlewatch.readings.marks import Mark
from middlewatch.readings.zones import Zone
from middlewatch.reports.area import AreaReport
from navigator.navigating import TRUE_COMPASS, Aboard

FROM = Position(0.0, -30.0)
WIND_KN = 12.0
_CLOSE_HAULED_DEG, _RUNNING_DEG = 45.0, 180.0


@dataclass(frozen=True, slots=True)
class Stepped:
    """The area at each time asked: as reported, and as the cloud's functions draw it on the same track."""

    reported: list[AreaReport]
    drawn: list[Sheet]

    def gaps(self) -> Iterator[float]:
        """Yield, for each time, by how much the two differ at most: parts of the ellipse's long half-axis."""
        for said, sheet in zip(self.reported, self.drawn, strict=True):
            major, minor, _ = sheet.spread.axes()
            scale = sheet.drawn.factor / METRES_PER_NM
            axes = abs(said.semi_major_nm - scale * major), abs(said.semi_minor_nm - scale * minor)
            yield max(axes) / (scale * major)


def stepped(passage: Passage, samples: int) -> Stepped:
    """Sail a passage through `step`; return what was said, and what it should have been."""
    boat = Aboard(_tuning(passage, samples), _marks(passage))
    # The area is drawn anew at whole ten minutes: she departs at one.
    boat.sail(-boat.now_ms // 1000 % 600, 0.0, 0.0)
    boat.depart((FROM.latitude_deg, FROM.longitude_deg), sd_nm=passage.family.model.departure_nm)
    begin = boat.now_ms // 1000
    sightings, reported, second = list(passage.sightings), list[AreaReport](), 0
    for leg in passage.track.legs:
        _order_leeway(boat, leg)
        for _ in range(round(leg.minutes * 60)):
            position = boat.sail(1, leg.heading_deg, leg.speed_kn, wind=_wind(leg))
            second += 1
            while sightings and sightings[0].second == second:
                _enter(boat, sightings.pop(0))
            if second in passage.asked_s:
                assert position.area is not None
                reported.append(_now(boat) or position.area)
    course = Reckoned(passage, boat.navigator.room.reckoning, begin)
    return Stepped(reported, sheets_on(course, passage, samples))


class Reckoned(Plotted):
    """The track of a passage as the navigator reckoned it."""

    def __init__(self, passage: Passage, reckoning: Reckoning, begin: int) -> None:
        super().__init__(passage)
        self.reckoning, self.begin = reckoning, begin

    def at(self, second: int) -> Integrals:
        """Return the integrals at a second."""
        return self.reckoning.integrals(second)

    def plane(self, sighting: Sighting) -> Plane:
        """Return the plane the sighting is weighed on: that round the EP."""
        return Plane.at(radians(self._ep(sighting).latitude_deg))

    def off(self, sighting: Sighting) -> complex:
        """Return where the mark lies from the EP of the sighting's second: metres, by the geodesic."""
        bearing_deg, distance_nm = self._ep(sighting).to(_at(sighting.mark_at))
        return rect(distance_nm * METRES_PER_NM, radians(bearing_deg))

    def _ep(self, sighting: Sighting) -> Position:
        ep = self.reckoning.ep(sighting.second)
        assert ep is not None
        return ep


def _tuning(passage: Passage, samples: int) -> Tuning:
    model = passage.family.model
    return Tuning(
        variation=TRUE_COMPASS.variation,
        log_calibrated=model.log < 0.1,
        compass_card=model.swing_deg < 2.0,
        strongest_stream_kn=passage.track.legs[0].strongest_kn,
        zones=tuple(_zones(passage)),
        seed=SEED,
        samples=samples,
    )


def _zones(passage: Passage) -> Iterator[Zone]:
    """Yield a zone round each leg in other waters than the first: ten miles to either side of it."""
    track, minutes = passage.track, 0.0
    for leg in track.legs:
        begin, end = track.ep_at(round(minutes * 60)), track.ep_at(round((minutes + leg.minutes) * 60))
        minutes += leg.minutes
        if leg.strongest_kn != track.legs[0].strongest_kn:
            aside = 1j * (end - begin) / abs(end - begin) * 10 * METRES_PER_NM
            corners = (begin + aside, end + aside, end - aside, begin - aside, begin + aside)
            ring = tuple(map(_at, corners))
            yield Zone(None, None, leg.strongest_kn, (ring,))


def _marks(passage: Passage) -> dict[str, Mark]:
    return {str(each.mark): Mark(str(each.mark), _at(each.mark_at)) for each in passage.sightings}


def _at(place: complex) -> Position:
    return FROM.moved(place.real, place.imag)


def _order_leeway(boat: Aboard, leg: Leg) -> None:
    if leg.wind == "ordered":
        side = "starboard" if leg.leeway_deg > 0.0 else "port"
        boat.order("leeway", leeway_deg=abs(leg.leeway_deg), pushed_to=side)


def _wind(leg: Leg) -> tuple[float, float] | None:
    match leg.wind:
        case "told":
            return (-_CLOSE_HAULED_DEG if leg.leeway_deg > 0.0 else _CLOSE_HAULED_DEG), WIND_KN
        case "free":
            return _RUNNING_DEG, WIND_KN
        case "none" | "ordered":
            return None


def _enter(boat: Aboard, sighting: Sighting) -> None:
    """Enter a sighting; one that is suspected is let stand, for the cloud's functions know no suspicion."""
    if sighting.kind == "bearing":
        sight = {"bearing_deg": degrees(sighting.observed) % 360.0, "sd_deg": degrees(sighting.sd)}
    else:
        sight = {"distance_nm": sighting.observed / METRES_PER_NM, "sd_nm": sighting.sd / METRES_PER_NM}
    answer = boat.enter("sighting", kind=sighting.kind, mark=str(sighting.mark), **sight)
    assert answer.accepted, answer.refusal
    if answer.open:
        boat.order("confirm", entry=answer.id)


def _now(boat: Aboard) -> AreaReport | None:
    """Return the area as it stands now, a sighting of this second in it."""
    return boat.navigator.room.area.tick()
