"""The water track: what the sensors said, a row a second. Everything worked late is worked from here."""

from array import array
from bisect import bisect_right
from typing import NamedTuple

NONE, MAGNETIC, TRUE = 0, 1, 2
"""What a row's heading refers to: nothing heard yet, magnetic north, true north."""

ABSENT, HEARD, BRIDGED, HELD = 0, 1, 2, 3
"""How a row came by its heading or speed: never heard, fresh, run on up to 15 s, run on for longer."""


class Row(NamedTuple):
    """One second of the water track, ending at `second` (of the boat's scale).

    `north_m`, `east_m`: running sums of the run through the water, in the frame of `reference`; their change
    over the row is its run. `variation_deg` is what the bus gave, E+ (used only where the settings say so).
    """

    second: int
    north_m: float
    east_m: float
    reference: int
    heading_deg: float | None
    speed_kn: float | None
    log_nm: float | None
    variation_deg: float | None
    wind_angle_deg: float | None
    wind_kn: float | None
    heading_state: int
    speed_state: int


class WaterTrack:
    """The rows in order of time. Seconds may be missing where the length of a gap was not known."""

    def __init__(self) -> None:
        self.rows: list[Row] = []
        self._seconds = array("q")

    def append(self, row: Row) -> None:
        """Add the newest row."""
        self.rows.append(row)
        self._seconds.append(row.second)

    def forget(self, count: int) -> None:
        """Forget the oldest rows."""
        del self.rows[:count], self._seconds[:count]

    def index(self, second: int) -> int:
        """Return the index of the last row at or before a second; -1 where there is none."""
        first = self._seconds[0] if self._seconds else 0
        guess = second - first
        # Without gaps the second tells the index.
        if 0 <= guess < len(self._seconds) and self._seconds[guess] == second:
            return guess
        return bisect_right(self._seconds, second) - 1

    @property
    def first_second(self) -> int | None:
        """The second of the first row, None before any."""
        return self._seconds[0] if self._seconds else None

    @property
    def last_second(self) -> int | None:
        """The second of the newest row, None before any."""
        return self._seconds[-1] if self._seconds else None
