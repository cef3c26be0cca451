"""The navigator's thread: how it ends."""

from pathlib import Path

from middlewatch.navigator.keeping import Kept
from middlewatch.navigator.navigator import Navigator
from middlewatch.navigator.tuning import Tuning
from middlewatch.quantities.instants import Instant
from middlewatch.runtime.clock import Stamp
from middlewatch.runtime.deck import Deck
from middlewatch.runtime.tape import Disk, End, Tape, TapingKeeper, read_tape
from middlewatch.runtime.watch_thread import TimeIs, WatchThread
from middlewatch.wire import entries

AT_MS = Instant.parse("2026-05-03T01:00:01Z").ms


class FullAtTheEnd:
    """A disk that takes everything but the last."""

    full = False

    def keep(self, _kept: Kept, _at_ms: int, _snapshot: str) -> str | None:
        """Take it, while there is room."""
        return "database or disk is full" if self.full else None


def test_a_disk_that_refuses_the_last_commit_goes_on_the_tape(tmp_path: Path) -> None:
    """The journal's disk is full just as the run ends: the run ends in order, and the tape tells of it."""
    navigator, disk, bugs = Navigator(Tuning(), {}, entries), FullAtTheEnd(), list[BaseException]()
    tape = Tape(tmp_path / "tape.nmea", navigator.utc, bugs.append)
    deck = Deck(navigator, {}, TapingKeeper(disk, tape, 0), lambda _at, _reports: None)
    thread = WatchThread(deck, tape, bugs.append)
    thread.put(TimeIs(Stamp(AT_MS, AT_MS)))
    disk.full = True

    thread.start()
    thread.stop(Stamp(AT_MS + 500, AT_MS + 500))

    assert bugs == []
    ending = [each.reading for each in read_tape(tmp_path / "tape.nmea")]
    assert [type(each) for each in ending[-2:]] == [End, Disk]
