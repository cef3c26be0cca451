"""How often the area really holds the boat: simulated passages of each family through the cloud's functions.

    PYTHONPATH=daemon:tests python -m benchmarks.area [PASSAGES] [--samples N] [--family NAME ...]

Prints, for each family and each hour asked, how many of a hundred boats were inside the outline and inside
the ellipse, with the 95 % interval of that figure (Wilson), and the root mean square of the distance from
the mean. The passages are those of `area.passages`; every figure hangs on the seed alone.
"""

import argparse
import os
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from multiprocessing.pool import Pool

import numpy as np

from area.families import FAMILIES, Family
from area.passages import Passage, sail
from area.sailing import Sailed, sheets

SEED = 20260503
Z95 = 1.959964


@dataclass(frozen=True, slots=True)
class Tally:
    """Of one passage, at each time asked: inside the outline, inside the ellipse, metres off the mean."""

    outline: tuple[bool, ...]
    ellipse: tuple[bool, ...]
    off_m: tuple[float, ...]


def tally(passage: Passage, samples: int) -> Tally:
    """Work one passage and hold the areas against the truth."""
    held = [
        Sailed(sheet, truth) for sheet, truth in zip(sheets(passage, samples), passage.deviation, strict=True)
    ]
    return Tally(
        tuple(each.in_outline for each in held),
        tuple(each.in_ellipse for each in held),
        tuple(each.off_m for each in held),
    )


def wilson(part: float, of: int) -> tuple[float, float]:
    """Return the 95 % interval of a proportion (Wilson 1927; from memory)."""
    middle = (part + Z95**2 / (2 * of)) / (1 + Z95**2 / of)
    half = Z95 / (1 + Z95**2 / of) * (part * (1 - part) / of + Z95**2 / (4 * of**2)) ** 0.5
    return middle - half, middle + half


def run(family: Family, count: int, samples: int, pool: Pool) -> None:
    """Run one family and print it."""
    passages = sail(family, count, SEED)
    each = [passages.passage(n) for n in range(count)]
    tallies = pool.map(partial(tally, samples=samples), each, chunksize=8)
    outline = np.array([made.outline for made in tallies])
    ellipse = np.array([made.ellipse for made in tallies])
    off_nm = np.array([made.off_m for made in tallies]) / 1852.0
    for place, second in enumerate(family.asked_s):
        part = float(outline[:, place].mean())
        low, high = wilson(part, count)
        held = f"outline {100 * part:5.1f} ({100 * low:.1f}-{100 * high:.1f})"
        by_ellipse = f"ellipse {100 * ellipse[:, place].mean():5.1f}"
        rms_nm = np.sqrt(np.square(off_nm[:, place]).mean())
        sys.stdout.write(
            f"{family.name:24} {second / 3600:4.2f} h  {held}  {by_ellipse}  rms {rms_nm:5.2f} nm\n"
        )
        sys.stdout.flush()


def main(arguments: Sequence[str]) -> None:
    """Run what was asked for."""
    parser = argparse.ArgumentParser()
    parser.add_argument("count", type=int, nargs="?", default=2000)
    parser.add_argument("--samples", type=int, default=20_000)
    parser.add_argument("--family", nargs="*", default=list(FAMILIES))
    asked = parser.parse_args(arguments)
    with Pool(os.cpu_count()) as pool:
        for name in asked.family:
            run(FAMILIES[name], asked.count, asked.samples, pool)


if __name__ == "__main__":
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    main(sys.argv[1:])
