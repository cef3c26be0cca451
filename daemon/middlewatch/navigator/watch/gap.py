"""The gap: how far the satellite position lies from the EP, and for how long it has been too far.

What is ordinary comes from the area's own model. The boat is at a normal cloud about the area's centre, so
where all is well the gap is the length of a normal vector that is centred off the EP and longer one way.
"""

from dataclasses import dataclass, field
from math import cos, radians, sin, sqrt
from typing import NamedTuple

from middlewatch.navigator.watch.lasting import Since
from middlewatch.quantities.spreads import RADIUS_95

WIDE_AFTER_MS = 10_000
CLEAR_AFTER_MS = 60_000
LASTS_MS = 60_000
CLEAR_BELOW = 0.7
GROWS_MS = 15 * 60_000
GROWTH_NM = 0.05
"""A gap that has grown by less in a quarter of an hour is not growing (judgement)."""

_NORMAL_99 = 2.3263
"""Exceeded by a standard normal once in a hundred."""


class Expected(NamedTuple):
    """Where the boat is by the area, nautical miles from the EP.

    Its middle, and one standard deviation along and across its longer axis, which points `along_deg`.
    """

    north_nm: float
    east_nm: float
    along_nm: float
    across_nm: float
    along_deg: float

    @property
    def ordinary_nm(self) -> float:
        """The gap that is exceeded once in a hundred when all is well.

        The squared length is a sum of two weighted non-central chi-squares; its quantile by matching three
        moments with one chi-square (Imhof 1961, after Pearson; from memory), and that by Wilson and Hilferty.
        """
        angle = radians(self.along_deg)
        cosine, sine = cos(angle), sin(angle)
        along = self.north_nm * cosine + self.east_nm * sine
        across = self.east_nm * cosine - self.north_nm * sine
        first = second = third = 0.0
        for variance, off in ((self.along_nm**2, along), (self.across_nm**2, across)):
            first += variance + off * off
            second += variance * (variance + 2.0 * off * off)
            third += variance * variance * (variance + 3.0 * off * off)
        if third <= 0.0:
            return sqrt(first)
        freedom = second**3 / third**2
        ninth = 2.0 / (9.0 * freedom)
        chi = freedom * max(0.0, 1.0 - ninth + _NORMAL_99 * sqrt(ninth)) ** 3
        return sqrt(max(0.0, (chi - freedom) * sqrt(second / freedom) + first))


def of_ellipse(
    north_nm: float, east_nm: float, major_nm: float, minor_nm: float, along_deg: float
) -> Expected:
    """Return what an ellipse that holds 95 in 100 says, its centre (north, east) of the EP."""
    return Expected(north_nm, east_nm, major_nm / RADIUS_95, minor_nm / RADIUS_95, along_deg)


class Bounds(NamedTuple):
    """The limit, the ordinary gap (None: not known), and how many times that is worth a warning."""

    limit_nm: float
    ordinary_nm: float | None
    factor: float


@dataclass(slots=True)
class Gap:
    """For how long the gap has been past what: the limit, the area, the ordinary, and limit and ordinary.

    `began`: when the gap was first past both (ms) and how wide it was then; `growing`: whether it has grown
    since for a quarter of an hour.
    """

    wide: Since = field(default_factory=Since)
    apart: Since = field(default_factory=Since)
    unusual: Since = field(default_factory=Since)
    parted: Since = field(default_factory=Since)
    began: tuple[int, float] | None = None
    growing: bool = False

    def tick(
        self, now_ms: int, gap_nm: float, bounds: Bounds, *, outside: bool, shifted: bool = False
    ) -> None:
        """Look at the gap of this second; `outside`: beyond the area; `shifted`: an entry moved the EP in it.

        A gap that an entry closes is closed at once: it does not come and go with anybody's noise.
        """
        limit_nm, ordinary_nm, factor = bounds
        if shifted:
            self._close(gap_nm, bounds, outside=outside)
        self._past(self.wide, now_ms, gap_nm, limit_nm, WIDE_AFTER_MS)
        self.apart.watch(
            now_ms, beyond=outside, below=not outside, on_after_ms=LASTS_MS, off_after_ms=CLEAR_AFTER_MS
        )
        if ordinary_nm is None:
            self.unusual.pause()
            self.parted.pause()
            return
        self._past(self.unusual, now_ms, gap_nm, ordinary_nm, LASTS_MS)
        self._past(self.parted, now_ms, gap_nm, max(limit_nm, factor * ordinary_nm), LASTS_MS)
        self._grow(now_ms, gap_nm, max(limit_nm, ordinary_nm))

    def _close(self, gap_nm: float, bounds: Bounds, *, outside: bool) -> None:
        """End what the gap is past no more."""
        limit_nm, ordinary_nm, factor = bounds
        both_nm = max(limit_nm, factor * (ordinary_nm or 0.0))
        for since, bound_nm in ((self.wide, limit_nm), (self.unusual, ordinary_nm), (self.parted, both_nm)):
            if bound_nm is not None and gap_nm < CLEAR_BELOW * bound_nm:
                since.end()
        if not outside:
            self.apart.end()

    def _grow(self, now_ms: int, gap_nm: float, bound_nm: float) -> None:
        if gap_nm < CLEAR_BELOW * bound_nm:
            self.began, self.growing = None, False
        elif self.began is None and gap_nm > bound_nm:
            self.began = now_ms, gap_nm
        elif self.began is not None and now_ms - self.began[0] >= GROWS_MS:
            # Once it has been told as growing it is so until it has shrunk: a receiver's noise ends nothing.
            grown_nm = max(bound_nm, self.began[1] + GROWTH_NM)
            shrunk_nm = max(CLEAR_BELOW * bound_nm, self.began[1])
            self.growing = gap_nm > (shrunk_nm if self.growing else grown_nm)

    def see_nothing(self, *, reckoned: bool) -> None:
        """Keep it as it is through a silence: a position that comes back as far off is not in step."""
        for each in (self.wide, self.apart, self.unusual, self.parted):
            if not reckoned:
                each.on = False
            each.pause()
        if not reckoned:
            self.began, self.growing = None, False

    @staticmethod
    def _past(since: Since, now_ms: int, gap_nm: float, bound_nm: float, after_ms: int) -> None:
        since.watch(
            now_ms,
            beyond=gap_nm > bound_nm,
            below=gap_nm < CLEAR_BELOW * bound_nm,
            on_after_ms=after_ms,
            off_after_ms=CLEAR_AFTER_MS,
        )
