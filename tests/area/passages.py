"""True passages, many at once: what carried each boat off the EP they all reckoned, and what her crew saw.

    sailed = sail(FAMILIES["one_light_two_bearings"], 2000, seed=1)
    sailed.track                  # the reckoned track, common to all: its integrals are worked once
    sailed.deviation[i, j]        # where boat i really was at sailed.asked_s[j], less the EP then, metres
    sailed.passage(i).sightings   # what boat i saw, in order of time

Plane, signs and unknowns: `area.model`. The families: `area.families`. Same family, count and seed: the same
passages, byte for byte on one kind of processor.
"""

from dataclasses import dataclass, replace
from math import pi, radians

import numpy as np

from area.families import FAMILIES, Family, MarkPlan, Truth
from area.lookout import Lookout, Seen, Sighting
from area.model import (
    METRES_PER_NM,
    MPS_PER_KN,
    STREAM_PART,
    Chance,
    Errors,
    Floats,
    Model,
    Places,
    Wander,
    chance,
)
from area.streams import Flow
from area.tracks import STEP_S, UNTOLD, Track

__all__ = ["FAMILIES", "Family", "Passage", "Passages", "Seen", "Sighting", "sail"]


@dataclass(frozen=True, slots=True)
class Passage:
    """One passage: `deviation` (asked,) is the truth at `asked_s`; what was seen by then may be used."""

    family: Family
    track: Track
    asked_s: tuple[int, ...]
    deviation: Places
    sightings: tuple[Sighting, ...]

    def up_to(self, second: int) -> tuple[Sighting, ...]:
        """Return what had been seen by that second, it included."""
        return tuple(each for each in self.sightings if each.second <= second)


@dataclass(frozen=True, slots=True)
class Passages:
    """Many passages of a family on one reckoned track.

    `deviation` (passages, asked) is complex: true place less EP at `asked_s`, metres. `seen`: in order of
    time. `errors`: the constant errors that were drawn, for the curious.
    """

    family: Family
    track: Track
    asked_s: tuple[int, ...]
    deviation: Places
    seen: tuple[Seen, ...]
    errors: Errors

    @property
    def count(self) -> int:
        """How many passages there are."""
        return int(self.deviation.shape[0])

    def passage(self, number: int) -> Passage:
        """Return one of them by its number, from 0."""
        sightings = tuple(
            Sighting(
                seen.second,
                seen.kind,
                seen.mark,
                complex(seen.mark_at[number]),
                float(seen.observed[number]),
                float(seen.sd[number]),
                bool(seen.blunder[number]),
            )
            for seen in self.seen
        )
        return Passage(self.family, self.track, self.asked_s, self.deviation[number], sightings)


def sail(family: Family, count: int, seed: int) -> Passages:
    """Sail so many passages of a family, and take their sightings."""
    track = Track(family.legs)
    asked_s = family.asked_s
    errors = _true_errors(family.model, family.truth, count, chance(seed, 1))
    seconds = sorted({*asked_s, *(sight.second for sight in family.sights)})
    deviations = _deviations(family, track, errors, seconds, chance(seed, 2))
    marks = _marks(family.marks, track, count, chance(seed, 3))
    crews = Lookout(family, errors, marks, chance(seed, 4))
    seen = tuple(
        crews.look(sight, track.ep_at(sight.second) + deviations[sight.second]) for sight in family.sights
    )
    deviation = np.stack([deviations[second] for second in asked_s], axis=1)
    return Passages(family, track, asked_s, deviation, seen, errors)


def _true_errors(model: Model, truth: Truth, count: int, drawn: Chance) -> Errors:
    """Draw the constant errors as the model has them, then put those in place that break it."""
    errors = model.draw(count, drawn)
    if truth.log_off is not None:
        off = drawn.uniform(*truth.log_off, count) * drawn.choice([-1.0, 1.0], count)
        errors = replace(errors, log=off)
    if truth.swing_deg is not None:
        swing = np.radians(drawn.uniform(*truth.swing_deg, count))
        towards = 2.0 * pi * drawn.random(count)
        errors = replace(errors, sine=swing * np.sin(towards), cosine=swing * np.cos(towards))
    return errors


def _deviations(
    family: Family, track: Track, errors: Errors, seconds: list[int], drawn: Chance
) -> dict[int, Places]:
    """Sail the track in steps with all errors, second order and all; return the deviation at the seconds."""
    model, truth, count = family.model, family.truth, errors.log.size
    wander = Wander(drawn, count, model.wander, model.wander_memory_s)
    north = Wander(drawn, count, 1.0, model.stream_memory_s)
    east = Wander(drawn, count, 1.0, model.stream_memory_s)
    flow: Flow | None = None if truth.stream is None else truth.stream.drawn(count, track, drawn)
    usual_sd = track.stream_sd if truth.stream is None else _usual_sd(track, truth.stream.usual_kn)
    turned = _turned(track, errors, truth, drawn)
    deviation = errors.start
    wanted, kept = set(seconds), {}
    for step in range(track.leg_of.size):
        second = STEP_S * step
        if second in wanted:
            kept[second] = deviation
        water = track.water[step]
        factor = (1.0 + errors.log + wander.over(STEP_S)) * truth.run_over_log(second)
        moved = factor * turned[track.leg_of[step]] * water - water + errors.threshold * track.slow[step]
        moved = moved + (north.over(STEP_S) + 1j * east.over(STEP_S)) * (usual_sd[step] * STEP_S)
        if flow is not None:
            moved = moved + STEP_S * flow(second + STEP_S / 2, track.ep[step] + deviation)
        deviation = deviation + moved
    kept[track.length_s] = deviation
    return {second: kept[second] for second in seconds}


def _usual_sd(track: Track, strongest_kn: float) -> Floats:
    """Return the sd of a usual stream under this strongest one, the same all along, m/s."""
    return np.full(track.leg_of.size, STREAM_PART * strongest_kn * MPS_PER_KN)


def _turned(track: Track, errors: Errors, truth: Truth, drawn: Chance) -> list[Places]:
    """Return, for each leg, the factor that turns the reckoned run into the true direction."""
    count = errors.log.size
    quadrant = np.zeros((2, count))
    if truth.quadrantal_deg:
        quadrant = np.radians(truth.quadrantal_deg) * drawn.standard_normal((2, count))
    tacks = np.zeros((2, count))
    if truth.leeway_deg is not None:
        tacks = np.radians(drawn.uniform(*truth.leeway_deg, (2, count)))
    turned = []
    for leg in track.legs:
        heading, leeway = radians(leg.heading_deg), radians(leg.leeway_deg)
        by_wind = leg.wind == "told"
        turn = errors.turn(heading, leeway, UNTOLD[leg.wind], by_wind=by_wind and truth.leeway_deg is None)
        turn = turn + quadrant[0] * np.sin(2 * heading) + quadrant[1] * np.cos(2 * heading)
        if truth.leeway_deg is not None and by_wind:
            # To starboard on the port tack, to port on the starboard tack; the EP holds `leeway` already.
            turn = turn + (tacks[0] if leeway > 0.0 else -tacks[1]) - leeway
        turned.append(np.exp(1j * turn))
    return turned


def _marks(plans: tuple[MarkPlan, ...], track: Track, count: int, drawn: Chance) -> list[Places]:
    """Draw a charted place for each mark of each passage, metres from the EP's start."""
    marks: list[Places] = []
    bearings: list[Floats] = []
    for plan in plans:
        side = {"either": drawn.choice([-1.0, 1.0], count), "port": -1.0, "starboard": 1.0}[plan.side]
        turn = side * np.radians(drawn.uniform(*plan.relative_deg, count))
        from_ = track.course_at(plan.second) if plan.apart_from is None else bearings[plan.apart_from]
        bearing = from_ + turn
        off = METRES_PER_NM * drawn.uniform(*plan.off_nm, count)
        marks.append(track.ep_at(plan.second) + off * np.exp(1j * bearing))
        bearings.append(bearing)
    return marks
