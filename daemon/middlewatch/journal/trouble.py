"""What can go wrong with the journal, in one kind of error."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


class JournalError(OSError):
    """The journal cannot be opened, read or written; its text is the file and what is the matter."""

    def __init__(self, file: Path, matter: str) -> None:
        super().__init__(f"{file}: {matter}")
        self.file = file
        self.matter = matter


@contextmanager
def told_as_journal_error(file: Path) -> Iterator[None]:
    """Hand SQLite's and the system's errors on as JournalError, in their own words."""
    try:
        yield
    except JournalError:
        raise
    except sqlite3.Error as fault:
        raise JournalError(file, str(fault)) from fault
    except OSError as fault:
        raise JournalError(file, fault.strerror or str(fault)) from fault
