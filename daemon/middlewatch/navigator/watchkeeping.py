"""Watchkeeping: at each tick, what is wrong is raised, and what is mended cleared. Each situation is said once."""

from dataclasses import dataclass, field

from middlewatch.navigator.chartroom import Chartroom
from middlewatch.navigator.course import HELD_STILL
from middlewatch.navigator.satellites import Since
from middlewatch.navigator.sources import BRIDGE_MS
from middlewatch.navigator.track import ABSENT, HELD, MAGNETIC
from middlewatch.navigator.variation import chart_is_old, model_variation
from middlewatch.quantities.angles import three_figures, turn
from middlewatch.quantities.positions import Position
from middlewatch.reports.alert import AlertName, Priority

LITTLE_WAY_KN = 1.5
LITTLE_WAY_MS = 60_000
UNDER_WAY_KN = 3.0
QUESTION_MS = 5 * 60_000
STILL_LOG_KN = 1.0
VARIATIONS_APART_DEG = 1.0
LOGS_APART = 0.10
LOGS_APART_NM = 0.1
LOGS_COMPARED_NM = 1.0


@dataclass(slots=True)
class Watch:
    """What has to last before it is said."""

    started_ms: int | None = None
    little_way: Since = field(default_factory=Since)
    making_way: Since = field(default_factory=Since)
    logs: tuple[float, float] | None = None  # (total nm, logged nm) where total and speed were last compared


def keep(room: Chartroom, watch: Watch) -> None:
    """Look round once."""
    if watch.started_ms is None:
        watch.started_ms = room.now_ms
    _sensors(room, watch)
    _way(room, watch)
    if room.now_ms // 1000 % 60 == 0:
        _variation(room)
        _logs(room, watch)
    _satellites(room)
    room.alerts.tick(room.now_ms)


def source_changed(room: Chartroom, name: AlertName, words: str) -> None:
    """Say once that another source steers; cleared when the better one has taken over again."""
    if "silent" in words:
        room.alerts.raise_(name, "source", "caution", words, room.now_ms)
    else:
        room.alerts.clear(name, "source", room.now_ms)


# --- heading and log ------------------------------------------------------------------------------------------


def _sensors(room: Chartroom, watch: Watch) -> None:
    row, course = room.reckoning.now.row, room.reckoning.now
    if row is None:
        return
    settled = room.now_ms - (watch.started_ms or 0) >= BRIDGE_MS
    heading_by_hand = course.hand_heading_deg is not None
    speed_by_hand = course.hand_speed_kn is not None or course.by_log
    held_heading = "none" if row.heading_deg is None else f"{three_figures(row.heading_deg)} {'M' if row.reference == MAGNETIC else 'T'}"
    _held(room, "heading", row.heading_state, heading_by_hand, settled,
        f"heading not heard for {BRIDGE_MS // 1000} s: the last, {held_heading}, runs on; steer by hand order or mend",
        "no heading is heard: order it by hand, or the DR waits")  # fmt: skip
    held_speed = "none" if row.speed_kn is None else f"{row.speed_kn:.1f} kn"
    _held(room, "log", row.speed_state, speed_by_hand, settled,
        f"speed not heard for {BRIDGE_MS // 1000} s: the last, {held_speed} through the water, runs on; order it by hand or mend",
        "no speed is heard: order it by hand, or the DR waits")  # fmt: skip


def _held(
    room: Chartroom, name: AlertName, state: int, by_hand: bool, settled: bool, held: str, absent: str  # noqa: FBT001 -- two facts of the row
) -> None:  # fmt: skip
    _stand(room, name, "held", state == HELD and not by_hand, "warning", held)
    _stand(room, name, "absent", state == ABSENT and settled and not by_hand, "warning", absent)


def _logs(room: Chartroom, watch: Watch) -> None:
    """Hold the log's total against its speed summed: a wheel that turns one and not the other is to be found out."""
    row = room.reckoning.now.row
    if row is None or row.log_nm is None or room.instruments.speed.chosen is None:
        return
    now = row.log_nm, room.instruments.logged_nm
    start = watch.logs
    if start is None or now[0] < start[0] or "VLW" in room.instruments.speed.chosen:
        watch.logs = now
        return
    by_total, by_speed = now[0] - start[0], now[1] - start[1]
    if max(by_total, by_speed) < LOGS_COMPARED_NM:
        return
    apart = abs(by_total - by_speed)
    unlike = apart > LOGS_APART_NM and apart > LOGS_APART * max(by_total, by_speed)
    _stand(room, "log", "total", unlike, "caution",
        f"log total grew {by_total:.2f} nm while its speed made {by_speed:.2f} nm: which is right?")  # fmt: skip
    watch.logs = now


# --- compass --------------------------------------------------------------------------------------------------


def _variation(room: Chartroom) -> None:
    course, choice = room.reckoning.now, room.tuning.variation
    when = room.scale.utc(room.now_ms)
    place = Position(*course.dr) if course.dr is not None else course.place
    model = None if place is None else model_variation(place, when)
    outside = place is not None and model is None
    _stand(room, "heading", "model", outside and choice.source == "model", "caution",
        "the World Magnetic Model gives no variation here and now: use the chart's rose")  # fmt: skip
    _stand(room, "heading", "chart old", choice.source == "chart" and chart_is_old(choice, when), "caution",
        f"the chart's rose is of {choice.year:.0f}: over ten years old")  # fmt: skip
    row = course.row
    others = {}
    if choice.source != "model" and model is not None:
        others["model"] = model.value_deg
    if choice.source != "bus" and row is not None and row.variation_deg is not None:
        others["bus"] = row.variation_deg
    if course.variation_deg is None:
        return
    for name, other in others.items():
        apart = abs(turn(course.variation_deg, other))
        _stand(room, "heading", f"variation {name}", apart > VARIATIONS_APART_DEG, "caution",
            f"variation in use {_east(course.variation_deg)} ({choice.source}), by the {name} {_east(other)}: {apart:.1f} apart")  # fmt: skip


def _east(degrees: float) -> str:
    return f"{abs(degrees):.1f} {'E' if degrees >= 0 else 'W'}"


# --- way ------------------------------------------------------------------------------------------------------


def _way(room: Chartroom, watch: Watch) -> None:
    course, now = room.reckoning.now, room.now_ms
    speed = course.speed_kn
    slow, fast = speed is not None and speed < LITTLE_WAY_KN, speed is not None and speed > UNDER_WAY_KN
    watch.little_way.watch(now, beyond=slow, below=not slow, on_after_ms=LITTLE_WAY_MS, off_after_ms=0)
    lying = course.way not in ("under_way", "manoeuvring")
    watch.making_way.watch(now, beyond=lying and fast, below=not (lying and fast), on_after_ms=QUESTION_MS, off_after_ms=0)
    _stand(room, "position", "way", watch.making_way.on, "caution",
        f"{course.way.replace('_', ' ')} by order, but the log has been over {UNDER_WAY_KN:.0f} kn for 5 min: under way?")  # fmt: skip
    held = course.way in HELD_STILL
    still = room.check.still and not held and speed is not None and speed > STILL_LOG_KN
    _stand(room, "satellite", "still", still, "caution",
        f"log {speed or 0.0:.1f} kn, satellites still 5 min: anchored or made fast? The DR runs on until ordered")  # fmt: skip


# --- satellites -----------------------------------------------------------------------------------------------


def _satellites(room: Chartroom) -> None:
    check = room.check
    _stand(room, "satellite", "lost", check.lost(room.now_ms), "caution",
        "no satellite position for 60 s: the reckoning carries on by heading and log")  # fmt: skip
    for state in ("doubtful", "frozen", "jumped"):
        holds = check.state == state or state in check.also
        priority: Priority = "warning" if state == "jumped" else "caution"
        _stand(room, "satellite", state, holds, priority, f"satellites {state}: {check.reason_of.get(state, '')}; take a bearing")
    alone = room.tuning.limit_alone
    gap = "" if check.gap_nm is None or check.bearing_deg is None else (
        f"satellite position {check.gap_nm:.2f} nm {three_figures(check.bearing_deg)} T of the EP")  # fmt: skip
    ordinary = "" if check.ordinary_gap_nm is None else f"ordinary up to {check.ordinary_gap_nm:.2f} nm (rough)"
    limit = f"limit {room.tuning.limit_nm:.2f}"
    _stand(room, "satellite", "wide", check.wide.on and not check.parted.on and alone != "state",
        "warning" if alone == "warning" else "caution", f"{gap}: past the {limit}, {ordinary}; take a bearing")  # fmt: skip
    _stand(room, "satellite", "parted", check.parted.on, "warning",
        f"{gap}: past the {limit} and more than is {ordinary}; one of the two is wrong: take a bearing")  # fmt: skip


def _stand(room: Chartroom, name: AlertName, key: str, holds: bool, priority: Priority, text: str) -> None:  # noqa: FBT001 -- the fact itself
    if holds:
        room.alerts.raise_(name, key, priority, text, room.now_ms)
    else:
        room.alerts.clear(name, key, room.now_ms)
