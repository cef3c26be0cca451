"""Shifts: entries that moved the EP otherwise than by its run, and what the gap was after them."""

from dataclasses import dataclass
from math import hypot, inf, log
from typing import NamedTuple

from middlewatch.quantities.lengths import METRES_PER_NM
from middlewatch.quantities.positions import Position, offset_m

RECEIVER_NM, MISTAKE_NM = 0.03, 1.0
"""How well a receiver's place is known, how far a wrong entry is off: one standard deviation (judgement)."""
LEAST_SHIFT_NM = 0.05
LEAST_GAP_NM = 0.1
"""A smaller shift is no shift, and a smaller gap none that an entry made (judgement)."""


class Shift(NamedTuple):
    """An entry that moved the EP: which, and the gap after it, nm (None: not known yet).

    `sd_nm`: how well the place is known where it moved the EP to, one standard deviation an axis.
    """

    entry: str
    gap_after_nm: float | None
    sd_nm: float

    def wrong(self) -> float:
        """Return how much likelier the gap after it is where the entry is wrong than where it is right.

        Natural logarithm; a normal cloud either way, of the entry's own doubt or of a mistake's.
        """
        after_nm = self.gap_after_nm
        if after_nm is None or after_nm < LEAST_GAP_NM:
            return -inf
        doubt, mistake = hypot(self.sd_nm, RECEIVER_NM), hypot(self.sd_nm, MISTAKE_NM)
        by_doubt, by_mistake = after_nm / doubt, after_nm / mistake
        return 0.5 * (by_doubt * by_doubt - by_mistake * by_mistake) + 2.0 * log(doubt / mistake)


@dataclass(slots=True)
class Shifts:
    """The newest entry that moved the EP, told from the run by what the run does not explain.

    `moved`: whether it was moved in this second, or its run was: a way ordered late makes a run of a mile.
    """

    last: Shift | None = None
    moved: bool = False
    before: tuple[float, float, float, float] | None = None  # the EP, and its run so far

    def tick(
        self,
        ep: Position | None,
        ep_run_m: tuple[float, float],
        gap_nm: float | None,
        sd_nm: float,
        newest: str,
    ) -> None:
        """Look whether the EP moved otherwise than by its run.

        `sd_nm`: how well the EP is known; `newest`: the id of the entry heard last.
        """
        self.moved = self._leapt(ep)
        if ep is None:
            self.last = self.before = None
            return
        moved_nm = self._moved_nm(ep, ep_run_m)
        if moved_nm is None or moved_nm > LEAST_SHIFT_NM:
            self.moved = True
            self.last = Shift(newest, gap_nm, sd_nm)
        elif self.last is not None and self.last.gap_after_nm is None and gap_nm is not None:
            self.last = self.last._replace(gap_after_nm=gap_nm, sd_nm=sd_nm)
        self.before = (ep.latitude_deg, ep.longitude_deg, *ep_run_m)

    def _leapt(self, ep: Position | None) -> bool:
        """Tell whether the EP is where no run of a second takes it."""
        if self.before is None or ep is None:
            return False
        leap_m = hypot(*offset_m(self.before[:2], (ep.latitude_deg, ep.longitude_deg)))
        return leap_m / METRES_PER_NM > LEAST_SHIFT_NM

    def _moved_nm(self, ep: Position, run_m: tuple[float, float]) -> float | None:
        """Return how far the EP moved beyond its run; None where it was not there before."""
        if self.before is None:
            return None
        latitude_deg, longitude_deg, north_m, east_m = self.before
        here = ep.latitude_deg, ep.longitude_deg
        by_north_m, by_east_m = offset_m((latitude_deg, longitude_deg), here)
        north_m, east_m = by_north_m - (run_m[0] - north_m), by_east_m - (run_m[1] - east_m)
        return hypot(north_m, east_m) / METRES_PER_NM
