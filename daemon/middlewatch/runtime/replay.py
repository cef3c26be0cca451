"""Replay: a recording through the same deck as the bus, as fast as it goes."""

import gzip
import json
import sys
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

from middlewatch.navigator.navigator import Navigator
from middlewatch.quantities.instants import Instant
from middlewatch.readings.entries import Entry
from middlewatch.readings.watch import ClockChange
from middlewatch.runtime.deck import Deck, Keeper, Said
from middlewatch.runtime.inputs import decoder_for, decoders_of, only_input
from middlewatch.runtime.tape import End, Taped
from middlewatch.settings import Settings
from middlewatch.wire import entries as entry_reader
from middlewatch.wire.nmea import Decoder
from middlewatch.wire.recording import RecordedLine


PROGRESS_EVERY = 2000


class BadSightings(ValueError):  # noqa: N818 -- told to its owner in one line; no mistake of code
    """A sightings file that cannot be played."""


@dataclass(slots=True)
class Replay:
    """A recording on its way through a deck; after `run` it knows what it came to."""

    settings: Settings
    navigator: Navigator
    keeper: Keeper | None = None
    decoders: dict[str, Decoder] = field(default_factory=dict)
    first_ms: int | None = None
    last_ms: int = 0
    lines: int = 0

    def run(
        self,
        recording: Iterable[RecordedLine],
        said: Said,
        sightings: Iterable[Entry] = (),
        tape: Iterable[Taped] = (),
        progress: Callable[[int], None] = lambda _: None,
    ) -> None:
        """Play it from the first line to the last whole second; `progress` is told the lines played, now and then."""
        decoders = self.decoders = decoders_of(self.settings)
        deck = Deck(self.navigator, decoders, self.keeper, said)
        if self.navigator.now_ms:
            deck.go_on_from(self.navigator.now_ms)
        scale = Scale()
        waiting, rest = list(sightings), list(tape)
        for line in recording:
            for by_ms in scale.jump(line):
                deck.rare(ClockChange(self.last_ms, by_ms, "the recording's clock jumped"))
            at_ms = scale.at_ms(line)
            while rest and rest[0].after_lines <= self.lines:
                self._taped(deck, rest.pop(0))
            while waiting and waiting[0].heard_ms < at_ms and deck.next_tick_ms is not None:
                deck.rare(_not_before(waiting.pop(0), deck.next_tick_ms - 1000))
            name = line.input if line.input in decoders else only_input(decoders, line.input)
            if name not in decoders:
                decoders[name] = decoder_for(name)
            deck.line(name, line.text, at_ms)
            self.first_ms = at_ms if self.first_ms is None else self.first_ms
            self.last_ms = at_ms
            self.lines += 1
            if self.lines % PROGRESS_EVERY == 0:
                progress(self.lines)
        for each in rest:
            self._taped(deck, each)
        deck.time(self.last_ms)
        for entry in waiting:
            deck.rare(_at_last(entry, self.last_ms))
        deck.close(self.last_ms)

    def _taped(self, deck: Deck, each: Taped) -> None:
        self.last_ms = each.at_ms
        if isinstance(each.reading, End):
            deck.time(each.at_ms)
        else:
            deck.rare(each.reading)


@dataclass(slots=True)
class Scale:
    """The boat's scale of a recording: `r:` drives it where it is there, else the stamps; a jump is cut out."""

    offset_ms: int | None = None
    jumped_ms: int = 0
    last_ms: int | None = None

    def at_ms(self, line: RecordedLine) -> int:
        """Return the moment of a line on the scale; it never goes back."""
        if line.monotonic_ms is None:
            at_ms = line.at_ms - self.jumped_ms
        else:
            if self.offset_ms is None:
                self.offset_ms = line.at_ms - line.monotonic_ms
            at_ms = line.monotonic_ms + self.offset_ms
        self.last_ms = at_ms if self.last_ms is None else max(at_ms, self.last_ms)
        return self.last_ms

    def jump(self, line: RecordedLine) -> Iterator[int]:
        """Yield by how much the recording's clock was set before a line, if it was."""
        if line.jump and self.last_ms is not None:
            by_ms = line.at_ms - self.jumped_ms - self.last_ms
            self.jumped_ms += by_ms
            yield by_ms


def read_lines(path: str) -> Iterator[bytes]:
    """Yield the raw lines of a recording: a file, a `.gz`, or `-` for standard input; OSError where it is not there."""
    if path == "-":
        yield from sys.stdin.buffer
    elif path.endswith(".gz"):
        with gzip.open(path) as packed:
            yield from packed
    else:
        with Path(path).open("rb") as file:
            yield from file


def read_sightings(path: Path) -> list[Entry]:
    """Read a sightings file, in the order in which the daemon hears it; BadSightings names the line."""
    found: list[tuple[int, int, Entry]] = []
    for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
        if line.strip():
            heard_ms, entry = _sighting(path, number, line)
            found.append((heard_ms, number, entry))
    return [entry for _, _, entry in sorted(found, key=lambda each: each[:2])]


def _sighting(path: Path, number: int, line: str) -> tuple[int, Entry]:
    try:
        body = json.loads(line)
        if not isinstance(body, dict):
            raise BadSightings(f"{path}: line {number}: found {line.strip()[:40]}, wanted a JSON object")
        heard = body.pop("heard_at", None) or body.get("at")
        if heard is None:
            raise BadSightings(f"{path}: line {number}: found neither at nor heard_at, wanted one of them")
        heard_ms = Instant.parse(heard).ms
    except (json.JSONDecodeError, TypeError) as fault:
        raise BadSightings(f"{path}: line {number}: found {line.strip()[:40]}, wanted a JSON object") from fault
    except ValueError as fault:
        if isinstance(fault, BadSightings):
            raise
        raise BadSightings(f"{path}: line {number}: heard_at or at: {fault}") from fault
    channel = entry_reader.channel_of_kind(str(body.get("kind", ""))) or "sighting"
    return heard_ms, Entry(heard_ms, channel, json.dumps(body))


def _not_before(entry: Entry, first_tick_ms: int) -> Entry:
    if entry.heard_ms >= first_tick_ms:
        return entry
    return Entry(first_tick_ms, entry.channel, entry.text, entry.retained, entry.token)


def _at_last(entry: Entry, last_ms: int) -> Entry:
    return Entry(last_ms, entry.channel, entry.text, entry.retained, entry.token)
