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
class ResidualReport:
    """A sight entered less expected, the spread that was to be expected, and the sight's own part in it.

    One standard deviation each, in the unit of the doubt that is set: degrees, or parts of the distance.
    Kept for what the observer's scatter is told from, never published.
    """

    residual: float
    spread: float
    own: float


@dataclass(frozen=True, slots=True)
class ProposalReport:
    """A better doubt than the one set, by the observer's own sights: one of `sd_deg` and `sd_nm`; else None.

    `sd_nm` is at the distance of this sighting; `of`: by how many sights; `text`: what to set, in words.
    """

    sd_deg: float | None
    sd_nm: float | None
    of: int
    text: str


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

    `rival`: of an entry that is suspected, what else may be so, in words. `residual`: what the sighting tells
    of its observer, not published; `proposes`: what his sights propose instead of the doubt that is set.
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
    residual: ResidualReport | None = None
    proposes: ProposalReport | None = None


@dataclass(frozen=True, slots=True)
class Answer:
    """The answer to an entry, on `<channel>/answer`; exactly one of refusal, sighting, effect is given.

    `about`: of an order about another entry (withdraw, amend, confirm), the id of that one.
    """

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
    about: str | None = None
    token: int = 0  # the entry's, never published
