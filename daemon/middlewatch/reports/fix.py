"""The fix report: lines of position brought together."""

from dataclasses import dataclass
from typing import Literal

from middlewatch.quantities.instants import Instant
from middlewatch.reports.area import AreaReport, StreamReport
from middlewatch.reports.place import PlaceReport

LineWord = Literal["ray", "circle", "point", "wedge", "contour"]


@dataclass(frozen=True, slots=True)
class LimitsReport:
    """The limits of a sector: degrees true, from seaward, clockwise."""

    from_deg: float
    to_deg: float


@dataclass(frozen=True, slots=True)
class LineReport:
    """A line of position as it would be drawn.

    Mark or centre; bearing true from boat to mark; which of `sd_deg` and `sd_nm` applies is given, else None.
    `transferred_to` is the moment the line was carried to, None where it stands at its own time. The rest is
    None where it does not apply. A circle that is no line but the edge of where the boat is has `inside`. A
    wedge has its limits, true and from seaward (boat to mark), clockwise: the boat sees the mark bear
    between `from_deg` and `to_deg` (from and to the same: all round), or between those of `others`; the
    first is the one she is nearest to. A contour has its charted depth and its line.
    """

    shape: LineWord
    latitude_deg: float
    longitude_deg: float
    bearing_deg: float | None
    radius_nm: float | None
    sd_deg: float | None
    sd_nm: float | None
    at: Instant
    transferred_to: Instant | None = None
    inside: bool | None = None
    from_deg: float | None = None
    to_deg: float | None = None
    others: tuple[LimitsReport, ...] | None = None
    depth_m: float | None = None
    points: tuple[PlaceReport, ...] | None = None


@dataclass(frozen=True, slots=True)
class CockedHatReport:
    """Where three or more lines cross pairwise, and the longest side between those corners."""

    corners: tuple[PlaceReport, ...]
    longest_side_nm: float


@dataclass(frozen=True, slots=True)
class FixReport:
    """A plotted fix; `?` of INTERFACE: cocked_hat, rival, revises, withdrawn are left out where None."""

    id: str
    at: Instant
    label: Literal["Fix", "R Fix"]
    latitude_deg: float
    longitude_deg: float
    sightings: tuple[str, ...]
    lines: tuple[LineReport, ...]
    cut_deg: float | None
    distance_off_nm: float | None
    set_deg: float | None
    drift_kn: float | None
    drift_sd_kn: float | None
    over_s: float | None
    area: AreaReport | None
    dr: PlaceReport | None
    flags: tuple[str, ...]
    worth: str
    cocked_hat: CockedHatReport | None = None
    rival: PlaceReport | None = None
    stream: StreamReport | None = None
    revises: str | None = None
    withdrawn: bool | None = None
