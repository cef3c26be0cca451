"""What a journal keeps when its writer is killed, and when the power goes in the middle of a write."""

import shutil
import subprocess
import sys
from pathlib import Path
from random import Random

from journal.writing_child import commit, entry_of, event_of, rows_of, snapshot_of
from middlewatch.journal import Journal

CHILD = Path(__file__).with_name("writing_child.py")
KILLS = 20


def whole_commits(file: Path) -> int:
    """Check that a journal holds the first so many commits and no part of another; return how many."""
    with Journal.open(file) as journal:
        loaded = journal.load()
    count = len(loaded.entries)
    numbers = range(1, count + 1)
    assert loaded.entries == tuple(map(entry_of, numbers))
    assert loaded.events == tuple(map(event_of, numbers))
    assert loaded.rows == tuple(row for seq in numbers for row in rows_of(seq))
    assert loaded.snapshot == (snapshot_of(count) if count else None)
    assert loaded.former == (snapshot_of(count - 1) if count > 1 else None)
    return count


def killed_after(file: Path, lines: int) -> int:
    """Let a child write until it has said so many lines, kill it; return the last commit that it reported."""
    reported = 0
    with subprocess.Popen(
        [sys.executable, str(CHILD), str(file)], stdout=subprocess.PIPE, text=True
    ) as child:
        assert child.stdout is not None
        assert child.stdout.readline() == "ready\n"
        for _ in range(lines):
            reported = int(child.stdout.readline())
        child.kill()
        # What it said between our last look and its death counts as reported too; half a line does not.
        said = child.stdout.read()
    finished = said[: said.rfind("\n") + 1].split()
    return int(finished[-1]) if finished else reported


def test_a_killed_writer_loses_nothing_it_reported(tmp_path: Path) -> None:
    """Killed 20 times at random moments, first while it makes the file, a journal holds all it reported.

    Commits that were not reported are there whole or not at all.
    """
    file = tmp_path / "middlewatch.db"
    chance = Random(20260503)  # noqa: S311  # moments of death, not secrets
    kept = 0
    for kill in range(KILLS):
        reported = killed_after(file, lines=0 if kill == 0 else chance.randrange(30))
        before, kept = kept, whole_commits(file)
        assert kept >= max(before, reported)
        assert kept <= max(before, reported) + 1
    assert kept > KILLS


def test_a_power_cut_leaves_whole_commits_only(tmp_path: Path) -> None:
    """However much of the write-ahead log reached the disk, it holds a number of whole commits.

    The cut is made by copying the files of an open journal and breaking off the log; with all of it, all
    commits are there.
    """
    file = tmp_path / "middlewatch.db"
    commits = 12
    with Journal.open(file) as journal:
        for seq in range(1, commits + 1):
            commit(journal, seq)
        log = Path(f"{file}-wal").read_bytes()
        held = []
        for place, cut in enumerate(range(len(log), 0, -len(log) // 40)):
            copy = tmp_path / f"copy{place}.db"
            shutil.copy(file, copy)
            Path(f"{copy}-wal").write_bytes(log[:cut])
            held.append(whole_commits(copy))

    assert held[0] == commits
    assert held == sorted(held, reverse=True)
    assert len(set(held)) > commits // 2


def test_a_log_torn_in_the_middle_is_read_up_to_the_tear(tmp_path: Path) -> None:
    """A sector that never reached the disk ends what is believed of the log, and is not believed itself."""
    file = tmp_path / "middlewatch.db"
    with Journal.open(file) as journal:
        for seq in range(1, 13):
            commit(journal, seq)
        log = bytearray(Path(f"{file}-wal").read_bytes())
        middle = len(log) // 2
        log[middle : middle + 512] = bytes(512)
        copy = tmp_path / "copy.db"
        shutil.copy(file, copy)
        Path(f"{copy}-wal").write_bytes(log)

    assert 0 < whole_commits(copy) < 12
