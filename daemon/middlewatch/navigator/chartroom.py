"""The chart room: everything the navigator works with, in one place, for those who take entries."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from difflib import get_close_matches
from typing import Protocol

from middlewatch.navigator.advice.advised import Advised
from middlewatch.navigator.area.dangers import Coast
from middlewatch.navigator.area.keeping import Area
from middlewatch.navigator.deck_log.ledger import Ledger, Logged
from middlewatch.navigator.deck_log.refusing import Refused
from middlewatch.navigator.overboard.search import Search
from middlewatch.navigator.position.plot import Plot
from middlewatch.navigator.reckoning.card import Card
from middlewatch.navigator.reckoning.gaps import Gap
from middlewatch.navigator.reckoning.instruments import Instruments
from middlewatch.navigator.reckoning.orders import Laid
from middlewatch.navigator.reckoning.reckoning import Reckoning
from middlewatch.navigator.reckoning.track import WaterTrack
from middlewatch.navigator.timescale import Timescale
from middlewatch.navigator.tuning import Tuning
from middlewatch.navigator.watch.alerts import Alerts
from middlewatch.navigator.watch.satellites import Check
from middlewatch.quantities.positions import Position
from middlewatch.readings.entries import Channel, Said, Unread
from middlewatch.readings.marks import Mark, MarkRef


class Reader(Protocol):
    """The decoder of entries and of amendments (wire/entries.py), lent to the pure core."""

    def decode(self, channel: Channel, text: str) -> Said | Unread:
        """Return what an entry says, or why it says nothing."""

    def amended(self, body: str, change: str) -> str:
        """Return the text of a body with a change laid over it; ValueError where that is not allowed."""


@dataclass(slots=True)
class Ordered:
    """What the skipper told the watch."""

    quiet_until_ms: int | None = None
    visibility_nm: float | None = None


@dataclass(slots=True)
class Chartroom:
    """The parts of the navigator's state and what it was given."""

    tuning: Tuning
    marks: Mapping[str, Mark]
    reader: Reader
    scale: Timescale
    track: WaterTrack
    instruments: Instruments
    reckoning: Reckoning
    ledger: Ledger
    plot: Plot
    area: Area
    coast: Coast
    check: Check
    alerts: Alerts
    sensor_card: Card
    steering_card: Card
    ordered: Ordered = field(default_factory=Ordered)
    arrived: list[Logged] = field(default_factory=list)
    changed: list[Logged] = field(default_factory=list)
    advised: Advised = field(default_factory=Advised)
    gap: Gap | None = None
    crossed: list[Laid] = field(default_factory=list)
    search: Search = field(default_factory=Search)
    now_ms: int = 0

    @property
    def strongest_stream_kn(self) -> float:
        """What the stream can do at most where she is reckoned, zones among it."""
        return self.reckoning.now.strongest_stream_kn or self.tuning.strongest_stream_kn

    def place_of(self, mark: MarkRef, field_name: str = "mark") -> Position:
        """Return where a mark is; an unknown name is refused with the three nearest names."""
        if isinstance(mark, Position):
            return mark
        known = self.marks.get(mark)
        if known is None:
            nearest = get_close_matches(mark, list(self.marks), n=3, cutoff=0.0)
            wanted = (
                ", ".join(nearest) if nearest else "a mark of the marks file (it has none), or a position"
            )
            raise Refused(field_name, mark, wanted, f"no mark is called {mark!r}")
        return known.position

    def mark_named(self, mark: MarkRef) -> Mark | None:
        """Return what the marks file says of a mark; None of one told by its position."""
        return self.marks.get(mark) if isinstance(mark, str) else None


def mark_key(mark: MarkRef) -> str:
    """Return a mark's name, or its position as text."""
    return mark if isinstance(mark, str) else str(mark)
