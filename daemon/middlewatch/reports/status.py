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
class StatusReport:
    """`online` with its particulars; the last will says `offline`."""

    state: Literal["online", "offline"]
    version: str
    since: Instant
    inputs: tuple[InputStatus, ...]
