"""What the clock and the links say: ticks, faults, clock changes, and the start of a run."""

from dataclasses import dataclass
from typing import Literal


@dataclass(slots=True)
class Tick:
    """A whole second of the boat's scale has come; handed over before any reading stamped then or later."""

    at_ms: int


@dataclass(frozen=True, slots=True)
class Fault:
    """A link, the broker or the journal failed or came back; `name` is the input's name, or empty."""

    at_ms: int
    subject: Literal["input", "broker", "journal"]
    name: str
    failed: bool
    text: str


@dataclass(frozen=True, slots=True)
class ClockChange:
    """The board's clock was set: UTC now stands `by_ms` later than the boat's scale carried it on."""

    at_ms: int
    by_ms: int
    why: str


@dataclass(frozen=True, slots=True)
class Restarted:
    """The daemon has come up over a journal.

    `known` says whether the length of the gap behind it is exact (same boot, or a trusted clock); if not, the
    reckoning waits at its last point.
    """

    at_ms: int
    boot: str
    known: bool


WatchReading = Tick | Fault | ClockChange | Restarted
