"""A reckoned track, as the EP holds it: legs of steady heading and speed, laid out in steps of 10 seconds."""

from dataclasses import dataclass
from functools import cached_property
from math import radians
from typing import Literal

import numpy as np

from area.model import MPS_PER_KN, SLOW_KN, STREAM_PART, Flags, Floats, Places

STEP_S = 10

Wind = Literal["none", "free", "ordered", "told"]
"""What tells the leeway: no wind known, sailing; wind known, running; the skipper; wind, not running."""

UNTOLD: dict[Wind, float] = {"none": 1.0, "free": 0.3, "ordered": 0.4, "told": 0.0}
"""How much of the doubt of leeway no wind tells of."""


@dataclass(frozen=True, slots=True)
class Leg:
    """A leg as reckoned: true heading, speed through the water, leeway held by the EP (+ to starboard).

    `strongest_kn`: the setting of the strongest stream in force here.
    """

    minutes: float
    heading_deg: float
    speed_kn: float = 5.0
    leeway_deg: float = 0.0
    wind: Wind = "none"
    strongest_kn: float = 1.5


@dataclass(frozen=True)
class Track:
    """Legs laid out: every array but `ep` has shape (steps,), and holds from `seconds[i]` for `STEP_S`.

    `heading`, `leeway`: radians; `speed`: m/s; `by_wind`: leeway comes from the wind (integrals P and Q);
    `untold`: the w of integrals U and V; `stream_sd`: m/s on each axis.
    """

    legs: tuple[Leg, ...]

    @cached_property
    def leg_of(self) -> "np.ndarray[tuple[int, ...], np.dtype[np.int64]]":
        """Which leg each step belongs to."""
        steps = [round(leg.minutes * 60 / STEP_S) for leg in self.legs]
        return np.repeat(np.arange(len(self.legs)), steps)

    @cached_property
    def seconds(self) -> Floats:
        """The second each step begins at."""
        return STEP_S * np.arange(self.leg_of.size, dtype=np.float64)

    @property
    def length_s(self) -> int:
        """How long the track is."""
        return STEP_S * self.leg_of.size

    @cached_property
    def heading(self) -> Floats:
        """True heading as reckoned, radians."""
        return self._laid([radians(leg.heading_deg) for leg in self.legs])

    @cached_property
    def speed(self) -> Floats:
        """Speed through the water as reckoned, m/s."""
        return self._laid([leg.speed_kn * MPS_PER_KN for leg in self.legs])

    @cached_property
    def leeway(self) -> Floats:
        """Leeway as the EP holds it, radians, + to starboard."""
        return self._laid([radians(leg.leeway_deg) for leg in self.legs])

    @cached_property
    def untold(self) -> Floats:
        """How much of the doubt of leeway no wind tells of."""
        return self._laid([UNTOLD[leg.wind] for leg in self.legs])

    @cached_property
    def by_wind(self) -> Flags:
        """Whether leeway comes from the wind."""
        return np.array([leg.wind == "told" for leg in self.legs])[self.leg_of]

    @cached_property
    def stream_sd(self) -> Floats:
        """One standard deviation of the stream on each axis, m/s."""
        return self._laid([STREAM_PART * leg.strongest_kn * MPS_PER_KN for leg in self.legs])

    @cached_property
    def water(self) -> Places:
        """The run of each step with the EP's leeway, metres."""
        water: Places = self.speed * STEP_S * np.exp(1j * (self.heading + self.leeway))
        return water

    @cached_property
    def slow(self) -> Places:
        """Seconds of little way in each step, along the heading (integral T)."""
        share = np.maximum(0.0, 1.0 - self.speed / (SLOW_KN * MPS_PER_KN))
        slow: Places = STEP_S * share * np.exp(1j * self.heading)
        return slow

    @cached_property
    def ep(self) -> Places:
        """The EP at each step's beginning and at the end, metres from its start; shape (steps + 1,)."""
        return _summed(self.water)

    def ep_at(self, second: int) -> complex:
        """Return the EP at a second, a whole number of steps."""
        return complex(self.ep[second // STEP_S])

    def course_at(self, second: int) -> float:
        """Return the EP's course through the water at a second, radians."""
        step = min(second // STEP_S, self.leg_of.size - 1)
        return float(self.heading[step] + self.leeway[step])

    def integrals(self) -> dict[str, Places]:
        """Return the running integrals D S C P Q U V T G of the model, each of shape (steps + 1,)."""
        sine, cosine = np.sin(self.heading), np.cos(self.heading)
        told = self.water * self.leeway * self.by_wind
        each = {
            "D": self.water,
            "S": self.water * sine,
            "C": self.water * cosine,
            "P": np.where(self.leeway > 0.0, told, 0.0),
            "Q": np.where(self.leeway < 0.0, told, 0.0),
            "U": self.water * self.untold * sine,
            "V": self.water * self.untold * cosine,
            "T": self.slow,
            "G": self.stream_sd * STEP_S + 0j,
        }
        return {name: _summed(steps) for name, steps in each.items()}

    def _laid(self, of_legs: list[float]) -> Floats:
        return np.array(of_legs)[self.leg_of]


def _summed(steps: Places) -> Places:
    return np.concatenate([[0j], np.cumsum(steps)])
