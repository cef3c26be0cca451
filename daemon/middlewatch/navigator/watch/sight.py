"""Sight: what the reckoning lends the satellite check at a tick. Nothing goes the other way."""

from typing import NamedTuple

from middlewatch.navigator.watch.gap import of_ellipse
from middlewatch.navigator.watch.pull import Odds
from middlewatch.navigator.watch.spells import StreamByOrder
from middlewatch.quantities.lengths import METRES_PER_NM
from middlewatch.quantities.positions import Position, offset_m
from middlewatch.reports.area import AreaReport


class Sight(NamedTuple):
    """What the reckoning lends the check at a tick; `reckoned`: the run of this second is known.

    `heading_deg`, `speed_kn`: None where they steer nothing; `sailing`: the boat makes her way by them, so
    that an apparent stream can be told; `rough`: in waters that may change their stream abruptly; `waiting`:
    the EP stands where a gap of unknown length began, and is no place to measure from;
    `manoeuvring`: by order; `newest_entry`: the id of the one heard last; `ep_sd_nm`: how well the EP is
    known, by its origin and run.
    """

    ep: Position | None
    water_m: tuple[float, float]
    heading_deg: float | None
    speed_kn: float | None
    reckoned: bool
    sailing: bool
    area: AreaReport | None
    limit_nm: float
    strongest_stream_kn: float
    rough: bool = False
    waiting: bool = False
    manoeuvring: bool = False
    odds: Odds = Odds()
    ep_run_m: tuple[float, float] = (0.0, 0.0)
    heading_by_hand: bool = False
    speed_by_hand: bool = False
    stream_ordered: StreamByOrder | None = None
    newest_entry: str = ""
    ep_sd_nm: float = 0.0

    def ordinary_gap_nm(self) -> float | None:
        """Return the gap between satellites and EP that is ordinary by the area; None without an area."""
        area = self.area
        if area is None or self.ep is None:
            return None
        north_m, east_m = offset_m(
            (self.ep.latitude_deg, self.ep.longitude_deg), (area.latitude_deg, area.longitude_deg)
        )
        expected = of_ellipse(
            north_m / METRES_PER_NM,
            east_m / METRES_PER_NM,
            area.semi_major_nm,
            area.semi_minor_nm,
            area.orientation_deg,
        )
        return expected.ordinary_nm
