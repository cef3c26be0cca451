"""Watchkeeping: at each tick what is wrong is raised, and what is mended cleared, each said once."""

from dataclasses import dataclass, field

from middlewatch.navigator.chartroom import Chartroom
from middlewatch.navigator.reckoning.course import ADRIFT, HELD_STILL, Course
from middlewatch.navigator.reckoning.sources import BRIDGE_MS, TAKE_OVER_MS, Choice
from middlewatch.navigator.reckoning.track import ABSENT, HEARD, HELD, MAGNETIC
from middlewatch.navigator.reckoning.variation import chart_is_old, model_variation
from middlewatch.navigator.watch import forgotten
from middlewatch.navigator.watch import weighing as causes
from middlewatch.navigator.watch.alerts import Matter
from middlewatch.navigator.watch.gap import CLEAR_AFTER_MS, CLEAR_BELOW
from middlewatch.navigator.watch.lasting import Since
from middlewatch.navigator.watch.lookout import Lookout
from middlewatch.navigator.watch.satellites import LOST_AFTER_MS
from middlewatch.quantities.angles import three_figures, turn
from middlewatch.quantities.instants import MS_PER_SECOND
from middlewatch.quantities.positions import Position
from middlewatch.reports.alert import AlertName, Priority
from middlewatch.reports.satellite import SatelliteState

LITTLE_WAY_KN = 1.5
LITTLE_WAY_MS = 60_000
UNDER_WAY_KN = 3.0
QUESTION_MS = 5 * 60_000
STILL_LOG_KN = 1.0
WHEEL_STANDS_KN, OVER_STREAM_KN, WHEEL_MS = 0.2, 1.0, 5_000
"""A log that shows less stands, where satellites show so much over the strongest stream (judgement)."""
OTHER_COMPASS_PART, OTHER_LOG_PART = 0.1, 0.15
"""What another compass or log makes of the same speed, 1 sigma (judgement: 6 degrees, 15 %)."""
OTHER_TACK_MS = 60_000
TACKS_BY_DEG = 60.0
"""A yacht tacks through 80 degrees and more; a change of course by less tells nothing (judgement)."""
CLEAR_OF_AHEAD_DEG, CLEAR_OF_ASTERN_DEG = 20.0, 150.0
VARIATIONS_APART_DEG = 1.0
LOGS_APART = 0.10
LOGS_APART_NM = 0.1
LOGS_COMPARED_NM = 1.0
MOVES_AGAIN_MS = 60_000
"""A receiver on static hold steps now and then: told once, it is frozen until it has moved on for so long."""
_OF_ITSELF: dict[SatelliteState, Priority] = {"doubtful": "caution", "frozen": "caution", "jumped": "warning"}
"""What a receiver betrays of itself, whatever the reckoning says."""


@dataclass(slots=True)
class Watch:
    """What has to last before it is said."""

    started_ms: int | None = None
    little_way: Since = field(default_factory=Since)
    making_way: Since = field(default_factory=Since)
    other_tack: Since = field(default_factory=Since)
    wheel: Since = field(default_factory=Since)
    frozen: Since = field(default_factory=Since)
    stream: Since = field(default_factory=Since)
    logs: tuple[float, float] | None = None  # (total nm, logged nm) where total and speed were last compared
    by_hand: forgotten.Forgotten = field(default_factory=forgotten.Forgotten)
    lookout: Lookout = field(default_factory=Lookout)
    weighing: causes.Weighing = field(default_factory=causes.Weighing)


def keep(room: Chartroom, watch: Watch) -> None:
    """Look round once."""
    if watch.started_ms is None:
        watch.started_ms = room.now_ms
    _sensors(room, watch)
    _way(room, watch)
    _leeway(room, watch)
    if room.now_ms // 1000 % 60 == 0:
        _variation(room)
        _logs(room, watch)
    _wheel(room, watch)
    forgotten.keep(room, watch.by_hand)
    _satellites(room, watch)
    causes.keep(room, watch.weighing, log_stands=watch.wheel.on)
    room.alerts.tick(room.now_ms)


def source_changed(room: Chartroom, name: AlertName, words: str) -> None:
    """Say once that another source steers; cleared when the better one has taken over again."""
    course = room.reckoning.now
    laid, what = (course.deviation, "deviation") if name == "heading" else (course.log_factor, "log factor")
    if laid is not None:
        words += f"; the {what} by order ({laid.id}) goes on with it: cancel it if it was the other's"
    _stand(room, Matter(name, "source", "caution", words), holds="silent" in words)
    part = OTHER_COMPASS_PART if name == "heading" else OTHER_LOG_PART
    room.check.open_by(part * (course.speed_kn or 0.0))


# --- heading and log -------------------------------------------------------------------------------------


def _sensors(room: Chartroom, watch: Watch) -> None:
    row, course = room.reckoning.now.row, room.reckoning.now
    if row is None:
        return
    settled = room.now_ms - (watch.started_ms or 0) >= BRIDGE_MS
    if row.heading_deg is not None:
        last = f"{three_figures(row.heading_deg)} {'M' if row.reference == MAGNETIC else 'T'}"
        held = row.heading_state == HELD and course.hand_heading_deg is None
        silent = _silent("heading", room.instruments.heading, last) if held else ""
        _stand(room, Matter("heading", "held", "warning", silent), holds=held)
    nothing = "no heading is heard: order it by hand, or the DR waits"
    absent = row.heading_state == ABSENT and settled and course.hand_heading_deg is None
    _stand(room, Matter("heading", "absent", "warning", nothing), holds=absent)
    unknown = course.origin is not None and course.heading_true_deg is None and not absent
    nothing = "the variation is not known, and so no true heading: order one by hand, or the DR waits"
    _stand(room, Matter("heading", "no variation", "warning", nothing), holds=unknown and settled)
    speed_by_hand = course.hand_speed_kn is not None or course.by_log
    if row.speed_kn is not None:
        held = row.speed_state == HELD and not speed_by_hand
        last = f"{row.speed_kn:.1f} kn through the water"
        silent = _silent("speed", room.instruments.speed, last) if held else ""
        _stand(room, Matter("log", "held", "warning", silent), holds=held)
    nothing = "no speed through the water is heard: order it by hand, or the DR waits"
    absent = row.speed_state == ABSENT and settled and not speed_by_hand
    _stand(room, Matter("log", "absent", "warning", nothing), holds=absent)


def _silent(quantity: str, choice: Choice, last: str) -> str:
    return (
        f"{quantity} by {choice.chosen} not heard for {BRIDGE_MS // MS_PER_SECOND} s: the DR runs on with "
        f"the last, {last}; mend it, or order {quantity} by hand"
    )


def _logs(room: Chartroom, watch: Watch) -> None:
    """Hold the log's total against its speed summed: a wheel that turns only one is to be found out."""
    row = room.reckoning.now.row
    if row is None or row.log_nm is None or room.instruments.speed.chosen is None:
        return
    now = row.log_nm, room.instruments.logged_nm
    start, by_total_too = watch.logs, "VLW" in room.instruments.speed.chosen
    total_heard = room.now_ms - room.instruments.log_ms < TAKE_OVER_MS
    both_heard = row.speed_state == HEARD and total_heard and not by_total_too
    # Over a silence the speed runs on and the total does not: that is no quarrel between them.
    if start is None or now[0] < start[0] or not both_heard:
        watch.logs = now
        return
    by_total, by_speed = now[0] - start[0], now[1] - start[1]
    if max(by_total, by_speed) < LOGS_COMPARED_NM:
        return
    apart = abs(by_total - by_speed)
    unlike = apart > LOGS_APART_NM and apart > LOGS_APART * max(by_total, by_speed)
    text = f"log total grew {by_total:.2f} nm while its speed made {by_speed:.2f} nm: which is right?"
    _stand(room, Matter("log", "total", "caution", text), holds=unlike)
    watch.logs = now


def _wheel(room: Chartroom, watch: Watch) -> None:
    """Ask after the log's wheel where it stands and a receiver makes more than the stream could."""
    course, receiver = room.reckoning.now, room.check.fresh(room.now_ms)
    row, says_kn = course.row, None if receiver is None else receiver.speed_kn
    by_hand = course.hand_speed_kn is not None or course.by_log
    by_wheel = row is not None and row.speed_kn is not None and not by_hand
    carried = (
        course.way in (*HELD_STILL, *ADRIFT)
        or says_kn is None
        or says_kn < room.strongest_stream_kn + OVER_STREAM_KN
    )
    stands = by_wheel and not carried and row is not None and (row.speed_kn or 0.0) < WHEEL_STANDS_KN
    watch.wheel.watch(
        room.now_ms, beyond=stands, below=not stands, on_after_ms=WHEEL_MS, off_after_ms=2 * WHEEL_MS
    )
    text = (
        f"log 0, check wheel: {0.0 if row is None else row.speed_kn or 0.0:.1f} kn through the water,"
        f" {says_kn or 0.0:.1f} kn over the ground by satellites; order speed by hand"
    )
    _stand(room, Matter("log", "wheel", "warning", text), holds=watch.wheel.on)


# --- compass ---------------------------------------------------------------------------------------------


def _variation(room: Chartroom) -> None:
    course, choice = room.reckoning.now, room.tuning.variation
    when = room.scale.utc(room.now_ms)
    place = Position(*course.dr) if course.dr is not None else course.place
    if choice.source == "model":
        model = course.variation  # looked up this very minute
    else:
        model = None if place is None else model_variation(place, when)
    outside = place is not None and model is None and choice.source == "model"
    text = "the World Magnetic Model gives no variation here and now: use the chart's rose"
    _stand(room, Matter("heading", "model", "caution", text), holds=outside)
    text = f"the chart's rose is of {choice.year:.0f}: over ten years old"
    _stand(room, Matter("heading", "chart old", "caution", text), holds=chart_is_old(choice, when))
    others = {}
    if choice.source != "model" and model is not None:
        others["model"] = model.value_deg
    if choice.source != "bus" and course.row is not None and course.row.variation_deg is not None:
        others["bus"] = course.row.variation_deg
    if course.variation_deg is None:
        return
    for name, other in others.items():
        apart = abs(turn(course.variation_deg, other))
        text = (
            f"variation in use {_east(course.variation_deg)} ({choice.source}), by the {name} {_east(other)}:"
            f" {apart:.1f} degrees apart, which would turn every heading and magnetic bearing"
        )
        _stand(
            room, Matter("heading", f"variation {name}", "caution", text), holds=apart > VARIATIONS_APART_DEG
        )


def _east(degrees: float) -> str:
    return f"{abs(degrees):.1f} {'E' if degrees >= 0 else 'W'}"


# --- way -------------------------------------------------------------------------------------------------


def _way(room: Chartroom, watch: Watch) -> None:
    course, now = room.reckoning.now, room.now_ms
    speed = course.speed_kn
    slow, fast = speed is not None and speed < LITTLE_WAY_KN, speed is not None and speed > UNDER_WAY_KN
    watch.little_way.watch(now, beyond=slow, below=not slow, on_after_ms=LITTLE_WAY_MS, off_after_ms=0)
    sails = course.way not in ("under_way", "manoeuvring") and fast
    watch.making_way.watch(now, beyond=sails, below=not sails, on_after_ms=QUESTION_MS, off_after_ms=0)
    way = course.way.replace("_", " ")
    text = f"{way} by order, but the log has been over {UNDER_WAY_KN:.0f} kn for 5 min: under way?"
    _stand(room, Matter("position", "way", "caution", text), holds=watch.making_way.on)
    logs = speed is not None and speed > STILL_LOG_KN
    text = (
        f"log {speed or 0.0:.1f} kn, satellites still 5 min: anchored or made fast? "
        "The DR runs on until ordered"
    )
    still = room.check.still and logs and course.way not in HELD_STILL
    _stand(room, Matter("satellite", "still", "caution", text), holds=still)


def _leeway(room: Chartroom, watch: Watch) -> None:
    """Question a leeway by order once the boat seems to have tacked: it is laid off the wrong way then."""
    course = room.reckoning.now
    ordered_deg = course.leeway_ordered_deg or 0.0
    tacked = ordered_deg != 0.0 and _on_the_other_tack(course, ordered_deg)
    watch.other_tack.watch(
        room.now_ms, beyond=tacked, below=not tacked, on_after_ms=OTHER_TACK_MS, off_after_ms=0
    )
    text = ""
    if watch.other_tack.on:
        side = "starboard" if ordered_deg > 0.0 else "port"
        text = (
            f"leeway {abs(ordered_deg):g} degrees to {side} by order, but the boat seems to have tacked: "
            "the EP may be laid off to the wrong side; order the leeway anew"
        )
    _stand(room, Matter("position", "leeway", "caution", text), holds=watch.other_tack.on)


def _on_the_other_tack(course: Course, ordered_deg: float) -> bool:
    """Tell by the wind where it is heard, else by a heading changed as much as a tack changes it."""
    row = course.row
    if row is not None and row.wind_angle_deg is not None:
        # Leeway is + to starboard; wind from starboard, whose angle is + too, pushes to port.
        wind_deg = turn(0.0, row.wind_angle_deg)
        on_the_side = CLEAR_OF_AHEAD_DEG < abs(wind_deg) < CLEAR_OF_ASTERN_DEG
        return on_the_side and wind_deg * ordered_deg > 0.0
    if course.leeway_head_deg is None or course.heading_true_deg is None:
        return False
    return abs(turn(course.leeway_head_deg, course.heading_true_deg)) > TACKS_BY_DEG


# --- satellites ------------------------------------------------------------------------------------------


def _satellites(room: Chartroom, watch: Watch) -> None:
    check = room.check
    lost_s = LOST_AFTER_MS // MS_PER_SECOND
    text = f"no satellite position for {lost_s} s: the reckoning goes on by heading and log"
    _stand(room, Matter("satellite", "lost", "caution", text), holds=check.lost(room.now_ms))
    _of_itself(room, watch)
    if check.silent(room.now_ms):
        return  # what was wrong when it fell silent stands until it is heard again, or told as lost
    _pull(room, watch)
    _gap(room)


def _of_itself(room: Chartroom, watch: Watch) -> None:
    """Speak of what a receiver betrays of itself."""
    check = room.check
    for state, priority in _OF_ITSELF.items():
        shown = holds = check.state == state or state in check.also
        if state == "frozen":
            watch.frozen.watch(
                room.now_ms, beyond=shown, below=not shown, on_after_ms=0, off_after_ms=MOVES_AGAIN_MS
            )
            holds = watch.frozen.on
        text = f"satellites {state} ({check.steering}): {check.reason_of.get(state, '')}; take a bearing"
        # What is held on keeps the words it had.
        if shown or not holds:
            _stand(room, Matter("satellite", state, priority, text), holds=holds)


def _pull(room: Chartroom, watch: Watch) -> None:
    """Speak of an apparent stream that set in abruptly, or is more than the sea can do."""
    check = room.check
    seen, part = check.gap_nm is not None, check.pull.parting
    words = "" if part is None else part.words
    text = f"satellites parting ({check.steering}): {words}; stream, log, compass or receiver; take a bearing"
    _stand(room, Matter("satellite", "parting", "caution", text), holds=seen and part is not None)
    _unended(room)
    beyond = seen and check.pull.beyond_the_sea
    set_deg, drift_kn = check.apparent or (0.0, 0.0)
    watch.stream.watch(
        room.now_ms,
        beyond=beyond,
        below=not seen or drift_kn < CLEAR_BELOW * check.pull.most_kn,
        on_after_ms=0,
        off_after_ms=CLEAR_AFTER_MS if seen else 0,
    )
    text = (
        f"apparent stream {drift_kn:.1f} kn towards {three_figures(set_deg)} T for a minute, more than the"
        f" {room.strongest_stream_kn:.1f} kn of these waters: receiver ({check.steering}), log or compass is"
        " wrong; take a bearing"
    )
    # What is held on keeps the words it had.
    if beyond or not watch.stream.on:
        _stand(room, Matter("satellite", "stream", "warning", text), holds=beyond)


def _unended(room: Chartroom) -> None:
    """Say that a parting has become what is expected, until its rate is back or a sight has moved the origin.

    From then on the gap, counted from an origin by sight, tells whether it was a stream.
    """
    check, origin = room.check, room.reckoning.now.origin
    part, since_ms = check.pull.unended, check.unended_ms
    if part is None or since_ms is None:
        room.alerts.clear("satellite", "unended", room.now_ms)
        return
    by_sight = origin is not None and origin.parent_satellite is None
    settled = origin is not None and by_sight and origin.worked_second * MS_PER_SECOND > since_ms
    text = (
        f"{part.stream}, set in abruptly, has not ended in an hour ({check.steering}): it is taken for the"
        " stream now, and only the gap would tell of a receiver drawn off; take a bearing"
    )
    _stand(room, Matter("satellite", "unended", "caution", text), holds=not settled)


def _gap(room: Chartroom) -> None:
    """Speak of the gap: past the limit and the ordinary, past the ordinary, or past the limit alone."""
    gap, alone, bounds_nm = room.check.gap, room.tuning.limit_alone, _bounds_nm(room)
    # While there is no position there is no gap to speak of; `lost` says that.
    seen = room.check.gap_nm is not None
    parted = seen and (gap.parted.on or gap.growing)
    unusual = seen and gap.unusual.on and not parted
    wide = seen and gap.wide.on and not parted and not unusual and alone != "state"
    words = _gap_in_words(room) if parted or unusual or wide else ""
    text = f"{words}: past the limit, as a stream may make it; take a bearing"
    priority: Priority = "warning" if alone == "warning" else "caution"
    _stand_past(room, Matter("satellite", "wide", priority, text), bounds_nm["wide"], holds=wide)
    text = f"{words}: more than is ordinary; take a bearing"
    _stand_past(room, Matter("satellite", "unusual", "caution", text), bounds_nm["unusual"], holds=unusual)
    growing = " and still growing" if gap.growing else ""
    text = f"{words}: more than is ordinary{growing}, one of the two is wrong; take a bearing"
    _stand_past(room, Matter("satellite", "parted", "warning", text), bounds_nm["parted"], holds=parted)


def _bounds_nm(room: Chartroom) -> dict[str, float]:
    """Return past what the gap is for each of its conditions."""
    limit_nm, ordinary_nm = room.tuning.limit_nm, room.check.ordinary_gap_nm or 0.0
    factor = room.check.pull.odds.gap_factor
    return {"wide": limit_nm, "unusual": ordinary_nm, "parted": max(limit_nm, factor * ordinary_nm)}


def _stand_past(room: Chartroom, matter: Matter, bound_nm: float, *, holds: bool) -> None:
    """Raise or clear; held on for a while by a gap that is past its bound no more, it keeps its old words."""
    gap_nm = room.check.gap_nm
    if not holds or (gap_nm is not None and gap_nm > bound_nm):
        _stand(room, matter, holds=holds)


def _gap_in_words(room: Chartroom) -> str:
    """Say how far apart satellite position and EP are, what the limit is, and how much is ordinary."""
    check, origin = room.check, room.reckoning.now.origin
    if check.gap_nm is None or check.bearing_deg is None or check.ordinary_gap_nm is None or origin is None:
        return "satellite position not heard"
    # The words stand as they were raised: without its time an old gap would be read as the gap of now.
    began, now = room.scale.utc(origin.second * MS_PER_SECOND).clock, room.scale.utc(room.now_ms).clock
    return (
        f"satellite position ({check.steering}) {check.gap_nm:.2f} nm"
        f" {three_figures(check.bearing_deg)} T of the EP at {now}"
        f" (limit {room.tuning.limit_nm:.2f} nm; ordinary since the {origin.kind} of {began}:"
        f" up to {check.ordinary_gap_nm:.2f} nm)"
    )


def _stand(room: Chartroom, matter: Matter, *, holds: bool) -> None:
    room.alerts.stand(matter, room.now_ms, holds=holds)
