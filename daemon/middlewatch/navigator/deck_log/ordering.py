"""Orders: what each does, and the sentence that says so."""

from dataclasses import replace

from middlewatch.navigator.chartroom import Chartroom
from middlewatch.navigator.deck_log.calibrating import calibrate
from middlewatch.navigator.deck_log.ledger import Logged
from middlewatch.navigator.deck_log.log_readings import not_sailed
from middlewatch.navigator.deck_log.overboard import go_or_come_back, overboard_stands
from middlewatch.navigator.deck_log.refusing import Refused
from middlewatch.navigator.reckoning.compass import NoCard, ShipHead, bearing_chain, heading_chain, in_words
from middlewatch.navigator.reckoning.course import HELD_STILL, Course
from middlewatch.navigator.reckoning.leeway import Push
from middlewatch.navigator.reckoning.orders import (
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
from middlewatch.navigator.reckoning.origin import OLD_DR_RUNS_ON_S, Origin
from middlewatch.navigator.reckoning.variation import Found, model_variation
from middlewatch.quantities.angles import three_figures
from middlewatch.quantities.instants import MS_PER_HOUR, MS_PER_SECOND, Instant
from middlewatch.quantities.positions import Position
from middlewatch.quantities.spreads import RADIUS_95
from middlewatch.readings.entries import (
    Adopt,
    ByHand,
    CourseOrder,
    Departure,
    DeviationOrder,
    FromMark,
    LeewayOrder,
    LogFactorOrder,
    Overboard,
    Recovered,
    Reference,
    StreamOrder,
    WayOrder,
)

LaidOrder = (
    Departure
    | WayOrder
    | CourseOrder
    | ByHand
    | LeewayOrder
    | StreamOrder
    | LogFactorOrder
    | DeviationOrder
    | Adopt
    | Overboard
    | Recovered
)
"""The orders that change the reckoning; they are laid over the water track at their own time."""

STANDS_NOW_MS = 5_000
"""So long after its own time an order may take the satellite position that stands now."""


def lay(room: Chartroom, logged: Logged, order: LaidOrder) -> str:
    """Lay an order over the track at its own time; return its effect in words. Refused where it cannot be."""
    # What it did before, if it is worked again, is nothing to work it by.
    room.reckoning.lift(logged.id, until=logged.acts_ms // MS_PER_SECOND)
    if isinstance(order, Recovered):
        overboard_stands(room, logged, order)
    act, effect = _act(room, logged, order)
    room.reckoning.lay(Laid(logged.acts_ms, logged.id, act))
    return effect


def lay_anew(room: Chartroom, logged: Logged, order: LaidOrder) -> str:
    """Lay an order again after something before it changed; Refused, and as it was, where it cannot be."""
    origin = logged.origin
    forget_origin(logged, order)
    try:
        return lay(room, logged, order)
    except Refused:
        logged.origin = origin
        room.reckoning.lay(relay(room, logged, order))
        raise


def relay(room: Chartroom, logged: Logged, order: LaidOrder) -> Laid:
    """Return the order as it was laid, for a restart; what it came to is remembered, not worked again."""
    act, _ = _act(room, logged, order)
    return Laid(logged.acts_ms, logged.id, act)


def forget_origin(logged: Logged, order: LaidOrder) -> None:
    """Let an origin be worked again; a satellite position and an adopted fix stay as they were ordered."""
    taken_as_it_stood = isinstance(order, Adopt) or (
        isinstance(order, Departure)
        and order.place in {"satellite", "last_agreed"}
        and logged.origin is not None
    )
    if not taken_as_it_stood:
        logged.origin = None


def _act(room: Chartroom, logged: Logged, order: LaidOrder) -> tuple[Act, str]:
    match order:
        case Departure():
            return _depart(room, logged, order)
        case Adopt():
            return _adopt(room, logged, order)
        case WayOrder():
            return _way(room, logged, order)
        case CourseOrder():
            heading = _heading(room, logged, order.heading_deg, order.reference)
            words = f"course ordered {heading}; noted: the DR goes on by the heading steered"
            return OrderCourse(order.heading_deg, order.reference), words
        case ByHand():
            return _by_hand(room, logged, order)
        case LeewayOrder():
            return _leeway(order)
        case StreamOrder():
            return _stream(room, logged, order)
        case LogFactorOrder() | DeviationOrder():
            return calibrate(room, logged, order)
        case Overboard() | Recovered():
            return go_or_come_back(room, logged, order)


# --- where the reckoning starts --------------------------------------------------------------------------


def _depart(room: Chartroom, logged: Logged, order: Departure) -> tuple[Act, str]:
    origin = logged.origin = logged.origin or _departure(room, logged, order)
    if order.place == "last_agreed":
        # The area it starts with is no smaller than the ordinary gap then, nor than the doubt ordered.
        origin = replace(origin, sd_nm=max(origin.sd_nm, order.sd_nm))
    else:
        # Amended to another time or to another doubt, a departure starts then, and so.
        origin = replace(origin, second=logged.second, worked_second=logged.second, sd_nm=order.sd_nm)
        logged.origin = origin
    when = room.scale.utc(origin.second * MS_PER_SECOND).clock
    words = f"departure {origin.position} at {when}, {origin.source}, 1 sigma {round(origin.sd_nm, 3):g} nm"
    words += "; the DR starts there"
    way = room.reckoning.course_at(logged.second).way
    if way in HELD_STILL:
        words += f", and is held: she is {way.replace('_', ' ')} by order"
    if origin.parent_satellite is not None:
        words += "; it descends from a satellite position until a fix by sight is adopted"
    if order.place == "satellite":
        words += _left_in_it(room)
    return Depart(origin), words


def _left_in_it(room: Chartroom) -> str:
    """Say what a parting that is over has left in the satellite position that is departed from."""
    before = room.reckoning.now.origin
    left = None if before is None else room.check.left(before.worked_second)
    if left is None:
        return ""
    return f"; mind that {left.words(lambda second: room.scale.utc(second * MS_PER_SECOND).clock)}"


def _departure(room: Chartroom, logged: Logged, order: Departure) -> Origin:
    parent = None
    match order.place:
        case Position() as position:
            source = "position entered"
        case FromMark() as off:
            position, source = _off_mark(room, logged, off)
        case "satellite":
            position, source = _satellite_position(room, logged)
            parent = logged.id
        case _:
            return _last_agreed(room, logged)
    return Origin("departure", logged.id, logged.second, position, order.sd_nm, source, parent, logged.second)


def _off_mark(room: Chartroom, logged: Logged, off: FromMark) -> tuple[Position, str]:
    mark = room.place_of(off.mark)
    course = room.reckoning.course_at(logged.second)
    ship = ShipHead(course.magnetic_heading_deg(room.reckoning.basis), course.heading_true_deg)
    try:
        chain = bearing_chain(
            off.bearing_deg,
            off.reference,
            ship=ship,
            steering_card=room.steering_card,
            variation=_variation_at(room, mark, course),
        )
    except NoCard:
        raise _no_card("a bearing by the ship's compass") from None
    if chain.true_deg is None:
        reason = "the bearing cannot be made true: variation or ship's head is not known"
        raise Refused("reference", off.reference, "true", reason)
    name = off.mark if isinstance(off.mark, str) else f"mark at {mark}"
    # The bearing is from the boat to the mark; from the mark the boat lies the other way.
    place = mark.along(chain.true_deg + 180.0, off.distance_nm)
    return place, f"from {name} bearing {in_words(chain)}, distant {off.distance_nm:g} nm"


def _variation_at(room: Chartroom, mark: Position, course: Course) -> Found | None:
    """Return the variation for a departure: the model is asked at its mark, whatever was reckoned before."""
    if room.tuning.variation.source == "model":
        return model_variation(mark, room.scale.utc(course.second * MS_PER_SECOND))
    return course.variation


def _last_agreed(room: Chartroom, logged: Logged) -> Origin:
    """Return the origin where satellites and reckoning last agreed: there and then, no surer than it was."""
    last = room.check.agreed.last
    if last is None:
        wanted = "satellite, a position, or a mark with bearing and distance"
        reason = "nothing is suspected of the satellites, or they never agreed before"
        raise Refused("from", "last_agreed", wanted, reason)
    sd_nm = last.ordinary_nm / RADIUS_95
    source = "where satellites and reckoning last agreed, by order"
    return Origin("departure", logged.id, last.second, last.position, sd_nm, source, logged.id, last.second)


def _satellite_position(room: Chartroom, logged: Logged) -> tuple[Position, str]:
    now_ms = max(room.now_ms, logged.heard_ms)
    if now_ms - logged.at_ms > STANDS_NOW_MS:
        at = str(room.scale.utc(logged.at_ms))
        raise Refused("at", at, "now", "a satellite position is taken as it stands now")
    check = room.check
    reckoned = room.reckoning.course_at(logged.second).ep is not None
    if reckoned and (check.suspect or check.quarantine.why is not None):
        stand = check.state.replace("_", " ")
        if check.state in {"none", "in_step"} and check.quarantine.why is not None:
            stand = f"in quarantine, after {check.quarantine.why}"
        reason = (
            f"the satellites are {stand}: an origin is taken from them in step only, or before any reckoning"
            " while nothing speaks against them"
        )
        agreed = "" if check.agreed.last is None else "last_agreed, "
        raise Refused("from", "satellite", f"{agreed}a position, or a mark with bearing and distance", reason)
    receiver, wanted = check.fresh(now_ms), "a position, or a mark with bearing and distance"
    if receiver is None:
        reason = "no satellite position is heard that is in no doubt of itself"
        raise Refused("from", "satellite", wanted, reason)
    wrong = check.held_against(receiver, now_ms)
    if wrong is not None:
        raise Refused("from", "satellite", wanted, wrong)
    return receiver.position, f"satellite position ({receiver.name}), by order"


def _adopt(room: Chartroom, logged: Logged, order: Adopt) -> tuple[Act, str]:
    origin = logged.origin or room.plot.origin(order.fix, logged.second)
    if origin is None:
        known = ", ".join(room.plot.ids()[-3:]) or "no fix has been made yet"
        withdrawn = order.fix in room.plot.every
        reason = f"{order.fix} is withdrawn" if withdrawn else f"there is no fix {order.fix}"
        raise Refused("fix", order.fix, known, reason)
    if origin.second > logged.second:
        at, made_at = str(room.scale.utc(logged.at_ms)), room.scale.utc(origin.second * MS_PER_SECOND)
        raise Refused(
            "at", at, f"not before {made_at}, the fix's own time", "the fix was made later than that"
        )
    logged.origin = origin = replace(origin, worked_second=logged.second)
    made = room.scale.utc(origin.second * MS_PER_SECOND).clock
    words = f"{order.fix} of {made} adopted: the DR starts anew from {origin.position}"
    before = room.reckoning.origin_at(logged.second)
    if before is not None:
        until = room.scale.utc((logged.second + OLD_DR_RUNS_ON_S) * MS_PER_SECOND).clock
        words += f"; the old one runs on beside it until {until}"
        if before.parent_satellite is not None:
            words += "; it descends from a satellite position no longer"
    newer = room.plot.revision_of(order.fix)
    if newer is not None:
        words += f"; mind that {newer} has revised {order.fix} since"
    return AdoptFix(origin), words + _resting_on_suspected(room, order.fix)


def _resting_on_suspected(room: Chartroom, fix: str) -> str:
    """Say which of a fix's sightings are suspected; empty where none is."""
    made, open_ids = room.plot.every.get(fix), room.ledger.open_ids()
    suspected = [] if made is None else [each for each in made.report.sightings if each in open_ids]
    if not suspected:
        return ""
    stands = "is suspected and stands" if len(suspected) == 1 else "are suspected and stand"
    return f"; mind that {', '.join(suspected)}, which it rests on, {stands} unconfirmed"


# --- what is laid over -----------------------------------------------------------------------------------


def _way(room: Chartroom, logged: Logged, order: WayOrder) -> tuple[Act, str]:
    until = None
    if order.until is not None:
        until = _after(room, logged, order.until) // MS_PER_SECOND
    elif order.way == "manoeuvring":
        until = logged.second + MANOEUVRING_S
    drift = None
    if order.drift_towards_deg is not None and order.drift_kn is not None:
        drift = (order.drift_towards_deg, order.drift_kn)
    words = f"{order.way.replace('_', ' ')}: {_how_it_moves(order, drift)}"
    if order.radius_m is not None:
        # The same whatever is heard of them: no answer to an order of the way hangs on satellites.
        words += f"; satellites that have her over {order.radius_m:g} m from where they next do are spoken of"
    if until is not None:
        words += f" until {room.scale.utc(until * MS_PER_SECOND).clock}, then under way again"
    return LieOrGetUnderWay(order.way, until, drift, order.radius_m), words


def _how_it_moves(order: WayOrder, drift: tuple[float, float] | None) -> str:
    if order.way in ("anchored", "made_fast", "aground"):
        return "the DR is held"
    if order.way not in ("hove_to", "drifting"):
        return "the DR runs by heading and log"
    if drift is None:
        return "the DR drifts downwind while the wind is heard, else it is held"
    return f"the DR drifts towards {three_figures(drift[0])} T at {drift[1]:g} kn"


def _by_hand(room: Chartroom, logged: Logged, order: ByHand) -> tuple[Act, str]:
    parts = []
    if "heading" in order.given:
        if order.heading_deg is None:
            parts.append("heading given back to the sensor")
        else:
            parts.append(f"heading {_heading(room, logged, order.heading_deg, order.reference)}, by hand")
    if "speed" in order.given:
        if order.speed_kn is None:
            parts.append("speed given back to the sensor")
        else:
            parts.append(f"speed {order.speed_kn:g} kn through the water, by hand")
    if "log" in order.given:
        if order.log_nm is None:
            parts.append("log given back to the sensor")
        else:
            parts.append(
                f"log reads {order.log_nm:.2f} nm, by hand: speed is what it makes from reading to reading, "
                "and stays what it was while there is only one" + not_sailed(room, logged, order)
            )
    return SteerByHand(order), "; ".join(parts)


def _leeway(order: LeewayOrder) -> tuple[Act, str]:
    if order.leeway_deg is None:
        return MakeLeeway(None), "leeway by order ended; by apparent wind where that is heard, else none"
    to_starboard = order.pushed_to == "starboard"
    # + to starboard, as every turn.
    signed = order.leeway_deg if to_starboard else -order.leeway_deg
    words = f"leeway {order.leeway_deg:g} degrees to {order.pushed_to}, in the EP until changed"
    return MakeLeeway(signed), words


def _stream(room: Chartroom, logged: Logged, order: StreamOrder) -> tuple[Act, str]:
    until = order.until or Instant(room.scale.utc(logged.at_ms).ms + MS_PER_HOUR)
    _after(room, logged, until)
    # A stream by order is known to 30 % and 0.2 kn (judgement; the design's section 4).
    sd_kn = order.sd_kn if order.sd_kn is not None else 0.3 * order.drift_kn + 0.2
    push = Push(order.set_deg, order.drift_kn, sd_kn, until.ms, logged.id)
    towards = three_figures(order.set_deg)
    words = f"stream towards {towards} T, {order.drift_kn:g} kn, in the EP until {until.clock}"
    return SetStream(push), words


def _after(room: Chartroom, logged: Logged, until: Instant) -> int:
    """Return the moment of the scale that an order lasts until; Refused where it would be over at once."""
    until_ms = room.scale.scale_ms(until)
    if until_ms <= logged.at_ms:
        wanted = f"after {room.scale.utc(logged.at_ms)}"
        raise Refused("until", str(until), wanted, "the order would be over before it began")
    return until_ms


def _heading(room: Chartroom, logged: Logged, heading_deg: float, reference: Reference) -> str:
    """Return a heading with its chain in words; Refused where it cannot be brought to magnetic or true."""
    if reference == "relative":
        wanted = "compass, magnetic or true"
        raise Refused("reference", "relative", wanted, "a heading is not taken from the bow")
    course = room.reckoning.course_at(logged.second)
    try:
        chain = heading_chain(
            heading_deg, reference, steering_card=room.steering_card, variation=course.variation
        )
    except NoCard:
        raise _no_card("a heading by the ship's compass") from None
    return in_words(chain)


def _no_card(what: str) -> Refused:
    wanted = "magnetic or true; or steering_card in [compass]"
    reason = f"{what} needs its deviation card, and the settings have none"
    return Refused("reference", "compass", wanted, reason)
