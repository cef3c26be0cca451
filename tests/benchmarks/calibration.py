"""What a calibration is worth: the area an hour after it, and what a pulled receiver can make of one.

    python -m benchmarks.calibration [boats] [family ...]

Boats with a log that shows a ninth too much and a compass four degrees off, neither ever calibrated: a box of
eight minutes a side in the bay, both orders, the departure, and an hour without satellites; the same not
calibrated, and departed before the box. Boats without a card whose compass is drawn from the settings' own
doubt, its deviation found by hand on one heading, and departed on the reciprocal. And boats whose receiver is
drawn off within the box, at once or growing. The truth is that of `calibration.trials`. Written down in
`results/calibration.txt`.
"""

import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from area.model import chance
from calibration.trials import BOX, NEVER_CALIBRATED, SETTINGS, OnTrial, Wrong
from middlewatch.navigator.reckoning.course import Course
from middlewatch.reports.position import PositionReport

BOATS = 200
WRONG = Wrong(0.9, 4.0)
HOUR = ((20.0, 1800), (110.0, 1800))
ONE_HEADING_DEG, RECIPROCAL_DEG, SQUARE_DEG = 20.0, 200.0, 110.0
FOUND_SD_DEG = 1.0
QUIET_KN = 0.5
NO_CARD = replace(SETTINGS, compass_card=False, strongest_stream_kn=QUIET_KN)
GROWS_S = 1200.0
PULLS: dict[str, tuple[float, float]] = {
    "0 kn": (0.0, 0.0),
    "0.5 kn": (0.5, 0.0),
    "1 kn": (1.0, 0.0),
    "2 kn": (2.0, 0.0),
    "grown to 0.5 kn in 20 min": (0.5, GROWS_S),
    "grown to 1 kn in 20 min": (1.0, GROWS_S),
    "grown to 2 kn in 20 min": (2.0, GROWS_S),
}
"""By name, how strong in knots and how long it grows."""

HALF_OF_THE_BOX_S = 960
NORMAL_95 = 1.96


# --- the area an hour after -------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class After:
    """How an hour ended: whether the area held her, its half-axes, and how far off the EP was, nm."""

    held: bool
    major_nm: float
    minor_nm: float
    off_nm: float


def hour(seed: int, *, calibrated: bool, departs_first: bool = False) -> After | None:
    """Sail a boat; None where the satellites were suspected at the end of the box, and the orders refused."""
    boat = OnTrial(seed, WRONG, tuning=NEVER_CALIBRATED)
    if departs_first:
        boat.sail(((20.0, 60),))
        boat.depart()
    boat.sail(BOX)
    if calibrated and not both_ordered(boat):
        return None
    boat.depart()
    boat.heard = False
    return ended(boat, boat.sail(HOUR))


def found_on_one_heading(seed: int, heading_deg: float, *, soft_iron_deg: float = 0.0) -> After:
    """Sail a boat whose compass nobody knows: its deviation found and ordered on one heading, then another.

    What soft iron makes is the same on the reciprocal, and the other way about square off.
    """
    constant, sine, cosine, off, factor, one, other = chance(seed, 11).normal(size=7).tolist()
    double = soft_iron_deg * one, soft_iron_deg * other
    wrong = Wrong(1.0 + 0.05 * factor, 2.0 * constant, 4.0 * sine, 4.0 * cosine, double)
    boat = OnTrial(seed, wrong, strongest_kn=QUIET_KN, tuning=NO_CARD, heard=False)
    boat.sail(((ONE_HEADING_DEG, 10),))
    found_deg = round(wrong.turn(ONE_HEADING_DEG) + FOUND_SD_DEG * off, 2)
    boat.boat.order("deviation", deviation_deg=max(-20.0, min(20.0, found_deg)), sd_deg=FOUND_SD_DEG)
    boat.sail(((heading_deg, 1),))
    boat.depart()
    return ended(boat, boat.sail(((heading_deg, 3600),)))


def both_ordered(boat: OnTrial) -> bool:
    """Order both from satellites; tell whether both were accepted."""
    kinds = ("log_factor", "deviation")
    return all(boat.boat.enter("order", kind=kind, **{"from": "satellite"}).accepted for kind in kinds)


def ended(boat: OnTrial, said: PositionReport) -> After:
    """Return how an hour ended."""
    area, ep = said.area, said.ep
    if area is None or ep is None:
        raise ValueError("there is no area")
    north_m, east_m = boat.at.offset_to(type(boat.at)(ep.latitude_deg, ep.longitude_deg))
    off_nm = float(np.hypot(north_m, east_m)) / 1852.0
    return After(boat.holds(area), area.semi_major_nm, area.semi_minor_nm, off_nm)


def told(name: str, all_ended: Sequence[After | None]) -> str:
    """Return the line of a family."""
    taken = [each for each in all_ended if each is not None]
    held = 100.0 * sum(each.held for each in taken) / len(taken)
    major, minor = (
        float(np.median([getattr(each, axis) for each in taken])) for axis in ("major_nm", "minor_nm")
    )
    off = float(np.sqrt(np.mean([each.off_nm**2 for each in taken])))
    refused = len(all_ended) - len(taken)
    return f"{name} | {len(all_ended)} | {refused} | {held:.1f} % | {major:.2f} x {minor:.2f} | {off:.2f}\n"


# --- a pulled receiver ------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Judged:
    """What became of the orders: whether taken, whether the watch had parted, and what was found.

    `log`, `deviation`: how far off what was found is, in its own told deviations.
    """

    taken: bool
    parted: bool
    log: float = 0.0
    deviation: float = 0.0


def pulled(seed: int, kn: float, *, grows_s: float) -> Judged:
    """Sail a boat that departed and then sailed the box, her receiver drawn off from some moment of it on.

    A pull that grows sets in before the half of the box.
    """
    boat = OnTrial(seed, WRONG, tuning=NEVER_CALIBRATED)
    draw = chance(seed, 9)
    latest_s = HALF_OF_THE_BOX_S if grows_s else 1800
    after_s, towards = draw.uniform(60 + 240, 60 + latest_s), np.exp(1j * draw.uniform(0.0, 2.0 * np.pi))
    boat.draw_off(after_s, complex(towards), kn, grows_s=grows_s)
    boat.sail(((20.0, 60),))
    boat.depart()
    boat.sail(BOX)
    room = boat.boat.navigator.room
    parted = room.check.agreed.parted is not None
    if not both_ordered(boat):
        return Judged(taken=False, parted=parted)
    return Judged(True, parted, *off_by(room.reckoning.now))


def off_by(course: Course) -> tuple[float, float]:
    """Return how far factor and deviation by order are off, in their own deviations; the worst heading's."""
    factor, deviation = course.log_factor, course.deviation
    if factor is None or deviation is None:
        raise ValueError("nothing was found")
    headings = [heading for heading, _ in BOX]
    each = (
        abs(deviation.at(heading) - WRONG.turn(heading))
        / deviation.sd_deg(complex(np.exp(1j * np.radians(heading))))
        for heading in headings
    )
    return abs(factor.factor - WRONG.factor) / factor.sd, max(each)


def told_pulled(name: str, judged: Sequence[Judged]) -> str:
    """Return the line of a pull."""
    taken = [each for each in judged if each.taken]
    log, deviation = (sum(getattr(each, what) < NORMAL_95 for each in taken) for what in ("log", "deviation"))
    parted = sum(each.parted for each in judged)
    return f"{name} | {len(judged)} | {parted} | {len(judged) - len(taken)} | {log} | {deviation}\n"


# --- the families -----------------------------------------------------------------------------------------

FAMILIES: dict[str, tuple[str, Callable[[int], After | None]]] = {
    "calibrated": ("calibrated before departure", lambda seed: hour(seed, calibrated=True)),
    "not": ("not calibrated", lambda seed: hour(seed, calibrated=False)),
    "departed": (
        "calibrated, departed before the box",
        lambda seed: hour(seed, calibrated=True, departs_first=True),
    ),
    "reciprocal": (
        "deviation of one heading, departed on the reciprocal",
        lambda seed: found_on_one_heading(seed, RECIPROCAL_DEG),
    ),
    "soft iron": (
        "the same with soft iron of 1 degree, departed square off",
        lambda seed: found_on_one_heading(seed, SQUARE_DEG, soft_iron_deg=1.0),
    ),
}


def main(boats: int, chosen: Sequence[str]) -> None:
    """Print how often the area holds her, and its size, family by family; then what pulls make."""
    seeds = range(1, boats + 1)
    sys.stdout.write("family | boats | refused | area holds | half-axes, median nm | EP off, RMS nm\n")
    for key, (name, sail) in FAMILIES.items():
        if not chosen or key in chosen:
            sys.stdout.write(told(name, [sail(seed) for seed in seeds]))
            sys.stdout.flush()
    if not chosen or "pulled" in chosen:
        sys.stdout.write(
            "pull | boats | parted | refused | of the others, in its told 95 %: log | deviation\n"
        )
        for name, (kn, grows_s) in PULLS.items():
            sys.stdout.write(told_pulled(name, [pulled(seed, kn, grows_s=grows_s) for seed in seeds]))
            sys.stdout.flush()


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else BOATS, sys.argv[2:])
