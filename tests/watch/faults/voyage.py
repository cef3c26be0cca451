"""A fault passage: what is heard each second, what is entered, and what goes wrong from which second on.

`voyage(kind, seed)` sails it; `voyage(kind, seed, faulty=False)` sails the same one with all well. Until the
onset the two are alike to the last digit.
"""

from dataclasses import dataclass

import numpy as np

from area.model import chance
from middlewatch.readings.marks import Mark
from watch.faults.crew import Crew
from watch.faults.draft import NM, Draft, Entered, Kind, unit
from watch.faults.sea import STRONGEST_KN, Outset, apparent_wind, helm, leeway_deg, sea
from watch.sailed import KN, Complex, Floats, noise

LIMIT_NM = 0.5
EARLIEST_S, LATEST_S = 1800, 3600
MATTERS_BY_S = 1800
"""A fault that has not carried the gap past the limit in half an hour matters from then on all the same."""
FELT_M = 20.0
"""Before a fault has carried the gap so far, what is said of satellites is not about it."""
AFTER_S = MATTERS_BY_S + 700
_SEA, _PREPARED, _FAULT, _CREW, _NOISE = 1, 2, 3, 4, 5


@dataclass(frozen=True, slots=True)
class Voyage:
    """A passage as it is heard, a value a second.

    `ground_m`: the boat's own true way from the start; `told_m`: the one the receiver tells; both north +
    east j. `angle_deg` and `wind_kn` (apparent), `total_nm` None: there is no such instrument on board.
    `felt`, `matters`: the seconds by which the fault has carried the gap by some metres, and past the limit,
    each at most half an hour after its onset.
    """

    kind: Kind
    onset: int
    felt: int
    matters: int
    autopilot: bool
    heading_deg: Floats
    log_kn: Floats
    total_nm: Floats | None
    angle_deg: Floats | None
    wind_kn: Floats | None
    stream_kn: Complex
    ground_m: Complex
    told_m: Complex
    entries: tuple[Entered, ...]
    marks: dict[str, Mark]
    crew: Crew
    strongest_kn: float = STRONGEST_KN

    @property
    def seconds(self) -> int:
        """How long it is."""
        return self.heading_deg.size


def voyage(kind: Kind, seed: int, *, faulty: bool = True) -> Voyage:
    """Sail one passage; the same seed sails the same one."""
    well = _draft(kind, seed, faulty=False)
    draft = _draft(kind, seed, faulty=True) if faulty else well
    well_m, _ = _ground(well)
    ground_m, way_kn = _ground(draft)
    draw = chance(seed, _NOISE)
    off_m = noise(draw, draft.seconds)
    told_m = ground_m + draft.told_m + off_m
    if draft.stands_from is not None:
        told_m[draft.stands_from :] = told_m[draft.stands_from]
    crew = Crew(chance(seed, _CREW), draft, kind.needs, well_m)
    has_wind, has_total = draw.random(2) < (0.6, 0.5)
    angle, wind = apparent_wind(draft.sea, draft.heading_deg, way_kn)
    angle = (angle + draw.normal(0.0, 2.0, draft.seconds)) % 360.0
    carried = (told_m - draft.run_m() - draft.ep_m) - (well_m + off_m - well.run_m() - well.ep_m)
    return Voyage(
        kind=kind,
        onset=draft.onset,
        felt=_past(draft.onset, carried, FELT_M),
        matters=_past(draft.onset, carried, LIMIT_NM * NM),
        autopilot=draft.helm.autopilot,
        heading_deg=np.round(draft.shown_deg % 360.0, 1) % 360.0,
        log_kn=np.round(draft.log_kn, 2),
        total_nm=np.round(1234.0 + np.cumsum(draft.log_kn) / 3600.0, 2) if has_total else None,
        angle_deg=np.round(angle) % 360.0 if has_wind else None,
        wind_kn=np.round(wind, 1) if has_wind else None,
        stream_kn=draft.stream_kn,
        ground_m=ground_m,
        told_m=told_m,
        entries=tuple(crew.entries(ground_m)),
        marks=crew.marks(),
        crew=crew,
    )


def _draft(kind: Kind, seed: int, *, faulty: bool) -> Draft:
    draw = chance(seed, _SEA)
    onset = int(draw.uniform(EARLIEST_S, LATEST_S))
    outset = Outset(onset + AFTER_S, onset, draw.uniform(0.0, 360.0), kind.needs)
    steered = helm(draw, outset)
    draft = Draft.made(onset, steered, sea(draw, outset, steered.steered_deg))
    if kind.prepare is not None:
        kind.prepare(draft, chance(seed, _PREPARED))
    if faulty:
        kind.lay(draft, chance(seed, _FAULT))
    return draft


def _ground(draft: Draft) -> tuple[Complex, Complex]:
    """Return her true way over the ground (metres), and what the wind meets (knots)."""
    sailed = draft.sea
    speed = draft.speed_kn * (1.0 + sailed.log_part)
    # Leeway hangs on the apparent wind, which her leeway hardly alters.
    felt = speed * unit(draft.heading_deg) + draft.stream_kn
    angle, wind = apparent_wind(sailed, draft.heading_deg, felt)
    off = leeway_deg(angle, wind, speed, sailed.leeway_part)
    over_ground = speed * unit(draft.heading_deg + off) + draft.stream_kn
    return np.asarray(np.cumsum(over_ground) * KN), over_ground


def _past(onset: int, carried_m: Complex, bound_m: float) -> int:
    past = np.flatnonzero(np.abs(carried_m[onset : onset + MATTERS_BY_S]) > bound_m)
    return onset + (int(past[0]) if past.size else MATTERS_BY_S)
