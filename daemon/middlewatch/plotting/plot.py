"""The plot: what stands on the sheet at one moment, made of the newest reports. Nothing here is drawn."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal

from middlewatch.quantities.instants import Instant
from middlewatch.quantities.positions import Position
from middlewatch.readings.dangers import Danger
from middlewatch.readings.marks import Contour, Mark
from middlewatch.reports.answer import ChainReport
from middlewatch.reports.fix import FixReport, LineReport
from middlewatch.reports.overboard import OverboardReport
from middlewatch.reports.position import OriginReport, PositionReport
from middlewatch.reports.satellite import SatelliteReport

Due = Literal["departure", "fix", "hour", "course", "speed"]
"""Why a DR is plotted: the DR starts there, on the hour, at a change of course or speed (common practice)."""


@dataclass(frozen=True, slots=True)
class DrPoint:
    """A DR that is plotted, why, and what was steered from there on; the EP of that moment beside it.

    Heading degrees true, speed knots through the water; `half_axis_nm`: the area's long half axis then. What
    is not known is None.
    """

    at: Instant
    due: Due
    place: Position
    ep: Position | None
    heading_true_deg: float | None
    speed_kn: float | None
    half_axis_nm: float | None


@dataclass(frozen=True, slots=True)
class Dr:
    """A DR from one origin: its path and the points plotted on it, oldest first.

    `replaced`: when another DR took its place, and `left` where it was then; an adopted fix lets the old one
    run on beside the new.
    """

    origin: OriginReport
    path: tuple[Position, ...]
    points: tuple[DrPoint, ...]
    replaced: Instant | None = None
    left: Position | None = None


@dataclass(frozen=True, slots=True)
class Sight:
    """A sighting as it was answered last; `seen_from`: the EP of its time, where to draw its line."""

    id: str
    kind: str
    line: LineReport
    chain: ChainReport | None
    seen_from: Position | None
    open: bool
    withdrawn: bool = False


@dataclass(frozen=True, slots=True)
class Plot:
    """What stands on the sheet at `at`: DRs, sights and fixes oldest first, the newest position and gap."""

    at: Instant | None = None
    drs: tuple[Dr, ...] = ()
    sights: tuple[Sight, ...] = ()
    fixes: tuple[FixReport, ...] = ()
    position: PositionReport | None = None
    satellite: SatelliteReport | None = None
    overboard: OverboardReport | None = None

    @property
    def ep(self) -> Position | None:
        """The newest EP."""
        ep = self.position.ep if self.position else None
        return None if ep is None else Position(ep.latitude_deg, ep.longitude_deg)

    @property
    def satellite_place(self) -> Position | None:
        """Where the newest satellite position is: its gap, laid off from the EP."""
        told, ep = self.satellite, self.ep
        if ep is None or told is None or told.gap_nm is None or told.bearing_deg is None:
            return None
        return ep.along(told.bearing_deg, told.gap_nm)


@dataclass(frozen=True, slots=True)
class Variation:
    """The variation for the rose and for magnetic figures: degrees E+, and where it comes from in words."""

    value_deg: float
    source: str


@dataclass(frozen=True, slots=True)
class Charted:
    """What the sheet shows besides the plot: the boat's name, what stands in the files, the variation."""

    boat: str
    marks: Mapping[str, Mark] = field(default_factory=lambda: MappingProxyType({}))
    contours: tuple[Contour, ...] = ()
    dangers: tuple[Danger, ...] = ()
    variation: Variation | None = None

    def mark_at(self, place: Position) -> Mark | None:
        """Return the mark that stands at a place, within the last published digit."""
        return next(
            (
                mark
                for mark in self.marks.values()
                if abs(mark.position.latitude_deg - place.latitude_deg) < _SAME_DEG
                and abs(mark.position.longitude_deg - place.longitude_deg) < _SAME_DEG
            ),
            None,
        )

    def nearest_mark(self, place: Position) -> Mark | None:
        """Return the mark nearest to a place."""
        return min(self.marks.values(), key=lambda mark: place.to(mark.position)[1], default=None)


_SAME_DEG = 1.5e-7
