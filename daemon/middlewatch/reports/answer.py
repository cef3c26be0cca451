"""Answers to entries."""

from dataclasses import dataclass
from typing import Literal

from middlewatch.quantities.instants import Instant
from middlewatch.reports.fix import LineReport


@dataclass(frozen=True, slots=True)
class ChainReport:
    """Compass to true, each link shown; None where a link does not apply."""

    compass_deg: float | None
    deviation_deg: float | None
    magnetic_deg: float | None
    variation_deg: float | None
    variation_source: str | None
    true_deg: float | None


@dataclass(frozen=True, slots=True)
class SlipReport:
    """A slip that would explain a bad entry, the value it would give, and the sigmas left once undone.

    `mark`: the one that would have been seen; `at`: when it would have been; else None.
    """

    slip: str
    value: float
    fits: float
    mark: str | None = None
    at: Instant | None = None


@dataclass(frozen=True, slots=True)
class RefusalReport:
    """Why an entry was refused."""

    field: str
    found: str
    wanted: str
    reason: str


@dataclass(frozen=True, slots=True)
class SightingAnswer:
    """What a sighting says: its line, its chain, how it stands to the reckoning, and what to pencil.

    `rival`: of an entry that is suspected, what else may be so, in words.
    """

    line: LineReport | None
    chain: ChainReport | None
    expected_deg: float | None
    residual_deg: float | None
    expected_nm: float | None
    residual_nm: float | None
    unusual_sigma: float | None
    slips: tuple[SlipReport, ...]
    fix: str | None
    pencil: str | None
    rival: str | None = None


@dataclass(frozen=True, slots=True)
class Answer:
    """The answer to an entry, on `<channel>/answer`; exactly one of refusal, sighting, effect is given."""

    channel: Literal["sighting", "order"]
    id: str | None
    kind: str | None
    at: Instant | None
    heard_at: Instant
    accepted: bool
    used: bool
    open: bool
    repeat: bool
    refusal: RefusalReport | None = None
    sighting: SightingAnswer | None = None
    effect: str | None = None
    token: int = 0  # the entry's, never published
