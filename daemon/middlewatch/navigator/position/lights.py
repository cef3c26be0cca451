"""Lights: how far off one comes in sight, and which of its sectors shows."""

from dataclasses import dataclass
from math import hypot, sqrt

from middlewatch.navigator.chartroom import Chartroom, mark_key
from middlewatch.navigator.deck_log.ledger import Logged
from middlewatch.navigator.deck_log.refusing import Refused
from middlewatch.navigator.position.charted import place_sd_nm
from middlewatch.navigator.position.horizons import (
    HORIZON_NM,
    HORIZON_PART,
    geographic_range_nm,
    luminous_range_nm,
)
from middlewatch.navigator.position.lines import Circle
from middlewatch.navigator.position.regions import InSight, Wedge
from middlewatch.navigator.position.tides import height_over_sea
from middlewatch.readings.entries import LightRange, SectorSeen, Visibility
from middlewatch.readings.marks import Mark, MarkRef

_VISIBILITY_PART = 1.5
"""A visibility said is as likely as not that many times more or less, one sigma (judgement)."""
_ANY_VISIBILITY_NM = (3.0, 20.0)
"""Where nobody said how far one sees: between these, one sigma either way (judgement)."""


@dataclass(frozen=True, slots=True)
class _Reach:
    """How far a light is seen, one standard deviation either way, in nautical miles."""

    least_nm: float
    most_nm: float

    def circle(self) -> tuple[float, float]:
        """Return its middle, and one standard deviation."""
        return (self.least_nm + self.most_nm) / 2.0, (self.most_nm - self.least_nm) / 2.0


def light_range(
    room: Chartroom, logged: Logged, sight: LightRange
) -> tuple[Circle | InSight, tuple[str, ...]]:
    """Return where a light is seen so, and what the crew must be told of that.

    Of what it can carry over the horizon and of what it is bright enough for, the smaller holds; one that
    bobs is on the horizon, however bright. Raised without bobbing it may have been in sight for long.
    """
    place, mark = room.place_of(sight.mark), room.mark_named(sight.mark)
    over, remarks = _geographic(room, mark)
    if sight.bobbed:
        if over is None:
            reason = f"the height of {mark_key(sight.mark)} is not known, and a light bobs at its horizon"
            raise Refused("mark", mark_key(sight.mark), "a light with height_m in the marks file", reason)
        reach = over
    else:
        bright, told = _luminous(room, logged, sight, mark)
        reach, remarks = _smaller(over, bright, sight.mark), (*remarks, *told)
    radius_nm, sd_nm = reach.circle()
    sd_nm = hypot(sd_nm, place_sd_nm(room, sight.mark))
    if sight.seen == "raised" and not sight.bobbed:
        return InSight(place, radius_nm, sd_nm), remarks
    return Circle(place, radius_nm, sd_nm), remarks


def sector_seen(room: Chartroom, sight: SectorSeen) -> Wedge:
    """Return the sectors in which a light shows a colour; Refused where it has none such."""
    place, mark = room.place_of(sight.mark), room.mark_named(sight.mark)
    lit = tuple(sector for sector in mark.sectors if sector.colour != "dark") if mark else ()
    if not lit:
        reason = f"the marks file gives no sectors of {mark_key(sight.mark)}"
        raise Refused("mark", mark_key(sight.mark), "a light with sectors in the marks file", reason)
    shown = sight.colour != "dark"
    sectors = tuple(sector for sector in lit if sector.colour == sight.colour) if shown else lit
    if not sectors:
        wanted = ", ".join(dict.fromkeys([*(sector.colour for sector in lit), "dark"]))
        raise Refused("colour", sight.colour, wanted, f"{mark_key(sight.mark)} shows no {sight.colour}")
    return Wedge(place, sectors, shown, room.tuning.doubts.sector_deg, place_sd_nm(room, sight.mark))


def _geographic(room: Chartroom, mark: Mark | None) -> tuple[_Reach | None, tuple[str, ...]]:
    """Return how far a light shows over the horizon; None where its height is not known."""
    if mark is None or mark.height_m is None:
        return None, ()
    level = height_over_sea(mark.height_m, mark.datum, None, room.tuning)
    eye_m, height_m = room.tuning.height_of_eye_m, max(level.metres, 0.1)
    range_nm = geographic_range_nm(height_m, eye_m)
    # The horizon's distance grows by half the factor over the root of the height, a metre.
    by_height_nm = HORIZON_NM / (2.0 * sqrt(height_m)) * level.sd_m
    by_eye_nm = HORIZON_NM / (2.0 * sqrt(eye_m)) * room.tuning.doubts.eye_lift_m
    sd_nm = hypot(range_nm * HORIZON_PART, by_height_nm, by_eye_nm)
    remarks = () if level.remark is None else (level.remark,)
    return _Reach(range_nm - sd_nm, range_nm + sd_nm), remarks


def _luminous(
    room: Chartroom, logged: Logged, sight: LightRange, mark: Mark | None
) -> tuple[_Reach | None, tuple[str, ...]]:
    """Return how far a light is bright enough for; None where its nominal range is not known."""
    if mark is None or mark.range_nm is None:
        return None, (f"the nominal range of {mark_key(sight.mark)} is not known",)
    visibility_nm = sight.visibility_nm or _visibility_ordered(room, logged)
    if visibility_nm is None:
        least_nm, most_nm = _ANY_VISIBILITY_NM
        remarks: tuple[str, ...] = (
            f"the visibility is not given: taken as anything from {least_nm:g} to {most_nm:g} nm",
        )
    else:
        least_nm, most_nm = visibility_nm / _VISIBILITY_PART, visibility_nm * _VISIBILITY_PART
        remarks = ()
    return _Reach(*(luminous_range_nm(mark.range_nm, each) for each in (least_nm, most_nm))), remarks


def _smaller(over: _Reach | None, bright: _Reach | None, mark: MarkRef) -> _Reach:
    if over is None and bright is None:
        wanted = "a light with height_m or range_nm in the marks file"
        raise Refused("mark", mark_key(mark), wanted, f"how far {mark_key(mark)} is seen is not known")
    known = [reach for reach in (over, bright) if reach is not None]
    return _Reach(min(reach.least_nm for reach in known), min(reach.most_nm for reach in known))


def _visibility_ordered(room: Chartroom, logged: Logged) -> float | None:
    """Return the visibility that the crew had told of last before a sighting, whenever either was heard."""
    told = [
        (each.order, each.said.request.visibility_nm)
        for each in room.ledger.entries.values()
        if isinstance(each.said.request, Visibility) and not each.withdrawn and each.order < logged.order
    ]
    return max(told)[1] or None if told else None
