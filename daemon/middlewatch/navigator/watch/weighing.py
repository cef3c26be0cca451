"""Weighing: while satellites and reckoning stand apart, the causes are weighed each minute and sight."""

from dataclasses import dataclass, field
from itertools import combinations
from math import log

from middlewatch.navigator.chartroom import Chartroom
from middlewatch.navigator.reckoning.course import HELD_STILL
from middlewatch.navigator.watch import excluded, log_and_compass_alerts, verdict
from middlewatch.navigator.watch.agreed import EVERY_S as REMEMBERED_S
from middlewatch.navigator.watch.alerts import Matter
from middlewatch.navigator.watch.amiss import BLAMED
from middlewatch.navigator.watch.causes import AGAINST, EVERY_S, WRONG, Cause, weigh
from middlewatch.navigator.watch.headings import Headings
from middlewatch.navigator.watch.log_and_compass import SAMPLE_S, Fault, LogAndCompass
from middlewatch.navigator.watch.ordered import Shown, shown
from middlewatch.navigator.watch.quarantine import CUT_DEG
from middlewatch.navigator.watch.witnesses import passing_by
from middlewatch.quantities.angles import turn
from middlewatch.quantities.instants import MS_PER_MINUTE, MS_PER_SECOND

SETTLED_MS = 5 * MS_PER_MINUTE
"""So long it stands in words what a sight did to the causes."""
TOO_SOON_S = 50
"""For so long after a change was found its causes are not weighed: two spells are to have closed since."""
SURELY = log(0.99 / 0.01 / (AGAINST * WRONG))
"""From such odds on a stream by order is wrong 99 times in 100, by the priors of the causes."""
_ORDERED = Matter("satellite", "ordered", "caution")
BY_THE_STEP_S = 240
"""A parting that sets in within so long of a step of log or compass may be its (judgement)."""


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
    log_and_compass_alerts.keep(room, weighing.faults, weighing.headings)
    check = room.check
    if room.now_ms // MS_PER_SECOND % REMEMBERED_S == 0 or room.ledger.worked != weighing.entries:
        excluded.keep(room)
    if check.gap_nm is not None or not check.silent(room.now_ms):
        # Until they are heard again, or told as lost, what was made of them stands.
        _causes(room, weighing, log_stands=log_stands)
    _vouch(room)
    lately = room.now_ms - weighing.settled_ms < SETTLED_MS
    verdict.tell(room, weighing.settled if lately else "", weighing.turned_by if lately else "")


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
    if check.gap_nm is None or held or not (stands or astray):
        check.causes, weighing.weighed_ms = (), None
        weighing.settled = weighing.turned_by = ""
        weighing.entries = room.ledger.worked
        if held and check.suspect:
            check.agreed.suspect(_onset(room, None))
    elif (doubted or not _too_soon(room)) and (weighing.weighed_ms is None or _due(room, weighing)):
        _weigh(room, weighing, doubted)
    _order(room, astray, alone=not stands)


def _comes_and_goes(room: Chartroom) -> bool:
    """Tell whether it is still told that the receiver was doubted, or its digits stood, a moment ago."""
    return room.alerts.stands("satellite", "doubtful") or room.alerts.stands("satellite", "frozen")


def _too_soon(room: Chartroom) -> bool:
    """Tell whether something has set in that what is kept of the receiver's way does not show yet.

    What was made of what stood before stands till then.
    """
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
    newest = verdict.newest_sight(room, weighing.entries)
    if before and newest is not None:
        weighing.settled = verdict.settled_by(newest, before, weighed.causes)
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
