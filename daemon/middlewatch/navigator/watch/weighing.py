"""Weighing: while satellites and reckoning stand apart, the causes are weighed each minute and sight."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import combinations
from math import log

from middlewatch.navigator.chartroom import Chartroom
from middlewatch.navigator.deck_log.ledger import Logged
from middlewatch.navigator.reckoning.course import HELD_STILL
from middlewatch.navigator.watch import excluded
from middlewatch.navigator.watch.agreed import EVERY_S as REMEMBERED_S
from middlewatch.navigator.watch.alerts import Matter
from middlewatch.navigator.watch.amiss import BLAMED, plainly_no_stream
from middlewatch.navigator.watch.causes import AGAINST, EVERY_S, WRONG, Cause, weigh
from middlewatch.navigator.watch.headings import Headings, Pair
from middlewatch.navigator.watch.log_and_compass import SAMPLE_S, Fault, LogAndCompass, Sample
from middlewatch.navigator.watch.ordered import Shown, shown
from middlewatch.navigator.watch.quarantine import CUT_DEG
from middlewatch.navigator.watch.witnesses import passing_by
from middlewatch.quantities.angles import turn
from middlewatch.quantities.instants import MS_PER_MINUTE, MS_PER_SECOND
from middlewatch.readings.entries import Amend, Order, Withdraw
from middlewatch.reports.alert import AlertName
from middlewatch.reports.satellite import CauseReport

SETTLED_MS = 5 * MS_PER_MINUTE
"""So long it stands in words what a sight did to the causes."""
TOO_SOON_S = 50
"""For so long after a change was found its causes are not weighed: two spells are to have closed since."""
HEARD_MS = 5_000
"""So old the other heading may be, to be held against the steering one."""
SURELY = log(0.99 / 0.01 / (AGAINST * WRONG))
"""From such odds on a stream by order is wrong 99 times in 100, by the priors of the causes."""
_ORDERED = Matter("satellite", "ordered", "caution")
_APART = Matter("heading", "apart", "caution")
_FOULED = Matter("log", "fouled", "warning")
_STEPPED = Matter("heading", "stepped", "warning")
_STUCK = Matter("heading", "stuck", "warning")
_UNMENDED: dict[AlertName, str] = {"log": "log", "heading": "compass"}
_LAPSED = (
    "not seen to come right in half an hour: it is taken for what it is now, and asked after no more;"
    " calibrate it, or order by hand"
)
BY_THE_STEP_S = 240
"""A parting that sets in within so long of a step of log or compass may be its (judgement)."""
_UNEXPLAINED = frozenset({"wide", "doubtful", "lost", "still"})
"""What nothing need have made: a receiver that doubts itself is not to be talked into a stream; nor is a gap
past the limit told a cause unless it is plain."""
_WORDS: dict[Cause, str] = {
    "entry": "an entry",
    "satellite": "the satellites",
    "log": "the log",
    "compass": "the compass",
    "stream": "a stream",
}


@dataclass(slots=True)
class Weighing:
    """When the causes were weighed last (ms), of how many entries, and what a sight did to them.

    `turned_by`: the sight, where it put another cause first.
    """

    faults: LogAndCompass = field(default_factory=LogAndCompass)
    headings: Headings = field(default_factory=Headings)
    weighed_ms: int | None = None
    entries: int = 0
    settled: str = ""
    settled_ms: int = 0
    turned_by: str = ""


def keep(room: Chartroom, weighing: Weighing, *, log_stands: bool) -> None:
    """Look at log and compass, and weigh the causes where something stands and it is time."""
    if room.now_ms // MS_PER_SECOND % SAMPLE_S == 0:
        weighing.faults.tick(room.now_ms // MS_PER_SECOND, _sample(room))
        _compare(room, weighing.headings)
    _faults(room, weighing.faults)
    check = room.check
    if room.now_ms // MS_PER_SECOND % REMEMBERED_S == 0 or room.ledger.worked != weighing.entries:
        excluded.keep(room)
    if check.gap_nm is not None or not check.silent(room.now_ms):
        # Until they are heard again, or told as lost, what was made of them stands.
        _causes(room, weighing, log_stands=log_stands)
    _vouch(room)
    _tell(room, weighing)


def _causes(room: Chartroom, weighing: Weighing, *, log_stands: bool) -> None:
    """Weigh the causes where something stands and it is time; let them go where nothing does."""
    check, doubted = room.check, _doubted(room, weighing, log_stands=log_stands)
    by_lines = room.alerts.stands("satellite", "excluded")
    # Back in step they are in quarantine, and there is nothing to explain.
    apart = check.suspect and (check.state, check.also) != ("returning", ())
    stands = apart or check.gap.unusual.on or by_lines or _comes_and_goes(room) or bool(doubted)
    astray = _astray(room)
    # Held still she is moved by neither log nor compass nor stream: that she lies there is to be asked.
    held = room.reckoning.now.way in HELD_STILL
    unknown = check.gap_nm is None or held or (_too_soon(room) and not doubted)
    if unknown or not (stands or astray):
        check.causes, weighing.weighed_ms = (), None
        weighing.settled = weighing.turned_by = ""
        weighing.entries = room.ledger.worked
        if held and check.suspect:
            check.agreed.suspect(_onset(room, None))
    elif weighing.weighed_ms is None or _due(room, weighing):
        _weigh(room, weighing, doubted)
    _order(room, astray, alone=not stands)


def _comes_and_goes(room: Chartroom) -> bool:
    """Tell whether it is still told that the receiver was doubted, or its digits stood, a moment ago."""
    return room.alerts.stands("satellite", "doubtful") or room.alerts.stands("satellite", "frozen")


def _too_soon(room: Chartroom) -> bool:
    """Tell whether something has set in that what is kept of the receiver's way does not show yet."""
    check = room.check
    part = check.pull.parting
    return part is not None and check.betrayed is None and check.pull.second - part.found < TOO_SOON_S


def _astray(room: Chartroom) -> Shown | None:
    """Return what shows of the stream by order where that is surely wrong; once said, likelier than not."""
    stream, check = room.reckoning.now.stream, room.check
    if stream is None or check.betrayed is not None or check.pull.beyond_the_sea:
        return None
    if "doubtful" in {check.state, *check.also}:
        return None
    found = shown(check.spells.kept, room.strongest_stream_kn)
    said = room.alerts.stands("satellite", "ordered")
    least = 0.0 if said else SURELY
    if found is None or found.odds < least or not (said or found.from_the_start):
        return None
    same = (stream.towards_deg, stream.kn) == (found.ordered.towards_deg, found.ordered.kn)
    return found if same else None


def _order(room: Chartroom, astray: Shown | None, *, alone: bool) -> None:
    """Question the stream by order while it is the likeliest to be wrong; `alone`: nothing else stands."""
    stream = room.reckoning.now.stream
    if astray is None or stream is None or not _blames_an_entry(room):
        room.alerts.stand(_ORDERED, None, room.now_ms)
        if alone:
            room.check.causes = ()
    elif not room.alerts.stands("satellite", "ordered"):
        text = f"{astray.words}: look at the order ({stream.id})"
        room.alerts.stand(_ORDERED, text, room.now_ms)


def _blames_an_entry(room: Chartroom) -> bool:
    """Tell whether an entry is likelier than not to be wrong; while nothing is weighed, whether it was."""
    causes = room.check.causes
    if not causes:
        return room.alerts.stands("satellite", "ordered")
    return causes[0].cause == "entry" and causes[0].weight > BLAMED


def _due(room: Chartroom, weighing: Weighing) -> bool:
    by_time = room.now_ms - (weighing.weighed_ms or 0) >= EVERY_S * MS_PER_SECOND
    return by_time or room.ledger.worked != weighing.entries


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


def _doubted(room: Chartroom, weighing: Weighing, *, log_stands: bool) -> frozenset[Cause]:
    """Return which of log and compass betray themselves, and may have made what stands."""
    faults, apart = weighing.faults, weighing.headings.apart
    alone = apart is not None and apart.steering_turned
    found: set[Cause] = set()
    if log_stands or _may_have_made_it(room, faults.fouled):
        found.add("log")
    if _may_have_made_it(room, faults.stepped) or faults.stuck is not None or alone:
        found.add("compass")
    return frozenset(found)


def _may_have_made_it(room: Chartroom, step: Fault | None) -> bool:
    """Tell whether a step of log or compass may be what is seen: a parting of well after it is another's."""
    part = room.check.pull.parting
    if step is None or part is None:
        return step is not None
    set_in = room.now_ms // MS_PER_SECOND - (room.check.pull.second - part.onset)
    return set_in - step.second < BY_THE_STEP_S


def _weigh(room: Chartroom, weighing: Weighing, doubted: frozenset[Cause]) -> None:
    check = room.check
    before = {each.cause: each.weight for each in check.causes}
    weighed = weigh(room, doubted)
    check.causes = weighed.causes
    newest = _newest_sight(room, weighing.entries)
    if before and newest is not None:
        weighing.settled = _settled(newest, before, weighed.causes)
        weighing.settled_ms = room.now_ms
        weighing.turned_by = newest if max(before, key=before.__getitem__) != weighed.causes[0].cause else ""
    weighing.weighed_ms, weighing.entries = room.now_ms, room.ledger.worked
    if check.suspect:
        check.agreed.suspect(_onset(room, weighed.onset))


def _onset(room: Chartroom, by_cause: int | None) -> int:
    """Return the second from which on they are not to be trusted: the earliest that speaks for it."""
    check = room.check
    onsets = [check.since_ms // MS_PER_SECOND]
    if by_cause is not None:
        onsets.append(by_cause)
    part = check.pull.parting or check.pull.unended
    if part is not None:
        onsets.append(room.now_ms // MS_PER_SECOND - (check.pull.second - part.onset))
    return min(onsets)


def _newest_sight(room: Chartroom, entries: int) -> str | None:
    """Name the newest sighting that was made, amended or withdrawn since there were so many entries."""
    made = list(room.ledger.entries.values())[-(room.ledger.worked - entries) :]
    named = (_sight(room, each) for each in reversed(made if entries < room.ledger.worked else []))
    return next((words for words in named if words is not None), None)


def _sight(room: Chartroom, logged: Logged) -> str | None:
    """Name the sighting that an entry is, or is about."""
    request, about = logged.said.request, None if logged.answer is None else logged.answer.about
    if not isinstance(request, Order):
        return f"{logged.said.kind} {logged.id}"
    sight = None if about is None else room.ledger.entries.get(about)
    if sight is None or isinstance(sight.said.request, Order) or not isinstance(request, Amend | Withdraw):
        return None
    return f"{sight.said.kind} {sight.id} {'amended' if isinstance(request, Amend) else 'withdrawn'}"


def _settled(sight: str, before: Mapping[Cause, float], causes: tuple[CauseReport, ...]) -> str:
    """Say what a sight did to each cause."""
    changes = [
        f"{_WORDS[each.cause]} {_percent(before.get(each.cause, 0.0))} to {_percent(each.weight)}"
        for each in causes
        if _percent(before.get(each.cause, 0.0)) != _percent(each.weight)
    ]
    return f"{sight} made of the causes: " + (", ".join(changes) or "nothing new")


def _percent(weight: float) -> str:
    whole = round(100.0 * weight)
    return "under 1 %" if whole < 1 else "over 99 %" if whole > 99 else f"{whole} %"


def _vouch(room: Chartroom) -> None:
    """See whether two lines that cut well have passed by the satellites since they are back."""
    quarantine = room.check.quarantine
    if not quarantine.returning or quarantine.vouched or room.now_ms // MS_PER_SECOND % SAMPLE_S:
        return
    since = (quarantine.back_ms or 0) // MS_PER_SECOND
    directions = list(passing_by(room, since))
    quarantine.vouched = any(
        CUT_DEG <= abs(turn(one, other)) <= 180.0 - CUT_DEG for one, other in combinations(directions, 2)
    )


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


def _tell(room: Chartroom, weighing: Weighing) -> None:
    """Say the likeliest cause and its rival, each with its evidence, beside what stands."""
    causes = room.check.causes
    words: list[str] = []
    in_short = ""
    wide = room.alerts.stands("satellite", "wide") and plainly_no_stream(room.check)
    if len(causes) > 1 and (wide or room.alerts.speaks("satellite", besides=_UNEXPLAINED)):
        first, rival = causes[:2]
        words.append(
            f"likeliest {_WORDS[first.cause]} ({_percent(first.weight)}: {first.evidence}), "
            f"else {_WORDS[rival.cause]} ({_percent(rival.weight)}: {rival.evidence})"
        )
        in_short = f"likeliest {_WORDS[first.cause]} ({_percent(first.weight)})"
        if weighing.settled and room.now_ms - weighing.settled_ms < SETTLED_MS:
            words.append(weighing.settled)
            if weighing.turned_by:
                in_short += f" by {weighing.turned_by}"
    room.alerts.beside("satellite", "; ".join(words), in_short)


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
