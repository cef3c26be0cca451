"""Replay: a recording through the same deck as the bus, as fast as it goes."""

import gzip
import json
import sys
import zlib
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from middlewatch.navigator.navigator import Navigator
from middlewatch.quantities.instants import Instant
from middlewatch.readings.entries import Entry
from middlewatch.readings.watch import Started
from middlewatch.reports import Report
from middlewatch.runtime.deck import Deck, Keeper, Said
from middlewatch.runtime.inputs import decoder_for, decoders_of, only_input
from middlewatch.runtime.outputs import Teller
from middlewatch.runtime.stamping import Scale
from middlewatch.runtime.tape import Disk, End, Taped, TapedKeeper
from middlewatch.settings import Settings
from middlewatch.wire import entries as entry_reader
from middlewatch.wire.nmea import Decoder
from middlewatch.wire.nmea_alert_list import AlertList
from middlewatch.wire.nmea_own import OwnSentences
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
    own: OwnSentences = field(default_factory=OwnSentences)

    def run(
        self,
        recording: Iterable[RecordedLine],
        said: Said,
        sightings: Iterable[Entry] = (),
        tape: Sequence[Taped] = (),
        progress: Callable[[int], None] = lambda _: None,
    ) -> None:
        """Play it from the first line to the last whole second.

        `heard_ms` of the sightings is UTC; each comes once that has passed. `progress` is told the lines
        played, now and then.
        """
        self.decoders = decoders_of(self.settings, self.own)
        deck = self._deck(self._remembering(said), tape)
        scale = Scale(None if not tape else tape[0].at_ms - tape[0].monotonic_ms)
        waiting = deque(sightings)
        rest = deque(each for each in tape if not isinstance(each.reading, Disk))
        ahead_ms = 0  # what UTC stands ahead of the scale
        for line in recording:
            if (change := scale.jump(line)) is not None:
                self._hear(deck, waiting, self.last_ms + ahead_ms + 1, ahead_ms)
                deck.rare(change)
            at_ms = scale.at_ms(line)
            ahead_ms = line.at_ms - at_ms
            while rest and rest[0].after_lines <= self.lines:
                self._play(deck, rest.popleft())
            if waiting and self.first_ms is not None:
                self._hear(deck, waiting, line.at_ms, ahead_ms)
            self._line(deck, line, at_ms)
            if self.lines % PROGRESS_EVERY == 0:
                progress(self.lines)
        for each in rest:
            self._play(deck, each)
        deck.time(self.last_ms)
        for entry in waiting:
            deck.rare(replace(entry, heard_ms=self.last_ms))
        deck.close(self.last_ms)

    def _remembering(self, said: Said) -> Said:
        """Remember what `run` would have sent: the recording may hold it, come back through a gateway."""
        alert_list = AlertList(legacy=self.settings.alerts.legacy)
        teller = Teller(self.settings.outputs, self.navigator, self.own, alert_list)

        def both(at: Instant, reports: tuple[Report, ...]) -> None:
            teller.told(reports)
            said(at, reports)

        return both

    def _deck(self, said: Said, tape: Sequence[Taped]) -> Deck:
        """Return the deck; it goes on from a journal through the gap, unless the tape tells of the start."""
        refused = any(isinstance(each.reading, Disk) for each in tape)
        deck = Deck(
            self.navigator, self.decoders, TapedKeeper(self.keeper, tape) if refused else self.keeper, said
        )
        if self.navigator.now_ms and not any(isinstance(each.reading, Started) for each in tape):
            deck.go_on_from(self.navigator.now_ms)
        return deck

    def _hear(self, deck: Deck, waiting: deque[Entry], before_utc_ms: int, ahead_ms: int) -> None:
        """Let the entries come that are heard before a moment; those before the first line come with it."""
        while waiting and waiting[0].heard_ms < before_utc_ms:
            entry = waiting.popleft()
            deck.rare(replace(entry, heard_ms=max(entry.heard_ms - ahead_ms, self.last_ms)))

    def _line(self, deck: Deck, line: RecordedLine, at_ms: int) -> None:
        name = line.input
        if name is None or name not in self.decoders:
            name = only_input(self.decoders, name)
            if name not in self.decoders:
                self.decoders[name] = decoder_for(name, self.own)
        deck.line(name, line.text, at_ms)
        if self.first_ms is None:
            self.first_ms = at_ms
        self.last_ms = at_ms
        self.lines += 1

    def _play(self, deck: Deck, each: Taped) -> None:
        self.last_ms = each.at_ms
        if isinstance(each.reading, End):
            deck.time(each.at_ms)
        elif not isinstance(each.reading, Disk):
            deck.rare(each.reading)


def read_lines(path: str) -> Iterator[bytes]:
    """Yield the raw lines of a recording: a file, a `.gz`, or `-` for standard input.

    OSError where it cannot be read.
    """
    if path == "-":
        yield from sys.stdin.buffer
    elif path.endswith(".gz"):
        try:
            with gzip.open(path) as packed:
                yield from packed
        except (EOFError, zlib.error) as fault:
            raise OSError(f"{path}: the packed file is damaged or cut short: {fault}") from fault
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
    where = f"{path}: line {number}"
    try:
        body = json.loads(line)
    except json.JSONDecodeError:
        body = None
    if not isinstance(body, dict):
        raise BadSightings(f"{where}: found {line.strip()[:40]}, wanted a JSON object")
    heard = body.get("heard_at", body.get("at"))
    if heard is None:
        raise BadSightings(f"{where}: found neither at nor heard_at, wanted one of them")
    if not isinstance(heard, str):
        raise BadSightings(
            f"{where}: heard_at or at: found {heard}, wanted a time with its offset, in quotes"
        )
    try:
        heard_ms = Instant.parse(heard).ms
    except ValueError as fault:
        raise BadSightings(f"{where}: heard_at or at: {fault}") from fault
    channel = entry_reader.channel_of_kind(str(body.get("kind", ""))) or "sighting"
    return heard_ms, Entry(
        heard_ms, channel, line.strip() if "heard_at" not in body else _without_heard_at(where, line)
    )


def _without_heard_at(where: str, line: str) -> str:
    """Return the entry as it will be heard; a key that stands twice would be lost on the way."""

    def once(pairs: list[tuple[str, object]]) -> dict[str, object]:
        keys = [key for key, _ in pairs]
        if len(set(keys)) < len(keys):
            twice = next(key for key in keys if keys.count(key) > 1)
            raise BadSightings(f"{where}: found {twice} twice, wanted it once")
        return dict(pairs)

    body = json.loads(line, object_pairs_hook=once)
    del body["heard_at"]
    return json.dumps(body)
