"""Simulated passages for the satellite watch: what heading and log say, and where an honest receiver is.

Truth is made whole, vectorised; `apparent_m` is what the receiver moved beyond the run by heading and log:
stream, leeway, the errors of log and compass, and the receiver's own noise. Faults are laid over it by
`faults`. One standard deviation each is DESIGN's (section 4); the noise is the Adriatic recording's.
"""

from dataclasses import dataclass
from math import sqrt
from typing import Literal

import numpy as np

from area.model import Chance, chance

Floats = np.ndarray[tuple[int, ...], np.dtype[np.float64]]
Complex = np.ndarray[tuple[int, ...], np.dtype[np.complex128]]

Kind = Literal["coasting", "beating", "race"]

KN = 1852.0 / 3600.0
TIDE_S = 12.42 * 3600
LINE_EVERY_S = 5 * 3600
NOISE_M = (2.47, 5.25)
"""How far the noise goes in a minute, one standard deviation on its two axes: 0.08 and 0.17 kn."""
NOISE_SLOW_S, NOISE_QUICK_S = 70.0, 15.0
"""Time constants of the noise: it grows from 5 s to a minute as in the recording, within a third."""


@dataclass(frozen=True, slots=True)
class Family:
    """A kind of passage, and what the settings say of its water; a race is entered as a zone or is not."""

    name: str
    kind: Kind
    strongest_kn: float
    zone_kn: float | None = None


FAMILIES = (
    Family("coasting", "coasting", 2.6),
    Family("beating", "beating", 1.6),
    Family("race entered", "race", 2.6, 7.5),
    Family("race not entered", "race", 2.6),
)


@dataclass(frozen=True, slots=True)
class Sailed:
    """A passage, a value a second: heading by compass, log, satellites beyond the run, the waters' strongest.

    `apparent_m`: north + east j, metres since the start; `error_m`: what the reckoning is off by, the noise
    left out; `race`: seconds in which the zone's word counts.
    """

    family: Family
    heading_deg: Floats
    log_kn: Floats
    apparent_m: Complex
    error_m: Complex
    strongest_kn: Floats
    water_kn: Complex


def sail(family: Family, seed: int, seconds: int = LINE_EVERY_S) -> Sailed:
    """Sail one passage; the same seed sails the same one."""
    draw = chance(seed, len(family.name))
    heading, speed = _beating(draw, seconds) if family.kind == "beating" else _legs(draw, seconds)
    water = speed * _unit(heading)
    log_factor = draw.normal(0.0, 0.05) + wander(draw, seconds, 0.02, 1800.0)
    compass = np.radians(compass_error(draw, heading))
    leeway = np.radians(_leeway(draw, heading, family.kind))
    stream, near = _stream(draw, family, seconds)
    through = water * (1.0 + log_factor) * np.exp(1j * (compass + leeway))
    error = np.cumsum(stream + through - water) * KN
    strongest = np.full(seconds, family.strongest_kn)
    if family.zone_kn is not None:
        strongest[near] = family.zone_kn
    return Sailed(family, heading, speed, error + noise(draw, seconds), error, strongest, water)


def noise(draw: Chance, seconds: int) -> Complex:
    """Return the receiver's and the sea's short noise, metres: twice smoothed, on two axes of its own."""
    one, other = (each * _smooth(draw, seconds) for each in NOISE_M)
    axis: complex = np.exp(1j * draw.uniform(0.0, np.pi))
    return (one + 1j * other) * axis + 0.15 * (draw.normal(size=seconds) + 1j * draw.normal(size=seconds))


def _smooth(draw: Chance, seconds: int) -> Floats:
    """Return twice smoothed noise that goes 1 in a minute."""
    slow, quick = np.exp(-1.0 / NOISE_SLOW_S), np.exp(-1.0 / NOISE_QUICK_S)
    lead = 600
    raw = filtered(filtered(draw.normal(size=seconds + lead), slow), quick)[lead:]
    kept = (NOISE_SLOW_S * np.exp(-60 / NOISE_SLOW_S) - NOISE_QUICK_S * np.exp(-60 / NOISE_QUICK_S)) / (
        NOISE_SLOW_S - NOISE_QUICK_S
    )
    # The variance of two first-order filters in a row.
    whole = (1 + slow * quick) / ((1 - slow**2) * (1 - quick**2) * (1 - slow * quick))
    return raw / sqrt(whole) / sqrt(2 * (1 - kept))


def filtered(raw: Floats, keep: float) -> Floats:
    """Return y with y[n] = keep y[n - 1] + raw[n], worked in stretches short enough not to overflow."""
    result, last, span = np.empty_like(raw), 0.0, int(max(8, min(2000, -200 / np.log(keep))))
    for start in range(0, raw.size, span):
        part = raw[start : start + span]
        powers = keep ** np.arange(1, part.size + 1)
        result[start : start + span] = powers * (last + np.cumsum(part / powers))
        last = float(result[start + part.size - 1])
    return result


def wander(draw: Chance, seconds: int, sd: float, memory_s: float) -> Floats:
    """Return an error that wanders about nothing, a value a second: its sd, and its memory."""
    keep = float(np.exp(-1.0 / memory_s))
    first = draw.normal(0.0, sd)
    steps = draw.normal(0.0, sd * sqrt(1 - keep * keep), seconds)
    steps[0] = first
    return filtered(steps, keep)


def _unit(degrees: Floats) -> Complex:
    return np.exp(1j * np.radians(degrees))


def compass_error(draw: Chance, heading: Floats) -> Floats:
    """Return true heading less the one shown, by a compass with a card.

    A constant, a sine and a cosine of the heading, and the variation.
    """
    constant, sine, cosine, variation = draw.normal(0.0, (1.0, 1.5, 1.5, 0.4)).tolist()
    angle = np.radians(heading)
    return np.asarray(constant + variation + sine * np.sin(angle) + cosine * np.cos(angle))


def _leeway(draw: Chance, heading: Floats, kind: Kind) -> Floats:
    """Return leeway, + to starboard: whole close-hauled, half on a reach, and it swings round slowly."""
    whole = 5.0 * 1.6 ** draw.normal() if kind != "beating" else draw.uniform(3.0, 12.0)
    wind = 0.0 if kind == "beating" else draw.uniform(0.0, 360.0)
    off = (wind - heading + 180.0) % 360.0 - 180.0  # wind from starboard is +
    share = np.where(np.abs(off) < 60.0, 1.0, np.where(np.abs(off) < 120.0, 0.5, 0.0))
    pushed = -np.sign(off) * share * whole
    return filtered((1 - np.exp(-1 / 10)) * pushed, float(np.exp(-1 / 10)))


def _legs(draw: Chance, seconds: int) -> tuple[Floats, Floats]:
    """Turn by 20 to 90 degrees every 25 to 80 minutes; return heading and speed."""
    heading = np.empty(seconds)
    now, at = draw.uniform(0.0, 360.0), 0
    while at < seconds:
        until = at + int(draw.uniform(25 * 60, 80 * 60))
        heading[at:until] = now
        now, at = now + draw.choice((-1, 1)) * draw.uniform(20.0, 90.0), until
    return steered(draw, heading), draw.uniform(4.0, 6.5) + wander(draw, seconds, 0.3, 600.0)


def _beating(draw: Chance, seconds: int) -> tuple[Floats, Floats]:
    """Tack two to six times an hour; she loses half her way in each and finds it again in half a minute."""
    heading, speed = np.empty(seconds), draw.uniform(4.0, 6.0) + wander(draw, seconds, 0.3, 600.0)
    an_hour, side, at = draw.uniform(2.0, 6.0), 1, 0
    while at < seconds:
        until = at + int(3600 / an_hour * draw.uniform(0.6, 1.4))
        heading[at:until] = side * draw.uniform(40.0, 50.0)
        after = np.arange(max(0, min(90, seconds - until)))
        speed[until : until + after.size] *= 1.0 - 0.5 * np.exp(-after / 15.0)
        side, at = -side, until
    return steered(draw, heading), speed


def steered(draw: Chance, ordered: Floats) -> Floats:
    """Let a turn take its time, and a helmsman yaw."""
    keep = float(np.exp(-1 / 6.0))
    lead = np.concatenate((np.full(60, ordered[0]), ordered))
    swung = filtered((1 - keep) * lead, keep)[60:]
    swung[:60] = ordered[:60]
    yaw: Floats = wander(draw, ordered.size, 2.0, 8.0)
    return np.asarray((swung + yaw) % 360.0)


def _stream(draw: Chance, family: Family, seconds: int) -> tuple[Complex, slice]:
    """Return the stream, knots: tide, its lines, and its race; and when the race's zone is near."""
    at = np.arange(seconds)
    towards: complex = np.exp(1j * draw.uniform(0.0, 2 * np.pi))
    wave = draw.uniform(0.5, 1.6) * np.cos(2 * np.pi * (at / TIDE_S + draw.uniform()))
    tide = np.asarray(wave * towards)
    if family.kind == "beating":
        return tide, slice(0, 0)
    if family.kind == "coasting":
        return tide + _line(draw, seconds), slice(0, 0)
    race, near = _race(draw, seconds, towards)
    return tide * (1 - np.abs(race) / max(1e-9, np.abs(race).max())) + race, near


def _line(draw: Chance, seconds: int) -> Complex:
    """Return one tide line in five hours: 0.3 to 1 kn within three minutes, whichever way."""
    line: complex = draw.uniform(0.3, 1.0) * np.exp(1j * draw.uniform(0.0, 2 * np.pi))
    begins, takes = draw.uniform(600, seconds - 600), draw.uniform(30.0, 180.0)
    grown = np.clip((np.arange(seconds) - begins) / takes, 0.0, 1.0)
    return np.asarray(line * grown)


def _race(draw: Chance, seconds: int, towards: complex) -> tuple[Complex, slice]:
    """Return half an hour or so in 3 to 5 kn, with eddy lines of 1 to 2.5 kn crossed in 15 to 60 s."""
    begins, lasts = draw.uniform(3000, seconds - 7000), draw.uniform(1200, 2700)
    ends, at = begins + lasts, np.arange(seconds)
    edge = draw.uniform(30, 180)
    inside = np.clip((at - begins) / edge, 0.0, 1.0) * np.clip((ends - at) / edge, 0.0, 1.0)
    eddy = np.zeros(seconds, np.complex128)
    for _ in range(draw.integers(3, 8)):
        line: complex = draw.uniform(1.0, 2.5) * np.exp(1j * draw.uniform(0.0, 2 * np.pi))
        comes, takes = draw.uniform(begins + edge, ends - edge), draw.uniform(15.0, 60.0)
        stays = draw.uniform(120, 600)
        eddy += line * np.clip((at - comes) / takes, 0, 1) * np.clip((comes + stays - at) / takes, 0, 1)
    short = np.minimum(1.0, 2.5 / np.maximum(np.abs(eddy), 1e-9))
    race = (draw.uniform(3.0, 5.0) * towards + eddy * short) * inside
    # The zone's word counts from half a mile off, and the boat is not just where she is reckoned.
    early, late = (draw.uniform(240, 480) for _ in range(2))
    return race, slice(int(begins - early), int(ends + late))


def faults(sailed: Sailed, at: int, *, pull_kn: complex = 0j, jump_nm: complex = 0j) -> Complex:
    """Return `apparent_m` with a pull that sets in at a second, and a jump then."""
    since = np.clip(np.arange(sailed.apparent_m.size) - at, 0, None)
    return np.asarray(sailed.apparent_m + since * pull_kn * KN + (since > 0) * jump_nm * 1852.0)


def fourth_tack(sailed: Sailed) -> int:
    """Return the second at which she has just gone about for the fourth time."""
    swung = [
        abs((float(each) + 180.0) % 360.0 - 180.0)
        for each in sailed.heading_deg[20:] - sailed.heading_deg[:-20]
    ]
    about = [second for second in range(1, len(swung)) if swung[second] > 60.0 >= swung[second - 1]]
    return about[3] + 10
