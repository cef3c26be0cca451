"""Orders: what each does, and the sentence that says so."""

from dataclasses import replace

from middlewatch.navigator.chartroom import Chartroom
from middlewatch.navigator.compass import NoCard, ShipHead, bearing_chain, heading_chain, in_words
from middlewatch.navigator.ledger import Logged
from middlewatch.navigator.leeway import Push
from middlewatch.navigator.orders import (
    MANOEUVRING_S,
    Act,
    AdoptFix,
    Depart,
    Laid,
    LieOrGetUnderWay,
    MakeLeeway,
    OrderCourse,
    SetStream,
    SteerByHand,
)
from middlewatch.navigator.origin import Origin
from middlewatch.navigator.refusing import Refused
from middlewatch.quantities.angles import three_figures
from middlewatch.quantities.instants import MS_PER_HOUR, Instant
from middlewatch.quantities.positions import Position
from middlewatch.readings.entries import (
    Adopt,
    ByHand,
    CourseOrder,
    Departure,
    FromMark,
    LeewayOrder,
    Reference,
    StreamOrder,
    WayOrder,
)

LaidOrder = Departure | WayOrder | CourseOrder | ByHand | LeewayOrder | StreamOrder | Adopt
"""The orders that change the reckoning; they are laid over the water track at their own time."""

_LETTER: dict[Reference, str] = {"true": "T", "magnetic": "M", "compass": "C", "relative": "from the bow"}


def lay(room: Chartroom, logged: Logged, order: LaidOrder) -> str:
    """Lay an order over the track at its own time; return its effect in words. Refused where it cannot be."""
    act, effect = _act(room, logged, order)
    room.reckoning.lift(logged.id)
    room.reckoning.lay(Laid(logged.at_ms, logged.id, act))
    return effect


def relay(room: Chartroom, logged: Logged, order: LaidOrder) -> Laid:
    """Return the order as it was laid, for a restart; what it came to is remembered, not worked again."""
    return Laid(logged.at_ms, logged.id, _act(room, logged, order)[0])


def _act(room: Chartroom, logged: Logged, order: LaidOrder) -> tuple[Act, str]:
    match order:
        case Departure():
            return _depart(room, logged, order)
        case Adopt():
            return _adopt(room, logged, order)
        case WayOrder():
            return _way(room, logged, order)
        case CourseOrder():
            _heading_known(room, order.heading_deg, order.reference)
            words = f"course ordered {three_figures(order.heading_deg)} {_LETTER[order.reference]}; the one steered steers on"
            return OrderCourse(order.heading_deg, order.reference), words
        case ByHand():
            return _by_hand(room, order)
        case LeewayOrder():
            return _leeway(order)
        case StreamOrder():
            return _stream(room, logged, order)


# --- where the reckoning starts ------------------------------------------------------------------------------


def _depart(room: Chartroom, logged: Logged, order: Departure) -> tuple[Act, str]:
    origin = logged.origin or _departure(room, logged, order)
    # Amended to another time, a departure starts then.
    logged.origin = origin = replace(origin, second=logged.second, worked_second=logged.second)
    when = room.scale.utc(logged.at_ms).clock
    words = f"departure {origin.position} at {when}, by {origin.source}, 1 sigma {origin.sd_nm:.2f} nm; DR starts"
    if origin.parent_satellite is not None:
        words += "; from a satellite position, until a fix by sight is adopted"
    return Depart(origin), words


def _departure(room: Chartroom, logged: Logged, order: Departure) -> Origin:
    match order.place:
        case Position() as position:
            source, parent = "position entered", None
        case FromMark() as off:
            position, source = _off_mark(room, logged, off)
            parent = None
        case "satellite":
            position, source = _satellite_position(room, logged)
            parent = logged.id
        case _:
            raise Refused(
                "from", "last_agreed", "satellite, a position, or a mark with bearing and distance",
                "the last agreed position is not kept yet",
            )  # fmt: skip
    return Origin("departure", logged.id, logged.second, position, order.sd_nm, source, parent, logged.second)


def _off_mark(room: Chartroom, logged: Logged, off: FromMark) -> tuple[Position, str]:
    mark = room.place_of(off.mark)
    course = room.reckoning.course_at(logged.second)
    ship = ShipHead(course.magnetic_heading_deg(room.reckoning.basis), course.heading_true_deg)
    # There is no reckoned position yet: the variation is the mark's.
    variation = course.variation or room.reckoning.variation_near(mark, logged.second)
    try:
        chain = bearing_chain(
            off.bearing_deg, off.reference, ship=ship, steering_card=room.steering_card, variation=variation
        )
    except NoCard:
        raise _no_card("a bearing by the ship's compass") from None
    if chain.true_deg is None:
        raise Refused(
            "reference", off.reference, "true", "the bearing cannot be made true: variation or ship's head is not known"
        )
    # The bearing is from the boat to the mark; from the mark the boat lies the other way.
    name = off.mark if isinstance(off.mark, str) else "a position"
    return mark.along(chain.true_deg + 180.0, off.distance_nm), f"{name} bearing {in_words(chain)}, {off.distance_nm} nm"


def _satellite_position(room: Chartroom, logged: Logged) -> tuple[Position, str]:
    if logged.heard_ms - logged.at_ms > 5_000:
        raise Refused("at", str(room.scale.utc(logged.at_ms)), "now", "a satellite position is taken as it stands now")
    receiver = room.check.fresh(logged.heard_ms)
    if receiver is None:
        raise Refused("from", "satellite", "a position", "no satellite position is heard")
    return Position(receiver.latitude_deg, receiver.longitude_deg), "satellite position, by order"


def _adopt(room: Chartroom, logged: Logged, order: Adopt) -> tuple[Act, str]:
    if logged.origin is None:
        logged.origin = room.plot.origin(order.fix, logged)
        if logged.origin is None:
            known = ", ".join(room.plot.ids()[-3:]) or "no fix has been made yet"
            raise Refused("fix", order.fix, known, f"there is no fix {order.fix}")
    logged.origin = replace(logged.origin, worked_second=logged.second)
    if logged.origin.second > logged.second:
        raise Refused(
            "at", str(room.scale.utc(logged.at_ms)), "a time not before the fix's own",
            f"{order.fix} was made later than that",
        )  # fmt: skip
    origin = logged.origin
    made = room.scale.utc(origin.second * 1000).clock
    return AdoptFix(origin), f"{order.fix} of {made} adopted: DR starts anew from {origin.position}; the old one runs on for 2 h"


# --- what is laid over ------------------------------------------------------------------------------------------


def _way(room: Chartroom, logged: Logged, order: WayOrder) -> tuple[Act, str]:
    until = None
    if order.until is not None:
        until = room.scale.scale_ms(order.until) // 1000
    elif order.way == "manoeuvring":
        until = logged.second + MANOEUVRING_S
    drift = None
    if order.drift_towards_deg is not None and order.drift_kn is not None:
        drift = (order.drift_towards_deg, order.drift_kn)
    words = f"{order.way.replace('_', ' ')}: "
    if order.way in ("anchored", "made_fast", "aground"):
        words += "the DR is held"
    elif order.way in ("hove_to", "drifting"):
        if drift is None:
            words += "the DR drifts downwind while the wind is heard, else it is held"
        else:
            words += f"the DR drifts towards {three_figures(drift[0])} T at {drift[1]:.1f} kn"
    else:
        words += "the DR runs by heading and log"
    if until is not None:
        words += f" until {room.scale.utc(until * 1000).clock}"
    return LieOrGetUnderWay(order.way, until, drift), words


def _by_hand(room: Chartroom, order: ByHand) -> tuple[Act, str]:
    parts = []
    if "heading" in order.given:
        if order.heading_deg is None:
            parts.append("heading given back to the sensor")
        else:
            _heading_known(room, order.heading_deg, order.reference)
            parts.append(f"heading {three_figures(order.heading_deg)} {_LETTER[order.reference]} by hand")
    if "speed" in order.given:
        back = order.speed_kn is None
        parts.append("speed given back to the sensor" if back else f"speed {order.speed_kn:.1f} kn by hand")
    if "log" in order.given:
        back = order.log_nm is None
        parts.append("log given back to the sensor" if back else f"log reads {order.log_nm:.2f} nm by hand")
    return SteerByHand(order), "; ".join(parts)


def _leeway(order: LeewayOrder) -> tuple[Act, str]:
    if order.leeway_deg is None:
        return MakeLeeway(None), "leeway by order ended; by apparent wind where it is heard"
    to_starboard = order.pushed_to == "starboard"
    # + to starboard, as every turn.
    signed = order.leeway_deg if to_starboard else -order.leeway_deg
    return MakeLeeway(signed), f"leeway {order.leeway_deg:.0f} degrees to {order.pushed_to}, in the EP until changed"


def _stream(room: Chartroom, logged: Logged, order: StreamOrder) -> tuple[Act, str]:
    until = order.until or Instant(room.scale.utc(logged.at_ms).ms + MS_PER_HOUR)
    # A stream by order is known to 30 % and 0.2 kn (judgement; the design's section 4).
    sd_kn = order.sd_kn if order.sd_kn is not None else 0.3 * order.drift_kn + 0.2
    push = Push(order.set_deg, order.drift_kn, sd_kn, until.ms, logged.id)
    return SetStream(push), f"stream {three_figures(order.set_deg)} T {order.drift_kn:.1f} kn in the EP until {until.clock}"


def _heading_known(room: Chartroom, heading_deg: float, reference: Reference) -> None:
    """Refuse a heading that cannot be brought to magnetic: by a compass without a card, or from the bow."""
    if reference == "relative":
        raise Refused("reference", "relative", "compass, magnetic or true", "a heading is not taken from the bow")
    try:
        heading_chain(heading_deg, reference, steering_card=room.steering_card, variation=None)
    except NoCard:
        raise _no_card("a heading by the ship's compass") from None


def _no_card(what: str) -> Refused:
    return Refused(
        "reference", "compass", "magnetic or true; or steering_card in [compass]",
        f"{what} needs its deviation card, and the settings have none",
    )  # fmt: skip
