"""What is kept of each row of the reckoning: runs, places and integrals, as a line of figures."""

from array import array
from math import isnan, nan
from struct import Struct

from middlewatch.navigator.reckoning.course import Course
from middlewatch.navigator.reckoning.integrals import Integrals
from middlewatch.navigator.reckoning.orders import Metres
from middlewatch.quantities.positions import Position

_WIDE = 31
_DR_RUN, _EP_RUN, _DR_PLACE, _EP_PLACE, _RUN_NM, _UNKNOWN_S, _INTEGRALS, _OFF = 0, 2, 4, 6, 8, 9, 10, 29
_LINE = Struct(f"{_WIDE}d")
_NOWHERE = (nan, nan)
"""Before a departure there is no position: no number."""


class Sums:
    """A line of figures for each row; running sums of the runs in metres, positions in degrees."""

    def __init__(self) -> None:
        self._figures = array("d")

    def __len__(self) -> int:
        return len(self._figures) // _WIDE

    def append(self, course: Course) -> None:
        """Add the newest row."""
        # Written out, for it is done each second and ten thousand times for an order heard late.
        a, b, c, d, e, f, g, h, i, stream_m = course.integrals
        self._figures.frombytes(_LINE.pack(
            course.dr_north_m, course.dr_east_m, course.ep_north_m, course.ep_east_m,
            *(course.dr or _NOWHERE), *(course.ep or _NOWHERE), course.run_nm, course.unknown_s,
            a.real, a.imag, b.real, b.imag, c.real, c.imag, d.real, d.imag, e.real, e.imag, f.real, f.imag,
            g.real, g.imag, h.real, h.imag, i.real, i.imag, stream_m, course.off_north_m, course.off_east_m,
        ))  # fmt: skip

    def drop_first(self, count: int) -> None:
        """Forget the oldest rows."""
        del self._figures[: count * _WIDE]

    def cut(self, start: int) -> None:
        """Forget all from a row on."""
        del self._figures[start * _WIDE :]

    def dr_run_m(self, index: int) -> Metres:
        """Return the sum of the runs through the water at a row."""
        return self._pair(index, _DR_RUN)

    def ep_run_m(self, index: int) -> Metres:
        """Return the sum of the runs over the ground at a row."""
        return self._pair(index, _EP_RUN)

    def dr(self, index: int) -> Position | None:
        """Return the DR at a row, None before a departure."""
        return self._place(index, _DR_PLACE)

    def ep(self, index: int) -> Position | None:
        """Return the EP at a row, None before a departure."""
        return self._place(index, _EP_PLACE)

    def run_nm(self, index: int) -> float:
        """Return the distance logged until a row."""
        return self._figures[index * _WIDE + _RUN_NM]

    def unknown_s(self, index: int) -> float:
        """Return how many seconds were unknown until a row."""
        return self._figures[index * _WIDE + _UNKNOWN_S]

    def integrals(self, index: int) -> Integrals:
        """Return the integrals at a row."""
        start = index * _WIDE + _INTEGRALS
        f = self._figures[start : start + 19]
        return Integrals(
            complex(f[0], f[1]), complex(f[2], f[3]), complex(f[4], f[5]), complex(f[6], f[7]),
            complex(f[8], f[9]), complex(f[10], f[11]), complex(f[12], f[13]), complex(f[14], f[15]),
            complex(f[16], f[17]), f[18],
        )  # fmt: skip

    def off_m(self, index: int) -> complex:
        """Return where the area's path lies from the EP at a row: metres, north + east j."""
        return complex(*self._pair(index, _OFF))

    def _pair(self, index: int, which: int) -> tuple[float, float]:
        start = index * _WIDE + which
        return self._figures[start], self._figures[start + 1]

    def _place(self, index: int, which: int) -> Position | None:
        place = self._pair(index, which)
        return None if isnan(place[0]) else Position(*place)
