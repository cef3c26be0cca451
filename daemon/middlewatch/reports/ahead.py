"""What lies ahead, as the position report carries it: EP and area in a while, and the dangers there."""

from dataclasses import dataclass
from typing import Literal

from middlewatch.quantities.instants import Instant
from middlewatch.reports.place import PlaceReport


@dataclass(frozen=True, slots=True)
class AreaAheadReport:
    """The area in a while, as its ellipse alone: an outline would be drawn finer than it can be foreseen.

    Dangers are judged from the samples and not from it.
    """

    latitude_deg: float
    longitude_deg: float
    semi_major_nm: float
    semi_minor_nm: float
    orientation_deg: float
    probability: float


@dataclass(frozen=True, slots=True)
class DangerAheadReport:
    """How probable it is to be within the clearance of any danger just then, and which is the likeliest."""

    name: str
    probability: float


@dataclass(frozen=True, slots=True)
class AheadReport:
    """Where the boat will be `minutes` after this was worked, on the present or on the ordered course."""

    at: Instant
    minutes: int
    course: Literal["present", "ordered"]
    heading_true_deg: float
    ep: PlaceReport
    area: AreaAheadReport
    danger: DangerAheadReport | None = None  # left out where it is not in a sample's way


@dataclass(frozen=True, slots=True)
class DangerReport:
    """How the dangers stood at `at`, from the samples.

    `name`, `distance_nm`: the danger nearest the area, from the edge of the area to its clearance, 0 where
    they touch. `probability`: of being within the clearance of any danger then; `within_half_hour`,
    `within_hour`: of having been so by then on the present course; `likeliest`: of which danger, where there
    is any chance of it; `soonest_at`: when the chance of having been so first exceeds 2 in 100.
    """

    at: Instant
    name: str
    distance_nm: float
    probability: float
    within_half_hour: float
    within_hour: float
    likeliest: str | None
    soonest_at: Instant | None
