"""The tape: what `run --record` writes, so that a replay goes the same way to the last byte.

F takes every line with a TAG block (`s:` input, `c:` UTC ms, `r:` monotonic ms). F.entries.jsonl takes everything else
that came in, each with its place among the lines, and last the moment at which the run ended.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from middlewatch.links.reports_file import LineFile
from middlewatch.navigator.freezing import frozen, thawed
from middlewatch.readings.entries import Entry
from middlewatch.readings.watch import ClockChange, Fault, Started
from middlewatch.runtime.clock import Stamp
from middlewatch.runtime.deck import Rare
from middlewatch.wire.recording import record_line


@dataclass(frozen=True, slots=True)
class End:
    """The run ended here."""

    at_ms: int


@dataclass(frozen=True, slots=True)
class Taped:
    """Something that came in and is no line: after how many lines, and when (scale and monotonic ms)."""

    after_lines: int
    at_ms: int
    monotonic_ms: int
    reading: Entry | Fault | ClockChange | Started | End


def beside(recording: Path) -> Path:
    """Return where the rest of a recording stands: `F.entries.jsonl` beside F."""
    return recording.with_name(f"{recording.name}.entries.jsonl")


def journal_beside(recording: Path) -> Path:
    """Return where the journal as it was at the start stands: `F.journal` beside F."""
    return recording.with_name(f"{recording.name}.journal")


class Tape:
    """Writes both files as things come."""

    def __init__(self, recording: Path) -> None:
        self._lines = LineFile(recording)
        self._rest = LineFile(beside(recording))
        self._count = 0

    def line(self, input_name: str, text: bytes, stamp: Stamp) -> None:
        """Take down a line."""
        written = record_line(input_name, stamp.at_ms, stamp.monotonic_ms, text)
        self._lines.write(written.rstrip(b"\n").decode("utf-8", "surrogateescape"))
        self._count += 1

    def rare(self, reading: Rare | End, stamp: Stamp) -> None:
        """Take down anything else."""
        self._rest.write(frozen(Taped(self._count, stamp.at_ms, stamp.monotonic_ms, reading)))

    def close(self) -> None:
        """Close both files."""
        self._lines.close()
        self._rest.close()


def taped(lines: Iterable[str]) -> Iterator[Taped]:
    """Read `F.entries.jsonl`; ValueError where a line is not of ours."""
    for line in lines:
        yield thawed(Taped, line)
