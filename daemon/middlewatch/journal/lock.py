"""One writer to a journal: a lock held beside the file for as long as the journal is open."""

import fcntl
import os
from pathlib import Path

from middlewatch.journal.trouble import JournalError


def hold(file: Path) -> int:
    """Lock `<file>-lock` and return its descriptor; closing that, or dying, lets go.

    A file of its own, for SQLite loses its locks when anyone in the process closes the database's file. The
    lock file stays behind: deleting it would let two writers hold two files of one name.
    """
    descriptor = os.open(f"{file}-lock", os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o644)
    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
        os.ftruncate(descriptor, 0)
        os.write(descriptor, f"{os.getpid()}\n".encode())
    except BlockingIOError as held:
        holder = os.pread(descriptor, 20, 0).decode("ascii", "replace").strip() or "unknown"
        os.close(descriptor)
        raise JournalError(file, f"another Middlewatch (process {holder}) has this journal open") from held
    except BaseException:
        os.close(descriptor)
        raise
    return descriptor
