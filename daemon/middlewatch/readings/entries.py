"""What the skipper enters: sightings and orders.

An `Entry` is what arrived, untouched: the words and when they came. What they mean (`Said`) or why they
mean nothing (`Unread`) is worked out by the decoder of `wire/entries.py`, which the navigator is given; so an
entry heard live, replayed, read back from the journal or amended takes one path.
"""

from dataclasses import dataclass
from typing import Literal

from middlewatch.quantities.instants import Instant
from middlewatch.quantities.positions import Position
from middlewatch.readings.marks import MarkRef

Channel = Literal["sighting", "order"]
Reference = Literal["magnetic", "true", "compass", "relative"]
Side = Literal["port", "starboard"]
Colour = Literal["white", "red", "green", "dark"]
DepthBelow = Literal["transducer", "keel", "waterline"]


@dataclass(frozen=True, slots=True)
class Entry:
    """An entry as it arrived: on which topic, its text, and whether the broker had retained it.

    `heard_ms` is the arrival stamp on the boat's scale. `token` is handed back in the answer, so that a link
    finds the sender again; nothing else depends on it.
    """

    heard_ms: int
    channel: Channel
    text: str
    retained: bool = False
    token: int = 0


# --- sightings ---------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Bearing:
    """A bearing of a mark; `mark` None: a light not yet known. Relative: clockwise from the bow."""

    mark: MarkRef | None
    bearing_deg: float
    reference: Reference
    sd_deg: float | None = None


@dataclass(frozen=True, slots=True)
class Range:
    """A distance off a mark."""

    mark: MarkRef
    distance_nm: float
    sd_nm: float | None = None


@dataclass(frozen=True, slots=True)
class Transit:
    """Two marks in line, the front one nearer; `sd_min`: how well the eye judges that, in minutes of arc."""

    mark: MarkRef
    rear_mark: MarkRef
    sd_min: float | None = None


@dataclass(frozen=True, slots=True)
class PositionSight:
    """A position from elsewhere; one of source `satellite` is kept and drawn, never used."""

    position: Position
    sd_nm: float
    source: Literal["visual", "radar", "other", "satellite"]


@dataclass(frozen=True, slots=True)
class Passing:
    """A mark passed close: the side of the boat it was on, and the distance off."""

    mark: MarkRef
    side: Side
    distance_m: float


@dataclass(frozen=True, slots=True)
class VerticalAngle:
    """A sextant angle, minutes of arc, from the water up to a mark's top.

    `index_error_min`: + on the arc, so taken off; None: not checked. `height_m`: above the datum of heights,
    instead of the mark's own; `tide_m`: height of the tide above chart datum.
    """

    mark: MarkRef
    angle_min: float
    index_error_min: float | None = None
    eye_m: float | None = None
    height_m: float | None = None
    tide_m: float | None = None


@dataclass(frozen=True, slots=True)
class HorizontalAngle:
    """A sextant angle, degrees, from one mark clockwise to a second, as seen from the boat."""

    mark: MarkRef
    second_mark: MarkRef
    angle_deg: float


@dataclass(frozen=True, slots=True)
class LightRange:
    """A light that came in sight (`raised`) or went out of it (`dipped`).

    `bobbed`: it went and came as the eye was lowered and raised, so it lay on the horizon.
    """

    mark: MarkRef
    seen: Literal["raised", "dipped"]
    visibility_nm: float | None = None
    bobbed: bool = False


@dataclass(frozen=True, slots=True)
class SectorSeen:
    """The colour a sectored light shows the boat; `dark`: it shows her none."""

    mark: MarkRef
    colour: Colour


@dataclass(frozen=True, slots=True)
class Sounding:
    """A depth in m, below what; the contour of the marks file it is held against, the tide in m."""

    depth_m: float
    below: DepthBelow
    contour: str | None = None
    tide_m: float | None = None


Sighting = (
    Bearing
    | Range
    | Transit
    | PositionSight
    | Passing
    | VerticalAngle
    | HorizontalAngle
    | LightRange
    | SectorSeen
    | Sounding
)

# --- orders ------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class FromMark:
    """A departure by bearing (boat to mark) and distance."""

    mark: MarkRef
    bearing_deg: float
    reference: Reference
    distance_nm: float


@dataclass(frozen=True, slots=True)
class Departure:
    """The reckoning starts here: a position, a bearing and distance, or the satellite position by order."""

    place: Position | FromMark | Literal["satellite", "last_agreed"]
    sd_nm: float


WayWord = Literal["under_way", "manoeuvring", "hove_to", "drifting", "anchored", "made_fast", "aground"]


@dataclass(frozen=True, slots=True)
class WayOrder:
    """How the boat lies; drift towards (true) and at what speed where ordered."""

    way: WayWord
    radius_m: float | None = None
    drift_towards_deg: float | None = None
    drift_kn: float | None = None
    until: Instant | None = None


@dataclass(frozen=True, slots=True)
class CourseOrder:
    """The course ordered, kept beside the one steered."""

    heading_deg: float
    reference: Reference


@dataclass(frozen=True, slots=True)
class ByHand:
    """Heading, speed or log reading by hand instead of a sensor.

    A field named in `given` takes its value from here; with the value None the sensor is given back.
    """

    given: frozenset[Literal["heading", "speed", "log"]]
    heading_deg: float | None = None
    reference: Reference = "compass"
    speed_kn: float | None = None
    log_nm: float | None = None


@dataclass(frozen=True, slots=True)
class LeewayOrder:
    """Leeway by hand; `leeway_deg` None cancels."""

    leeway_deg: float | None
    pushed_to: Side | None


@dataclass(frozen=True, slots=True)
class StreamOrder:
    """The stream: towards where (true) and how fast, until when (None: an hour)."""

    set_deg: float
    drift_kn: float
    sd_kn: float | None = None
    until: Instant | None = None


@dataclass(frozen=True, slots=True)
class LogFactorOrder:
    """The log's factor, by hand or found from satellites; None cancels. `sd`: a part of one."""

    factor: float | Literal["satellite"] | None
    sd: float | None = None


@dataclass(frozen=True, slots=True)
class DeviationOrder:
    """The deviation left in the heading, E+: found on the present heading, by headings, or from satellites.

    By headings: (heading as the bus gives it, deviation), degrees. None cancels.
    """

    deviation: float | tuple[tuple[float, float], ...] | Literal["satellite"] | None
    sd_deg: float | None = None


@dataclass(frozen=True, slots=True)
class Adopt:
    """Move the DR's origin to a fix, and nothing else."""

    fix: str


@dataclass(frozen=True, slots=True)
class FixOrder:
    """Work a fix from these entries."""

    using: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Withdraw:
    """Take an entry back (id, or `last`); it stays visible as withdrawn."""

    entry: str


@dataclass(frozen=True, slots=True)
class Amend:
    """Change named fields of an entry; `change` is the JSON object as sent (text)."""

    entry: str
    change: str


@dataclass(frozen=True, slots=True)
class Confirm:
    """A suspected entry stands."""

    entry: str


@dataclass(frozen=True, slots=True)
class TrustSatellites:
    """End the satellites' quarantine."""

    anyway: bool


@dataclass(frozen=True, slots=True)
class Acknowledge:
    """Acknowledge an alert; a revision that had other words than the present ones is refused."""

    alert: str
    revision: int | None


@dataclass(frozen=True, slots=True)
class Silence:
    """Silence an alert for 30 s."""

    alert: str
    revision: int | None


@dataclass(frozen=True, slots=True)
class Quiet:
    """Ten minutes without a sound, alarms and danger excepted."""


@dataclass(frozen=True, slots=True)
class Visibility:
    """How far one sees."""

    visibility_nm: float


@dataclass(frozen=True, slots=True)
class ClockOrder:
    """Set the clock: the UTC it was at arrival, or `satellite`."""

    utc: Instant | Literal["satellite"]


@dataclass(frozen=True, slots=True)
class Overboard:
    """Somebody has gone overboard, at the order's own time."""


@dataclass(frozen=True, slots=True)
class Recovered:
    """Somebody is back on board; `entry`: the id of the overboard, None where only one stands."""

    entry: str | None = None


@dataclass(frozen=True, slots=True)
class Remark:
    """A line for the deck log."""

    text: str


Order = (
    Departure
    | WayOrder
    | CourseOrder
    | ByHand
    | LeewayOrder
    | StreamOrder
    | LogFactorOrder
    | DeviationOrder
    | Adopt
    | FixOrder
    | Withdraw
    | Amend
    | Confirm
    | TrustSatellites
    | Acknowledge
    | Silence
    | Quiet
    | Visibility
    | ClockOrder
    | Remark
    | Overboard
    | Recovered
)

# --- what the decoder makes of an entry --------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Said:
    """An entry understood.

    `body` is the canonical text (keys sorted, no blanks, `id` left out): equal bodies are the same entry. At
    most one of `at` (UTC) and `ago_s` is given; neither: when it arrived.
    """

    id: str | None
    kind: str
    at: Instant | None
    ago_s: float | None
    note: str | None
    body: str
    request: Sighting | Order


@dataclass(frozen=True, slots=True)
class Unread:
    """An entry not understood: which field, what was found there, what is wanted, and why, in a sentence."""

    id: str | None
    kind: str | None
    field: str
    found: str
    wanted: str
    reason: str
