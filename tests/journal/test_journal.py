"""The journal: what goes in comes out, in whole transactions, for ever, and by one writer."""

import resource
import sqlite3
import struct
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from threading import Thread

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from middlewatch.journal import Event, Journal, JournalError, Kept, Snapshot, TrackRow
from middlewatch.journal.schema import SCHEMA_VERSION


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """Return where a journal is to be."""
    return tmp_path / "middlewatch.db"


@pytest.fixture
def journal(file: Path) -> Iterator[Journal]:
    """Return a new journal, closed afterwards."""
    with Journal.open(file) as opened:
        yield opened


@pytest.fixture(scope="module")
def long_journal(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Journal]:
    """Return a journal that many examples write on in."""
    with Journal.open(tmp_path_factory.mktemp("long") / "middlewatch.db") as opened:
        yield opened


def kept(seq: int, text: str = "{}", outcome: str | None = None) -> Kept:
    """Return an entry."""
    return Kept(seq, 1000 * seq, 1, "sighting", text, outcome)


def row(second: int, heading_deg: float | None = 248.0) -> TrackRow:
    """Return a row of the track."""
    return (second, 3.5, -7.25, 1, heading_deg, 5.2, 1017.25, None, None, None, 1, 0)


def snapshot(at_ms: int) -> Snapshot:
    """Return a snapshot."""
    return Snapshot(at_ms, "b7f0c1d2", at_ms - 500, 3, f'{{"at": {at_ms}}}')


def bits(value: float | None) -> bytes | None:
    """Return the eight bytes of a float."""
    return None if value is None else struct.pack("<d", value)


# --- what goes in comes out ---


def test_a_new_journal_is_empty(journal: Journal) -> None:
    """A journal that was just made holds nothing, and says so."""
    loaded = journal.load()

    assert (loaded.entries, loaded.events, loaded.rows) == ((), (), ())
    assert (loaded.snapshot, loaded.former) == (None, None)
    assert journal.newest_ms() is None


def test_everything_comes_back_after_closing(file: Path) -> None:
    """What was committed is there, in order, when the journal is opened again."""
    entries = (kept(1, '{"kind": "bearing"}'), kept(2, "rubbish \x00 \u00e9", '{"accepted": false}'))
    events = (Event(1, 1500, "fix", 2, "{}"), Event(2, 1700, "alert", 1, '{"a": 1}'))
    rows = (row(10), (11, 0.0, 0.0, 0, None, None, None, None, -30.5, 12.25, 0, 3))
    with Journal.open(file) as journal:
        journal.commit(entries=entries[:1], events=events, rows=rows)
        journal.commit(entries=entries[1:], snapshot=snapshot(7000))

    with Journal.open(file) as journal:
        loaded = journal.load()

    assert (loaded.entries, loaded.events, loaded.rows) == (entries, events, rows)
    assert (loaded.snapshot, loaded.former) == (snapshot(7000), None)


def test_the_two_newest_snapshots_are_kept(journal: Journal) -> None:
    """Older snapshots go; the one before the newest stays, should the newest not be understood."""
    for at_ms in (5000, 10_000, 15_000, 20_000):
        journal.commit(snapshot=snapshot(at_ms))

    loaded = journal.load()

    assert (loaded.snapshot, loaded.former) == (snapshot(20_000), snapshot(15_000))
    assert len(journal._db.execute("SELECT * FROM snapshot").fetchall()) == 2


# No deadline in either: how long a flush takes is the disk's affair.
@settings(deadline=None)
@given(st.lists(st.tuples(*[st.none() | st.floats(allow_nan=False)] * 6), min_size=1, max_size=20))
def test_floats_come_back_bit_for_bit(
    long_journal: Journal, readings: list[tuple[float | None, ...]]
) -> None:
    """Any float, with its sign of zero, its infinities and its last bit, is the same after the disk."""
    start = (long_journal.newest_ms() or 0) // 1000 + 1
    rows = [(second, 1.5, -2.5, 1, *six, 1, 2) for second, six in enumerate(readings, start)]

    long_journal.commit(rows=rows)  # type: ignore[arg-type]  # six floats, which mypy does not count
    loaded = long_journal.load(since_second=start).rows

    assert [[bits(value) for value in back[4:10]] for back in loaded] == [
        [bits(value) for value in six] for six in readings
    ]
    assert all(value is None or type(value) is float for back in loaded for value in back[4:10])


@settings(deadline=None)
@given(st.lists(st.text(st.characters(exclude_categories=[])), min_size=1, max_size=5))
def test_texts_come_back_letter_for_letter(long_journal: Journal, texts: list[str]) -> None:
    """Any text, half characters and NUL included, is the same after the disk: rubbish stays rubbish."""
    entries = long_journal.load().entries
    start = entries[-1].seq + 1 if entries else 1
    heard = tuple(kept(seq, text, outcome=text) for seq, text in enumerate(texts, start))
    said = tuple(Event(seq, 0, "remark", 1, text) for seq, text in enumerate(texts, start))

    long_journal.commit(entries=heard, events=said)

    loaded = long_journal.load()
    assert loaded.entries == entries + heard
    assert loaded.events[-len(said) :] == said


def test_a_float_that_is_no_number_is_refused(journal: Journal) -> None:
    """SQLite would store NaN as nothing heard: such a row is refused, and the commit with it."""
    with pytest.raises(ValueError, match="no number"):
        journal.commit(entries=[kept(1)], rows=[row(1), row(2, float("nan"))])

    assert journal.load().entries == ()


def test_the_newest_time_is_that_of_anything_kept(journal: Journal) -> None:
    """The newest time is that of entry, event, row or snapshot, also where the clock went back between."""
    journal.commit(rows=[row(40)])
    assert journal.newest_ms() == 40_000
    journal.commit(snapshot=snapshot(41_500))
    assert journal.newest_ms() == 41_500
    journal.commit(events=[Event(1, 60_001, "fix", 1, "{}")])
    journal.commit(events=[Event(2, 3, "fix", 1, "{}")], entries=[kept(1)])
    assert journal.newest_ms() == 60_001
    journal.commit(entries=[kept(70)])
    assert journal.newest_ms() == 70_000


def test_the_track_is_loaded_from_a_second_on(journal: Journal) -> None:
    """A long track need not be read whole."""
    journal.commit(rows=[row(second) for second in range(100)])

    assert [back[0] for back in journal.load(since_second=97).rows] == [97, 98, 99]
    assert len(journal.load().rows) == 100


def test_thinning_leaves_every_tenth_second(journal: Journal) -> None:
    """Of the old track the rows at whole tens of seconds stay, of the newer one all."""
    journal.commit(rows=[row(second) for second in range(995, 1035)])

    gone = journal.thin(before_second=1020)

    assert [back[0] for back in journal.load().rows] == [1000, 1010, *range(1020, 1035)]
    assert gone == 23


def test_another_thread_may_write(journal: Journal) -> None:
    """The thread that writes the journal need not be the one that opened it."""
    writer = Thread(target=lambda: journal.commit(entries=[kept(1)]))
    writer.start()
    writer.join()

    assert journal.load().entries == (kept(1),)


# --- whole or not at all ---


def test_a_commit_that_fails_leaves_nothing(journal: Journal) -> None:
    """A row that is there already spoils the whole commit, entry and snapshot too; the next one is well."""
    journal.commit(rows=[row(1)])

    with pytest.raises(JournalError, match="never replaced"):
        journal.commit(entries=[kept(1)], events=[Event(1, 0, "fix", 1, "")], rows=[row(2), row(1)])

    loaded = journal.load()
    assert (loaded.entries, loaded.events, loaded.rows) == ((), (), (row(1),))
    journal.commit(entries=[kept(1)], rows=[row(2)])
    assert len(journal.load().rows) == 2


def test_a_full_disk_is_said_and_leaves_nothing(journal: Journal) -> None:
    """A database that may not grow refuses in SQLite's words; what was there stays; room lets it go on."""
    journal.commit(entries=[kept(1)])
    pages = journal._db.execute("PRAGMA page_count").fetchone()[0]
    journal._db.execute(f"PRAGMA max_page_count = {pages + 1}")

    with pytest.raises(JournalError, match="database or disk is full"):
        journal.commit(entries=[kept(2, "x" * 100_000)], rows=[row(1)])

    assert journal.load().entries == (kept(1),)
    assert journal.load().rows == ()
    journal._db.execute(f"PRAGMA max_page_count = {pages + 1000}")
    journal.commit(entries=[kept(2)])


def test_a_failed_write_is_said_and_leaves_nothing(journal: Journal, file: Path) -> None:
    """Where the system refuses the write (here by a limit on the size of files), nothing is half there."""
    journal.commit(entries=[kept(1)])
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (Path(f"{file}-wal").stat().st_size + 4096, hard))
    try:
        with pytest.raises(JournalError, match=r"disk I/O error|full"):
            journal.commit(entries=[kept(2, "x" * 100_000)], rows=[row(1)])
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))

    assert journal.load().entries == (kept(1),)
    assert journal.load().rows == ()
    journal.commit(entries=[kept(2)])


def test_a_journal_that_may_only_be_read_is_said(journal: Journal) -> None:
    """A write into what is read-only fails in SQLite's words."""
    journal._db.execute("PRAGMA query_only = ON")

    with pytest.raises(JournalError, match="attempt to write a readonly database"):
        journal.commit(entries=[kept(1)])


def test_a_closed_journal_refuses(file: Path) -> None:
    """After closing, nothing is taken and nothing is lost in silence; closing twice does no harm."""
    journal = Journal.open(file)
    journal.close()
    journal.close()

    with pytest.raises(JournalError, match="closed"):
        journal.commit(entries=[kept(1)])


def test_each_commit_is_flushed(journal: Journal) -> None:
    """Write-ahead logging with full synchronisation, on this connection: a commit outlives a power cut."""
    assert journal._db.execute("PRAGMA journal_mode").fetchone()[0] == "wal"
    assert journal._db.execute("PRAGMA synchronous").fetchone()[0] == 2  # FULL


# --- for ever ---


@pytest.mark.parametrize(
    "tampering",
    [
        "UPDATE entry SET text = 'other'",
        "UPDATE event SET body = 'other'",
        "UPDATE track SET heading_deg = 0.0",
        "DELETE FROM entry",
        "DELETE FROM event",
        "INSERT OR REPLACE INTO entry VALUES (2, 0, 1, 'sighting', 'other', NULL)",
        "INSERT OR REPLACE INTO event VALUES (2, 0, 'fix', 1, 'other')",
        "INSERT OR REPLACE INTO track VALUES (2, 0.0, 0.0, 0, NULL, NULL, NULL, NULL, NULL, NULL, 0, 0)",
        "INSERT INTO entry VALUES (1, 0, 1, 'sighting', 'before', NULL)",
        "INSERT INTO event VALUES (1, 0, 'fix', 1, 'before')",
    ],
)
def test_what_is_kept_stays_as_it_is(file: Path, tampering: str) -> None:
    """Nobody alters, deletes, replaces or slips in, not even past us with SQLite's own tool."""
    with Journal.open(file) as journal:
        journal.commit(entries=[kept(2)], events=[Event(2, 0, "fix", 1, "{}")], rows=[row(2)])
        before = journal.load()
    with (
        closing(sqlite3.connect(file)) as outside,
        pytest.raises(sqlite3.IntegrityError, match="append-only"),
    ):
        outside.execute(tampering)

    with Journal.open(file) as journal:
        assert journal.load() == before


# --- by one writer, and only our own files ---


def test_a_second_opener_is_refused(journal: Journal, file: Path, tmp_path: Path) -> None:
    """A second daemon on the same file, by whatever name, is told who holds it; afterwards it may."""
    link = tmp_path / "same.db"
    link.symlink_to(file)
    for name in (file, link):
        with pytest.raises(JournalError, match=r"another Middlewatch \(process \d+\) has this journal open"):
            Journal.open(name)

    journal.close()
    Journal.open(link).close()


def test_anyone_may_look_meanwhile(journal: Journal, file: Path) -> None:
    """The journal can be read from outside while it is written."""
    journal.commit(entries=[kept(1)])

    with closing(sqlite3.connect(file)) as outside:
        assert outside.execute("SELECT count(*) FROM entry").fetchone() == (1,)


def test_an_outsider_who_writes_is_said(journal: Journal, file: Path) -> None:
    """Another tool's open transaction stops us with SQLite's words, not for ever."""
    journal._db.execute("PRAGMA busy_timeout = 10")
    with closing(sqlite3.connect(file, isolation_level=None)) as outside:
        outside.execute("BEGIN IMMEDIATE")
        with pytest.raises(JournalError, match="database is locked"):
            journal.commit(entries=[kept(1)])
        outside.execute("ROLLBACK")

    journal.commit(entries=[kept(1)])


def test_an_outsider_who_stays_is_not_waited_for_each_time(journal: Journal, file: Path) -> None:
    """Two seconds the first time, then a tenth until he is gone: the watch keeps up with its own time."""

    def patience_ms() -> int:
        return int(journal._db.execute("PRAGMA busy_timeout").fetchone()[0])

    with closing(sqlite3.connect(file, isolation_level=None)) as outside:
        outside.execute("BEGIN IMMEDIATE")
        patience = [patience_ms()]
        for _ in range(2):
            with pytest.raises(JournalError, match="database is locked"):
                journal.commit(entries=[kept(1)])
            patience.append(patience_ms())
        outside.execute("ROLLBACK")

    journal.commit(entries=[kept(1)])
    assert (patience, patience_ms()) == ([2000, 100, 100], 2000)


def test_a_newer_journal_is_refused_and_left_alone(file: Path) -> None:
    """A journal of a later schema is not guessed at."""
    Journal.open(file).close()
    with closing(sqlite3.connect(file)) as outside:
        outside.execute(f"PRAGMA user_version = {SCHEMA_VERSION + 1}")
    before = file.read_bytes()

    with pytest.raises(JournalError, match=r"newer Middlewatch \(schema 2; this one knows up to 1\)"):
        Journal.open(file)
    assert file.read_bytes() == before


def test_a_database_of_something_else_is_refused_and_left_alone(file: Path) -> None:
    """The wrong file in the settings is not turned into a journal."""
    with closing(sqlite3.connect(file)) as other:
        other.execute("CREATE TABLE recipe (name TEXT)")
    before = file.read_bytes()

    with pytest.raises(JournalError, match="not a journal of Middlewatch"):
        Journal.open(file)
    assert file.read_bytes() == before


def test_a_file_that_is_no_database_is_refused_and_left_alone(file: Path) -> None:
    """Nor is a text file."""
    file.write_text("$HCHDG,101.1,,,7.1,W*3C\n" * 100, encoding="ascii")
    before = file.read_bytes()

    with pytest.raises(JournalError, match="file is not a database"):
        Journal.open(file)
    assert file.read_bytes() == before


@pytest.mark.parametrize("place", ["start", "middle", "end cut off"])
def test_a_damaged_journal_is_refused(file: Path, place: str) -> None:
    """A journal with a page of rubbish in it, or a part missing, is refused when it is opened."""
    with Journal.open(file) as journal:
        journal.commit(rows=[row(second) for second in range(5000)])
    whole = file.read_bytes()
    pages = len(whole) // 4096
    at = {"start": 1, "middle": pages // 2, "end cut off": pages - 8}[place] * 4096
    file.write_bytes(whole[:at] + (b"" if place == "end cut off" else b"\xa5" * 4096 + whole[at + 4096 :]))

    with pytest.raises(JournalError, match=r"malformed|damaged"):
        Journal.open(file)


def test_a_refused_journal_is_not_held(file: Path) -> None:
    """After a refusal the file is free: mended, it opens."""
    file.write_bytes(b"rubbish" * 1000)
    with pytest.raises(JournalError, match="not a database"):
        Journal.open(file)
    file.unlink()

    Journal.open(file).close()


def test_a_folder_that_is_not_there_is_said(tmp_path: Path) -> None:
    """Where there is no such folder the system's words are handed on."""
    with pytest.raises(JournalError, match="No such file or directory"):
        Journal.open(tmp_path / "none" / "middlewatch.db")


def test_an_empty_file_becomes_a_journal(file: Path) -> None:
    """A writer killed before it wrote anything leaves an empty file, which is as good as none."""
    file.touch()

    with Journal.open(file) as journal:
        journal.commit(entries=[kept(1)])


# --- the copy for a recording ---


def test_a_copy_is_the_journal_as_it_was_then(journal: Journal, tmp_path: Path) -> None:
    """A copy holds everything up to its moment, in one file, and opens as a journal of its own."""
    journal.commit(entries=[kept(1)], rows=[row(1, -0.0)], snapshot=snapshot(5000))
    before = journal.load()
    copy = tmp_path / "copy.db"

    journal.copy_to(copy)
    journal.commit(entries=[kept(2)])

    assert {path.name for path in tmp_path.glob("copy.db*")} == {"copy.db"}
    with Journal.open(copy) as copied:
        assert copied.load() == before
        copied.commit(entries=[kept(2)])


def test_a_copy_never_writes_over_a_file(journal: Journal, tmp_path: Path) -> None:
    """An existing file, perhaps the copy of another run, stays as it is."""
    other = tmp_path / "copy.db"
    other.write_text("mine", encoding="ascii")

    with pytest.raises(JournalError, match="exists already"):
        journal.copy_to(other)
    assert other.read_text(encoding="ascii") == "mine"
