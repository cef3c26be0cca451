"""Alert reports: how one stands (one situation, one alert), that it is heard, and what a command came to."""

from dataclasses import dataclass
from typing import Literal

from middlewatch.quantities.instants import Instant
from middlewatch.readings.sentences import AlertCommandWord

AlertName = Literal[
    "satellite", "heading", "log", "position", "danger", "light", "clearing-bearing", "clock", "journal",
    "broker", "input", "output", "overboard",
]  # fmt: skip
Priority = Literal["alarm", "warning", "caution"]
AlertState = Literal[
    "normal", "active", "active-unacknowledged", "active-silenced", "active-acknowledged",
    "rectified-unacknowledged",
]  # fmt: skip


Pattern = Literal["note", "warning", "alarm"]
"""How an alert sounds: one soft note for a caution, else as its priority."""


@dataclass(frozen=True, slots=True)
class AlertReport:
    """An alert as it stands; priorities and states after IMO MSC.302(87).

    `by`: who acknowledged it, `order` or the sentence and input of the command; `escalation`: how often it
    became graver while it stood, 9 being followed by 1.
    """

    name: AlertName
    at: Instant
    priority: Priority
    state: AlertState
    text: str
    since: Instant
    revision: int
    by: str | None = None
    escalation: int = 0


@dataclass(frozen=True, slots=True)
class SoundReport:
    """An alert is to be heard now: for a buzzer, a lamp, the hook command."""

    at: Instant
    alert: AlertName
    revision: int
    pattern: Pattern
    text: str


@dataclass(frozen=True, slots=True)
class CommandReport:
    """What came of a command about alerts that was heard on the bus; `alert` is empty where all were meant.

    `text` says why it was refused, or what came of it.
    """

    at: Instant
    source: str
    command: AlertCommandWord
    alert: str
    instance: int
    accepted: bool
    text: str
