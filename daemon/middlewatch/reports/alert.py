"""The alert report: one situation, one alert."""

from dataclasses import dataclass
from typing import Literal

from middlewatch.quantities.instants import Instant

AlertName = Literal[
    "satellite", "heading", "log", "position", "danger", "light", "clearing-bearing", "clock", "journal",
    "broker", "input",
]  # fmt: skip
Priority = Literal["alarm", "warning", "caution"]
AlertState = Literal[
    "normal", "active", "active-unacknowledged", "active-silenced", "active-acknowledged",
    "rectified-unacknowledged",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class AlertReport:
    """An alert as it stands; priorities and states after IMO MSC.302(87)."""

    name: AlertName
    at: Instant
    priority: Priority
    state: AlertState
    text: str
    since: Instant
    revision: int
