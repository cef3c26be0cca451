"""Advice: the sighting that would make the area smallest, as topic `advice` words it."""

from dataclasses import dataclass
from typing import Literal

from middlewatch.quantities.instants import Instant

SightKind = Literal["bearing", "range"]


@dataclass(frozen=True, slots=True)
class AdvisedSight:
    """A sighting advised, and when; `area_after_nm`: the long half axis (95 in 100) to hope for after it.

    `wait_for`: the bearing in whole tens of degrees, for a bearing five minutes or more ahead; else null.
    """

    kind: SightKind
    mark: str
    at: Instant
    wait_for_true_deg: float | None
    wait_for_magnetic_deg: float | None
    area_after_nm: float


@dataclass(frozen=True, slots=True)
class SettlesReport:
    """What would settle a doubt about the satellites, in words; `mark`: None where it is no sight."""

    mark: str | None
    text: str


@dataclass(frozen=True, slots=True)
class AdviceReport:
    """What is advised, in words and as figures; `sight` is left out where none would be worth it.

    `settles`: what would settle a doubt about the satellites, while there is one.
    """

    at: Instant
    text: str
    sight: AdvisedSight | None
    settles: SettlesReport | None = None
