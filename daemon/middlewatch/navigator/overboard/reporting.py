"""The overboard report of a second, put together of the way back and of what satellites marked."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot
from typing import TYPE_CHECKING

from middlewatch.navigator.overboard import wording
from middlewatch.navigator.overboard.way_back import BLOWN_PART, WayBack, way_back
from middlewatch.navigator.reckoning.track import ABSENT, BRIDGED, HELD
from middlewatch.quantities.angles import direction, direction_of
from middlewatch.quantities.lengths import METRES_PER_NM, METRES_PER_SECOND_PER_KNOT
from middlewatch.quantities.positions import Position
from middlewatch.quantities.spreads import RADIUS_95
from middlewatch.reports.overboard import (
    AdriftAreaReport,
    CasualtyReport,
    OverboardReport,
    OverboardState,
    SatelliteMarkReport,
)
from middlewatch.reports.place import PlaceReport

if TYPE_CHECKING:  # the chart room holds the search
    from middlewatch.navigator.chartroom import Chartroom
    from middlewatch.navigator.reckoning.casualty import Casualty

HARDLY_M = 1.0
"""Nearer than that nothing has a bearing."""


@dataclass(frozen=True, slots=True)
class Lead:
    """What leads back to a casualty, in figures and in words; None where nothing does."""

    words: str
    way: WayBack | None = None
    magnetic_deg: float | None = None
    true_deg: float | None = None
    distance_nm: float | None = None


def lead(room: Chartroom, casualty: Casualty) -> Lead:
    """Return the way back as it is told."""
    if casualty.lost_count:
        return Lead("no way back: the log was not heard for an unknown time; go by the press's place")
    if 0.0 < casualty.seconds <= casualty.unknown_s:
        within_nm = RADIUS_95 * casualty.astray_m / METRES_PER_NM
        return Lead(
            "no way back: heading or log is not known since; order it by hand; "
            f"within {wording.far(within_nm)} of here 95 times in 100"
        )
    way = way_back(casualty, room.area.priors, _variation_deg(room) or 0.0)
    distance_nm = abs(way.back) / METRES_PER_NM
    near = abs(way.back) < HARDLY_M
    # What has only just gone over the side will be astern.
    astern_deg = None if casualty.heading_deg is None else direction(casualty.heading_deg + 180.0)
    bears_deg = astern_deg if near else direction_of(way.back.real, way.back.imag)
    magnetic_deg, true_deg = _both(casualty, bears_deg, _variation_deg(room))
    words = f"{wording.way_back(magnetic_deg, true_deg, distance_nm)} by heading and log"
    return (
        Lead(words, way, None, None, distance_nm)
        if near
        else Lead(words, way, magnetic_deg, true_deg, distance_nm)
    )


def report(room: Chartroom, standing: tuple[Casualty, ...], gone: tuple[Casualty, ...]) -> OverboardReport:
    """Return the report: those who are overboard, then those who are so no more."""
    told = [*(_standing(room, each) for each in standing), *(_gone(room, each) for each in gone)]
    text = "; ".join(each.text for each in told)
    return OverboardReport(
        room.scale.utc(room.now_ms), "no one", tuple(told), f"{text}; {wording.CALLS_NO_ONE}"
    )


def _standing(room: Chartroom, casualty: Casualty) -> CasualtyReport:
    found = lead(room, casualty)
    since = room.scale.utc(casualty.second * 1000).clock_with_seconds
    text = f"overboard since {since}: {found.words}"
    if found.way is not None:
        area = found.way.area
        text += f", 95 in 100 within {2 * area.major_m:.0f} by {2 * area.minor_m:.0f} m"
    return _casualty(room, casualty, "standing", text, found)


def _gone(room: Chartroom, casualty: Casualty) -> CasualtyReport:
    logged = room.ledger.entries.get(casualty.id)
    state: OverboardState = "withdrawn" if logged is not None and logged.withdrawn else "recovered"
    since = room.scale.utc(casualty.second * 1000).clock_with_seconds
    return _casualty(room, casualty, state, f"overboard of {since}: {state}", Lead(""))


def _casualty(
    room: Chartroom, casualty: Casualty, state: OverboardState, text: str, found: Lead
) -> CasualtyReport:
    variation_deg = _variation_deg(room)
    magnetic_deg, true_deg = _both(casualty, casualty.heading_deg, variation_deg)
    was = None if casualty.ep is None else PlaceReport(*casualty.ep)
    return CasualtyReport(
        id=casualty.id,
        state=state,
        since=room.scale.utc(casualty.second * 1000),
        adrift_s=casualty.seconds,
        heading_true_deg=true_deg,
        heading_magnetic_deg=magnetic_deg,
        speed_kn=casualty.speed_kn,
        log_nm=casualty.log_nm,
        fixed_to="water",
        bearing_magnetic_deg=found.magnetic_deg,
        bearing_true_deg=found.true_deg,
        distance_nm=found.distance_nm,
        area=_area(casualty, found, variation_deg),
        holds=_holds(room, casualty),
        was=was,
        drifted=_drifted(room, found),
        text=text,
        satellite=_by_satellite(room, casualty.id),
    )


def _variation_deg(room: Chartroom) -> float | None:
    return room.reckoning.now.variation_deg


def _both(
    casualty: Casualty, degrees: float | None, variation_deg: float | None
) -> tuple[float | None, float | None]:
    """Return a direction of a casualty's frame as magnetic and as true."""
    if degrees is None:
        return None, None
    if casualty.frame == "magnetic":
        return direction(degrees), None if variation_deg is None else direction(degrees + variation_deg)
    return None if variation_deg is None else direction(degrees - variation_deg), direction(degrees)


def _area(casualty: Casualty, found: Lead, variation_deg: float | None) -> AdriftAreaReport | None:
    if found.way is None:
        return None
    area = found.way.area
    _, along_deg = _both(casualty, area.along_deg, variation_deg)
    return AdriftAreaReport(area.major_m / METRES_PER_NM, area.minor_m / METRES_PER_NM, along_deg, 0.95)


def _drifted(room: Chartroom, found: Lead) -> PlaceReport | None:
    """Return where the casualty is reckoned now: the EP, and from there the way back."""
    ep = room.reckoning.now.ep
    if ep is None or found.distance_nm is None or room.reckoning.now.waiting:
        return None
    if found.true_deg is None:
        return PlaceReport(*ep) if found.distance_nm * METRES_PER_NM < HARDLY_M else None
    place = Position(*ep).along(found.true_deg, found.distance_nm)
    return PlaceReport(place.latitude_deg, place.longitude_deg)


def _holds(room: Chartroom, casualty: Casualty) -> tuple[str, ...]:
    """Say what the way back holds besides heading and log, and what is wanting."""
    course = room.reckoning.now
    held = []
    if casualty.unknown_s:
        held.append(f"{casualty.unknown_s:.0f} s of the run not known")
    held += [f"{name} {state}" for name, state in _instruments(room) if state]
    if casualty.port or casualty.starboard or course.leeway_deg:
        held.append("leeway as in the EP")
    if casualty.wind and casualty.seconds:
        drift_kn = BLOWN_PART * abs(casualty.wind) / casualty.seconds / METRES_PER_SECOND_PER_KNOT
        held.append(f"the casualty blown downwind at {drift_kn:.2f} kn")
    if casualty.no_wind_s:
        held.append("no wind heard: its drift is in the area")
    if course.held_still:
        held.append(f"{course.way.replace('_', ' ')}: the log tells the stream past her")
    return tuple(held)


def _instruments(room: Chartroom) -> tuple[tuple[str, str], tuple[str, str]]:
    course = room.reckoning.now
    row = course.row
    words = {ABSENT: "not heard", BRIDGED: "run on", HELD: "held"}
    heading = "" if row is None else words.get(row.heading_state, "")
    speed = "" if row is None else words.get(row.speed_state, "")
    by_hand = course.hand_speed_kn is not None or course.by_log
    return (
        ("heading", "by hand" if course.hand_heading_deg is not None else heading),
        ("speed", "by hand" if by_hand else speed),
    )


def _by_satellite(room: Chartroom, id_: str) -> SatelliteMarkReport | None:
    mark = room.search.marks.get(id_)
    if mark is None:
        return None
    bearing_deg = magnetic_deg = distance_nm = None
    receiver = room.check.fresh(room.now_ms)
    if receiver is not None:
        north_m, east_m = receiver.position.offset_to(Position(mark.latitude_deg, mark.longitude_deg))
        distance_nm = hypot(north_m, east_m) / METRES_PER_NM
        if distance_nm * METRES_PER_NM >= HARDLY_M:
            bearing_deg = direction_of(north_m, east_m)
            variation_deg = _variation_deg(room)
            magnetic_deg = None if variation_deg is None else direction(bearing_deg - variation_deg)
    return SatelliteMarkReport(
        "earth", mark.source, room.scale.utc(mark.at_ms), mark.latitude_deg, mark.longitude_deg,
        bearing_deg, magnetic_deg, distance_nm,
    )  # fmt: skip
