"""The keeper: what the navigator sets aside goes to the journal, and comes back at a start."""

import json
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass

from middlewatch.journal import Event, Journal, JournalError, Snapshot
from middlewatch.journal import Kept as JournalEntry
from middlewatch.navigator.keeping import VERSION, Kept, KeptEntry, KeptEvent
from middlewatch.navigator.navigator import FORGET_EVERY_S, WORKED_AGAIN_S, Navigator
from middlewatch.navigator.reckoning.track import Row
from middlewatch.quantities.instants import MS_PER_HOUR, MS_PER_SECOND

WHOLE_TRACK_S = WORKED_AGAIN_S + FORGET_EVERY_S + 3600
"""Older rows are thinned to ten seconds: an hour later than the navigator can work them again."""

THIN_EVERY_MS = MS_PER_HOUR


@dataclass(frozen=True, slots=True)
class Board:
    """The clocks of the board a run is on.

    `boot` tells this boot from every other; the boat's scale stands `scale_offset_ms` ahead of the monotonic
    clock, the whole run long; UTC stands `utc_offset_ms()` ahead of it, which changes when the clock is set.
    """

    boot: str
    scale_offset_ms: int
    utc_offset_ms: Callable[[], int]


NO_BOARD = Board("", 0, lambda: 0)
"""Where only the stamps of lines tell the time: no board's clock will ever go on from there."""


@dataclass(frozen=True, slots=True)
class Behind:
    """What the journal says of the run before.

    `tick_ms` is the last second worked; at `at_ms` of the scale the monotonic clock of that boot stood at
    `monotonic_ms`, and UTC `utc_offset_ms` ahead of it. `events` is how many events there are.
    """

    tick_ms: int
    at_ms: int
    boot: str
    monotonic_ms: int
    utc_offset_ms: int
    events: int


class JournalKeeper:
    """Commits to a journal that holds so many events; the snapshot says how the board's clocks stood."""

    def __init__(self, journal: Journal, board: Board, events: int) -> None:
        self._journal = journal
        self._board = board
        self._events = events
        self._thinned_ms = 0

    def keep(self, kept: Kept, at_ms: int, snapshot: str) -> str | None:
        """Commit everything in one transaction; return why it could not be, None where it was."""
        entries = [
            JournalEntry(e.seq, e.heard_ms, VERSION, e.channel, e.text, _outcome(e)) for e in kept.entries
        ]
        events = [
            Event(self._events + place, e.at_ms, e.kind, VERSION, e.body)
            for place, e in enumerate(kept.events, 1)
        ]
        board = self._board
        boot = f"{board.boot} {board.utc_offset_ms()}"
        state = Snapshot(at_ms, boot, at_ms - board.scale_offset_ms, VERSION, snapshot)
        try:
            self._journal.commit(entries=entries, events=events, rows=kept.rows, snapshot=state)
        except JournalError as trouble:
            return str(trouble)
        self._events += len(events)
        self._thin(at_ms)
        return None

    def _thin(self, at_ms: int) -> None:
        """Thin the old track where it is time.

        A disk that refuses that has taken what was to be kept all the same: kept a second time it would be
        refused for ever. The rows are thinned an hour later.
        """
        if at_ms - self._thinned_ms < THIN_EVERY_MS:
            return
        self._thinned_ms = at_ms
        with suppress(JournalError):
            self._journal.thin(at_ms // MS_PER_SECOND - WHOLE_TRACK_S)


def take_up(journal: Journal, navigator: Navigator) -> Behind | None:
    """Let a new navigator take up what a journal holds; None where it is empty."""
    newest_ms = journal.newest_ms()
    if newest_ms is None:
        return None
    loaded = journal.load(since_second=newest_ms // MS_PER_SECOND - WHOLE_TRACK_S)
    if loaded.snapshot is None:
        return None
    entries = [_entry(e.seq, e.heard_ms, e.channel, e.text, e.outcome or "{}") for e in loaded.entries]
    events = [KeptEvent(e.at_ms, e.kind, e.body) for e in loaded.events]
    navigator.thaw(loaded.snapshot.body, Kept(entries, events, [Row(*row) for row in loaded.rows]))
    boot, _, utc_offset = loaded.snapshot.boot.partition(" ")
    return Behind(
        tick_ms=navigator.now_ms,
        at_ms=loaded.snapshot.at_ms,
        boot=boot,
        monotonic_ms=loaded.snapshot.monotonic_ms,
        utc_offset_ms=int(utc_offset),
        events=len(events),
    )


def _outcome(entry: KeptEntry) -> str:
    return json.dumps({"id": entry.id, "at_ms": entry.at_ms, "body": entry.first_body})


def _entry(seq: int, heard_ms: int, channel: str, text: str, outcome: str) -> KeptEntry:
    place = json.loads(outcome)
    return KeptEntry(
        seq,
        heard_ms,
        "sighting" if channel == "sighting" else "order",
        text,
        place["id"],
        place["at_ms"],
        place["body"],
    )
