"""The reports of each tick: where the reckoning has the boat, and how the satellites stand to it."""

from dataclasses import replace

from middlewatch.navigator.chartroom import Chartroom
from middlewatch.navigator.reckoning.calibration import Calibration
from middlewatch.navigator.reckoning.course import ADRIFT, HELD_STILL, Course
from middlewatch.navigator.reckoning.sources import Choice
from middlewatch.navigator.reckoning.track import ABSENT, BRIDGED, HELD
from middlewatch.navigator.watch.lookout import Lookout
from middlewatch.quantities.angles import three_figures
from middlewatch.quantities.instants import MS_PER_SECOND, Instant
from middlewatch.reports.area import AreaReport
from middlewatch.reports.position import (
    BasisReport,
    CalibratedReport,
    DrReport,
    EpReport,
    FormerDrReport,
    OriginReport,
    PositionReport,
    ReportedWay,
    SourceReport,
)
from middlewatch.reports.satellite import AgreedReport, SatelliteReport


def position(
    room: Chartroom, area: AreaReport | None, lookout: Lookout, *, little_way: bool
) -> PositionReport:
    """Return the position report of this tick."""
    course, scale = room.reckoning.now, room.scale
    way: ReportedWay = "little_way" if little_way and course.way == "under_way" else course.way
    dr = ep = origin = former = None
    if course.dr is not None and course.ep is not None and course.origin is not None:
        start = course.origin
        since = scale.utc(start.second * 1000)
        dr = DrReport(*course.dr, since, course.run_nm)
        ep = EpReport(*course.ep, holds(course))
        origin = OriginReport(
            start.kind, start.id, since, start.position.latitude_deg, start.position.longitude_deg,
            start.source, start.parent_satellite,
        )  # fmt: skip
        former = _former(room, course)
    return PositionReport(
        at=scale.utc(room.now_ms),
        way=way,
        dr=dr,
        ep=ep,
        area=area,
        allowance_nm=None,
        heading_true_deg=course.heading_true_deg,
        speed_kn=course.speed_kn,
        speed_reference="water",
        basis=basis(room, course),
        origin=origin,
        former=former,
        ahead=lookout.ahead,
        danger=lookout.danger,
    )


def holds(course: Course) -> tuple[str, ...]:
    """Say what the EP holds besides heading and log."""
    held = [_drift(course)] if course.way in ADRIFT else []
    if course.leeway_deg and course.way not in (*HELD_STILL, *ADRIFT):
        side = "starboard" if course.leeway_deg > 0 else "port"
        by = "by order" if course.leeway_ordered_deg is not None else "by apparent wind"
        degrees = f"{abs(course.leeway_deg):.1f}".removesuffix(".0")
        held.append(f"leeway {degrees} to {side}, {by}")
    stream = course.stream
    if stream is not None and course.way not in HELD_STILL:
        until = Instant(stream.until_ms).clock
        held.append(f"stream {three_figures(stream.towards_deg)} T {stream.kn:.1f} kn until {until}")
    elif course.stream_ended_ms is not None:
        held.append(f"stream ran out at {Instant(course.stream_ended_ms).clock}")
    return tuple(held)


def _drift(course: Course) -> str:
    """Say what moves a boat that lies to."""
    if course.drift is not None:
        return f"drift {three_figures(course.drift[0])} T {course.drift[1]:.1f} kn, by order"
    row = course.row
    if row is None or row.wind_angle_deg is None or course.heading_true_deg is None:
        return "no drift: no wind heard, and none ordered"
    return "drift downwind"


def basis(room: Chartroom, course: Course) -> BasisReport:
    """Return what steers heading and speed."""
    heading_by_hand = course.hand_heading_deg is not None
    speed_by_hand = course.hand_speed_kn is not None or course.by_log
    row = course.row
    heading_state = ABSENT if row is None else row.heading_state
    speed_state = ABSENT if row is None else row.speed_state
    heading = _source(room.instruments.heading, room.now_ms, heading_state, by_hand=heading_by_hand)
    speed = _source(room.instruments.speed, room.now_ms, speed_state, by_hand=speed_by_hand)
    if course.deviation is not None and not heading_by_hand and heading_state != ABSENT:
        heading = replace(heading, calibrated=_calibrated(room, course.deviation))
    if course.log_factor is not None and course.hand_speed_kn is None and speed_state != ABSENT:
        speed = replace(speed, calibrated=_calibrated(room, course.log_factor))
    return BasisReport(heading, speed)


def _calibrated(room: Chartroom, found: Calibration) -> CalibratedReport:
    return CalibratedReport(found.by, found.id, room.scale.utc(found.second * 1000))


def satellite(room: Chartroom) -> SatelliteReport:
    """Return the satellite report of this tick."""
    check = room.check
    set_deg, drift_kn = check.apparent if check.apparent is not None else (None, None)
    return SatelliteReport(
        at=room.scale.utc(room.now_ms),
        state=check.state,
        also=check.also,
        since=room.scale.utc(check.since_ms),
        gap_nm=check.gap_nm,
        bearing_deg=check.bearing_deg,
        ordinary_gap_nm=check.ordinary_gap_nm,
        limit_nm=room.tuning.limit_nm,
        unseen_pull_kn=check.unseen_pull_kn,
        apparent_set_deg=set_deg,
        apparent_drift_kn=drift_kn,
        reason=check.reason or "; ".join(filter(None, (_by_the_run_only(room), _left(room)))) or None,
        last_agreed=_last_agreed(room),
        causes=check.causes,
    )


def _by_the_run_only(room: Chartroom) -> str | None:
    """Return what agreement is worth with a reckoning that began from the satellites themselves."""
    origin = room.reckoning.now.origin
    if room.check.state != "in_step" or origin is None or origin.parent_satellite is None:
        return None
    return f"agreement since {room.scale.utc(origin.second * 1000).clock} is by the run only"


def _left(room: Chartroom) -> str | None:
    """Return what satellites that are in step are off by since a parting that is over."""
    origin = room.reckoning.now.origin
    left = None if origin is None else room.check.left(origin.worked_second)
    if room.check.state != "in_step" or left is None:
        return None
    return left.words(lambda second: room.scale.utc(second * MS_PER_SECOND).clock)


def _last_agreed(room: Chartroom) -> AgreedReport | None:
    last = room.check.agreed.last
    if last is None:
        return None
    return AgreedReport(
        room.scale.utc(last.second * 1000), last.latitude_deg, last.longitude_deg, last.ordinary_nm
    )


def _former(room: Chartroom, course: Course) -> FormerDrReport | None:
    former = course.former
    if former is None:
        return None
    utc = room.scale.utc
    return FormerDrReport(*former.place, utc(former.since_second * 1000), utc(former.until_second * 1000))


def _source(choice: Choice, now_ms: int, state: int, *, by_hand: bool) -> SourceReport:
    if by_hand:
        return SourceReport("order", None)
    age_ms = choice.age_ms(now_ms)
    if state == ABSENT or age_ms is None or choice.chosen is None:
        return SourceReport("none", None)
    word = {BRIDGED: "bridged", HELD: "held"}.get(state, choice.chosen)
    return SourceReport(word, age_ms / 1000)
