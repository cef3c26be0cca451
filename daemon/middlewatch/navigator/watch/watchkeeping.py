"""Watchkeeping: at each tick what is wrong is raised, and what is mended cleared, each said once."""

from dataclasses import dataclass, field

from middlewatch.navigator.chartroom import Chartroom
from middlewatch.navigator.reckoning.course import ADRIFT, HELD_STILL, Course
from middlewatch.navigator.reckoning.sources import BRIDGE_MS, TAKE_OVER_MS, Choice
from middlewatch.navigator.reckoning.track import ABSENT, HEARD, HELD, MAGNETIC
from middlewatch.navigator.reckoning.variation import chart_is_old, model_variation
from middlewatch.navigator.watch import endangered, forgotten, satellite_alerts, swinging
from middlewatch.navigator.watch import weighing as causes
from middlewatch.navigator.watch.alerts import Matter
from middlewatch.navigator.watch.lasting import Since
from middlewatch.navigator.watch.lookout import Lookout
from middlewatch.quantities.angles import three_figures, turn
from middlewatch.quantities.instants import MS_PER_SECOND
from middlewatch.quantities.positions import Position
from middlewatch.reports.alert import AlertName

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

_HEADING_HELD = Matter("heading", "held", "warning")
_HEADING_ABSENT = Matter("heading", "absent", "warning")
_NO_HEADING = "no heading is heard"
_NOT_TRUE = Matter("heading", "no variation", "warning")
_NO_VARIATION = "the variation is not known, and so no true heading: order one by hand, or the DR waits"
_NO_MODEL = Matter("heading", "model", "caution")
_CHART_OLD = Matter("heading", "chart old", "caution")
_LOG_HELD = Matter("log", "held", "warning")
_LOG_ABSENT = Matter("log", "absent", "warning")
_NO_SPEED = "no speed through the water is heard"
_LOG_TOTAL = Matter("log", "total", "caution")
_WHEEL = Matter("log", "wheel", "warning")
_WAY = Matter("position", "way", "caution")
_LEEWAY = Matter("position", "leeway", "caution")
_STILL = Matter("satellite", "still", "caution")


@dataclass(slots=True)
class Watch:
    """What has to last before it is said."""

    started_ms: int | None = None
    little_way: Since = field(default_factory=Since)
    making_way: Since = field(default_factory=Since)
    other_tack: Since = field(default_factory=Since)
    wheel: Since = field(default_factory=Since)
    satellites: satellite_alerts.Lasting = field(default_factory=satellite_alerts.Lasting)
    circle: swinging.Swinging = field(default_factory=swinging.Swinging)
    endangered: Since = field(default_factory=Since)
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
    satellite_alerts.keep(room, watch.satellites)
    swinging.keep(room, watch.circle)
    causes.keep(room, watch.weighing, log_stands=watch.wheel.on)
    endangered.keep(room, watch.lookout.danger, watch.endangered)
    room.alerts.tick(room.now_ms)


def source_changed(room: Chartroom, name: AlertName, words: str) -> None:
    """Say once that another source steers; cleared when the better one has taken over again."""
    course = room.reckoning.now
    laid, what = (course.deviation, "deviation") if name == "heading" else (course.log_factor, "log factor")
    if laid is not None:
        words += f"; the {what} by order ({laid.id}) goes on with it: cancel it if it was the other's"
    room.alerts.stand(Matter(name, "source", "caution"), words if "silent" in words else None, room.now_ms)
    part = OTHER_COMPASS_PART if name == "heading" else OTHER_LOG_PART
    room.check.open_by(part * (course.speed_kn or 0.0))


# --- heading and log -------------------------------------------------------------------------------------


def _sensors(room: Chartroom, watch: Watch) -> None:
    row, course = room.reckoning.now.row, room.reckoning.now
    if row is None:
        return
    settled = room.now_ms - (watch.started_ms or 0) >= BRIDGE_MS
    heading_by_hand = course.hand_heading_deg is not None
    if row.heading_deg is not None:
        words = None
        if row.heading_state == HELD and not heading_by_hand:
            last = f"{three_figures(row.heading_deg)} {'M' if row.reference == MAGNETIC else 'T'}"
            words = _silent("heading", room.instruments.heading, last, course)
        room.alerts.stand(_of_sensor(_HEADING_HELD, course), words, room.now_ms)
    absent = row.heading_state == ABSENT and settled and not heading_by_hand
    words = _by_hand_or(_NO_HEADING, course) if absent else None
    room.alerts.stand(_of_sensor(_HEADING_ABSENT, course), words, room.now_ms)
    unknown = course.origin is not None and course.heading_true_deg is None and not absent
    room.alerts.stand(_NOT_TRUE, _NO_VARIATION if unknown and settled else None, room.now_ms)
    speed_by_hand = course.hand_speed_kn is not None or course.by_log
    if row.speed_kn is not None:
        words = None
        if row.speed_state == HELD and not speed_by_hand:
            last = f"{row.speed_kn:.1f} kn through the water"
            words = _silent("speed", room.instruments.speed, last, course)
        room.alerts.stand(_of_sensor(_LOG_HELD, course), words, room.now_ms)
    absent = row.speed_state == ABSENT and settled and not speed_by_hand
    words = _by_hand_or(_NO_SPEED, course) if absent else None
    room.alerts.stand(_of_sensor(_LOG_ABSENT, course), words, room.now_ms)


def _of_sensor(matter: Matter, course: Course) -> Matter:
    """Return how much a silent sensor matters: where the DR is held by order nothing goes by it."""
    return matter._replace(priority="caution") if course.held_still else matter


def _silent(quantity: str, choice: Choice, last: str, course: Course) -> str:
    unheard = f"{quantity} by {choice.chosen} not heard for {BRIDGE_MS // MS_PER_SECOND} s"
    if course.held_still:
        return f"{unheard}: {_held(course)}; mend it before she is under way"
    return f"{unheard}: the DR runs on with the last, {last}; mend it, or order {quantity} by hand"


def _by_hand_or(unheard: str, course: Course) -> str:
    if course.held_still:
        return f"{unheard}: {_held(course)}; mend it before she is under way"
    return f"{unheard}: order it by hand, or the DR waits"


def _held(course: Course) -> str:
    return f"the DR is held, {course.way.replace('_', ' ')} by order, and does not go by it"


def _logs(room: Chartroom, watch: Watch) -> None:
    """Hold the log's total against its speed summed: a wheel that turns only one is to be found out."""
    row, chosen = room.reckoning.now.row, room.instruments.speed.chosen
    if row is None:
        return
    total_heard = room.now_ms - room.instruments.log_ms < TAKE_OVER_MS
    if chosen is None or row.log_nm is None or not total_heard or "VLW" in chosen:
        # Of the two only one is left: nothing is to be asked of them any more.
        room.alerts.stand(_LOG_TOTAL, None, room.now_ms)
        watch.logs = None
        return
    now, start = (row.log_nm, room.instruments.logged_nm), watch.logs
    # Over a silence the speed runs on and the total does not: that is no quarrel between them.
    if start is None or now[0] < start[0] or row.speed_state != HEARD:
        watch.logs = now
        return
    by_total, by_speed = now[0] - start[0], now[1] - start[1]
    if max(by_total, by_speed) < LOGS_COMPARED_NM:
        return
    apart = abs(by_total - by_speed)
    unlike = apart > LOGS_APART_NM and apart > LOGS_APART * max(by_total, by_speed)
    text = f"log total grew {by_total:.2f} nm while its speed made {by_speed:.2f} nm: which is right?"
    room.alerts.stand(_LOG_TOTAL, text if unlike else None, room.now_ms)
    watch.logs = now


def _wheel(room: Chartroom, watch: Watch) -> None:
    """Ask after the log's wheel where it stands and a receiver makes more than the stream could."""
    course = room.reckoning.now
    row, by_hand = course.row, course.hand_speed_kn is not None or course.by_log
    by_wheel = row is not None and row.speed_kn is not None and not by_hand
    shows_kn = 0.0 if row is None else row.speed_kn or 0.0
    slow = by_wheel and shows_kn < WHEEL_STANDS_KN and course.way not in (*HELD_STILL, *ADRIFT)
    made_kn = _made_by_satellites_kn(room) if slow or watch.wheel.on else None
    stands = slow and made_kn is not None and made_kn >= room.strongest_stream_kn + OVER_STREAM_KN
    watch.wheel.watch(
        room.now_ms, beyond=stands, below=not stands, on_after_ms=WHEEL_MS, off_after_ms=2 * WHEEL_MS
    )
    words = None
    if watch.wheel.on:
        words = (
            f"log 0, check wheel: {shows_kn:.1f} kn through the water,"
            f" {made_kn or 0.0:.1f} kn over the ground by satellites; order speed by hand"
        )
    room.alerts.stand(_WHEEL, words, room.now_ms)


def _made_by_satellites_kn(room: Chartroom) -> float | None:
    """Return what a receiver in no doubt makes over the ground."""
    receiver = room.check.fresh(room.now_ms)
    return None if receiver is None else receiver.speed_kn(room.now_ms)


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
    room.alerts.stand(_NO_MODEL, text if outside else None, room.now_ms)
    text = f"the chart's rose is of {choice.year:.0f}: over ten years old"
    room.alerts.stand(_CHART_OLD, text if chart_is_old(choice, when) else None, room.now_ms)
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
        matter = Matter("heading", f"variation {name}", "caution")
        room.alerts.stand(matter, text if apart > VARIATIONS_APART_DEG else None, room.now_ms)


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
    words = None
    if watch.making_way.on:
        way = course.way.replace("_", " ")
        words = f"{way} by order, but the log has been over {UNDER_WAY_KN:.0f} kn for 5 min: under way?"
    room.alerts.stand(_WAY, words, room.now_ms)
    words = None
    if room.check.still and speed is not None and speed > STILL_LOG_KN and course.way not in HELD_STILL:
        words = (
            f"log {speed:.1f} kn, satellites still 5 min: anchored or made fast? The DR runs on until ordered"
        )
    room.alerts.stand(_STILL, words, room.now_ms)


def _leeway(room: Chartroom, watch: Watch) -> None:
    """Question a leeway by order once the boat seems to have tacked: it is laid off the wrong way then."""
    course = room.reckoning.now
    ordered_deg = course.leeway_ordered_deg or 0.0
    tacked = ordered_deg != 0.0 and _on_the_other_tack(course, ordered_deg)
    watch.other_tack.watch(
        room.now_ms, beyond=tacked, below=not tacked, on_after_ms=OTHER_TACK_MS, off_after_ms=0
    )
    words = None
    if watch.other_tack.on:
        side = "starboard" if ordered_deg > 0.0 else "port"
        words = (
            f"leeway {abs(ordered_deg):g} degrees to {side} by order, but the boat seems to have tacked: "
            "the EP may be laid off to the wrong side; order the leeway anew"
        )
    room.alerts.stand(_LEEWAY, words, room.now_ms)


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
