"""What is said of log and compass: what they betray of themselves, and one compass held against another."""

from middlewatch.navigator.chartroom import Chartroom
from middlewatch.navigator.watch.alerts import Matter
from middlewatch.navigator.watch.headings import Headings, Pair
from middlewatch.navigator.watch.log_and_compass import SAMPLE_S, Fault, LogAndCompass, Sample
from middlewatch.quantities.instants import MS_PER_SECOND
from middlewatch.reports.alert import AlertName

HEARD_MS = 5_000
"""So old the other heading may be, to be held against the steering one."""
_APART = Matter("heading", "apart", "caution")
_FOULED = Matter("log", "fouled", "warning")
_STEPPED = Matter("heading", "stepped", "warning")
_STUCK = Matter("heading", "stuck", "warning")
_UNMENDED: dict[AlertName, str] = {"log": "log", "heading": "compass"}
_LAPSED = (
    "not seen to come right in half an hour: it is taken for what it is now, and asked after no more;"
    " calibrate it, or order by hand"
)


def keep(room: Chartroom, faults: LogAndCompass, headings: Headings) -> None:
    """Look at log and compass, and say what is wrong with them, and what is no more."""
    if room.now_ms // MS_PER_SECOND % SAMPLE_S == 0:
        faults.tick(room.now_ms // MS_PER_SECOND, _sample(room))
        _compare(room, headings)
    _faults(room, faults)


def _sample(room: Chartroom) -> Sample | None:
    course, check = room.reckoning.now, room.check
    row = course.row
    by_hand = course.hand_heading_deg is not None or course.hand_speed_kn is not None or course.by_log
    if row is None or row.heading_deg is None or check.apparent is None or by_hand:
        return None
    if not check.spells.kept:
        # They began anew: log or compass was calibrated, and counts otherwise now.
        return None
    if check.pull.rough:
        # In a race or river the stream turns with the water's way, and so does the boat.
        return None
    if course.heading_true_deg is None or course.speed_kn is None:
        return None
    return Sample(
        course.second,
        round(course.heading_true_deg, 1),
        row.heading_deg,
        round(course.speed_kn, 3),
        round(check.spells.apart_m[0], 2),
        round(check.spells.apart_m[1], 2),
        row.wind_angle_deg,
    )


def _compare(room: Chartroom, headings: Headings) -> None:
    """Hold the steering compass against the other, where there is one, and speak of it where they part."""
    instruments, second = room.instruments, room.now_ms // MS_PER_SECOND
    chosen, other, sent_deg = instruments.heading.chosen, instruments.beside, instruments.sent_deg
    if chosen is None or other is None or sent_deg is None or other.source == chosen:
        return
    heard = instruments.heading.fresh(chosen, room.now_ms) and room.now_ms - other.at_ms < HEARD_MS
    pair = Pair(round(sent_deg, 1), round(other.heading_deg, 1)) if heard else None
    headings.tick(second, (chosen, other.source), pair)
    if room.reckoning.now.hand_heading_deg is not None:
        headings.apart = None
    apart = headings.apart
    words = None
    if apart is not None:
        words = f"{apart.words}: which is right? Look at a mark, or for iron near either"
    room.alerts.stand(_APART, words, room.now_ms)


def _faults(room: Chartroom, faults: LogAndCompass) -> None:
    """Raise what log and compass betray of themselves, each with the entry that would mend it."""
    course = room.reckoning.now
    speed_by_hand = course.hand_speed_kn is not None or course.by_log
    faults.mend(log=speed_by_hand, compass=course.hand_heading_deg is not None)
    for matter in (_FOULED, _STEPPED, _STUCK):
        if matter.key in faults.lapsed and room.alerts.stands(matter.subject, matter.key):
            room.alerts.correct(matter, f"{_UNMENDED[matter.subject]} {_LAPSED}")
    _found(room, _FOULED, faults.fouled, "look at the wheel; order speed by hand")
    mend = "look at the other compass, and for iron or a loudspeaker; order heading by hand"
    _found(room, _STEPPED, faults.stepped, mend)
    _found(room, _STUCK, faults.stuck, "order heading by hand")


def _found(room: Chartroom, matter: Matter, fault: Fault | None, mend: str) -> None:
    room.alerts.stand(matter, None if fault is None else f"{fault.words}: {mend}", room.now_ms)
