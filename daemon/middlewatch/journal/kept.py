"""What the journal keeps. Times are whole milliseconds and seconds since 1970 UTC, as they are given."""

from dataclasses import dataclass

TrackRow = tuple[
    int, float, float, int,
    float | None, float | None, float | None, float | None, float | None, float | None,
    int, int,
]  # fmt: skip
"""A second of the water track, twelve columns: second, north_m, east_m, reference; heading_deg, speed_kn,
log_nm, variation_deg, wind_angle_deg, wind_kn; heading_state, speed_state (integers). What was not heard is
None. Floats come back bit for bit."""


@dataclass(frozen=True, slots=True)
class Kept:
    """An entry as it was heard, for ever: `seq` is its place here, `outcome` a JSON text or None."""

    seq: int
    heard_ms: int
    version: int
    channel: str
    text: str
    outcome: str | None = None


@dataclass(frozen=True, slots=True)
class Event:
    """Something that was said (a fix, an alert, a remark, an answer), for ever; its body has a version."""

    seq: int
    at_ms: int
    kind: str
    version: int
    body: str


@dataclass(frozen=True, slots=True)
class Snapshot:
    """The state at a moment, on both clocks of one boot; it saves work and can always be done without."""

    at_ms: int
    boot: str
    monotonic_ms: int
    version: int
    body: str


@dataclass(frozen=True, slots=True)
class Loaded:
    """What a journal holds: entries, events and rows in order, the newest snapshot and the one before."""

    entries: tuple[Kept, ...]
    events: tuple[Event, ...]
    rows: tuple[TrackRow, ...]
    snapshot: Snapshot | None
    former: Snapshot | None
