"""The journal's tables, their version, and which files are taken for a journal."""

import sqlite3
from pathlib import Path

from middlewatch.journal.trouble import JournalError

APPLICATION_ID = 0x4D574A31
"""Marks the file as ours in SQLite's header: the letters MWJ1."""

SCHEMA_VERSION = 1
"""Kept in `user_version`; counts up with every change of the tables."""

# ANY keeps a float as it is; REAL would bring -0.0 back as 0.0. Text that UTF-8 cannot hold is kept as bytes.
_TABLES = (
    """CREATE TABLE entry (
        seq INTEGER PRIMARY KEY, heard_ms INTEGER NOT NULL, version INTEGER NOT NULL, channel TEXT NOT NULL,
        text ANY NOT NULL CHECK (typeof(text) IN ('text', 'blob')),
        outcome ANY CHECK (typeof(outcome) IN ('text', 'blob', 'null'))
    ) STRICT""",
    """CREATE TABLE event (
        seq INTEGER PRIMARY KEY, at_ms INTEGER NOT NULL, kind TEXT NOT NULL, version INTEGER NOT NULL,
        body ANY NOT NULL CHECK (typeof(body) IN ('text', 'blob'))
    ) STRICT""",
    """CREATE TABLE track (
        second INTEGER PRIMARY KEY,
        north_m ANY NOT NULL CHECK (typeof(north_m) = 'real'),
        east_m ANY NOT NULL CHECK (typeof(east_m) = 'real'),
        reference INTEGER NOT NULL,
        heading_deg ANY CHECK (typeof(heading_deg) IN ('real', 'null')),
        speed_kn ANY CHECK (typeof(speed_kn) IN ('real', 'null')),
        log_nm ANY CHECK (typeof(log_nm) IN ('real', 'null')),
        variation_deg ANY CHECK (typeof(variation_deg) IN ('real', 'null')),
        wind_angle_deg ANY CHECK (typeof(wind_angle_deg) IN ('real', 'null')),
        wind_kn ANY CHECK (typeof(wind_kn) IN ('real', 'null')),
        heading_state INTEGER NOT NULL, speed_state INTEGER NOT NULL
    ) STRICT""",
    """CREATE TABLE snapshot (
        slot INTEGER PRIMARY KEY, at_ms INTEGER NOT NULL, boot TEXT NOT NULL, monotonic_ms INTEGER NOT NULL,
        version INTEGER NOT NULL, body ANY NOT NULL CHECK (typeof(body) IN ('text', 'blob'))
    ) STRICT""",
)

# Entries and events only ever grow, at the end. The track grows too, and loses whole rows when it is thinned.
_LAWS = (
    """CREATE TRIGGER entry_stays BEFORE DELETE ON entry
        BEGIN SELECT RAISE(ABORT, 'the journal is append-only: an entry stays'); END""",
    """CREATE TRIGGER entry_is_never_altered BEFORE UPDATE ON entry
        BEGIN SELECT RAISE(ABORT, 'the journal is append-only: an entry is never altered'); END""",
    """CREATE TRIGGER entry_goes_to_the_end BEFORE INSERT ON entry
        WHEN NEW.seq <= (SELECT max(seq) FROM entry)
        BEGIN SELECT RAISE(ABORT, 'the journal is append-only: an entry goes to the end'); END""",
    """CREATE TRIGGER event_stays BEFORE DELETE ON event
        BEGIN SELECT RAISE(ABORT, 'the journal is append-only: an event stays'); END""",
    """CREATE TRIGGER event_is_never_altered BEFORE UPDATE ON event
        BEGIN SELECT RAISE(ABORT, 'the journal is append-only: an event is never altered'); END""",
    """CREATE TRIGGER event_goes_to_the_end BEFORE INSERT ON event
        WHEN NEW.seq <= (SELECT max(seq) FROM event)
        BEGIN SELECT RAISE(ABORT, 'the journal is append-only: an event goes to the end'); END""",
    """CREATE TRIGGER row_is_never_altered BEFORE UPDATE ON track
        BEGIN SELECT RAISE(ABORT, 'the journal is append-only: a row of the track is never altered'); END""",
    """CREATE TRIGGER row_is_never_replaced BEFORE INSERT ON track
        WHEN EXISTS (SELECT 1 FROM track WHERE second = NEW.second)
        BEGIN SELECT RAISE(ABORT, 'the journal is append-only: a row of the track is never replaced'); END""",
)


def check_or_create(db: sqlite3.Connection, file: Path) -> None:
    """Refuse a file that is damaged, newer than we are, or no journal; make the tables in an empty one.

    Sets write-ahead logging and full synchronisation, which the file does not remember, on this connection.
    A refused file is left as it is.
    """
    fresh = _is_fresh(db, file)
    mode = db.execute("PRAGMA journal_mode = WAL").fetchone()[0]
    if mode != "wal":
        raise JournalError(file, f"write-ahead logging is not possible here (journal mode {mode})")
    db.execute("PRAGMA synchronous = FULL")
    if fresh:
        _create(db)


def _is_fresh(db: sqlite3.Connection, file: Path) -> bool:
    application, version, things = (
        db.execute(question).fetchone()[0]
        for question in ("PRAGMA application_id", "PRAGMA user_version", "SELECT count(*) FROM sqlite_schema")
    )
    if (application, version, things) == (0, 0, 0):
        return True
    if application != APPLICATION_ID:
        raise JournalError(file, "a database, but not a journal of Middlewatch")
    if version > SCHEMA_VERSION:
        raise JournalError(
            file, f"written by a newer Middlewatch (schema {version}; this one knows up to {SCHEMA_VERSION})"
        )
    verdict = db.execute("PRAGMA quick_check(1)").fetchone()[0]
    if verdict != "ok":
        raise JournalError(file, f"damaged: {' '.join(verdict.split())}")
    return False


def _create(db: sqlite3.Connection) -> None:
    db.execute("BEGIN IMMEDIATE")
    for statement in (*_TABLES, *_LAWS):
        db.execute(statement)
    db.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    db.execute(f"PRAGMA user_version = {SCHEMA_VERSION}")
    db.execute("COMMIT")
