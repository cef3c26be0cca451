"""Special pairs: two angles on the bow that give a distance off without drawing, as the handbooks teach.

An angle on the bow is between the course made through the water, leeway in it, and the mark; degrees. The
rule holds in still water: what carries the boat otherwise makes it false.
"""

from cmath import phase
from dataclasses import dataclass
from math import cos, degrees, hypot, radians, sin

from middlewatch.quantities.angles import turn

_FITS_DEG = 1.0
_DOUBLED = 20.0, 60.0
"""First angles that are worth doubling: smaller ones cut too narrowly, larger ones go far abaft the beam."""
STEADY_DEG = 5.0
"""By more than this a course is another one (judgement)."""


@dataclass(frozen=True, slots=True)
class Pair:
    """A first and a second angle on the bow, degrees, and what the log's run between them gives, in words."""

    name: str
    first_deg: float
    second_deg: float
    rule: str


_RUN = "the log's run until it is"
_PASSED_AT = "the distance the mark is passed at"
PAIRS = (
    Pair("Bow and beam", 45.0, 90.0, f"{_RUN} on the beam is {_PASSED_AT}"),
    Pair("26.5 and 45", 26.5, 45.0, f"{_RUN} 45 on the bow is {_PASSED_AT}"),
    Pair("22.5 and 45", 22.5, 45.0, f"seven tenths of {_RUN} 45 on the bow are {_PASSED_AT}"),
    Pair("30 and 60", 30.0, 60.0, f"seven eighths of {_RUN} 60 on the bow are {_PASSED_AT}"),
)
_DOUBLING = "once that has doubled, the log's run since is the mark's distance off then"


def pair_of(first_deg: float) -> Pair | None:
    """Return the pair that a first angle on the bow begins; None where none fits."""
    for pair in PAIRS:
        if abs(first_deg - pair.first_deg) <= _FITS_DEG:
            return pair
    if _DOUBLED[0] <= first_deg <= _DOUBLED[1]:
        return Pair("Doubling the angle", first_deg, 2.0 * first_deg, _DOUBLING)
    return None


def distances_off(first_deg: float, second_deg: float, run: float) -> tuple[float, float]:
    """Return how far off the mark is at the second bearing, and when abeam, in the unit of the run.

    Sine rule: distance = run x sin A / sin (B - A), and abeam sin B of that (Bowditch, Table 18).
    """
    off = run * sin(radians(first_deg)) / sin(radians(second_deg - first_deg))
    return off, off * sin(radians(second_deg))


def false_by(pair: Pair, water: complex, ground: complex, *, to_starboard: bool) -> float:
    """Return the part of the run by which a rule is false where the ground is run over and not the water.

    `water`, `ground`: the runs of one and the same time, north + east j; the mark is on the side given.
    """
    aside_deg = turn(degrees(phase(water)), degrees(phase(ground))) * (1.0 if to_starboard else -1.0)
    by_ground = abs(ground) / abs(water) * sin(radians(pair.first_deg - aside_deg))
    return abs(by_ground - sin(radians(pair.first_deg))) / sin(radians(pair.second_deg - pair.first_deg))


def doubt(pair: Pair, bearing_sd_deg: float) -> float:
    """Return one standard deviation of the distance at the second bearing, as a part of the run.

    By what each bearing errs by itself; an error both have in common does less.
    """
    first, cut = radians(pair.first_deg), radians(pair.second_deg - pair.first_deg)
    by_first = sin(radians(pair.second_deg)) / sin(cut) ** 2
    by_second = sin(first) * cos(cut) / sin(cut) ** 2
    return radians(bearing_sd_deg) * hypot(by_first, by_second)
