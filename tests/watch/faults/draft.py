"""A fault passage being made: what belongs to it with all well, and what a fault then alters."""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from area.model import Chance
from middlewatch.quantities.instants import Instant
from middlewatch.quantities.positions import Position
from watch.faults.sea import Helm, Needs, Sea
from watch.sailed import KN, Complex, Floats

Cause = Literal["entry", "satellite", "log", "compass", "stream"]

BEGINS = Instant.parse("2026-05-03T08:00:00Z")
START = Position(50.0, -4.0)
NM = 1852.0
SECOND_BEARING_S, ADOPTED_AFTER_S = 40, 50
"""The second bearing is taken so long after the first, and the fix adopted so long after that."""


@dataclass(frozen=True, slots=True)
class Entered:
    """What the crew enters at a second; with `adopts` the fix that it makes is adopted, if it makes one."""

    second: int
    channel: Literal["sighting", "order"]
    body: dict[str, object]
    adopts: bool = False


@dataclass(frozen=True, slots=True)
class Lights:
    """Two lights that cut well at the onset, and one near the second that is taken for it.

    Bearings true from the boat, distances in nautical miles.
    """

    first_deg: float
    first_nm: float
    second_deg: float
    second_nm: float
    neighbour_deg: float
    neighbour_nm: float


@dataclass(slots=True)
class Draft:
    """A passage being made, a value a second: complex is north + east j.

    `shown_deg`, `heading_deg`: what the compass shows, and where the boat heads; `speed_kn`, `log_kn`: what
    the log shows when it is well, and what it shows; `told_m`: what the receiver is drawn away by, metres;
    `stands_from`: since when it says the same; `ep_m`: how far a wrong entry carries the EP off. At the
    onset the crew takes the bearings of `lights`, one of them by its neighbour where that is `mistaken`; or
    enters a new departure (`departs`), off by `departs_off_nm`.
    """

    onset: int
    helm: Helm
    sea: Sea
    shown_deg: Floats
    heading_deg: Floats
    speed_kn: Floats
    log_kn: Floats
    stream_kn: Complex
    told_m: Complex
    ep_m: Complex
    stands_from: int | None = None
    lights: Lights | None = None
    mistaken: bool = False
    departs: bool = False
    departs_off_nm: complex = 0j
    entries: list[Entered] = field(default_factory=list)

    @staticmethod
    def made(onset: int, helm: Helm, sea: Sea) -> "Draft":
        """Return a passage with all well."""
        heading = helm.steered_deg + sea.compass_deg
        nothing = np.zeros(heading.size, np.complex128)
        return Draft(
            onset=onset,
            helm=helm,
            sea=sea,
            shown_deg=helm.steered_deg.copy(),
            heading_deg=heading,
            speed_kn=helm.speed_kn,
            log_kn=helm.speed_kn.copy(),
            stream_kn=sea.stream_kn.copy(),
            told_m=nothing,
            ep_m=nothing.copy(),
        )

    @property
    def seconds(self) -> int:
        """How long it is."""
        return self.shown_deg.size

    @property
    def since(self) -> Floats:
        """The seconds since the onset; nothing before it."""
        return np.clip(np.arange(self.seconds) - self.onset, 0, None).astype(np.float64)

    def run_m(self) -> Complex:
        """Return the run by what compass and log show."""
        return np.asarray(np.cumsum(self.log_kn * unit(self.shown_deg)) * KN)

    def order(self, second: int, kind: str, **fields: object) -> None:
        """Give an order at a second."""
        self.entries.append(Entered(second, "order", {"id": f"o{second}", "kind": kind, **fields}))


Lay = Callable[[Draft, Chance], None]


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of fault: the cause that is to be found (None: all stays well), what it needs, how it is laid.

    `prepare` adds what belongs to the passage with all well too.
    """

    name: str
    cause: Cause | None
    lay: Lay
    needs: Needs = Needs()  # noqa: RUF009 -- frozen
    prepare: Lay | None = None


def unit(degrees: Floats) -> Complex:
    """Return the complex unit of a direction."""
    return np.asarray(np.exp(1j * np.radians(degrees)))
