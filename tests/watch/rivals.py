"""Rivals of the watch on the same runs: a fixed limit, and the best tests for one who knows the pull."""

import numpy as np

from middlewatch.navigator.watch.pull import Moved, Odds, Pull
from watch.sailed import KN, Complex, Floats, Sailed

SAMPLE_S = 5
SAMPLE_SD_KN = 0.45
"""Of an apparent stream over five seconds; the height, which is tuned, makes up for what it is not."""
AFTER_S = 300
"""An alarm that has been given is not given again for so long."""
HOUR_S = 3600
DIRECTIONS = 16
"""So many are tried by one who does not know whither: a pull is off the nearest by 11 degrees at most."""


def slow_stream(sailed: Sailed, odds: Odds) -> Complex:
    """Return the slow stream (complex m/s) as the watch knows it with all well; nan while it is open."""
    pull, moves = Pull(odds), np.diff(sailed.apparent_m, prepend=sailed.apparent_m[:1])
    slow = np.full(moves.size, complex(np.nan))
    for second, move in enumerate(moves.tolist()):
        strongest = float(sailed.strongest_kn[second])
        pull.tick(
            Moved(
                move.real,
                move.imag,
                float(sailed.heading_deg[second]),
                float(sailed.log_kn[second]),
                strongest,
                strongest > sailed.family.strongest_kn,
            )
        )
        if pull.second >= pull.opened and not pull.turned:
            slow[second] = complex(*pull.rates[-1].way)
    return slow


def known_pull(apparent: Complex, slow: Complex, pull_kn: complex, height: float) -> list[int]:
    """Return the seconds of alarm of Page's test (1954) for a pull of known size and direction.

    It is held against the slow stream of the same passage with everything well, which no pull has touched.
    """
    samples = slice(SAMPLE_S, None, SAMPLE_S)
    moved = (apparent[SAMPLE_S:] - apparent[:-SAMPLE_S]) / SAMPLE_S
    off_kn = (moved[::SAMPLE_S][: slow[samples].size] - slow[samples]) / KN
    along = (off_kn * np.conj(pull_kn)).real / abs(pull_kn)
    steps = abs(pull_kn) * (along - abs(pull_kn) / 2) / SAMPLE_SD_KN**2
    return [SAMPLE_S * (each + 1) for each in page_test(steps, height, AFTER_S // SAMPLE_S)]


def known_size(apparent: Complex, slow: Complex, pull_kn: complex, height: float) -> list[int]:
    """Return the seconds of alarm of one who knows the size of the pull and not whither it goes.

    The first of Page's tests for pulls of that size in each direction: what a line of tide of any direction
    sets off, while it sets off few of one that knows the direction.
    """
    directions = abs(pull_kn) * np.exp(2j * np.pi * np.arange(DIRECTIONS) / DIRECTIONS)
    alarms: list[int] = []
    for alarm in sorted(each for way in directions for each in known_pull(apparent, slow, way, height)):
        if not alarms or alarm - alarms[-1] >= AFTER_S:
            alarms.append(alarm)
    return alarms


def page_test(steps: Floats, height: float, quiet_for: int = 0) -> list[int]:
    """Return where the sum that is never let below nothing passes a height; it then begins anew.

    Samples that are not a number begin it anew as well; after an alarm there is none for `quiet_for` samples.
    """
    alarms, total, quiet_until = [], 0.0, 0
    for at, step in enumerate(steps.tolist()):
        total = max(0.0, total + step) if step == step else 0.0  # noqa: PLR0124 -- nan is unlike itself
        if total > height and at >= quiet_until:
            alarms.append(at)
            quiet_until, total = at + quiet_for, 0.0
    return alarms


def fixed_limit(apparent: Complex, limit_nm: float) -> list[int]:
    """Return the seconds at which the gap passes a limit, reset to nothing each hour."""
    alarms = []
    for begins in range(0, apparent.size, HOUR_S):
        part = apparent[begins : begins + HOUR_S]
        past = np.flatnonzero(np.abs(part - part[0]) > limit_nm * 1852.0)
        if past.size:
            alarms.append(begins + int(past[0]))
    return alarms
