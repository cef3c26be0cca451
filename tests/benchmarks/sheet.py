"""Processor time of a redraw after eight hours with 40 sightings: on one sheet, and of all of several.

    python -m benchmarks.sheet

Figures are milliseconds of user time, the middle one of nine. The passage is made up: a beat along an
invented coast, a light every few miles, a bearing every twelve minutes, a fix of two of them each half hour.
"""

import sys
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from math import cos, radians, sin
from resource import RUSAGE_SELF, getrusage
from statistics import median

from middlewatch.plotting.drawing import drawn_sheet
from middlewatch.plotting.paper import laid_out, screen_about
from middlewatch.plotting.pencil_this import pencil_this
from middlewatch.plotting.plot import Charted, Plot, Variation
from middlewatch.plotting.plotter import Plotter
from middlewatch.plotting.series import series_for
from middlewatch.quantities.instants import Instant
from middlewatch.quantities.positions import Position
from middlewatch.readings.marks import Mark
from middlewatch.reports.answer import Answer, SightingAnswer
from middlewatch.reports.fix import LineReport
from middlewatch.reports.position import DrReport, EpReport
from plotting.everything import CHAIN, POSITION, area, bearing, fix, origin, ray

_START, _AT = Position(50.0, -5.0), Instant.parse("2026-05-02T10:00:00Z")
_HOURS, _SIGHTS, _KNOTS, _EVERY_S = 8, 40, 5.5, 10
_TACK_S = 5400
_SHORE = tuple(
    Mark(f"Light {n}", Position(50.12 + 0.04 * (n % 2), -5.0 + 0.09 * n), range_nm=12.0, character="Fl 5s")
    for n in range(12)
)
CHARTED = Charted("bench", {mark.name: mark for mark in _SHORE}, variation=Variation(-4.0, "made up"))


def sailed() -> tuple[Plotter, Position]:
    """Return what eight hours put on the sheet, and where she is at their end."""
    plotter, place = Plotter(), _START
    first = origin("departure", "d1", "1000", _START)
    lines = list[LineReport]()
    for second in range(0, _HOURS * 3600 + 1, _EVERY_S):
        heading = 60.0 if second // _TACK_S % 2 else 110.0
        run_m = _KNOTS * 1852.0 * _EVERY_S / 3600.0
        place = place.moved(run_m * cos(radians(heading)), run_m * sin(radians(heading)))
        at = Instant(_AT.ms + second * 1000)
        where = place.latitude_deg, place.longitude_deg
        dr, ep = DrReport(*where, first.at, second * _KNOTS / 3600.0), EpReport(*where, ())
        plotter.take(
            replace(
                POSITION, at=at, dr=dr, ep=ep, origin=first, heading_true_deg=heading, speed_kn=_KNOTS,
                area=area(place, 900.0),
            )
        )  # fmt: skip
        if second and second % (_HOURS * 3600 // _SIGHTS) < _EVERY_S and len(lines) < _SIGHTS:
            mark = min(_SHORE, key=lambda each: abs(place.to(each.position)[1] - 4.0 - len(lines) % 2))
            line = replace(
                ray(place, mark.position, "1000"), at=at, bearing_deg=bearing(place, mark.position)
            )
            lines.append(line)
            name = f"s{len(lines)}"
            said = SightingAnswer(line, CHAIN, None, None, None, None, None, (), None, None)
            plotter.take(Answer("sighting", name, "bearing", at, at, True, True, False, False, sighting=said))
            if len(lines) % 2 == 0:
                two = {f"s{len(lines) - 1}": lines[-2], name: line}
                plotter.take(replace(fix(f"f-{name}", "1000", place, two), at=at))
    return plotter, place


def spent_ms(work: Callable[[], object], times: int = 9) -> float:
    """Return the middle one of what the work took of the processor, in ms."""
    spent = []
    for _ in range(times):
        before = getrusage(RUSAGE_SELF).ru_utime
        work()
        spent.append(getrusage(RUSAGE_SELF).ru_utime - before)
    return median(spent) * 1000.0


def say(words: str) -> None:
    """Print a line."""
    sys.stdout.write(words + "\n")


def tell_series(plot: Plot, scale: float) -> None:
    """Print what laying out and drawing several sheets takes."""
    sheets = series_for(plot, CHARTED, scale=scale)
    laid = spent_ms(lambda: series_for(plot, CHARTED, scale=scale))
    drawn = [spent_ms(partial(drawn_sheet, plot, CHARTED, sheet), 3) for sheet in sheets]
    say(f"laid out at 1:{scale:.0f}       {laid:7.1f} ms, {len(sheets)} sheets")
    say(f"  each drawn               {median(drawn):7.1f} ms, at most {max(drawn):.1f}, all {sum(drawn):.0f}")


def main() -> None:
    """Print what each kind of redraw takes."""
    plotter, place = sailed()
    plot = plotter.plot()
    one = laid_out(plot, CHARTED)
    of = f"{len(plot.sights)} sightings, {len(plot.fixes)} fixes"
    say(f"{_HOURS} h, {of}; on one sheet at 1:{one.projection.scale:.0f}")
    say(f"plot of what was heard     {spent_ms(plotter.plot):7.1f} ms")
    say(f"laid out on one A4         {spent_ms(lambda: laid_out(plot, CHARTED)):7.1f} ms")
    say(f"drawn on one A4            {spent_ms(lambda: drawn_sheet(plot, CHARTED, one)):7.1f} ms")
    screen = screen_about(place, 75_000.0, 200.0, 150.0)
    say(f"drawn on a screen 1:75000  {spent_ms(lambda: drawn_sheet(plot, CHARTED, screen)):7.1f} ms")
    for scale in (75_000.0, 25_000.0):
        tell_series(plot, scale)
    say(f"pencil this                {spent_ms(lambda: pencil_this(plot, CHARTED), 3):7.1f} ms")


if __name__ == "__main__":
    main()
