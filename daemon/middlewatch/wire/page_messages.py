"""What the page is sent: reports just as they are published, and beside them what only a page wants to know.

Each message is one line of JSON: `{"topic", "at", "report"}`, as a line of REPORTS. Topics of its own: `note`
(a note of the deck log), `beat` (each second: we are there), `present` (what came before is of the past).
"""

import json
from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass
from typing import Any, Literal

from middlewatch.quantities.instants import Instant
from middlewatch.readings.marks import Mark
from middlewatch.wire.entry_forms import forms
from middlewatch.wire.payloads import Published, payload
from middlewatch.wire.topics import topic_of

Role = Literal["skipper", "crew"]
"""Who looks at the page: the skipper enters, the crew only looks."""


@dataclass(frozen=True, slots=True)
class Keys:
    """The three keys of a remote, and overboard's, as browsers name them."""

    sight: str
    acknowledge: str
    repeat: str
    overboard: str = "o"


@dataclass(frozen=True, slots=True)
class Ship:
    """What the page is told once: the boat, her marks, her time beside UT, the keys of her remote."""

    boat: str
    version: str
    zone: str
    keys: Keys
    marks: Sequence[Mark]


def hello(ship: Ship, role: Role) -> str:
    """Return what a page is told as it begins: whom it serves, the marks, a form for each kind of entry."""
    return _text(
        {
            "boat": ship.boat,
            "version": ship.version,
            "role": role,
            "zone": ship.zone,
            "keys": asdict(ship.keys),
            "marks": [_mark(mark) for mark in ship.marks],
            "forms": forms(),
        }
    )


def _mark(mark: Mark) -> dict[str, Any]:
    return {
        "name": mark.name,
        "latitude_deg": mark.position.latitude_deg,
        "longitude_deg": mark.position.longitude_deg,
        "height_m": mark.height_m,
        "range_nm": mark.range_nm,
        "character": mark.character,
    }


def told(topic: str, at: Instant, report: str) -> str:
    """Return a message from a report that is JSON already."""
    return f'{{"topic":"{topic}","at":"{at}","report":{report}}}'


def report_message(at: Instant, report: Published) -> str:
    """Return the message of a report."""
    return told(topic_of(report), at, payload(report))


def note_message(at: Instant, voice: str, sentences: Iterable[str]) -> str:
    """Return the message of a note of the deck log."""
    return told("note", at, _text({"voice": voice, "sentences": list(sentences)}))


def beat_message(at: Instant | None, *, broker: bool) -> str:
    """Return the message that we are there; `broker`: whether the broker is, too."""
    return _text({"topic": "beat", "at": None if at is None else str(at), "report": {"broker": broker}})


PRESENT = '{"topic":"present","at":null,"report":null}'
"""Between what is told to whoever comes late, and what happens from now on."""


def _text(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"))
