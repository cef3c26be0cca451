"""How near the cloud comes to brute force: root mean square errors on the same passages, family by family.

    PYTHONPATH=daemon:tests python -m benchmarks.area_reference [PASSAGES] [--particles N] [--family NAME ...]

The reference draws whole passages from the model and weighs them (`area.reference`; a second one, of another
method and code, agrees with it in `area/test_reference.py`). Printed for each family: the areas compared, the
root mean square distance of the truth from either's mean, their ratio, and how far the two means lie apart in
standard deviations of the reference. Where under a thousand of the reference's particles count it is no
reference; such areas are left out and counted.
"""

import argparse
import os
import sys
from collections.abc import Sequence

import numpy as np

from area.families import FAMILIES, Family
from area.passages import sail
from area.reference import ByImportance
from area.sailing import sheets

SEED, SAMPLES, LEAST = 20260504, 20_000, 1000.0


def compare(family: Family, count: int, particles: int) -> str:
    """Return the line of one family."""
    sailed = sail(family, count, SEED)
    reference = ByImportance(family, particles, seed=5)
    ours, theirs, apart, thin = [], [], [], 0
    for number in range(count):
        passage = sailed.passage(number)
        posteriors = reference.posteriors(passage)
        for sheet, drawn, truth in zip(sheets(passage, SAMPLES), posteriors, passage.deviation, strict=True):
            if drawn.thinnest < LEAST:
                thin += 1
                continue
            ours.append(abs(sheet.spread.mean - truth))
            theirs.append(abs(drawn.mean() - truth))
            apart.append(abs(sheet.spread.mean - drawn.mean()) / np.sqrt(np.trace(drawn.covariance())))
    if not ours:
        return f"{family.name:24} nothing to compare, {thin} left out"
    rms = [np.sqrt(np.square(each).mean()) / 1852.0 for each in (ours, theirs)]
    figures = f"rms {rms[0]:.3f} against {rms[1]:.3f} nm, ratio {rms[0] / rms[1]:.4f}"
    return (
        f"{family.name:24} {len(ours):4} areas  {figures}  means apart {np.mean(apart):.3f} sd, "
        f"most {max(apart):.2f}  ({thin} left out)"
    )


def main(arguments: Sequence[str]) -> None:
    """Compare what was asked for."""
    parser = argparse.ArgumentParser()
    parser.add_argument("count", type=int, nargs="?", default=100)
    parser.add_argument("--particles", type=int, default=1_000_000)
    parser.add_argument("--family", nargs="*", default=list(FAMILIES))
    asked = parser.parse_args(arguments)
    for name in asked.family:
        sys.stdout.write(compare(FAMILIES[name], asked.count, asked.particles) + "\n")
        sys.stdout.flush()


if __name__ == "__main__":
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    main(sys.argv[1:])
