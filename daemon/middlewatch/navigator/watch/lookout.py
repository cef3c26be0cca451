"""The lookout ahead: each minute, and after every entry, where she is going and what lies in the way."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from middlewatch.navigator.area.ahead import Onward, Outset, onward, ordered_heading_deg
from middlewatch.navigator.area.area import report
from middlewatch.navigator.area.cloud import Cloud
from middlewatch.navigator.area.dangers import NO_RISK, Laid, Ring, Risk, risk
from middlewatch.navigator.area.outline import NORMAL_FACTOR
from middlewatch.navigator.area.passage import motion
from middlewatch.navigator.area.paths import STEP_S, STEPS, paths, thinned
from middlewatch.navigator.chance import Chance, Purpose
from middlewatch.navigator.chartroom import Chartroom
from middlewatch.navigator.deck_log.ledger import Logged
from middlewatch.navigator.reckoning.course import Course as Reckoned
from middlewatch.navigator.watch import dangers as alerts
from middlewatch.navigator.watch.dangers import Seen, Told
from middlewatch.quantities.instants import MS_PER_MINUTE, MS_PER_SECOND
from middlewatch.quantities.lengths import METRES_PER_NM
from middlewatch.quantities.positions import offset_m, rhumb_step
from middlewatch.readings.entries import Acknowledge, Silence, TrustSatellites
from middlewatch.reports.ahead import AheadReport, AreaAheadReport, DangerAheadReport, DangerReport
from middlewatch.reports.area import AreaReport, Outline
from middlewatch.reports.place import PlaceReport

Course = Literal["present", "ordered"]
MINUTES = 15, 30, 60
SOONEST_OVER = 0.02
ABOUT_NM = 50.0
"""Dangers further off are not spoken of: the plane they are laid out in holds for tens of miles."""
_REACHES = 3.0
"""So many half axes from the middle of the area ahead, seven standard deviations, no sample lies."""


@dataclass(slots=True)
class Lookout:
    """What was last seen ahead, told until it is worked anew; what the alerts keep in mind.

    `changed`: something was entered since.
    """

    changed: bool = False
    ahead: tuple[AheadReport, ...] | None = None
    danger: DangerReport | None = None
    told: Told = field(default_factory=Told)


def notice(room: Chartroom, lookout: Lookout) -> None:
    """Take note of what has just been worked; what was refused, or heard before, has changed nothing."""
    if room.changed:
        lookout.changed = lookout.changed or any(_bears(logged) for logged in room.changed)


def keep(room: Chartroom, lookout: Lookout, area: AreaReport | None) -> None:
    """Look ahead anew at each whole minute, and where something has changed; else leave it as it was."""
    notice(room, lookout)
    if not lookout.changed and room.now_ms % MS_PER_MINUTE:
        return
    course = _looked_from(room) if lookout.changed else room.reckoning.now
    lookout.changed = _steers_next(room, course)
    if area is None:
        lookout.ahead = lookout.danger = None
        # While the DR waits nothing is known to be better than it was.
        if not room.reckoning.now.waiting:
            alerts.none(room, lookout.told)
        return
    area_then = room.area.on(course)
    if area_then is None:
        course, area_then = room.reckoning.now, area
    ahead = _Ahead(room, course, area_then)
    lookout.ahead, lookout.danger = ahead.reports(), ahead.danger()
    alerts.keep(room, lookout.told, Seen(area_then, lookout.danger, ahead.reached()))


def _bears(logged: Logged) -> bool:
    """Return whether an entry may bear on what is ahead: one about alerts or satellites must have no part."""
    return not isinstance(logged.said.request, Acknowledge | Silence | TrustSatellites)


def _looked_from(room: Chartroom) -> Reckoned:
    """Return the course at the newest entry's own second or whole minute, whichever is later.

    So what is told is the same whether an entry was heard in time or late.
    """
    now = room.reckoning.now.second
    own = (each.second for each in room.ledger.entries.values() if each.second <= now and _bears(each))
    second = max(now // 60 * 60, max(own, default=0))
    course = room.reckoning.course_at(second)
    return (
        room.reckoning.course_at(second + 1) if course.heading_true_deg is None and second < now else course
    )


def _steers_next(room: Chartroom, course: Reckoned) -> bool:
    """Tell whether nothing steers yet: the first departure gives the variation, which steers a second on."""
    now = room.reckoning.now
    return now.ep is not None and course.heading_true_deg is None and course.second == now.second


class _Ahead:
    """One look ahead, at one second."""

    def __init__(self, room: Chartroom, course: Reckoned, area: AreaReport) -> None:
        self._room, self._area, self._course = room, area, course
        self._at_ms = course.second * MS_PER_SECOND
        if self._course.ep is None or room.area.told is None:
            raise ValueError("nothing is ahead of a boat without a place")
        self._ep, self._told = self._course.ep, room.area.told
        self._second = self._course.second
        since = motion(room.area.stretches(self._told.moments.second, self._second))
        self._outset = Outset.at(self._told.moments, since)
        self._off_m = complex(self._course.off_north_m, self._course.off_east_m)
        basis = room.reckoning.basis
        self._present = onward(self._course, basis)
        self._areas = self._areas_ahead(self._present)
        heading_deg = ordered_heading_deg(self._course, basis)
        self._ordered = None if heading_deg is None else onward(self._course, basis, heading_deg)
        self._ordered_areas = {} if self._ordered is None else self._areas_ahead(self._ordered)
        self._nearest, self._nearest_m = self._nearest_to(area.outline)
        self._about = room.coast.about(self._ep, self._reach_m())
        self._clouds = self._clouds_now() if self._about else []
        self._risk = self._risk_of(self._present, 0) if self._about else None

    # --- what is told -------------------------------------------------------------------------------------

    def reports(self) -> tuple[AheadReport, ...] | None:
        """Return EP and area in a while, on the present and the ordered course; None: that is not known."""
        if self._present.heading_true_deg is None or self._course.speed_kn is None:
            return None
        rows = self._rows("present", self._present, self._areas, self._risk)
        if self._ordered is not None:
            risk_then = self._risk_of(self._ordered, 1) if self._about else None
            rows += self._rows("ordered", self._ordered, self._ordered_areas, risk_then)
        return tuple(rows)

    def danger(self) -> DangerReport | None:
        """Return how the dangers stand; None where there is none about."""
        if self._nearest is None:
            return None
        seen = self._risk or NO_RISK
        soonest = next((n for n, chance in enumerate(seen.by_then) if chance > SOONEST_OVER), None)
        utc = self._room.scale.utc
        return DangerReport(
            at=utc(self._at_ms),
            name=self._nearest.danger.name,
            distance_nm=self._nearest_m / METRES_PER_NM,
            probability=seen.then[0],
            within_half_hour=seen.by_then[STEPS // 2],
            within_hour=seen.by_then[STEPS],
            likeliest=None if seen.likeliest is None else self._about[seen.likeliest].danger.name,
            soonest_at=None if soonest is None else utc(self._at_ms + soonest * STEP_S * MS_PER_SECOND),
        )

    def reached(self) -> bool:
        """Return whether the area, now or as it will lie within the hour, touches a danger's clearance."""
        if self._nearest is None:
            return False
        if self._nearest_m == 0.0:
            return True
        outlines = [area.outline for area in self._areas.values()]
        return any(
            danger.off_m(_rings(outline, self._ep)) == 0.0 for danger in self._about for outline in outlines
        )

    # --- how it is worked ---------------------------------------------------------------------------------

    def _rows(
        self, course: Course, onward_: Onward, areas: Mapping[int, AreaReport], seen: Risk | None
    ) -> list[AheadReport]:
        return [
            AheadReport(
                at=self._room.scale.utc(self._at_ms + minutes * MS_PER_MINUTE),
                minutes=minutes,
                course=course,
                heading_true_deg=_kept(onward_.heading_true_deg or 0.0),
                ep=PlaceReport(*map(_kept, self._ep_ahead(onward_, minutes))),
                area=self._as_ellipse(areas[minutes]),
                danger=None if seen is None else self._danger_ahead(seen, minutes // 15),
            )
            for minutes in MINUTES
        ]

    def _danger_ahead(self, seen: Risk, quarter: int) -> DangerAheadReport | None:
        likeliest = seen.likeliest_then[quarter]
        if likeliest is None:
            return None
        return DangerAheadReport(self._about[likeliest].danger.name, seen.then[quarter])

    def _as_ellipse(self, area: AreaReport) -> AreaAheadReport:
        """Return an area ahead by its ellipse: what newly comes in is normal, so is the ellipse at least."""
        wider = max(NORMAL_FACTOR / self._told.sheet.drawn.factor, 1.0)
        return AreaAheadReport(
            _kept(area.latitude_deg),
            _kept(area.longitude_deg),
            _kept(wider * area.semi_major_nm),
            _kept(wider * area.semi_minor_nm),
            _kept(area.orientation_deg),
            area.probability,
        )

    def _areas_ahead(self, onward_: Onward) -> dict[int, AreaReport]:
        """Return the area in a while: the one of now, carried by the change of mean and covariance."""
        areas = {}
        for minutes in MINUTES:
            spread = self._outset.after(onward_.motion(0, minutes * 60))
            areas[minutes] = report(self._told.sheet, spread, self._ep_ahead(onward_, minutes), self._off_m)
        return areas

    def _ep_ahead(self, onward_: Onward, minutes: int) -> tuple[float, float]:
        run_m = onward_.run_m(minutes * 60)
        return rhumb_step(*self._ep, run_m.real, run_m.imag)

    def _nearest_to(self, outline: Outline) -> tuple[Laid | None, float]:
        """Return the danger nearest the edge of the area, and how far that is from its clearance."""
        rings = _rings(outline, self._ep)
        reach_m = max(float(abs(ring).max()) for ring in rings)
        about = self._room.coast.about(self._ep, ABOUT_NM * METRES_PER_NM)
        # A danger whose clearance is further from the EP by more than twice the reach cannot be nearer.
        near = [each for each in about if each.from_ep_m <= about[0].from_ep_m + 2.0 * reach_m]
        off = [(each.off_m(rings), place) for place, each in enumerate(near)]
        if not off:
            return None, 0.0
        least_m, place = min(off)
        return near[place], least_m

    def _reach_m(self) -> float:
        """Return how far from the EP of now a sample may come within the hour."""
        furthest = 0.0
        for areas in (self._areas, self._ordered_areas):
            for area in areas.values():
                middle_m = abs(complex(*offset_m(self._ep, (area.latitude_deg, area.longitude_deg))))
                furthest = max(furthest, middle_m + _REACHES * area.semi_major_nm * METRES_PER_NM)
        return furthest

    def _clouds_now(self) -> list[Cloud]:
        """Return the cloud, and where an entry is open that without it: the worse of the two is judged."""
        clouds = self._room.area.cloud_at(self._second), self._room.area.doubted(self._second)
        return [thinned(cloud) for cloud in clouds if cloud is not None]

    def _risk_of(self, onward_: Onward, rank: int) -> Risk:
        found: Risk | None = None
        for cloud in self._clouds:
            chance = Chance(self._room.tuning.seed, self._second, Purpose.AHEAD, rank)
            seen = risk(self._about, cloud.weights, paths(cloud, onward_, self._off_m, chance))
            found = seen if found is None else found.worse(seen)
        if found is None:
            raise ValueError("there is an area, and no cloud")
        return found


def _rings(outline: Outline, ep: tuple[float, float]) -> list[Ring]:
    """Return an outline's polygons in the plane round an EP."""
    from_ep = complex(*offset_m(ep, (outline.latitude_deg, outline.longitude_deg)))
    return [
        np.array([from_ep + outline.metres(corner) for corner in corners], dtype=np.complex128)
        for corners in outline.drawn
    ]


def _kept(figure: float) -> float:
    """Return a figure to seven decimals, as finely as places are told: what is kept often stays small."""
    return round(figure, 7)
