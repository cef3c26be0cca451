"""How wide the reckoning's doubt grows: the 95 % radius of the simple set, by simulation. Run it as a script.

5 kn; compass 2 degrees, leeway 2.5 degrees and log 5 %, each constant over the passage; stream 0.7 kn an axis
with a memory of 3 h (first-order Gauss-Markov). One standard deviation each; seeded.
"""

from math import exp, hypot, radians, sqrt
from random import Random

SPEED_KN = 5.0
HOURS = (0.5, 1.0, 2.0, 4.0)
STEP_H = 1 / 60


def error_nm(chance: Random) -> list[float]:
    """Return how far the reckoning is out after each of the hours, in nm."""
    course, log = radians(hypot(2.0, 2.5)), 0.05
    across, along = chance.gauss(0, course), chance.gauss(0, log)
    north, east = chance.gauss(0, 0.7), chance.gauss(0, 0.7)
    keeps = exp(-STEP_H / 3.0)
    fresh = 0.7 * sqrt(1 - keeps * keeps)
    x = y = 0.0
    out = []
    for step in range(1, round(HOURS[-1] / STEP_H) + 1):
        x += (SPEED_KN * along + north) * STEP_H
        y += (SPEED_KN * across + east) * STEP_H
        north, east = keeps * north + chance.gauss(0, fresh), keeps * east + chance.gauss(0, fresh)
        if any(abs(step * STEP_H - hours) < STEP_H / 2 for hours in HOURS):
            out.append(hypot(x, y))
    return out


def radii_95(passages: int, seed: int = 1) -> list[float]:
    """Return the radius that holds 95 of 100 passages, at each of the hours."""
    chance = Random(seed)  # noqa: S311 -- a simulation, seeded so that it can be repeated
    errors = [error_nm(chance) for _ in range(passages)]
    return [sorted(column)[int(0.95 * passages)] for column in zip(*errors, strict=True)]


if __name__ == "__main__":
    for hours, radius in zip(HOURS, radii_95(20_000), strict=True):
        print(f"after {hours:g} h at {SPEED_KN:g} kn: 95 % within {radius:.2f} nm")  # noqa: T201 -- a script
