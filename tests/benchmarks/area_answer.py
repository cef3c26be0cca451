"""How long an answer takes, area included, after an eight-hour watch with forty sightings.

    PYTHONPATH=daemon:tests python -m benchmarks.area_answer

A boat sails past lights at 5 knots and takes a bearing each twelve minutes. Then: the whole rework after the
departure is amended, bearings worked at their own time, and bearings heard an hour late. Printed in ms.
"""

import json
import sys
from collections.abc import Sequence
from timeit import default_timer

import numpy as np

from middlewatch.navigator.navigator import Navigator
from middlewatch.navigator.tuning import Tuning
from middlewatch.quantities.instants import Instant
from middlewatch.quantities.positions import Position
from middlewatch.readings.entries import Entry
from middlewatch.readings.marks import Mark
from middlewatch.readings.sentences import Heading, HeadingKind, WaterSpeed
from middlewatch.readings.watch import Tick
from middlewatch.wire import entries

BEGIN_MS = 1_777_773_600_000
HOURS, EVERY_S = 8, 12 * 60
START = Position(50.0, -4.0)
SEED = 20260503


def lights() -> dict[str, Mark]:
    """Return a light each five miles along the track, four miles to port."""
    return {f"L{n}": Mark(f"L{n}", START.moved(n * 9260.0, -7400.0)) for n in range(10)}


class Watch:
    """A boat under way due north, and the errors of her lookout."""

    def __init__(self) -> None:
        self.marks = lights()
        self.navigator = Navigator(Tuning(), self.marks, entries)
        self.second = 0
        self.chance = np.random.Generator(np.random.Philox(SEED))  # noqa: TID251 -- a seeded benchmark

    def sail_to(self, second: int) -> float:
        """Sail on; return how long the last second took, in ms."""
        took = 0.0
        while self.second < second:
            self.second += 1
            at_ms = BEGIN_MS + 1000 * self.second
            begin = default_timer()
            self.navigator.step(Tick(at_ms))
            took = 1000 * (default_timer() - begin)
            self.navigator.step(Heading(at_ms, "HEHDT@bow", HeadingKind.TRUE, 0.0, None, None))
            self.navigator.step(WaterSpeed(at_ms, "VWVHW@bow", 5.0))
        return took

    def enter(self, channel: str, **fields: object) -> float:
        """Enter something; return how long that took, in ms."""
        text = json.dumps(fields)
        begin = default_timer()
        self.navigator.step(Entry(BEGIN_MS + 1000 * self.second + 1, channel, text))  # type: ignore[arg-type]
        return 1000 * (default_timer() - begin)

    def bearing(self, second: int) -> dict[str, object]:
        """Return a bearing of the nearest light at a second, as a crew would take it."""
        boat = START.moved(second * 5.0 * 1852 / 3600, 0.0)
        name = min(self.marks, key=lambda each: boat.to(self.marks[each].position)[1])
        seen = boat.to(self.marks[name].position)[0] + 2.0 * self.chance.standard_normal()
        return {"kind": "bearing", "mark": name, "bearing_deg": round(seen % 360.0, 1), "reference": "true"}


def shown(what: str, took_ms: Sequence[float]) -> None:
    """Print the median, the 95th percentile and the longest."""
    median, p95, most = np.percentile(took_ms, [50, 95, 100])
    figures = f"median {median:6.1f}  p95 {p95:6.1f}  most {most:6.1f} ms"
    sys.stdout.write(f"{what:28} {figures}  ({len(took_ms)} entries)\n")


def main() -> None:
    """Sail the watch, then enter."""
    watch = Watch()
    watch.sail_to(5)
    watch.enter("order", id="d", kind="departure", latitude_deg=50.0, longitude_deg=-4.0, sd_nm=0.05)
    for second in range(EVERY_S, HOURS * 3600 + 1, EVERY_S):
        watch.sail_to(second)
        watch.enter("sighting", **watch.bearing(second))
    again = [
        watch.enter("order", kind="amend", entry="d", change={"sd_nm": 0.05 + 0.01 * n}) for n in range(1, 6)
    ]
    in_time, late = [], []
    for _ in range(40):
        second = watch.second + 60
        watch.sail_to(second - 1)
        watch.enter("sighting", **watch.bearing(second), id=f"t{second}", at=at(second))
        in_time.append(watch.sail_to(second))
        watch.enter("order", kind="withdraw", entry=f"t{second}")
        hour_ago = second - 3600
        late.append(watch.enter("sighting", **watch.bearing(hour_ago), id=f"l{second}", at=at(hour_ago)))
        watch.enter("order", kind="withdraw", entry=f"l{second}")
    shown("all worked again", again)
    shown("at its own time", in_time)
    shown("an hour late", late)


def at(second: int) -> str:
    """Return a second as an entry names it."""
    return str(Instant(BEGIN_MS + 1000 * second))


if __name__ == "__main__":
    main()
