"""The keeper: what is committed stays committed, whatever else the disk refuses."""

from pathlib import Path

import pytest

from middlewatch.journal import Journal, JournalError
from middlewatch.navigator.keeping import Kept, KeptEntry
from middlewatch.quantities.instants import Instant
from middlewatch.runtime.keeper import NO_BOARD, JournalKeeper

AT_MS = Instant.parse("2026-05-03T01:00:00Z").ms


def remark(seq: int) -> Kept:
    """Return an entry to be kept."""
    text = f'{{"id": "r{seq}", "kind": "remark", "text": "all well"}}'
    return Kept([KeptEntry(seq, AT_MS, "order", text, f"r{seq}", AT_MS, text)])


def test_a_track_that_cannot_be_thinned_holds_no_entry_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A disk that takes an entry and refuses to thin the old track has taken it, and takes the next."""

    def refused(journal: Journal, *_seconds: int) -> int:
        raise JournalError(journal.file, "database or disk is full")

    monkeypatch.setattr(Journal, "thin", refused)
    with Journal.open(tmp_path / "journal.db") as journal:
        keeper = JournalKeeper(journal, NO_BOARD, 0)

        assert keeper.keep(remark(1), AT_MS, "{}") is None
        assert keeper.keep(remark(2), AT_MS + 1000, "{}") is None
        assert [each.seq for each in journal.load().entries] == [1, 2]
