"""What is said of the satellites: what a receiver betrays of itself, the apparent stream, and the gap."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from middlewatch.navigator.chartroom import Chartroom
from middlewatch.navigator.reckoning.course import HELD_STILL
from middlewatch.navigator.watch.alerts import Matter
from middlewatch.navigator.watch.amiss import plainly_no_stream
from middlewatch.navigator.watch.gap import CLEAR_AFTER_MS, CLEAR_BELOW
from middlewatch.navigator.watch.lasting import Since
from middlewatch.navigator.watch.satellites import LOST_AFTER_MS
from middlewatch.quantities.angles import three_figures
from middlewatch.quantities.instants import MS_PER_SECOND
from middlewatch.reports.satellite import SatelliteState

MENDED_MS = 60_000
"""A receiver on static hold steps now and then, and one with four satellites has three the next second: told
once, it is frozen, or doubtful, until it has not been so for so long."""

_LOST = Matter("satellite", "lost", "caution")
_NO_POSITION = f"no satellite position for {LOST_AFTER_MS // MS_PER_SECOND} s"
_OF_ITSELF: dict[SatelliteState, Matter] = {
    "doubtful": Matter("satellite", "doubtful", "caution"),
    "frozen": Matter("satellite", "frozen", "caution"),
    "jumped": Matter("satellite", "jumped", "warning"),
}
"""What a receiver betrays of itself, whatever the reckoning says."""
_PARTING = Matter("satellite", "parting", "caution")
_UNENDED = Matter("satellite", "unended", "caution")
_STREAM = Matter("satellite", "stream", "warning")
_WIDE = Matter("satellite", "wide", "caution")
_WIDE_WARNED = Matter("satellite", "wide", "warning")
_UNUSUAL = Matter("satellite", "unusual", "caution")
_PARTED = Matter("satellite", "parted", "warning")


@dataclass(slots=True)
class Lasting:
    """How long it has been so: that digits stand, that the receiver is doubted, that no sea does that stream.

    `parting`: the number of the parting that is told.
    """

    frozen: Since = field(default_factory=Since)
    doubtful: Since = field(default_factory=Since)
    stream: Since = field(default_factory=Since)
    parting: int = 0


def keep(room: Chartroom, lasting: Lasting) -> None:
    """Say what is wrong with the satellites, and what is no more."""
    check = room.check
    room.alerts.stand(_LOST, _lost(room) if check.lost(room.now_ms) else None, room.now_ms)
    if check.gap_nm is None and check.silent(room.now_ms):
        return  # what was wrong when it fell silent stands until it is heard again, or told as lost
    _of_itself(room, {"frozen": lasting.frozen, "doubtful": lasting.doubtful})
    _parting(room, lasting)
    _stream(room, lasting.stream)
    _gap(room)


def _lost(room: Chartroom) -> str:
    """Say that satellites are gone, and what goes on without them."""
    course = room.reckoning.now
    if not course.held_still:
        return f"{_NO_POSITION}: the reckoning goes on by heading and log"
    held = f"{_NO_POSITION}: the DR is held, {course.way.replace('_', ' ')} by order"
    if course.circle is None:
        return held
    return f"{held}, and nothing watches her circle of {course.circle.radius_m:g} m; watch a bearing abeam"


def _of_itself(room: Chartroom, lasting: Mapping[SatelliteState, Since]) -> None:
    """Speak of what a receiver betrays of itself; `lasting`: what comes and goes, and stands until mended."""
    check = room.check
    for state, matter in _OF_ITSELF.items():
        shown = holds = check.state == state or state in check.also
        if state in lasting:
            lasting[state].watch(
                room.now_ms, beyond=shown, below=not shown, on_after_ms=0, off_after_ms=MENDED_MS
            )
            holds = lasting[state].on
        if shown and holds:
            words = f"satellites {state} ({check.steering}): {check.reason_of.get(state, '')}; take a bearing"
            room.alerts.stand(matter, words, room.now_ms)
        elif not holds:
            room.alerts.stand(matter, None, room.now_ms)
        # What is held on keeps the words it had.


def _parting(room: Chartroom, lasting: Lasting) -> None:
    """Speak of an apparent stream that set in abruptly; another one is another matter, with its own time."""
    check, now_ms = room.check, room.now_ms
    part = check.pull.parting
    # A reckoning that is taken back takes no parting with it: heading, log and receiver part as before.
    goes_on = not check.lost(now_ms) and room.alerts.stands("satellite", "parting")
    if part is None or (check.gap_nm is None and not goes_on):
        room.alerts.stand(_PARTING, None, now_ms)
    else:
        words = (
            f"satellites parting ({check.steering}): {part.words}; stream, log, compass or receiver;"
            " take a bearing"
        )
        if part.number != lasting.parting:
            lasting.parting = part.number
            room.alerts.stand(_PARTING, None, now_ms)
        room.alerts.stand(_PARTING, words, now_ms)
        room.alerts.correct(_PARTING, words)
    _unended(room)


def _stream(room: Chartroom, stream: Since) -> None:
    """Speak of an apparent stream that is more than the sea can do."""
    check = room.check
    seen = check.gap_nm is not None
    beyond = seen and check.pull.beyond_the_sea
    set_deg, drift_kn = check.apparent or (0.0, 0.0)
    stream.watch(
        room.now_ms,
        beyond=beyond,
        below=not seen or drift_kn < CLEAR_BELOW * check.pull.most_kn,
        on_after_ms=0,
        off_after_ms=CLEAR_AFTER_MS if seen else 0,
    )
    if beyond:
        words = (
            f"apparent stream {drift_kn:.1f} kn towards {three_figures(set_deg)} T for a minute, more than"
            f" the {room.strongest_stream_kn:.1f} kn of these waters: receiver ({check.steering}), log or"
            " compass is wrong; take a bearing"
        )
        room.alerts.stand(_STREAM, words, room.now_ms)
    elif not stream.on:
        # What is held on keeps the words it had.
        room.alerts.stand(_STREAM, None, room.now_ms)


def _unended(room: Chartroom) -> None:
    """Say that a parting has become what is expected, until its rate is back or a sight has moved the origin.

    From then on the gap, counted from an origin by sight, tells whether it was a stream.
    """
    check, origin = room.check, room.reckoning.now.origin
    part, since_ms = check.pull.unended, check.unended_ms
    if part is None or since_ms is None:
        room.alerts.stand(_UNENDED, None, room.now_ms)
        return
    by_sight = origin is not None and origin.parent_satellite is None
    settled = origin is not None and by_sight and origin.worked_second * MS_PER_SECOND > since_ms
    text = (
        f"{part.stream}, set in abruptly, has not ended in an hour ({check.steering}): it is taken for the"
        " stream now, and only the gap would tell of a receiver drawn off; take a bearing"
    )
    room.alerts.stand(_UNENDED, None if settled else text, room.now_ms)


def _gap(room: Chartroom) -> None:
    """Speak of the gap: past the limit and the ordinary, past the ordinary, or past the limit alone."""
    gap, alone = room.check.gap, room.tuning.limit_alone
    # While there is no position there is no gap to speak of; `lost` says that.
    seen = room.check.gap_nm is not None
    parted = seen and (gap.parted.on or gap.growing)
    unusual = seen and gap.unusual.on and not parted
    wide = seen and gap.wide.on and not parted and not unusual and alone != "state"
    if not (parted or unusual or wide):
        for matter in (_WIDE, _UNUSUAL, _PARTED):
            room.alerts.stand(matter, None, room.now_ms)
        return
    limit_nm, ordinary_nm = room.tuning.limit_nm, room.check.ordinary_gap_nm or 0.0
    words, moved = _gap_in_words(room), _may_have_moved(room)
    ordinary = not moved and (room.check.gap_nm or 0.0) <= ordinary_nm and not plainly_no_stream(room.check)
    by_stream = ", as a stream may make it" if ordinary else moved
    growing, wrong = " and still growing" if gap.growing else "", moved or ", one of the two is wrong"
    by_alone = f"{words}: past the limit{by_stream}; take a bearing"
    by_ordinary = f"{words}: more than is ordinary{moved}; take a bearing"
    by_both = f"{words}: more than is ordinary{growing}{wrong}; take a bearing"
    bound_nm = max(limit_nm, room.check.pull.odds.gap_factor * ordinary_nm)
    said = (
        (_WIDE_WARNED if alone == "warning" else _WIDE, limit_nm, by_alone if wide else None),
        (_UNUSUAL, ordinary_nm, by_ordinary if unusual else None),
        (_PARTED, bound_nm, by_both if parted else None),
    )
    # What holds is raised before the one whose place it takes is over: it is one alert, since one moment.
    for matter, past_nm, text in sorted(said, key=lambda each: each[2] is None):
        _stand_past(room, matter, past_nm, text)


def _may_have_moved(room: Chartroom) -> str:
    """Ask after anchor, lines or ground where they hold her by order: no stream opens a gap then."""
    way = room.reckoning.now.way
    return (
        f", though she is {way.replace('_', ' ')} by order: has she moved, or the receiver?"
        if way in HELD_STILL
        else ""
    )


def _stand_past(room: Chartroom, matter: Matter, bound_nm: float, words: str | None) -> None:
    """Raise or clear; held on for a while by a gap that is past its bound no more, it keeps its old words."""
    gap_nm = room.check.gap_nm
    if words is None or (gap_nm is not None and gap_nm > bound_nm):
        room.alerts.stand(matter, words, room.now_ms)


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
