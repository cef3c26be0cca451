"""The keeper: what the navigator sets aside goes to the journal, and comes back at a start."""

import json
from dataclasses import dataclass

from middlewatch.journal import Event, Journal, JournalError, Snapshot
from middlewatch.journal import Kept as JournalEntry
from middlewatch.navigator.keeping import VERSION, Kept, KeptEntry, KeptEvent
from middlewatch.navigator.navigator import Navigator
from middlewatch.navigator.track import Row


@dataclass(frozen=True, slots=True)
class Behind:
    """What the journal says of the run before.

    `tick_ms` is the last second worked; at `at_ms` of the scale the monotonic clock of that boot stood at
    `monotonic_ms`.
    """

    tick_ms: int
    at_ms: int
    boot: str
    monotonic_ms: int


class JournalKeeper:
    """Commits to a journal; the snapshot says on which boot, and where the monotonic clock stood.

    `scale_offset_ms` is what the boat's scale stands ahead of the monotonic clock, the whole run long.
    """

    def __init__(self, journal: Journal, boot: str, scale_offset_ms: int) -> None:
        self._journal = journal
        self._boot = boot
        self._scale_offset_ms = scale_offset_ms
        self._events = len(journal.load().events)

    def keep(self, kept: Kept, at_ms: int, snapshot: str) -> str | None:
        """Commit everything in one transaction; return why it could not be, None where it was."""
        entries = [
            JournalEntry(e.seq, e.heard_ms, VERSION, e.channel, e.text, _outcome(e)) for e in kept.entries
        ]
        events = [
            Event(self._events + place, e.at_ms, e.kind, VERSION, e.body) for place, e in enumerate(kept.events, 1)
        ]
        state = Snapshot(at_ms, self._boot, at_ms - self._scale_offset_ms, VERSION, snapshot)
        try:
            self._journal.commit(entries=entries, events=events, rows=kept.rows, snapshot=state)
        except JournalError as trouble:
            return str(trouble)
        self._events += len(events)
        return None


def take_up(journal: Journal, navigator: Navigator) -> Behind | None:
    """Let a new navigator take up what a journal holds; None where it is empty."""
    loaded = journal.load()
    if loaded.snapshot is None:
        return None
    entries = [_entry(e.seq, e.heard_ms, e.channel, e.text, e.outcome or "{}") for e in loaded.entries]
    events = [KeptEvent(e.at_ms, e.kind, e.body) for e in loaded.events]
    navigator.thaw(loaded.snapshot.body, Kept(entries, events, [Row(*row) for row in loaded.rows]))
    return Behind(navigator.now_ms, loaded.snapshot.at_ms, loaded.snapshot.boot, loaded.snapshot.monotonic_ms)


def _outcome(entry: KeptEntry) -> str:
    return json.dumps({"id": entry.id, "at_ms": entry.at_ms, "body": entry.first_body})


def _entry(seq: int, heard_ms: int, channel: str, text: str, outcome: str) -> KeptEntry:
    place = json.loads(outcome)
    return KeptEntry(
        seq, heard_ms, "sighting" if channel == "sighting" else "order", text, place["id"], place["at_ms"], place["body"]
    )
