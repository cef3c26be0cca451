"""The journal on disk: one writer, whole transactions, flushed to the disk before `commit` returns."""

import os
import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import closing, contextmanager
from math import isnan
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from middlewatch.journal.kept import Event, Kept, Loaded, Snapshot, TrackRow
from middlewatch.journal.lock import hold
from middlewatch.journal.schema import check_or_create
from middlewatch.journal.trouble import JournalError, told_as_journal_error

# How long to wait for someone who looks into the file from outside; and once that was in vain, each time
# until he is gone: what waits for the journal must not fall behind.
_PATIENCE_S, _SHORT_S = 2.0, 0.1


class Journal:
    """An open journal; used by one thread at a time, closed by `close` or at the end of a `with`."""

    def __init__(self, file: Path, db: sqlite3.Connection, lock: int) -> None:
        self.file = file
        self._db = db
        self._lock: int | None = lock
        self._patient = True

    @classmethod
    def open(cls, file: Path) -> Self:
        """Open a journal, or make one where the file is missing or empty.

        JournalError where another process has it open; where it is damaged, newer than we are, or no journal;
        and where the disk will not have it.
        """
        with told_as_journal_error(file):
            place = file.resolve()
            lock = hold(place)
            try:
                return cls(file, _connect(place), lock)
            except BaseException:
                os.close(lock)
                raise

    def commit(
        self,
        *,
        entries: Iterable[Kept] = (),
        events: Iterable[Event] = (),
        rows: Iterable[TrackRow] = (),
        snapshot: Snapshot | None = None,
    ) -> None:
        """Keep all of these, on the disk before returning; or none of them, and raise JournalError.

        ValueError where a row holds a float that is no number: SQLite would make nothing of it.
        """
        with self._transaction() as db:
            db.executemany("INSERT INTO entry VALUES (?, ?, ?, ?, ?, ?)", map(_entry_columns, entries))
            db.executemany("INSERT INTO event VALUES (?, ?, ?, ?, ?)", map(_event_columns, events))
            db.executemany(
                "INSERT INTO track VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)", map(_track_columns, rows)
            )
            if snapshot is not None:
                db.execute("INSERT INTO snapshot VALUES (NULL, ?, ?, ?, ?, ?)", _snapshot_columns(snapshot))
                db.execute("DELETE FROM snapshot WHERE slot <= (SELECT max(slot) FROM snapshot) - 2")

    def load(self, since_second: int | None = None) -> Loaded:
        """Return everything kept; of the track, where `since_second` is given, only from that second on."""
        with told_as_journal_error(self.file):
            newest = [_snapshot(columns) for columns in self._db.execute(_SNAPSHOTS)]
            since = _FIRST_SECOND if since_second is None else since_second
            return Loaded(
                entries=tuple(map(_kept, self._db.execute("SELECT * FROM entry ORDER BY seq"))),
                events=tuple(map(_event, self._db.execute("SELECT * FROM event ORDER BY seq"))),
                rows=tuple(self._db.execute(_ROWS, (since,))),
                snapshot=newest[0] if newest else None,
                former=newest[1] if len(newest) > 1 else None,
            )

    def newest_ms(self) -> int | None:
        """Return the newest time of anything kept, None in an empty journal."""
        with told_as_journal_error(self.file):
            newest: int | None = self._db.execute(_NEWEST).fetchone()[0]
            return newest

    def thin(self, before_second: int, keep_every_s: int = 10) -> int:
        """Delete the track's rows before a second, but for one in `keep_every_s`; return how many went."""
        with self._transaction() as db:
            return db.execute(
                "DELETE FROM track WHERE second < ? AND second % ? != 0", (before_second, keep_every_s)
            ).rowcount

    def copy_to(self, file: Path) -> None:
        """Copy the journal as it is now to a new file; an existing one is left alone (JournalError)."""
        if file.exists():
            raise JournalError(file, "exists already and is not written over")
        unfinished = file.with_name(f"{file.name}.part")
        with told_as_journal_error(file):
            unfinished.unlink(missing_ok=True)
            with closing(sqlite3.connect(unfinished)) as copy:
                self._db.backup(copy)
            unfinished.rename(file)

    def close(self) -> None:
        """Close the file and let go of the lock; a second time does nothing."""
        if self._lock is None:
            return
        try:
            with told_as_journal_error(self.file):
                self._db.close()
        finally:
            os.close(self._lock)
            self._lock = None

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    @contextmanager
    def _transaction(self) -> Iterator[sqlite3.Connection]:
        with told_as_journal_error(self.file):
            self._begin()
            try:
                yield self._db
                self._db.execute("COMMIT")
            except BaseException:
                # A full disk or an I/O error may have rolled back already.
                if self._db.in_transaction:
                    self._db.execute("ROLLBACK")
                raise

    def _begin(self) -> None:
        """Begin a transaction, as patiently as the last one found it worth."""
        try:
            self._db.execute("BEGIN IMMEDIATE")
        except sqlite3.Error:
            self._wait_for(_SHORT_S, patient=False)
            raise
        self._wait_for(_PATIENCE_S, patient=True)

    def _wait_for(self, seconds: float, *, patient: bool) -> None:
        if patient != self._patient:
            self._patient = patient
            self._db.execute(f"PRAGMA busy_timeout = {seconds * 1000:.0f}")


_FIRST_SECOND = -(2**63)
_ROWS = "SELECT * FROM track WHERE second >= ? ORDER BY second"
_SNAPSHOTS = "SELECT at_ms, boot, monotonic_ms, version, body FROM snapshot ORDER BY slot DESC"
_NEWEST = """
    SELECT max(ms) FROM (
        SELECT max(heard_ms) AS ms FROM entry UNION ALL SELECT max(at_ms) FROM event
        UNION ALL SELECT max(second) * 1000 FROM track UNION ALL SELECT max(at_ms) FROM snapshot
    )"""


def _connect(place: Path) -> sqlite3.Connection:
    # isolation_level None: we say ourselves where a transaction begins. The thread that writes the journal
    # need not be the one that opened it.
    db = sqlite3.connect(place, timeout=_PATIENCE_S, isolation_level=None, check_same_thread=False)
    try:
        check_or_create(db, place)
    except BaseException:
        db.close()
        raise
    return db


def _entry_columns(entry: Kept) -> tuple[Any, ...]:
    outcome = None if entry.outcome is None else _storable(entry.outcome)
    return entry.seq, entry.heard_ms, entry.version, entry.channel, _storable(entry.text), outcome


def _kept(columns: tuple[Any, ...]) -> Kept:
    seq, heard_ms, version, channel, text, outcome = columns
    return Kept(seq, heard_ms, version, channel, _text(text), None if outcome is None else _text(outcome))


def _event_columns(event: Event) -> tuple[Any, ...]:
    return event.seq, event.at_ms, event.kind, event.version, _storable(event.body)


def _event(columns: tuple[Any, ...]) -> Event:
    seq, at_ms, kind, version, body = columns
    return Event(seq, at_ms, kind, version, _text(body))


def _snapshot_columns(snapshot: Snapshot) -> tuple[Any, ...]:
    body = _storable(snapshot.body)
    return snapshot.at_ms, snapshot.boot, snapshot.monotonic_ms, snapshot.version, body


def _snapshot(columns: tuple[Any, ...]) -> Snapshot:
    at_ms, boot, monotonic_ms, version, body = columns
    return Snapshot(at_ms, boot, monotonic_ms, version, _text(body))


def _track_columns(row: TrackRow) -> tuple[Any, ...]:
    second, north_m, east_m, reference, *heard, heading_state, speed_state = row
    run = _real(north_m), _real(east_m)
    return second, *run, reference, *map(_real, heard), heading_state, speed_state


def _real(value: float | None) -> float | None:
    if value is None:
        return None
    if isnan(value):
        raise ValueError("a row of the track holds a float that is no number")
    return float(value)


def _storable(text: str) -> str | bytes:
    """Return a text as it can be stored: as bytes where rubbish has left half a character in it."""
    try:
        text.encode()
    except UnicodeEncodeError:
        return text.encode("utf-8", "surrogatepass")
    return text


def _text(stored: str | bytes) -> str:
    return stored if isinstance(stored, str) else stored.decode("utf-8", "surrogatepass")
