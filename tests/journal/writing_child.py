"""A process that writes a journal until it is killed; it says each commit in a line of its own."""

import sys
from pathlib import Path

from middlewatch.journal import Event, Journal, Kept, Snapshot, TrackRow

LONGEST_TEXT = 6000


def rows_of(seq: int) -> list[TrackRow]:
    """Return the rows that go with an entry: from none to a few pages of them."""
    count = seq * 37 % 150
    return [
        (seq * 1000 + place, 1.5, 2.5, 1, seq + place / 3, 5.0, None, None, None, None, 1, 2)
        for place in range(count)
    ]


def entry_of(seq: int) -> Kept:
    """Return the entry of a number."""
    return Kept(seq, seq * 1000, 1, "sighting", f"{seq} " * (seq * 53 % (LONGEST_TEXT // 5)))


def event_of(seq: int) -> Event:
    """Return the event that goes with an entry."""
    return Event(seq, seq * 1000, "answer", 1, f"answer to {seq}")


def snapshot_of(seq: int) -> Snapshot:
    """Return the snapshot that goes with an entry."""
    return Snapshot(seq * 1000, "boot", seq, 1, f"after {seq}")


def commit(journal: Journal, seq: int) -> None:
    """Commit everything that goes with one number."""
    journal.commit(
        entries=[entry_of(seq)], events=[event_of(seq)], rows=rows_of(seq), snapshot=snapshot_of(seq)
    )


def main(file: Path) -> None:
    """Go on from where the journal ends, for ever."""
    print("ready", flush=True)  # noqa: T201  # the parent reads it
    with Journal.open(file) as journal:
        entries = journal.load().entries
        seq = entries[-1].seq if entries else 0
        while True:
            seq += 1
            commit(journal, seq)
            print(seq, flush=True)  # noqa: T201  # the parent reads it


if __name__ == "__main__":
    main(Path(sys.argv[1]))
