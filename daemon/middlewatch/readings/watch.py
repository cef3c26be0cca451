"""What the clock and the links say: ticks, faults, clock changes, and the start of a run."""

from dataclasses import dataclass
from typing import Literal


@dataclass(slots=True)
class Tick:
    """A whole second of the boat's scale has come; handed over before any reading stamped then or later."""

    at_ms: int


@dataclass(frozen=True, slots=True)
class Fault:
    """A link, the broker or the journal failed or came back; `name`: the input's or output's, or empty."""

    at_ms: int
    subject: Literal["input", "broker", "journal", "output"]
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
class Started:
    """The daemon has come up.

    `gap_known`: the length of the gap behind it is exact (same boot, or a trusted clock) and ticks will run
    through it, unless it is of days; else the reckoning waits at its last point. `clock_doubt` says why the
    clock is not to be believed, None where it is.
    """

    at_ms: int
    boot: str
    gap_known: bool
    clock_doubt: str | None


WatchReading = Tick | Fault | ClockChange | Started
