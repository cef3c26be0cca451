"""The deck: one thing after another goes to the navigator, with the ticks that are due before it.

Live, replayed or after a restart, everything comes this way; what is to be kept is committed before it is
answered.
"""

from collections.abc import Callable, Mapping
from typing import Protocol

from middlewatch.navigator.keeping import Kept
from middlewatch.navigator.navigator import Navigator
from middlewatch.quantities.instants import MS_PER_SECOND, Instant
from middlewatch.readings.entries import Entry
from middlewatch.readings.watch import ClockChange, Fault, Started, Tick
from middlewatch.reports import Report
from middlewatch.reports.answer import Answer
from middlewatch.wire.nmea import Decoder

COMMIT_EVERY_S = 5

Rare = Entry | Fault | ClockChange | Started
"""What comes seldom and not from the bus."""

Said = Callable[[Instant, tuple[Report, ...]], None]
"""Takes what the navigator says, and the UTC of the moment."""


class Keeper(Protocol):
    """Whoever commits what is to be kept (runtime/keeper.py)."""

    def keep(self, kept: Kept, at_ms: int, snapshot: str) -> str | None:
        """Commit everything in one transaction; return why it could not be, None where it was."""


class Deck:
    """Hands lines, rare readings and time to the navigator, in the order in which they come.

    Stamps are ms of the boat's scale and never go back. `keeper` None: nothing is kept (a replay).
    """

    def __init__(
        self, navigator: Navigator, decoders: Mapping[str, Decoder], keeper: Keeper | None, said: Said
    ) -> None:
        self.navigator = navigator
        self._decoders = decoders
        self._keeper = keeper
        self._said = said
        self._next_tick_ms: int | None = None
        self._unkept = Kept()
        self._withheld: list[Report] = []
        self._trouble = False

    @property
    def next_tick_ms(self) -> int | None:
        """The next whole second of the scale, None before anything has come."""
        return self._next_tick_ms

    def go_on_from(self, at_ms: int) -> None:
        """Let the next tick be the second after this one: a restart runs through the gap."""
        self._next_tick_ms = at_ms + MS_PER_SECOND

    def line(self, input_name: str, text: bytes, at_ms: int) -> None:
        """Take a line from the bus."""
        self.time(at_ms)
        for reading in self._decoders[input_name].read(text, at_ms):
            self.navigator.step(reading)

    def rare(self, reading: Rare) -> None:
        """Take an entry, a fault, a clock change, a start that runs through its gap, or waits."""
        if isinstance(reading, Started) and self.navigator.now_ms:
            # Where it waits no tick falls before it: of the time till then nothing is known.
            runs_on = self.navigator.runs_through(reading)
            whole_ms = reading.at_ms // MS_PER_SECOND * MS_PER_SECOND
            self.go_on_from(self.navigator.now_ms if runs_on else whole_ms)
        at_ms = reading.heard_ms if isinstance(reading, Entry) else reading.at_ms
        self.time(at_ms)
        self._step(reading, at_ms)

    def time(self, at_ms: int) -> None:
        """Let the ticks come that are due at a moment."""
        if self._next_tick_ms is None:
            self._next_tick_ms = -(-at_ms // MS_PER_SECOND) * MS_PER_SECOND
        while self._next_tick_ms <= at_ms:
            self._step(Tick(self._next_tick_ms), self._next_tick_ms)
            self._next_tick_ms += MS_PER_SECOND

    def close(self, at_ms: int) -> None:
        """Commit what is left, and give the answers that waited for that."""
        self._say(at_ms, self._once_kept(at_ms, ()))

    def _step(self, reading: Rare | Tick, at_ms: int) -> None:
        reports = self.navigator.step(reading)
        every_while = isinstance(reading, Tick) and at_ms // MS_PER_SECOND % COMMIT_EVERY_S == 0
        if self._keeper is not None and (self.navigator.has_kept or every_while or self._trouble):
            reports = self._once_kept(at_ms, reports)
        self._say(at_ms, reports)

    def _once_kept(self, at_ms: int, reports: tuple[Report, ...]) -> tuple[Report, ...]:
        """Commit; return what may be said now.

        While the disk refuses, answers wait: nothing would stand behind them.
        """
        self._commit(at_ms)
        if self._trouble:
            self._withheld += [report for report in reports if isinstance(report, Answer)]
            return tuple(report for report in reports if not isinstance(report, Answer))
        withheld, self._withheld = self._withheld, []
        return (*withheld, *reports)

    def _say(self, at_ms: int, reports: tuple[Report, ...]) -> None:
        if reports:
            self._said(self.navigator.utc(at_ms), reports)

    def _commit(self, at_ms: int) -> None:
        if self._keeper is None:
            return
        newer = self.navigator.drain()
        self._unkept.entries += newer.entries
        self._unkept.events += newer.events
        self._unkept.rows += newer.rows
        why = self._keeper.keep(self._unkept, at_ms, self.navigator.freeze())
        if why is None:
            self._unkept = Kept()
        self._tell(why, at_ms)

    def _tell(self, why: str | None, at_ms: int) -> None:
        """Raise or clear the journal's alert."""
        if (why is not None) == self._trouble:
            return
        self._trouble = why is not None
        text = f"the journal does not take what is entered ({why}): entries are not answered until it does"
        self._say(at_ms, self.navigator.step(Fault(at_ms, "journal", "", self._trouble, text)))
