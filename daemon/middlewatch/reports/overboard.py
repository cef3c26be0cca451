"""The overboard report: for each who is overboard the way back by heading and log; satellites' beside it."""

from dataclasses import dataclass
from typing import Literal

from middlewatch.quantities.instants import Instant
from middlewatch.reports.place import PlaceReport

OverboardState = Literal["standing", "recovered", "withdrawn"]


@dataclass(frozen=True, slots=True)
class AdriftAreaReport:
    """Where the casualty is with this probability, as an ellipse about the end of bearing and distance.

    `orientation_deg` is true, null while the variation is not known.
    """

    semi_major_nm: float
    semi_minor_nm: float
    orientation_deg: float | None
    probability: float


@dataclass(frozen=True, slots=True)
class SatelliteMarkReport:
    """Where satellites had the boat at the press, and the way back there: fixed to the earth, not adrift.

    `at`: of the position; bearing and distance are null while no satellite position is heard.
    """

    fixed_to: Literal["earth"]
    source: str
    at: Instant
    latitude_deg: float
    longitude_deg: float
    bearing_true_deg: float | None
    bearing_magnetic_deg: float | None
    distance_nm: float | None


@dataclass(frozen=True, slots=True)
class CasualtyReport:
    """One who is or was overboard: the press, and the way back now.

    `heading_*`, `speed_kn`, `log_nm`: at the press. Bearing, distance and area lead to where the casualty has
    drifted with the water; null where nothing leads there, and `text` says why. `holds`: what they hold and
    what is held. `was`, `drifted`: the EP at the press, and where the casualty is reckoned now; null before a
    departure.
    """

    id: str
    state: OverboardState
    since: Instant
    adrift_s: float
    heading_true_deg: float | None
    heading_magnetic_deg: float | None
    speed_kn: float | None
    log_nm: float | None
    fixed_to: Literal["water"]
    bearing_magnetic_deg: float | None
    bearing_true_deg: float | None
    distance_nm: float | None
    area: AdriftAreaReport | None
    holds: tuple[str, ...]
    was: PlaceReport | None
    drifted: PlaceReport | None
    text: str
    satellite: SatelliteMarkReport | None


@dataclass(frozen=True, slots=True)
class OverboardReport:
    """Who is overboard, the one pressed first first; `calls`: whom this program calls: no one, ever.

    The last one, after the last recovery or withdrawal, says who is overboard no more.
    """

    at: Instant
    calls: Literal["no one"]
    casualties: tuple[CasualtyReport, ...]
    text: str
