"""What a calibration from satellites is worth: the area an hour after it, with and without.

    python -m benchmarks.calibration [boats]

Boats with a log that shows a ninth too much and a compass four degrees off, neither ever calibrated: a box of
eight minutes a side in the bay, both orders, the departure, and an hour without satellites. The truth is that
of `calibration.trials`. Written down in `results/calibration.txt`.
"""

import sys
from dataclasses import dataclass

import numpy as np

from calibration.trials import BOX, NEVER_CALIBRATED, OnTrial, Wrong

BOATS = 200
WRONG = Wrong(0.9, 4.0)
HOUR = ((20.0, 1800), (110.0, 1800))


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
    for kind in ("log_factor", "deviation") if calibrated else ():
        if not boat.boat.enter("order", kind=kind, **{"from": "satellite"}).accepted:
            return None
    boat.depart()
    boat.heard = False
    said = boat.sail(HOUR)
    area, ep = said.area, said.ep
    if area is None or ep is None:
        raise ValueError("there is no area")
    north_m, east_m = boat.at.offset_to(type(boat.at)(ep.latitude_deg, ep.longitude_deg))
    off_nm = float(np.hypot(north_m, east_m)) / 1852.0
    return After(boat.holds(area), area.semi_major_nm, area.semi_minor_nm, off_nm)


def told(name: str, ended: list[After | None]) -> str:
    """Return the line of a family."""
    taken = [each for each in ended if each is not None]
    held = 100.0 * sum(each.held for each in taken) / len(taken)
    major, minor = (
        float(np.median([getattr(each, axis) for each in taken])) for axis in ("major_nm", "minor_nm")
    )
    off = float(np.sqrt(np.mean([each.off_nm**2 for each in taken])))
    refused = len(ended) - len(taken)
    return f"{name} | {len(ended)} | {refused} | {held:.1f} % | {major:.2f} x {minor:.2f} | {off:.2f}\n"


def main(boats: int) -> None:
    """Print how often the area holds her, and its size, family by family."""
    seeds = range(1, boats + 1)
    sys.stdout.write("family | boats | refused | area holds | half-axes, median nm | EP off, RMS nm\n")
    sys.stdout.write(told("calibrated before departure", [hour(seed, calibrated=True) for seed in seeds]))
    sys.stdout.flush()
    sys.stdout.write(told("not calibrated", [hour(seed, calibrated=False) for seed in seeds]))
    sys.stdout.flush()
    departed = [hour(seed, calibrated=True, departs_first=True) for seed in seeds]
    sys.stdout.write(told("calibrated, departed before the box", departed))


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else BOATS)
