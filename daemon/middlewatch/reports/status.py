"""The daemon's own state, for `status`."""

from dataclasses import dataclass
from typing import Literal

from middlewatch.quantities.instants import Instant


@dataclass(frozen=True, slots=True)
class InputStatus:
    """One input's health: last heard, sentences a second, taken and rejected, and what it was chosen for."""

    name: str
    heard_at: Instant | None
    per_s: float
    sentences: int
    rejected: int
    chosen_for: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class OutputStatus:
    """One output's health: listeners (None where nobody can know), seconds sent, and left out for newer."""

    name: str
    listeners: int | None
    sent: int
    left_out: int


@dataclass(frozen=True, slots=True)
class StatusReport:
    """`online` with its particulars; the last will says `offline`.

    `since`: when this run began; null in the last will, for nobody can say beforehand when it will be heard.
    `reworking`: what an entry changes is being worked again, and what stands published is from before it.
    """

    state: Literal["online", "offline"]
    version: str
    since: Instant | None
    inputs: tuple[InputStatus, ...]
    reworking: bool = False
    outputs: tuple[OutputStatus, ...] | None = None  # left out where none is set
