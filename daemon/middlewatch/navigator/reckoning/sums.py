"""The integrals of the track second by second, as the area reads them between two moments."""

from array import array

from middlewatch.navigator.reckoning.course import Course
from middlewatch.navigator.reckoning.integrals import Integrals

_WIDE = 21


class Sums:
    """A line of figures for each row: its integrals, and where the area's path lies from the EP."""

    def __init__(self) -> None:
        self._figures = array("d")

    def __len__(self) -> int:
        return len(self._figures) // _WIDE

    def append(self, course: Course) -> None:
        """Add the newest row."""
        # Written out, for it is done each second and ten thousand times for an order heard late.
        a, b, c, d, e, f, g, h, i, stream_m = course.integrals
        self._figures.extend((
            a.real, a.imag, b.real, b.imag, c.real, c.imag, d.real, d.imag, e.real, e.imag, f.real, f.imag,
            g.real, g.imag, h.real, h.imag, i.real, i.imag, stream_m, course.off_north_m, course.off_east_m,
        ))  # fmt: skip

    def drop_first(self, count: int) -> None:
        """Forget the oldest rows."""
        del self._figures[: count * _WIDE]

    def cut(self, start: int) -> None:
        """Forget all from a row on."""
        del self._figures[start * _WIDE :]

    def at(self, index: int) -> Integrals:
        """Return the integrals at a row."""
        f = self._figures[index * _WIDE : index * _WIDE + _WIDE]
        return Integrals(
            complex(f[0], f[1]), complex(f[2], f[3]), complex(f[4], f[5]), complex(f[6], f[7]),
            complex(f[8], f[9]), complex(f[10], f[11]), complex(f[12], f[13]), complex(f[14], f[15]),
            complex(f[16], f[17]), f[18],
        )  # fmt: skip

    def off_m(self, index: int) -> complex:
        """Return where the area's path lies from the EP at a row: metres, north + east j."""
        start = index * _WIDE
        return complex(self._figures[start + 19], self._figures[start + 20])
