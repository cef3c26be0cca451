"""What a tick costs in the navigator, and how much of it is the area's.

    PYTHONPATH=daemon:tests python -m benchmarks.tick

A boat under way on heading and log, with a departure and no sighting since. Printed in microseconds: the
median of whole ticks, the encoding of what they publish, and of the area's own work in a tick the best of
several runs each: its report, the integrals, and keeping them.
"""

import gc
import sys
from collections.abc import Callable
from statistics import median
from timeit import default_timer

from middlewatch.navigator.navigator import Navigator
from middlewatch.navigator.tuning import Tuning
from middlewatch.readings.entries import Entry
from middlewatch.readings.sentences import Heading, HeadingKind, WaterSpeed
from middlewatch.readings.watch import Tick
from middlewatch.reports import Report
from middlewatch.wire import entries
from middlewatch.wire.payloads import payload

BEGIN_MS = 1_777_773_600_000
TICKS, RUNS, CALLS = 3_400, 5, 1_000
DEPARTURE = '{"kind": "departure", "latitude_deg": 50.0, "longitude_deg": -4.2}'


def sailed() -> tuple[Navigator, list[float], tuple[Report, ...]]:
    """Sail; return the navigator, how long each tick took, and what the last one said."""
    navigator, took, said = Navigator(Tuning(), {}, entries), list[float](), tuple[Report, ...]()
    for second in range(TICKS):
        at_ms = BEGIN_MS + 1000 * second
        navigator.step(Heading(at_ms, "HCHDG@bow", HeadingKind.SENSOR, 90.0 + second % 5, None, None))
        navigator.step(WaterSpeed(at_ms, "VWVHW@bow", 5.0))
        begin = default_timer()
        said = navigator.step(Tick(at_ms + 1000))
        took.append(1e6 * (default_timer() - begin))
        if second == 10:
            navigator.step(Entry(at_ms + 1000, "order", DEPARTURE))
    return navigator, took[TICKS // 2 :], said


def each_us(work: Callable[[], object]) -> float:
    """Return how long one call takes at best, in microseconds."""

    def run() -> float:
        begin = default_timer()
        for _ in range(CALLS):
            work()
        return 1e6 * (default_timer() - begin) / CALLS

    return min(run() for _ in range(RUNS))


def main() -> None:
    """Measure and print."""
    gc.freeze()
    navigator, took, said = sailed()
    reckoning, area = navigator.room.reckoning, navigator.room.area
    course = reckoning.now
    assert course.row is not None
    row, water = course.row, complex(2.5, 0.1)
    parts = {
        "report of the area": each_us(area.tick),
        "integrals": each_us(lambda: course._integrate(water, 1, row, reckoning.basis)),
        "kept": each_us(lambda: reckoning._sums.append(course)),
    }
    sys.stdout.write(f"whole tick, median        {median(took):6.1f} us\n")
    sys.stdout.write(
        f"encoding, beside it       {each_us(lambda: [payload(each) for each in said]):6.1f} us\n"
    )
    for name, us in parts.items():
        sys.stdout.write(f"{name:25} {us:6.1f} us\n")
    sys.stdout.write(f"the area's part           {sum(parts.values()):6.1f} us\n")


if __name__ == "__main__":
    main()
