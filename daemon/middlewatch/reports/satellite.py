"""The satellite report: how the satellite position and the reckoning stand to each other, each tick."""

from dataclasses import dataclass
from typing import Literal

from middlewatch.quantities.instants import Instant

SatelliteState = Literal[
    "none", "returning", "doubtful", "frozen", "jumped", "parting", "apart", "wide", "in_step"
]


@dataclass(frozen=True, slots=True)
class CauseReport:
    """One cause that would explain the gap, its weight, and the evidence."""

    cause: Literal["entry", "satellite", "log", "compass", "stream"]
    weight: float
    evidence: str


@dataclass(frozen=True, slots=True)
class AgreedReport:
    """Where the satellites had her when they last agreed with the reckoning, and the ordinary gap then."""

    at: Instant
    latitude_deg: float
    longitude_deg: float
    ordinary_gap_nm: float


@dataclass(frozen=True, slots=True)
class SatelliteReport:
    """The gap and what it is called; bearing always from the EP to the satellite position.

    `last_agreed`: while something is suspected, the last agreement before it; `causes`: then, the likeliest
    first, else empty; `reason`: of the state; in step, what that is worth where the DR began from satellites,
    and what a parting that is over has left in the gap.
    """

    at: Instant
    state: SatelliteState
    also: tuple[SatelliteState, ...]
    since: Instant
    gap_nm: float | None
    bearing_deg: float | None
    ordinary_gap_nm: float | None
    limit_nm: float
    unseen_pull_kn: float | None
    apparent_set_deg: float | None
    apparent_drift_kn: float | None
    causes: tuple[CauseReport, ...] = ()
    reason: str | None = None
    last_agreed: AgreedReport | None = None
