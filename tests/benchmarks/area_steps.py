"""Whether the navigator's own door gives what the cloud's functions give, on simulated passages.

    PYTHONPATH=daemon:tests python -m benchmarks.area_steps [PASSAGES] [--samples N] [--family NAME ...]

Each passage is sailed second by second through `step`, its sightings entered at their time; at each time
asked the area as reported is held against the one drawn by the functions that `benchmarks.area` counts with.
Printed: how many areas, and by how much they differ at most, in parts of the long half-axis.
"""

import argparse
import os
import sys
from collections.abc import Sequence

from area.families import FAMILIES
from area.passages import sail
from area.stepping import stepped

SEED = 20260503


def main(arguments: Sequence[str]) -> None:
    """Sail what was asked for."""
    parser = argparse.ArgumentParser()
    parser.add_argument("count", type=int, nargs="?", default=50)
    parser.add_argument("--samples", type=int, default=5_000)
    parser.add_argument("--family", nargs="*", default=list(FAMILIES))
    asked = parser.parse_args(arguments)
    for name in asked.family:
        sailed = sail(FAMILIES[name], asked.count, SEED)
        gaps = [
            gap
            for number in range(asked.count)
            for gap in stepped(sailed.passage(number), asked.samples).gaps()
        ]
        sys.stdout.write(f"{name:24} {len(gaps):5} areas  apart at most {max(gaps):.1e}\n")
        sys.stdout.flush()


if __name__ == "__main__":
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    main(sys.argv[1:])
