"""Whether the way back to somebody overboard leads there, and the area holds the casualty; seeded.

    PYTHONPATH=daemon:tests python -m benchmarks.overboard [passages]

A boat in a stream of 2 kn, without satellites and without a departure, loses somebody, runs on for a while,
turns, and steers by the published bearing M and distance alone, under engine or beating under sail. All goes
through the navigator's door. The true errors of log, compass and leeway are drawn from what the design allows
for each (section 4); the way on a slow boat that no log tells, the press that comes late, and the wind's hold
on the casualty from what `overboard/way_back.py` allows; then, apart, from errors larger than all of those.
The truth is sailed here, second by second, and shares no code with the way back.
"""

import json
import sys
from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass, field
from math import atan2, cos, degrees, hypot, log, radians, sin, sqrt

from area.model import Chance, chance
from middlewatch.navigator.navigator import Navigator
from middlewatch.navigator.tuning import Tuning, VariationChoice
from middlewatch.quantities.instants import Instant
from middlewatch.readings.entries import Entry
from middlewatch.readings.sentences import ApparentWind, Heading, HeadingKind, WaterSpeed
from middlewatch.readings.watch import Tick
from middlewatch.reports import Report
from middlewatch.reports.overboard import CasualtyReport, OverboardReport
from middlewatch.wire import entries

ASKED_S = (30, 60, 120, 300, 600)
"""So long after the press the casualty is looked for in the area; and when the boat is led there first."""
LED_THERE = "led there"
LED_THERE_M = 15.0
BEFORE_S, LASTS_S = 30, 720
STREAM_KN = 2.0
KNOT = 1852.0 / 3600.0
START_MS = Instant.parse("2026-05-03T01:00:00Z").ms


@dataclass(frozen=True)
class Errors:
    """What is wrong on board, truly: one passage's draw.

    `log`: how much more she makes than it shows; `wander`: the same, one standard deviation, wandering;
    `steady_deg`, `sine_deg`, `cosine_deg`: the heading is more than shown by so much; `leeway`: the factor on
    each tack; `unlogged_kn`: (north, east) of a boat with little way on; `late_s`: the press after the fall;
    `blown`, `astray_kn`: the casualty's part of the wind, and a drift of its own; `damped_s`: instruments.
    """

    log: float
    wander: float
    threshold_kn: float
    steady_deg: float
    variation_deg: float
    sine_deg: float
    cosine_deg: float
    leeway: tuple[float, float]
    running_deg: float
    unlogged_kn: tuple[float, float]
    late_s: float
    blown: float
    astray_kn: tuple[float, float]
    damped_s: float = 0.0


def as_allowed(drawn: Chance, ago_s: float) -> Errors:
    """Draw errors as they are allowed for."""
    n = drawn.standard_normal(16).tolist()
    factor = log(1.6)
    return Errors(
        log=0.05 * n[0],
        wander=0.02,
        threshold_kn=0.15 * abs(n[1]),
        steady_deg=1.0 * n[2],
        variation_deg=0.4 * n[3],
        sine_deg=1.5 * n[4],
        cosine_deg=1.5 * n[5],
        leeway=(2.718281828459045 ** (factor * n[6]), 2.718281828459045 ** (factor * n[7])),
        running_deg=1.5 * n[8],
        unlogged_kn=(0.5 * n[9], 0.5 * n[10]),
        late_s=abs(6.0 * n[11]) + 0.25 * ago_s * n[12],
        blown=0.011 + 0.006 * n[13],
        astray_kn=(0.07 * n[14], 0.07 * n[15]),
    )


def broken(drawn: Chance, ago_s: float) -> Errors:
    """Draw errors larger than are allowed for: weed, iron by the compass, a deep sea, slow instruments."""
    within = as_allowed(drawn, ago_s)
    return Errors(
        log=0.15 + within.log,
        wander=0.05,
        threshold_kn=0.4,
        steady_deg=4.0 + within.steady_deg,
        variation_deg=within.variation_deg,
        sine_deg=3.0 * within.sine_deg,
        cosine_deg=3.0 * within.cosine_deg,
        leeway=(2.0 * within.leeway[0], 2.0 * within.leeway[1]),
        running_deg=3.0 * within.running_deg,
        unlogged_kn=(2.0 * within.unlogged_kn[0], 2.0 * within.unlogged_kn[1]),
        late_s=20.0 + within.late_s,
        blown=0.025,
        astray_kn=(2.0 * within.astray_kn[0], 2.0 * within.astray_kn[1]),
        damped_s=4.0,
    )


Drawing = Callable[[Chance, float], Errors]


@dataclass
class Boat:
    """The true boat over the water, the helm, and what the instruments show; angles true, metres, knots."""

    errors: Errors
    drawn: Chance
    sails: bool
    wind_from_deg: float
    wind_kn: float
    wind_heard: bool
    heading_deg: float
    speed_kn: float
    at: complex = 0j
    wander: float = 0.0
    tack: int = 1
    shown_heading_deg: float = 0.0
    shown_speed_kn: float = 0.0

    def show(self) -> None:
        """Let the instruments follow."""
        e, h = self.errors, radians(self.heading_deg)
        error = e.steady_deg + e.variation_deg + e.sine_deg * sin(h) + e.cosine_deg * cos(h)
        shown = (self.heading_deg - error) % 360.0
        logged = max(0.0, self.speed_kn - (e.threshold_kn if self.speed_kn < 1.5 else 0.0))
        logged /= 1.0 + e.log + self.wander
        follow = 1.0 if e.damped_s == 0.0 else 1.0 / (1.0 + e.damped_s)
        swing = (shown - self.shown_heading_deg + 180.0) % 360.0 - 180.0
        self.shown_heading_deg = (self.shown_heading_deg + follow * swing) % 360.0
        self.shown_speed_kn += follow * (round(logged, 1) - self.shown_speed_kn)

    def steer(self, wanted_deg: float, wanted_kn: float) -> None:
        """Turn towards a heading by the compass, and gather or lose way, for a second."""
        wanted_deg = self._sailed(wanted_deg)
        by = (wanted_deg - self.shown_heading_deg + 180.0) % 360.0 - 180.0
        yaw = float(self.drawn.standard_normal()) * 1.5
        self.heading_deg = (self.heading_deg + max(-6.0, min(6.0, by)) + yaw) % 360.0
        self.speed_kn += max(-0.4, min(0.3, wanted_kn - self.speed_kn))

    def _sailed(self, wanted_deg: float) -> float:
        """Return what can be sailed of a course: no nearer the wind than 50 degrees, on the better tack."""
        off = (wanted_deg - self.wind_from_deg + 180.0) % 360.0 - 180.0
        if not self.sails or abs(off) >= 50.0:
            return wanted_deg
        if abs(off) > 25.0:
            self.tack = 1 if off > 0.0 else -1
        return self.wind_from_deg + 50.0 * self.tack

    def go(self) -> None:
        """Go on for a second, over the water."""
        e = self.errors
        slow = self.speed_kn < 1.5
        off = (self.wind_from_deg - self.heading_deg + 180.0) % 360.0 - 180.0
        leeway = e.running_deg
        if self.sails and abs(off) < 110.0 and not slow:
            whole = 8.0 if self.wind_kn > 20.0 or self.speed_kn < 3.0 else 5.0
            share = 1.0 if abs(off) < 60.0 else 0.5
            # The wind on the starboard side pushes to port.
            leeway = -whole * share * e.leeway[0] if off > 0 else whole * share * e.leeway[1]
        course = radians(self.heading_deg + leeway)
        self.at += self.speed_kn * KNOT * complex(cos(course), sin(course))
        if slow:
            self.at += KNOT * complex(*e.unlogged_kn)
        kept = 1.0 - 1.0 / 1800.0
        self.wander = kept * self.wander + e.wander * sqrt(1.0 - kept * kept) * float(
            self.drawn.standard_normal()
        )

    def apparent(self) -> tuple[float, float]:
        """Return the apparent wind: angle clockwise from the bow, knots."""
        wind, head = radians(self.wind_from_deg), radians(self.heading_deg)
        felt = self.wind_kn * complex(cos(wind), sin(wind)) + self.speed_kn * complex(cos(head), sin(head))
        relative = felt * complex(cos(head), -sin(head))
        return degrees(atan2(relative.imag, relative.real)) % 360.0, abs(relative)


@dataclass
class Outcome:
    """What came of one passage: held or not, by moment; metres off; the long half axis told, metres."""

    held: dict[str, bool] = field(default_factory=dict)
    off_m: dict[str, float] = field(default_factory=dict)
    half_m: dict[str, float] = field(default_factory=dict)
    nearest_m: float = 1e9


def sailed(number: int, seed: int, drawing: Drawing) -> Outcome:
    """Sail one passage."""
    drawn = chance(seed, number)
    ago_s = 40.0 if number % 4 == 3 else 0.0
    errors = drawing(drawn, ago_s)
    boat = Boat(
        errors, drawn,
        sails=number % 2 == 0,
        wind_from_deg=float(drawn.uniform(0.0, 360.0)),
        wind_kn=float(drawn.uniform(4.0, 22.0)),
        wind_heard=number % 8 < 6,
        heading_deg=float(drawn.uniform(0.0, 360.0)),
        speed_kn=float(drawn.uniform(3.5, 6.5)),
    )  # fmt: skip
    return _search(boat, drawn, ago_s)


def _search(boat: Boat, drawn: Chance, ago_s: float) -> Outcome:
    chart = VariationChoice("chart", value_deg=0.0, year=2026.0)
    navigator = Navigator(Tuning(variation=chart), {}, entries)
    outcome, course_deg, cruise_kn = Outcome(), boat.heading_deg, boat.speed_kn
    run_on_s = float(drawn.uniform(5.0, 120.0))
    stream = STREAM_KN * KNOT
    boat.show()
    boat.shown_heading_deg, boat.shown_speed_kn = boat.heading_deg, boat.speed_kn
    wake: list[complex] = []
    told: CasualtyReport | None = None
    casualty = 0j
    press = BEFORE_S + round(ago_s) + 30
    fell = max(0.0, press - ago_s - boat.errors.late_s)
    for second in range(press + LASTS_S):
        wake.append(boat.at)
        if second == press:
            text = {"id": "o", "kind": "overboard", **({"ago_s": ago_s} if ago_s else {})}
            navigator.step(Entry(START_MS + 1000 * second, "order", json.dumps(text)))
            casualty = _between(wake, fell) + _drifted(boat, press - fell) + stream * (press - fell)
        if second > press:
            casualty += _drifted(boat, 1.0)
        told = _told(navigator.step(Tick(START_MS + 1000 * second))) or told
        if told is not None and second >= press:
            _look(outcome, told, second - press, boat.at, casualty)
        back = told is not None and second > press + run_on_s
        near_m = 1e9 if told is None or told.distance_nm is None else told.distance_nm * 1852.0
        bearing = None if told is None else told.bearing_magnetic_deg
        leads = back and bearing is not None and near_m > LED_THERE_M
        slow_kn = 0.3 if near_m <= LED_THERE_M else 2.0 if near_m < 60.0 else 4.5
        boat.steer(bearing if leads and bearing is not None else boat.heading_deg if back else course_deg,
                   slow_kn if back else cruise_kn)  # fmt: skip
        boat.show()
        _hear(navigator, boat, START_MS + 1000 * second)
        boat.go()
        # The stream carries both alike; it is here so that the truth has it.
        boat.at += stream
        casualty += stream
    return outcome


def _hear(navigator: Navigator, boat: Boat, at_ms: int) -> None:
    navigator.step(
        Heading(at_ms + 100, "HCHDM@bow", HeadingKind.MAGNETIC, boat.shown_heading_deg, None, None)
    )
    navigator.step(WaterSpeed(at_ms + 110, "VWVHW@bow", boat.shown_speed_kn))
    if boat.wind_heard:
        angle, kn = boat.apparent()
        navigator.step(ApparentWind(at_ms + 120, "WIMWV@bow", angle, kn))


def _told(reports: tuple[Report, ...]) -> CasualtyReport | None:
    told = [each for each in reports if isinstance(each, OverboardReport)]
    return told[-1].casualties[0] if told else None


def _between(wake: list[complex], second: float) -> complex:
    place = min(int(second), len(wake) - 2)
    return wake[place] + (second - place) * (wake[place + 1] - wake[place])


def _drifted(boat: Boat, seconds: float) -> complex:
    """Return how the casualty has gone through the water by itself."""
    downwind = radians(boat.wind_from_deg + 180.0)
    kn = boat.errors.blown * boat.wind_kn
    own = complex(*boat.errors.astray_kn) + kn * complex(cos(downwind), sin(downwind))
    return own * KNOT * seconds


def _look(outcome: Outcome, told: CasualtyReport, after_s: int, boat: complex, casualty: complex) -> None:
    """Look for the casualty in the area told, at the moments of `ASKED_S` and when led there first."""
    outcome.nearest_m = min(outcome.nearest_m, abs(casualty - boat))
    if told.distance_nm is None or told.area is None or told.area.orientation_deg is None:
        return
    there = after_s > 60 and told.distance_nm * 1852.0 <= LED_THERE_M and LED_THERE not in outcome.held
    name = str(after_s) if after_s in ASKED_S else LED_THERE if there else None
    if name is None:
        return
    towards = radians(told.bearing_true_deg or 0.0)
    off = casualty - boat - told.distance_nm * 1852.0 * complex(cos(towards), sin(towards))
    along = radians(told.area.orientation_deg)
    turned = off * complex(cos(along), -sin(along))
    major_m, minor_m = told.area.semi_major_nm * 1852.0, told.area.semi_minor_nm * 1852.0
    outcome.held[name] = hypot(turned.real / major_m, turned.imag / minor_m) <= 1.0
    outcome.off_m[name] = abs(off)
    outcome.half_m[name] = major_m


def interval(part: float, count: int) -> tuple[float, float]:
    """Return the interval that holds a part found in so many 95 times in 100 (Wilson's score)."""
    z2 = 1.96**2
    middle = (part + z2 / (2 * count)) / (1 + z2 / count)
    half = 1.96 / (1 + z2 / count) * sqrt(part * (1 - part) / count + z2 / (4 * count * count))
    return middle - half, middle + half


def measured(passages: int, seed: int, drawing: Drawing) -> list[Outcome]:
    """Sail so many passages."""
    return [sailed(number, seed, drawing) for number in range(passages)]


def table(outcomes: list[Outcome]) -> list[str]:
    """Return what came of them, a line a moment."""
    held: dict[str, list[bool]] = defaultdict(list)
    for outcome in outcomes:
        for name, each in outcome.held.items():
            held[name].append(each)
    lines = [
        "after the press   passages   held %  (95 % interval)   off, m: median   95 %   half axis, m: median"
    ]
    for name in (*map(str, ASKED_S), LED_THERE):
        found = held[name]
        if not found:
            continue
        part = sum(found) / len(found)
        low, high = interval(part, len(found))
        off = sorted(each.off_m[name] for each in outcomes if name in each.off_m)
        half = sorted(each.half_m[name] for each in outcomes if name in each.half_m)
        words = name + (" s" if name.isdigit() else "")
        lines.append(
            f"{words:>15} {len(found):10d} {100 * part:8.1f}  ({100 * low:.1f} to {100 * high:.1f})    "
            f"{off[len(off) // 2]:14.0f} {off[19 * len(off) // 20]:6.0f} {half[len(half) // 2]:22.0f}"
        )
    near = sorted(outcome.nearest_m for outcome in outcomes)
    lines.append(
        f"passed the casualty nearest at: median {near[len(near) // 2]:.0f} m,"
        f" 90 % {near[9 * len(near) // 10]:.0f} m, 95 % {near[19 * len(near) // 20]:.0f} m"
    )
    return lines


def main() -> None:
    """Print both tables."""
    passages = int(sys.argv[1]) if len(sys.argv) > 1 else 600
    for title, drawing in (("errors as allowed for", as_allowed), ("errors larger than allowed for", broken)):
        sys.stdout.write(f"\n{title}; {passages} passages of seed 5\n")
        sys.stdout.write("\n".join(table(measured(passages, 5, drawing))) + "\n")


if __name__ == "__main__":
    main()
