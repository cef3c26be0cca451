"""The tape: what `run --record` writes, so that a replay goes the same way to the last byte.

F takes every line with a TAG block (`s:` input, `c:` UTC ms, `r:` monotonic ms). F.entries.jsonl takes
everything else that came in, each with its place among the lines, and last the moment at which the run ended.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path

from middlewatch.links.reports_file import LineFile
from middlewatch.navigator.freezing import frozen, thawed
from middlewatch.navigator.keeping import Kept
from middlewatch.quantities.instants import Instant
from middlewatch.readings.entries import Entry
from middlewatch.readings.watch import ClockChange, Fault, Started
from middlewatch.runtime.clock import Stamp
from middlewatch.runtime.deck import Keeper, Rare
from middlewatch.wire.recording import record_line


@dataclass(frozen=True, slots=True)
class End:
    """The run ended here."""

    at_ms: int


@dataclass(frozen=True, slots=True)
class Disk:
    """From this commit on, counted from 1, the disk took the journal (None) or refused it, in these words."""

    commit: int
    refuses: str | None


@dataclass(frozen=True, slots=True)
class Taped:
    """Something that came in and is no line: after how many lines, and when (scale and monotonic ms)."""

    after_lines: int
    at_ms: int
    monotonic_ms: int
    reading: Entry | Fault | ClockChange | Started | Disk | End


def beside(recording: Path) -> Path:
    """Return where the rest of a recording stands: `F.entries.jsonl` beside F."""
    return Path(f"{recording}.entries.jsonl")


def journal_beside(recording: Path) -> Path:
    """Return where the journal as it was at the start stands: `F.journal` beside F."""
    return Path(f"{recording}.journal")


class Tape:
    """Writes both files as things come; `utc` gives the UTC of a moment of the scale.

    Where the disk takes no more it ends there, `lost` is told why, once, and the watch goes on without.
    """

    def __init__(
        self, recording: Path, utc: Callable[[int], Instant], lost: Callable[[OSError], None]
    ) -> None:
        self._lines = LineFile(recording)
        self._rest = LineFile(beside(recording))
        self._utc = utc
        self._lost = lost
        self._ended = False
        self._count = 0

    def line(self, input_name: str, text: bytes, stamp: Stamp) -> None:
        """Take down a line."""
        written = record_line(input_name, self._utc(stamp.at_ms).ms, stamp.monotonic_ms, text)
        self._write(self._lines, written.rstrip(b"\n").decode("utf-8", "surrogateescape"))
        self._count += 1

    def rare(self, reading: Rare | Disk | End, stamp: Stamp) -> None:
        """Take down anything else."""
        self._write(self._rest, frozen(Taped(self._count, stamp.at_ms, stamp.monotonic_ms, reading)))

    def close(self) -> None:
        """Close both files."""
        self._lines.close()
        self._rest.close()

    def _write(self, file: LineFile, text: str) -> None:
        if self._ended:
            return
        try:
            file.write(text)
        except OSError as fault:
            self._ended = True
            self._lost(fault)


class TapingKeeper:
    """A keeper whose disk, when it refuses and when it takes again, goes on the tape."""

    def __init__(self, keeper: Keeper, tape: Tape, scale_offset_ms: int) -> None:
        self._keeper = keeper
        self._tape = tape
        self._scale_offset_ms = scale_offset_ms
        self._commits = 0
        self._refuses: str | None = None

    def keep(self, kept: Kept, at_ms: int, snapshot: str) -> str | None:
        """Commit as the keeper does."""
        self._commits += 1
        refuses = self._keeper.keep(kept, at_ms, snapshot)
        if refuses != self._refuses:
            self._refuses = refuses
            self._tape.rare(Disk(self._commits, refuses), Stamp(at_ms, at_ms - self._scale_offset_ms))
        return refuses


class TapedKeeper:
    """A keeper for a replay, whose disk refuses where the tape says so; `keeper` None keeps nothing else."""

    def __init__(self, keeper: Keeper | None, tape: Iterable[Taped]) -> None:
        self._keeper = keeper
        self._says = {
            each.reading.commit: each.reading.refuses for each in tape if isinstance(each.reading, Disk)
        }
        self._commits = 0
        self._refuses: str | None = None

    def keep(self, kept: Kept, at_ms: int, snapshot: str) -> str | None:
        """Commit, unless the disk refused it then."""
        self._commits += 1
        self._refuses = self._says.get(self._commits, self._refuses)
        if self._refuses is None and self._keeper is not None:
            return self._keeper.keep(kept, at_ms, snapshot)
        return self._refuses


class BadTape(ValueError):  # noqa: N818 -- told to its owner in one line; no mistake of code
    """A file beside a recording that is not of ours."""


def read_tape(recording: Path) -> list[Taped]:
    """Read what stands beside a recording: nothing where there is no such file; BadTape names the line."""
    file = beside(recording)
    if not file.exists():
        return []
    found = []
    for number, line in enumerate(file.read_bytes().splitlines(), 1):
        try:
            found.append(thawed(Taped, line.decode("utf-8")))
        except (ValueError, AttributeError) as fault:
            raise BadTape(f"{file}: line {number} is not as run --record writes it: {fault}") from fault
    return found
