"""The position report: where the reckoning has the boat, each tick."""

from dataclasses import dataclass
from typing import Literal

from middlewatch.quantities.instants import Instant
from middlewatch.reports.ahead import AheadReport, DangerReport
from middlewatch.reports.area import AreaReport

ReportedWay = Literal[
    "under_way", "little_way", "manoeuvring", "hove_to", "drifting", "anchored", "made_fast", "aground"
]


@dataclass(frozen=True, slots=True)
class DrReport:
    """The DR: heading and log only, from its origin."""

    latitude_deg: float
    longitude_deg: float
    since: Instant
    run_nm: float


@dataclass(frozen=True, slots=True)
class EpReport:
    """The EP: the DR with leeway and stream, and what it holds (`leeway`, `stream`, `stream ran out`)."""

    latitude_deg: float
    longitude_deg: float
    holds: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CalibratedReport:
    """How a sensor that steers is calibrated: by the skipper's own figure or from satellites; the order."""

    by: Literal["order", "satellite"]
    id: str
    at: Instant


@dataclass(frozen=True, slots=True)
class SourceReport:
    """What steers a quantity (`HCHDG@bow`, `order`, `bridged`, `held`, `none`) and how old it is."""

    source: str
    age_s: float | None
    calibrated: CalibratedReport | None = None  # left out where there is none


@dataclass(frozen=True, slots=True)
class BasisReport:
    """What steers heading and speed."""

    heading: SourceReport
    speed: SourceReport


@dataclass(frozen=True, slots=True)
class OriginReport:
    """Where the DR started: departure or adopted fix."""

    kind: Literal["departure", "fix"]
    id: str
    at: Instant
    latitude_deg: float
    longitude_deg: float
    source: str
    parent_satellite: str | None


@dataclass(frozen=True, slots=True)
class FormerDrReport:
    """The DR that an adoption replaced, running on for two hours."""

    latitude_deg: float
    longitude_deg: float
    since: Instant
    until: Instant


@dataclass(frozen=True, slots=True)
class PositionReport:
    """Where the reckoning has the boat; before a departure dr, ep, area, origin are None."""

    at: Instant
    way: ReportedWay
    dr: DrReport | None
    ep: EpReport | None
    area: AreaReport | None
    allowance_nm: None  # stood in for the area before there was one
    heading_true_deg: float | None
    speed_kn: float | None
    speed_reference: Literal["water"]
    basis: BasisReport
    origin: OriginReport | None
    former: FormerDrReport | None = None  # left out where there is none
    ahead: tuple[AheadReport, ...] | None = None  # left out until it is known
    danger: DangerReport | None = None  # left out where none is about
