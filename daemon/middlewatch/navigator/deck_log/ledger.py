"""The ledger: every entry that was accepted, in the order of its own time, whatever order it was heard in."""

from collections.abc import Iterable
from dataclasses import dataclass, field

from middlewatch.navigator.reckoning.calibration import Calibration
from middlewatch.navigator.reckoning.origin import Origin
from middlewatch.readings.entries import (
    Acknowledge,
    Amend,
    Channel,
    Confirm,
    Departure,
    Quiet,
    Said,
    Silence,
    TrustSatellites,
    Withdraw,
)
from middlewatch.reports.answer import Answer

OF_SATELLITES = Acknowledge | Silence | TrustSatellites
"""Whether one of these is taken may hang on the satellites."""


@dataclass(slots=True)
class Logged:
    """An accepted entry.

    `said` is what it says now, as amended; `first_body` what it said first (a repeat is held against that).
    `origin` is what a departure or an adoption came to: a later revision of the fix never moves it; and
    `calibration` what was found of log or compass.
    `answer` is None while the entry waits for its own second.
    """

    seq: int
    id: str
    channel: Channel
    heard_ms: int
    at_ms: int
    text: str
    said: Said
    first_body: str
    token: int = 0
    answer: Answer | None = None
    origin: Origin | None = None
    calibration: Calibration | None = None
    open: bool = False
    withdrawn: bool = False
    gave_place: bool = False  # its mark was the place for the variation, before a departure

    @property
    def second(self) -> int:
        """The whole second at or before the entry: it is worked there."""
        return self.at_ms // 1000

    @property
    def acts_ms(self) -> int:
        """From when on an order acts: its own time, or that of the last agreement it departs from."""
        request, origin = self.said.request, self.origin
        back = isinstance(request, Departure) and request.place == "last_agreed" and origin is not None
        return origin.second * 1000 if back and origin is not None else self.at_ms

    @property
    def order(self) -> tuple[int, str]:
        """Entries are worked in order of time to the ms, then id."""
        return self.at_ms, self.id


@dataclass(slots=True)
class Ledger:
    """The accepted entries by id, those that wait for their own second, and the one in hand.

    `in_hand`: the entry that is being worked; it is in the log only once that has come to an answer.
    """

    entries: dict[str, Logged] = field(default_factory=dict)
    waiting: list[Logged] = field(default_factory=list)
    count: int = 0
    acknowledged: int = 0
    in_hand: Logged | None = None

    def new_id(self, said: Said) -> str:
        """Return the id of an entry that came without one: `e` and its place in the journal.

        What acknowledges or silences an alert, or trusts the satellites, is numbered apart, `k1`, `k2`:
        whether it is taken may hang on the satellites, and nothing else may change its name for that.
        """
        apart = isinstance(said.request, OF_SATELLITES)
        letter = "k" if apart else "e"
        place = 1 + (self.acknowledged if apart else self.count - self.acknowledged)
        while f"{letter}{place}" in self.entries:
            place += 1
        return f"{letter}{place}"

    def add(self, logged: Logged) -> None:
        """Take an entry in."""
        self.entries[logged.id] = logged
        self.count += 1
        self.acknowledged += isinstance(logged.said.request, OF_SATELLITES)

    @property
    def worked(self) -> int:
        """How many entries have come to their own second, and have had their effect."""
        return self.count - len(self.waiting)

    @property
    def newest_id(self) -> str:
        """The id of the entry heard last; empty before any."""
        return next(reversed(self.entries), "")

    def to_be_meant(self) -> list[Logged]:
        """Return the entries that stand, as they were heard, without those about others or the satellites."""
        about_others = Withdraw | Amend | Confirm | Quiet | OF_SATELLITES
        return [
            logged
            for logged in self.entries.values()
            if not logged.withdrawn and not isinstance(logged.said.request, about_others)
        ]

    def open_ids(self) -> frozenset[str]:
        """Return the ids of the entries that are suspected, or lack a mark, and stand undecided."""
        in_hand = () if self.in_hand is None else (self.in_hand,)
        return frozenset(logged.id for logged in (*self.entries.values(), *in_hand) if logged.open)

    def find(self, id_: str) -> Logged | None:
        """Return an entry by its id, or for `last` the one heard last that can be meant."""
        if id_ != "last":
            return self.entries.get(id_)
        meant = self.to_be_meant()
        return meant[-1] if meant else None

    def worked_from(self, second: int) -> list[Logged]:
        """Return the entries worked at a second or later that stand, in order of their own time."""
        worked = (each for each in self.entries.values() if each.answer is not None and not each.withdrawn)
        return sorted((each for each in worked if each.second >= second), key=lambda each: each.order)

    def newest_of(self, ids: Iterable[str]) -> Logged:
        """Return the newest, by its own time, of entries that are known."""
        return max((self.entries[id_] for id_ in ids), key=lambda each: each.order)

    def due(self, now_second: int) -> list[Logged]:
        """Take out the waiting entries whose second has come, in order."""
        due = sorted((w for w in self.waiting if w.second <= now_second), key=lambda w: w.order)
        self.waiting = [w for w in self.waiting if w.second > now_second]
        return due
