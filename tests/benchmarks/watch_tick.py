"""What the watch costs a tick in the navigator: the satellite check, watchkeeping, the weighing of causes.

    PYTHONPATH=daemon:tests OPENBLAS_NUM_THREADS=1 python -m benchmarks.watch_tick

A boat under way on heading and log for an hour and a half, with a departure and a receiver heard each second:
once in step, once drawn away at half a knot, so that something stands and the causes are weighed each minute.
Printed in microseconds of processor time: median and mean of whole ticks after the first half hour, and how
much of each is the watch's.
"""

import gc
import sys
from collections.abc import Callable
from dataclasses import dataclass, field
from statistics import fmean, median
from time import process_time  # noqa: TID251 -- what it costs is measured
from typing import Any

from area.model import chance
from middlewatch.navigator.navigator import Navigator
from middlewatch.navigator.tuning import Tuning
from middlewatch.navigator.watch import watchkeeping
from middlewatch.navigator.watch.satellites import Check
from middlewatch.quantities.positions import Position
from middlewatch.readings.entries import Entry
from middlewatch.readings.sentences import Heading, HeadingKind, Satellite, WaterSpeed, Word
from middlewatch.readings.watch import Tick
from middlewatch.wire import entries

BEGIN_MS = 1_777_773_600_000
TICKS, SETTLED = 5_400, 1_800
START = Position(50.0, -4.2)
DEPARTURE = '{"kind": "departure", "latitude_deg": 50.0, "longitude_deg": -4.2}'
KNOT_MPS = 1852.0 / 3600.0


@dataclass
class Stopwatch:
    """Sums what calls take within a tick, microseconds."""

    us: float = 0.0
    ticks: list[float] = field(default_factory=list)

    def around(self, work: Callable[..., Any]) -> Callable[..., Any]:
        """Return the work, its time summed."""

        def timed(*given: Any, **named: Any) -> Any:
            began = process_time()
            came = work(*given, **named)
            self.us += 1e6 * (process_time() - began)
            return came

        return timed

    def next_tick(self) -> None:
        """Keep what this tick took."""
        self.ticks.append(self.us)
        self.us = 0.0


def sail(pull_kn: float, whole: Stopwatch, watch: Stopwatch) -> None:
    """Sail due east at five knots, the receiver drawn north from twenty minutes on; it has noise of 1 m."""
    noise = chance(3, 0).normal(0.0, 1.0, (TICKS, 2)).tolist()
    navigator = Navigator(Tuning(), {}, entries)
    step = whole.around(navigator.step)
    for second in range(TICKS):
        at_ms = BEGIN_MS + 1000 * second
        north_m = pull_kn * KNOT_MPS * max(0, second - 1200)
        place = START.moved(north_m + noise[second][0], 5.0 * KNOT_MPS * second + noise[second][1])
        navigator.step(Heading(at_ms, "HEHDT@bow", HeadingKind.TRUE, 88.0 + second % 5, None, None))
        navigator.step(WaterSpeed(at_ms, "VWVHW@bow", 5.0))
        navigator.step(
            Satellite(
                at_ms,
                "GPRMC@bow",
                gives_position=True,
                word=Word.GOOD,
                latitude_deg=place.latitude_deg,
                longitude_deg=place.longitude_deg,
                course_deg=90.0,
                speed_kn=5.0,
                utc_ms=at_ms,
            )
        )
        step(Tick(at_ms + 1000))
        whole.next_tick()
        watch.next_tick()
        if second == 10:
            navigator.step(Entry(at_ms + 1000, "order", DEPARTURE))


def main() -> None:
    """Measure and print."""
    gc.freeze()
    watch = Stopwatch()
    watchkeeping.keep = watch.around(watchkeeping.keep)
    Check.tick = watch.around(Check.tick)  # type: ignore[method-assign]  # timed from without
    for pull_kn in (0.0, 0.5):
        whole = Stopwatch()
        watch.ticks = []
        sail(pull_kn, whole, watch)
        for name, each in (("whole tick", whole.ticks), ("the watch's", watch.ticks)):
            late = each[SETTLED:]
            sys.stdout.write(
                f"{pull_kn:.1f} kn  {name:12} median {median(late):6.1f}  mean {fmean(late):6.1f} us\n"
            )


if __name__ == "__main__":
    main()
