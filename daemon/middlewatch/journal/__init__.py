"""The journal: SQLite lives here and nowhere else; it keeps what it is given, knowing no navigation."""

from middlewatch.journal.journal import Journal
from middlewatch.journal.kept import Event, Kept, Loaded, Snapshot, TrackRow
from middlewatch.journal.trouble import JournalError

__all__ = ["Event", "Journal", "JournalError", "Kept", "Loaded", "Snapshot", "TrackRow"]
