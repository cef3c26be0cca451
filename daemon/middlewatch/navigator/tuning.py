"""The navigator's tuning: everything settable that the pure core needs, checked by `settings` beforehand."""

from dataclasses import dataclass, field
from typing import Literal

from middlewatch.readings.dangers import Danger
from middlewatch.readings.marks import Contour
from middlewatch.readings.zones import Zone

CardPoints = tuple[tuple[float, float], ...]
"""A deviation card: (heading on that compass, deviation E+), degrees."""


@dataclass(frozen=True, slots=True)
class VariationChoice:
    """Where variation comes from; the rest is for `chart`: value E+, year, annual change E+ in minutes."""

    source: Literal["model", "chart", "bus"] = "model"
    value_deg: float = 0.0
    year: float = 0.0
    annual_change_min: float = 0.0


@dataclass(frozen=True, slots=True)
class Doubts:
    """One standard deviation of what the skipper enters without saying how good it is (the design, 4).

    All judgement and common practice: a hand bearing in a moderate sea, a range by eye or radar as a part of
    itself, two marks judged in line to a minute of arc (the eye's resolution), a departure by sight; sextant
    angles from a small boat, and the soft edge of a sector; in a seaway, a depth read off and how far the sea
    lifts the eye over its own height.
    """

    bearing_deg: float = 2.5
    bearing_shared_deg: float = 1.5
    range_part: float = 0.05
    transit_min: float = 1.0
    departure_nm: float = 0.05
    passing_part: float = 0.3
    vertical_angle_min: float = 0.5
    horizontal_angle_min: float = 1.0
    sector_deg: float = 2.0
    sounding_m: float = 0.3
    eye_lift_m: float = 0.5


@dataclass(frozen=True, slots=True)
class Tuning:
    """How this boat's navigator is set; units in the names, defaults as INTERFACE gives them.

    `transducer_depth_m`, `keel_depth_m`: below the waterline; `heights_datum_m`: how far the datum that
    heights of marks are given over stands above chart datum; None: not known.
    """

    variation: VariationChoice = field(default_factory=VariationChoice)
    sensor_card: CardPoints = ()
    compass_card: bool = True
    log_calibrated: bool = True
    hdm_corrected: bool = True
    steering_card: CardPoints = ()
    strongest_stream_kn: float = 1.5
    limit_nm: float = 0.5
    limit_alone: Literal["state", "caution", "warning"] = "caution"
    false_warning_h: float = 100.0
    false_caution_h: float = 8.0
    same_time_s: int = 180
    oldest_line_h: float = 3.0
    adopt: Literal["ask", "redundant"] = "ask"
    clock_trusted: bool = False
    clock_from_satellites: bool = False
    seed: int = 1
    samples: int = 20_000
    doubts: Doubts = field(default_factory=Doubts)
    height_of_eye_m: float = 2.0
    transducer_depth_m: float | None = None
    keel_depth_m: float | None = None
    tide_range_m: float = 4.0
    heights_datum_m: float | None = None
    contours: tuple[Contour, ...] = ()
    dangers: tuple[Danger, ...] = ()
    zones: tuple[Zone, ...] = ()
    area_warn_nm: float = 1.0
    legacy_alerts: bool = False
