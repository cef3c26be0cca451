"""Keeping: what the journal is given of the navigator's state, and how a new navigator takes it up again.

Entries, and how each stands, are kept for ever; the reckoning, the lines and the cloud are worked again from
the water track, so they come out to the same digit.
"""

from dataclasses import dataclass, field

from middlewatch.navigator.advice.advised import Advised
from middlewatch.navigator.area.stations import Start
from middlewatch.navigator.chartroom import Chartroom, Ordered
from middlewatch.navigator.deck_log.ledger import Logged
from middlewatch.navigator.deck_log.ordering import LaidOrder, relay
from middlewatch.navigator.freezing import frozen, thawed
from middlewatch.navigator.overboard.search import Search
from middlewatch.navigator.position.lines import PositionLine
from middlewatch.navigator.position.plot import Choice, Published
from middlewatch.navigator.position.sights import seen_marks
from middlewatch.navigator.reckoning.calibration import Calibration
from middlewatch.navigator.reckoning.course import Course
from middlewatch.navigator.reckoning.gaps import Gap
from middlewatch.navigator.reckoning.instruments import Instruments
from middlewatch.navigator.reckoning.orders import Laid, SeeMark
from middlewatch.navigator.reckoning.origin import Origin
from middlewatch.navigator.reckoning.track import Row
from middlewatch.navigator.timescale import Timescale
from middlewatch.navigator.watch.alerts import Alerts
from middlewatch.navigator.watch.satellites import Check
from middlewatch.navigator.watch.watchkeeping import Watch
from middlewatch.readings.entries import Channel, FixOrder, Said, Unread
from middlewatch.reports.answer import Answer

VERSION = 1
"""The version of the bodies below."""


@dataclass(frozen=True, slots=True)
class KeptEntry:
    """An entry as it came: its place, when it was heard, on which channel, its text, its id, its own time."""

    seq: int
    heard_ms: int
    channel: Channel
    text: str
    id: str
    at_ms: int
    first_body: str


@dataclass(frozen=True, slots=True)
class KeptEvent:
    """Something that happened: when (scale), of what kind (`standing`, `fix`, `alert`), its body as text."""

    at_ms: int
    kind: str
    body: str


@dataclass(slots=True)
class Kept:
    """What the journal is given, or gives back: entries, events and rows, each in order."""

    entries: list[KeptEntry] = field(default_factory=list)
    events: list[KeptEvent] = field(default_factory=list)
    rows: list[Row] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Standing:
    """How an entry stands: what it says now, when, and what it came to."""

    id: str
    body: str
    at_ms: int
    open: bool
    withdrawn: bool
    gave_place: bool
    origin: Origin | None
    answer: Answer | None
    line: PositionLine | None
    calibration: Calibration | None = None


@dataclass(slots=True)
class Snapshot:
    """The small state: everything that is neither track nor ledger nor worked from them.

    `base` is the course from which the track is worked again, `forgotten` where the area's cloud begins anew
    then; None: from the first row, and at a departure.
    """

    base: Course | None
    forgotten: Start | None
    now_ms: int
    scale: Timescale
    instruments: Instruments
    check: Check
    alerts: Alerts
    ordered: Ordered
    advised: Advised
    gap: Gap | None
    crossed: tuple[Laid, ...]
    watch: Watch
    search: Search = field(default_factory=Search)


def kept_entry(logged: Logged) -> KeptEntry:
    """Return an entry as the journal keeps it."""
    return KeptEntry(
        logged.seq, logged.heard_ms, logged.channel, logged.text, logged.id, logged.at_ms, logged.first_body
    )


def kept_standing(now_ms: int, logged: Logged, line: PositionLine | None) -> KeptEvent:
    """Return how an entry stands now, with its line on the plot, as the journal keeps it."""
    standing = Standing(
        logged.id, logged.said.body, logged.at_ms, logged.open, logged.withdrawn, logged.gave_place,
        logged.origin, logged.answer, line, logged.calibration,
    )  # fmt: skip
    return KeptEvent(now_ms, "standing", frozen(standing))


def kept_fix(now_ms: int, published: Published) -> KeptEvent:
    """Return a fix as the journal keeps it."""
    return KeptEvent(now_ms, "fix", frozen(published))


def kept_report(now_ms: int, kind: str, report: object) -> KeptEvent:
    """Return any other report as the journal keeps it."""
    return KeptEvent(now_ms, kind, frozen(report))


# --- taking up again ----------------------------------------------------------------------------------------


def restore(room: Chartroom, snapshot: Snapshot, kept: Kept) -> Watch:
    """Fill an empty chart room from what was kept; return the watch."""
    room.now_ms = snapshot.now_ms
    room.scale.corrections, room.scale.doubtful = snapshot.scale.corrections, snapshot.scale.doubtful
    room.instruments, room.check, room.alerts = snapshot.instruments, snapshot.check, snapshot.alerts
    room.ordered, room.gap, room.crossed = snapshot.ordered, snapshot.gap, list(snapshot.crossed)
    room.advised, room.search = snapshot.advised, snapshot.search
    since = -1 if snapshot.base is None else snapshot.base.second
    for row in kept.rows:
        if row.second >= since:
            room.track.append(row)
    if snapshot.base is not None:
        room.reckoning.begin_from(snapshot.base)
    _restore_ledger(room, kept)
    for event in kept.events:
        if event.kind == "fix":
            room.plot.remember(thawed(Published, event.body))
    _restore_reckoning(room)
    room.area.forgotten = snapshot.forgotten
    room.area.take_up(room.plot.lines.values(), room.ledger.open_ids())
    return snapshot.watch


def _restore_ledger(room: Chartroom, kept: Kept) -> None:
    standings = {
        standing.id: standing
        for event in kept.events
        if event.kind == "standing"
        for standing in (thawed(Standing, event.body),)
    }
    for entry in kept.entries:
        standing = standings.get(entry.id)
        said = _said(room, entry.channel, entry.text if standing is None else standing.body)
        logged = Logged(
            entry.seq,
            entry.id,
            entry.channel,
            entry.heard_ms,
            entry.at_ms,
            entry.text,
            said,
            entry.first_body,
        )
        room.ledger.add(logged)
        if standing is None:
            room.ledger.waiting.append(logged)
            continue
        logged.at_ms, logged.open, logged.withdrawn = standing.at_ms, standing.open, standing.withdrawn
        logged.gave_place, logged.origin, logged.answer = (
            standing.gave_place,
            standing.origin,
            standing.answer,
        )
        logged.calibration = standing.calibration
        if standing.line is not None and not standing.withdrawn:
            room.plot.lines[logged.id] = standing.line
        if isinstance(said.request, FixOrder) and not standing.withdrawn:
            room.plot.choices[logged.id] = Choice(logged.order, said.request.using)


def _said(room: Chartroom, channel: Channel, text: str) -> Said:
    said = room.reader.decode(channel, text)
    if isinstance(said, Unread):
        reason = f"the journal holds an entry that is not understood any more: {said.field}, {said.reason}"
        raise ValueError(reason)  # noqa: TRY004 -- the type is right, what the journal holds is not
    return said


def _restore_reckoning(room: Chartroom) -> None:
    laid = list(room.crossed)
    if room.gap is not None:
        laid.append(room.gap.crossed())
    for logged in room.ledger.entries.values():
        request = logged.said.request
        if logged.answer is None or logged.withdrawn:
            continue
        if isinstance(request, LaidOrder):
            laid.append(relay(room, logged, request))
        elif logged.gave_place:
            mark = seen_marks(request)[0]  # type: ignore[arg-type]  # only a sighting gives a place
            laid.append(Laid(logged.at_ms, logged.id, SeeMark(room.place_of(mark))))
    room.reckoning.lay(*laid)
    room.reckoning.run_on()
