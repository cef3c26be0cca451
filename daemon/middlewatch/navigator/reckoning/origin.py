"""The DR's origin, and the DR that an adoption replaced."""

from dataclasses import dataclass, replace
from typing import Literal

from middlewatch.quantities.positions import Position, rhumb_step

OLD_DR_RUNS_ON_S = 2 * 3600
DESIGN_STREAM_KN = 1.5
"""The strongest stream that the rough allowances are made for; stronger water widens them in proportion."""


@dataclass(frozen=True, slots=True)
class Origin:
    """Where and when the DR started.

    `sd_nm` is one standard deviation an axis; `parent_satellite` the departure that was a satellite position,
    kept until a fix by sight is adopted; `worked_second` is when it came into force (an adopted fix is older
    than its adoption).
    """

    kind: Literal["departure", "fix"]
    id: str
    second: int
    position: Position
    sd_nm: float
    source: str
    parent_satellite: str | None
    worked_second: int


@dataclass(frozen=True, slots=True)
class Former:
    """The DR that was replaced, running on beside the new one."""

    place: tuple[float, float]
    since_second: int
    until_second: int

    def moved(self, north_m: float, east_m: float, second: int) -> "Former | None":
        """Return it after a run; None once its two hours are over."""
        if second > self.until_second:
            return None
        return replace(self, place=rhumb_step(*self.place, north_m, east_m))
