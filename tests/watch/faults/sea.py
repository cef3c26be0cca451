"""The sea a fault passage is sailed on, and how the boat is sailed there: drawn before any fault is laid.

Arrays hold a value a second. The plane is complex, north + east j; degrees are true and clockwise, knots are
knots. What the compass and the log show is drawn, and the truth is those with the errors they have (the
design's section 4), so that a reckoning by them is as wrong as it honestly may be.
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from area.model import Chance
from watch.sailed import LINE_EVERY_S, TIDE_S, Complex, Floats, compass_error, filtered, steered, wander

STRONGEST_KN = 2.6
"""What the settings say of these waters: the most that tide and tide line make together."""
LIES_BACK_S = 900
"""No tide line that belongs to the passage is crossed so shortly before a fault, or after it."""
WAY_LOST, WAY_BACK_S = 0.5, 15.0
"""In a tack she loses half her way, and finds it again."""
SLOWS_IN_S = 20.0


@dataclass(frozen=True, slots=True)
class Needs:
    """What a fault needs so that it can be one.

    `turn`: a turn of 40 to 90 degrees a few minutes after its onset; `strong_tide`: near its strongest then;
    `slows`: the boat loses 1.5 to 2.5 kn at the onset, for good; `autopilot`, `marks`: None for either;
    `lines`: when a tide line may be crossed that is not the fault.
    """

    turn: bool = False
    strong_tide: bool = False
    slows: bool = False
    autopilot: bool | None = None
    marks: bool | None = None
    lines: Literal["well before", "any", "none"] = "well before"


@dataclass(frozen=True, slots=True)
class Outset:
    """What a passage begins with: its length and its fault's onset (s), the wind, what the fault needs."""

    seconds: int
    onset: int
    wind_from_deg: float
    needs: Needs


@dataclass(frozen=True, slots=True)
class Helm:
    """How she is steered: what the compass shows all well, the speed the log shows, and how she turns."""

    steered_deg: Floats
    speed_kn: Floats
    beating: bool
    autopilot: bool


@dataclass(frozen=True, slots=True)
class Sea:
    """Wind and stream, and the errors that compass, log and leeway honestly have.

    `wind_deg`: where the true wind is from; `log_part`: the speed is the log's times one and this;
    `leeway_part`: leeway as a multiple of what the apparent wind would make it.
    """

    wind_deg: Floats
    wind_kn: Floats
    stream_kn: Complex
    compass_deg: Floats
    log_part: Floats
    leeway_part: float


def helm(draw: Chance, outset: Outset) -> Helm:
    """Draw legs, tacks and changes of speed."""
    needs, onset, seconds = outset.needs, outset.onset, outset.seconds
    beating = bool(draw.random() < 0.25)
    autopilot = bool(draw.random() < 0.5) if needs.autopilot is None else needs.autopilot
    turns_at = onset + int(draw.uniform(60, 420)) if needs.turn else None
    speed = draw.uniform(4.0, 6.5) + wander(draw, seconds, 0.3, 600.0)
    speed += _changes(draw, outset)
    if beating:
        ordered, tacks = _tacks(draw, turns_at, outset)
        for at in tacks:
            after = np.arange(min(90, seconds - at))
            speed[at : at + after.size] *= 1.0 - WAY_LOST * np.exp(-after / WAY_BACK_S)
    else:
        ordered = _legs(draw, turns_at, seconds)
    return Helm(steered(draw, ordered), np.maximum(speed, 0.5), beating, autopilot)


def grown(seconds: int, at: float, takes_s: float) -> Floats:
    """Return nothing until `at`, one `takes_s` later, and evenly between."""
    return np.clip((np.arange(seconds) - at) / max(takes_s, 1.0), 0.0, 1.0)


def _changes(draw: Chance, outset: Outset) -> Floats:
    """Return what a reef or an engine does to her speed: in one passage of two, at the onset if needed."""
    seconds = outset.seconds
    change, at = draw.choice((-1, 1)) * draw.uniform(0.5, 1.5), draw.uniform(600, seconds)
    changed = change * grown(seconds, at, SLOWS_IN_S) * (draw.random() < 0.5)
    if outset.needs.slows:
        changed = -draw.uniform(1.5, 2.5) * grown(seconds, outset.onset, SLOWS_IN_S)
    return np.asarray(changed)


def _legs(draw: Chance, turns_at: int | None, seconds: int) -> Floats:
    """Turn by 20 to 90 degrees every 15 to 50 minutes, and at a second that is given."""
    ordered = np.empty(seconds)
    now, at = draw.uniform(0.0, 360.0), 0
    while at < seconds:
        until = at + int(draw.uniform(15 * 60, 50 * 60))
        least = 20.0
        if turns_at is not None and at < turns_at <= until:
            until, least = turns_at, 40.0
        ordered[at:until] = now
        now, at = now + draw.choice((-1, 1)) * draw.uniform(least, 90.0), until
    return ordered


def _tacks(draw: Chance, turns_at: int | None, outset: Outset) -> tuple[Floats, list[int]]:
    """Tack two to six times an hour, and at a second that is given; return headings and the tacks."""
    seconds = outset.seconds
    ordered, tacks = np.empty(seconds), []
    an_hour, side, at = draw.uniform(2.0, 6.0), int(draw.choice((-1, 1))), 0
    while at < seconds:
        until = at + int(3600 / an_hour * draw.uniform(0.6, 1.4))
        if turns_at is not None and at < turns_at <= until:
            until = turns_at
        ordered[at:until] = outset.wind_from_deg + side * draw.uniform(40.0, 50.0)
        side, at = -side, until
        tacks += [until] if until < seconds else []
    return ordered, tacks


def sea(draw: Chance, outset: Outset, shown_deg: Floats) -> Sea:
    """Draw wind and stream, and what compass, log and leeway are off by."""
    seconds = outset.seconds
    return Sea(
        wind_deg=outset.wind_from_deg + wander(draw, seconds, 5.0, 900.0) + wander(draw, seconds, 2.0, 20.0),
        wind_kn=np.maximum(
            2.0,
            draw.uniform(8.0, 20.0) + wander(draw, seconds, 1.0, 600.0) + wander(draw, seconds, 1.0, 10.0),
        ),
        stream_kn=_tide(draw, outset) + _line(draw, outset),
        compass_deg=compass_error(draw, shown_deg),
        log_part=draw.normal(0.0, 0.05) + wander(draw, seconds, 0.02, 1800.0),
        leeway_part=float(1.6 ** draw.normal()),
    )


def _tide(draw: Chance, outset: Outset) -> Complex:
    towards: complex = np.exp(1j * draw.uniform(0.0, 2 * np.pi))
    strongest, phase = draw.uniform(0.5, 1.6), draw.uniform()
    if outset.needs.strong_tide:
        strongest, phase = max(strongest, 0.8), -outset.onset / TIDE_S
    wave = strongest * np.cos(2 * np.pi * (np.arange(outset.seconds) / TIDE_S + phase))
    return np.asarray(wave * towards)


def _line(draw: Chance, outset: Outset) -> Complex:
    """Return a tide line of 0.3 to 1 kn, as often as one in five hours of all well."""
    line = tide_line(draw, 0.3)
    at, takes = draw.uniform(0.0, LINE_EVERY_S), draw.uniform(30.0, 180.0)
    before = {"well before": outset.onset - LIES_BACK_S, "any": outset.seconds, "none": 0}
    crossed = at < before[outset.needs.lines]
    return np.asarray(crossed * line * grown(outset.seconds, at, takes))


def tide_line(draw: Chance, least_kn: float) -> complex:
    """Return how much the stream changes across a tide line, up to 1 kn, whichever way."""
    changes: complex = draw.uniform(least_kn, 1.0) * np.exp(1j * draw.uniform(0.0, 2 * np.pi))
    return changes


def apparent_wind(sea_: Sea, heading_deg: Floats, ground_kn: Complex) -> tuple[Floats, Floats]:
    """Return the wind as felt on board: angle clockwise from the bow [0, 360), knots."""
    # It blows from `wind_deg`; the boat's own way is felt from ahead.
    felt = sea_.wind_kn * np.exp(1j * np.radians(sea_.wind_deg)) + ground_kn
    return (np.degrees(np.angle(felt)) - heading_deg) % 360.0, np.abs(felt)


def leeway_deg(angle_deg: Floats, wind_kn: Floats, speed_kn: Floats, part: float) -> Floats:
    """Return true leeway, + to starboard: the allowance for the apparent wind (design, 4) times a factor."""
    off = (angle_deg + 180.0) % 360.0 - 180.0
    share = np.interp(np.abs(off), (50.0, 70.0, 100.0, 120.0), (1.0, 0.5, 0.5, 0.0))
    whole = np.where((wind_kn > 20.0) | (speed_kn < 3.0), 8.0, 5.0)
    pushed = -np.sign(off) * share * whole * part
    return filtered((1 - np.exp(-1 / 10)) * pushed, float(np.exp(-1 / 10)))
