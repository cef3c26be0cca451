"""What the bus says, a sentence at a time: plain floats, each named with its unit.

`at_ms` is the link's stamp on the boat's own time scale (see `runtime/clock.py`), whole milliseconds.
`source` is talker and sentence at the input that carried them: `HCHDG@bow`.

Whatever comes from a satellite talker, and every ground field of any talker, is either a `Satellite` or
nothing: no other reading can carry a satellite's word into the reckoning.
"""

from dataclasses import dataclass
from enum import Enum
from typing import Literal


class HeadingKind(Enum):
    """What a heading sentence claims its number to be."""

    SENSOR = "sensor"  # HDG: as the sensor reads; deviation still to be applied
    MAGNETIC = "magnetic"  # HDM, VHW's M field
    TRUE = "true"  # HDT, THS, VHW's T field


@dataclass(slots=True)
class Heading:
    """A heading heard; deviation and variation (E+) where the sentence carries them, else None."""

    at_ms: int
    source: str
    kind: HeadingKind
    heading_deg: float
    deviation_deg: float | None
    variation_deg: float | None


@dataclass(slots=True)
class WaterSpeed:
    """Speed through the water along the keel, + ahead (VHW, VBW's water field)."""

    at_ms: int
    source: str
    speed_kn: float


@dataclass(slots=True)
class LogTotal:
    """The log's running total through the water (VLW's first field)."""

    at_ms: int
    source: str
    total_nm: float


@dataclass(slots=True)
class ApparentWind:
    """The wind as felt on board (MWV-R): angle clockwise from the bow [0, 360), where it comes from."""

    at_ms: int
    source: str
    angle_deg: float
    speed_kn: float


@dataclass(slots=True)
class Depth:
    """A sounding below the transducer (DPT, DBT); offset + to waterline, - to keel, None if not sent."""

    at_ms: int
    source: str
    depth_m: float
    offset_m: float | None


@dataclass(slots=True)
class TurnRate:
    """Rate of turn (ROT), degrees a minute, + to starboard."""

    at_ms: int
    source: str
    turn_deg_per_min: float


@dataclass(slots=True)
class Attitude:
    """Heel or trim from an XDR transducer of type A: its name as sent, and degrees."""

    at_ms: int
    source: str
    name: str
    angle_deg: float


class Word(Enum):
    """What a receiver says of its own position (mode letters, GGA quality; never A/V alone)."""

    GOOD = "good"
    ESTIMATED = "estimated"  # mode E, quality 6: the receiver's own dead reckoning
    MANUAL = "manual"  # mode M, quality 7
    SIMULATOR = "simulator"  # mode S, quality 8
    NONE = "none"  # mode N, quality 0, or V with no mode letter
    UNSAID = "unsaid"  # the sentence carries neither


@dataclass(slots=True)
class Satellite:
    """What a satellite receiver says: RMC GGA GLL GNS (position), VTG, ZDA, GST and GBS (none).

    A position is both latitude and longitude, or both None. `utc_ms` is full UTC where the sentence has a
    date, `time_of_day_ms` where it has only a time. `sd_m`: its own doubt of its position, one standard
    deviation (GST); `suspects`: a satellite it holds failed, in words (GBS).
    """

    at_ms: int
    source: str
    gives_position: bool
    word: Word
    latitude_deg: float | None = None
    longitude_deg: float | None = None
    course_deg: float | None = None
    speed_kn: float | None = None
    utc_ms: int | None = None
    time_of_day_ms: int | None = None
    satellites: int | None = None
    hdop: float | None = None
    caution: bool = False  # navigational status C or U, or status V beside mode A or D
    sd_m: float | None = None
    suspects: str | None = None


AlertCommandWord = Literal["acknowledge", "silence", "repeat", "transfer"]
"""`repeat`: say how it stands once more; `transfer`: somebody else would answer for it."""


@dataclass(slots=True)
class AlertCommand:
    """A command about one of our alerts (ACN, or the legacy ACK): whose, which instance of it, what to do.

    `alert` is empty where all are meant, and instance 0 means every one.
    """

    at_ms: int
    source: str
    alert: str
    instance: int
    command: AlertCommandWord
    legacy: bool = False


SentenceReading = (
    Heading | WaterSpeed | LogTotal | ApparentWind | Depth | TurnRate | Attitude | Satellite | AlertCommand
)
