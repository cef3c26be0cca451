"""The tape: what `run --record` writes, so that a replay goes the same way to the last byte.

F takes every line with a TAG block (`s:` input, `c:` UTC ms, `r:` monotonic ms). F.entries.jsonl takes everything else
that came in, each with its place among the lines, and last the moment at which the run ended.
"""

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


class BadTape(ValueError):  # noqa: N818 -- told to its owner in one line; no mistake of code
    """A file beside a recording that is not of ours."""


def read_tape(recording: Path) -> list[Taped]:
    """Read what stands beside a recording: nothing where there is no such file; BadTape names the line."""
    file = beside(recording)
    if not file.exists():
        return []
    found = []
    for number, line in enumerate(file.read_text(encoding="utf-8").splitlines(), 1):
        try:
            found.append(thawed(Taped, line))
        except ValueError as fault:
            raise BadTape(f"{file}: line {number}: {fault}") from fault
    return found
