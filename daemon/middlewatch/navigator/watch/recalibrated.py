"""Recalibrated: whether a log factor or a deviation by hand shows in the way made good.

Ordered wrong it carries the DR off from its second on, and on one heading nothing but the size of what the
satellites make then tells it from a stream: a stream that just hid it before must be as large. Once she turns
a stream stays where it is, and what a wrong order makes turns with her. So the receiver's way, before and
since, is weighed as the order has it and as it was before the order: a steady stream that wanders, and noise.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import exp, log, radians
from typing import TYPE_CHECKING, NamedTuple

from middlewatch.navigator.area.unknowns import Unknown
from middlewatch.navigator.reckoning.calibration import Deviation, LogFactor
from middlewatch.navigator.watch.explaining import COMPASS_PART, FEWEST, LOG_PART
from middlewatch.navigator.watch.spells import Spell
from middlewatch.quantities.angles import unit

if TYPE_CHECKING:  # the chart room holds the check that keeps this
    from middlewatch.navigator.chartroom import Chartroom
    from middlewatch.navigator.reckoning.course import Course

BEFORE_SPELLS, SINCE_SPELLS = 20, 5
"""The ten minutes before an order count as one; since then each two and a half (judgement)."""
NOISE_KN, WANDER_KN, WANDER_S = 0.15, 0.1, 600.0
"""What log, leeway and receiver make of such a mean, and how much a stream changes in ten minutes."""
LOG_WRONG, COMPASS_WRONG = 0.01, 0.004
"""How often a log, or a compass, is out by more than the settings say (as `causes` has it)."""


class Before(NamedTuple):
    """How the receiver moved beyond the run before a calibration by order, from its `second` on; knots.

    `apart`, `water`: the means over its last spells, north + east j; `log_factor`, `deviation`: as log and
    compass were calibrated then.
    """

    second: int
    apart: complex
    water: complex
    heading_deg: float
    log_factor: LogFactor | None
    deviation: Deviation | None


class Doubted(NamedTuple):
    """How much likelier a calibration by hand is wrong than right (natural logarithm), and which order."""

    odds: float
    order: str


def before(spells: Sequence[Spell], second: int, was: Course) -> Before | None:
    """Return what is kept of the spells before a calibration; None where these are too few."""
    last = [each for each in spells if each.second <= second][-BEFORE_SPELLS:]
    if len(last) < FEWEST:
        return None
    apart, water = _means(last)
    return Before(second, apart, water, last[-1].heading_deg, was.log_factor, was.deviation)


def doubted(room: Chartroom) -> Doubted | None:
    """Weigh the calibration by hand against what the satellites show; None where there is none to weigh."""
    check, now = room.check, room.reckoning.now
    kept = check.recalibrated
    if kept is None or len(check.spells.kept) < FEWEST:
        return None
    changed = [
        each
        for each, old in ((now.log_factor, kept.log_factor), (now.deviation, kept.deviation))
        if each is not None and each != old and each.by == "order"
    ]
    if not changed:
        return None
    # A run that was more than it is now has the receiver go the less beyond it.
    as_ordered = kept.apart + kept.water * (1.0 - 1.0 / _ratio(kept, now, kept.heading_deg))
    right, wrong = [(kept.second, as_ordered)], [(kept.second, kept.apart)]
    spells = [each for each in check.spells.kept if each.second > kept.second]
    for place in range(0, len(spells) - SINCE_SPELLS + 1, SINCE_SPELLS):
        some = spells[place : place + SINCE_SPELLS]
        apart, water = _means(some)
        right.append((some[-1].second, apart))
        wrong.append((some[-1].second, apart + water * (1.0 - _ratio(kept, now, some[-1].heading_deg))))
    stream_kn = 0.45 * room.strongest_stream_kn
    shown = _likely(wrong, stream_kn) - _likely(right, stream_kn)
    newest = max(changed, key=lambda each: each.second)
    return Doubted(shown + _unlikely(room, kept, now), newest.id)


def _means(spells: Sequence[Spell]) -> tuple[complex, complex]:
    count = len(spells)
    return (
        sum(complex(*each.apart) for each in spells) / count,
        sum(complex(*each.water) for each in spells) / count,
    )


def _ratio(was: Before, now: Course, heading_deg: float) -> complex:
    """Return the run as it was calibrated before over the run as it is now, on a heading (true)."""
    factor = (1.0 if was.log_factor is None else was.log_factor.factor) / (
        1.0 if now.log_factor is None else now.log_factor.factor
    )
    return factor * complex(*unit(_turn(was, now, heading_deg)))


def _turn(was: Before, now: Course, heading_deg: float) -> float:
    """Return the deviation before less the one of now, on a true heading: near enough that of the bus."""
    shown_deg = heading_deg - (now.variation_deg or 0.0)
    old, new = (0.0 if each is None else each.at(shown_deg) for each in (was.deviation, now.deviation))
    return old - new


def _unlikely(room: Chartroom, was: Before, now: Course) -> float:
    """Return how much the size of the order speaks against it: what it corrects is seldom so far out.

    An order that is wrong may be anything that a witness out of order is (`explaining`).
    """
    priors, heading_deg, odds = room.area.priors.covariance(0.0), was.heading_deg, 0.0
    if now.log_factor != was.log_factor:
        sd = priors[Unknown.LOG, Unknown.LOG] ** 0.5 if was.log_factor is None else was.log_factor.sd
        odds += _against(abs(_ratio(was, now, heading_deg)) - 1.0, float(sd), LOG_PART, LOG_WRONG)
    if now.deviation != was.deviation:
        turned = radians(_turn(was, now, heading_deg))
        sd = (priors[Unknown.COMPASS, Unknown.COMPASS] + priors[Unknown.SINE, Unknown.SINE]) ** 0.5
        if was.deviation is not None:
            sd = radians(was.deviation.sd_deg(complex(*unit(heading_deg))))
        odds += _against(turned, float(sd), COMPASS_PART, COMPASS_WRONG)
    return odds


def _against(off: float, sd: float, wild: float, wrong: float) -> float:
    anything = exp(-0.5 * (off / wild) ** 2) / wild
    usual = exp(-0.5 * (off / sd) ** 2) / sd
    return log(anything / ((1.0 - wrong) * usual + wrong * anything))


def _likely(seen: Sequence[tuple[int, complex]], stream_kn: float) -> float:
    """Return how likely a stream that wanders makes what is seen: (second, knots); natural logarithm."""
    mean, variance, total = 0j, stream_kn * stream_kn, 0.0
    at = seen[0][0]
    for second, kn in seen:
        variance += WANDER_KN * WANDER_KN * (second - at) / WANDER_S
        at = second
        whole = variance + NOISE_KN * NOISE_KN
        off = kn - mean
        # Two axes alike.
        total -= log(whole) + 0.5 * (off.real * off.real + off.imag * off.imag) / whole
        mean += off * variance / whole
        variance *= NOISE_KN * NOISE_KN / whole
    return total
