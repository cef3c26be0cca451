"""Somebody overboard, as the reckoning carries it: how the boat has run since, and how surely.

Boat and casualty are carried by the same stream, so that it takes no part: what leads back is the boat's own
run, the other way. All runs are complex metres, north + east j, in the frame the boat is steered by: magnetic
wherever the magnetic heading is known, so that neither variation nor departure is needed.
"""

from dataclasses import dataclass, replace
from math import exp, hypot, radians
from typing import Literal, NamedTuple

from middlewatch.navigator.reckoning.calibration import Deviation, LogFactor
from middlewatch.quantities.angles import unit
from middlewatch.quantities.lengths import METRES_PER_SECOND_PER_KNOT

Frame = Literal["magnetic", "true"]

UNLOGGED_BELOW_KN = 1.5
UNLOGGED_KN = 0.5
"""With less way than that on her she goes sideways or astern and no log tells it: one standard deviation an
axis (judgement; the design's figure for a boat that manoeuvres)."""
WANDER_SD, WANDER_MEMORY_S = 0.02, 30 * 60.0
"""The log's factor wanders by so much, over such a time (the design's section 4)."""


class Leg(NamedTuple):
    """A row of the track as a casualty is left behind by it.

    `run`: through the water, without leeway; `leeway_deg`: + to starboard; `by_wind`: told by a wind, and
    `untold`: how far it is told by none (`integrals.untold_leeway`); `wind_mps`: of the wind over the water,
    downwind, None where none is heard; `astray_mps`: one standard deviation an axis of what else she may do.
    """

    frame: Frame
    seconds: float
    run: complex
    ahead: complex
    leeway_deg: float
    by_wind: bool
    untold: float
    wind_mps: complex | None
    astray_mps: float


@dataclass(frozen=True, slots=True)
class Steered:
    """A part of the run since a press, by one log and compass: as they were calibrated, None as they show.

    `run`, `sine`, `cosine`: as in `Casualty`.
    """

    log_factor: LogFactor | None
    deviation: Deviation | None
    run: complex
    sine: complex
    cosine: complex

    def turned(self, by_deg: float) -> "Steered":
        """Return it in a frame whose headings are so much more."""
        sine, cosine = _turned(self.sine, self.cosine, by_deg)
        return replace(self, run=self.run * complex(*unit(by_deg)), sine=sine, cosine=cosine)


@dataclass(frozen=True, slots=True)
class Casualty:
    """One who is overboard: the press, and running sums since it.

    `ago_s`: the press was told to have been so long ago, 0 where it was now. `heading_deg` is in `frame`.
    `run`: through the water, with leeway; `sine`, `cosine`: the same weighted by those of the heading;
    `port`, `starboard`, `side_sine`, `side_cosine`: as in `Integrals`; `wind`: run
    of the wind over the water, metres downwind; the seconds without a wind, and those of which nothing is
    known; `astray_m`: one standard deviation of what held or unknown instruments leave open.
    `wander_with`, `wander_north`, `wander_both`, `wander_east`: what the wandering of the log does, as
    covariances of the run with the log's factor, and of the run with itself.
    `log_factor`, `deviation`: as log and compass are calibrated now; `earlier`: parts of the run by others.
    """

    id: str
    second: int
    ago_s: float
    frame: Frame
    heading_deg: float | None
    speed_kn: float | None
    log_nm: float | None
    ep: tuple[float, float] | None
    velocity_mps: complex
    seconds: float = 0.0
    run: complex = 0j
    sine: complex = 0j
    cosine: complex = 0j
    port: complex = 0j
    starboard: complex = 0j
    side_sine: complex = 0j
    side_cosine: complex = 0j
    wind: complex = 0j
    no_wind_s: float = 0.0
    unknown_s: float = 0.0
    astray_m: float = 0.0
    wander_with: complex = 0j
    wander_north: float = 0.0
    wander_both: float = 0.0
    wander_east: float = 0.0
    lost_count: bool = False  # a gap of unknown length lies between
    log_factor: LogFactor | None = None
    deviation: Deviation | None = None
    earlier: tuple[Steered, ...] = ()

    @property
    def steered(self) -> tuple[Steered, ...]:
        """The run in its parts, each by one calibration of log and compass."""
        run, sine, cosine = self.run, self.sine, self.cosine
        for each in self.earlier:
            run, sine, cosine = run - each.run, sine - each.sine, cosine - each.cosine
        return *self.earlier, Steered(self.log_factor, self.deviation, run, sine, cosine)

    def calibrated(self, log_factor: LogFactor | None, deviation: Deviation | None) -> "Casualty":
        """Return it as log and compass are calibrated otherwise from now on."""
        return replace(self, log_factor=log_factor, deviation=deviation, earlier=self.steered)

    def left_by(self, leg: Leg) -> "Casualty":
        """Return how it stands after the boat has gone on; the leg must be in this frame."""
        leeway = radians(leg.leeway_deg)
        run = leg.run * complex(*unit(leg.leeway_deg))
        sine, cosine = run * leg.ahead.imag, run * leg.ahead.real
        by_leeway = leg.run * leeway if leg.by_wind else 0j
        windless = leg.wind_mps is None
        return replace(
            self._wandered(run, leg.seconds),
            seconds=self.seconds + leg.seconds,
            run=self.run + run,
            sine=self.sine + sine,
            cosine=self.cosine + cosine,
            port=self.port + by_leeway if leeway > 0.0 else self.port,
            starboard=self.starboard + by_leeway if leeway < 0.0 else self.starboard,
            side_sine=self.side_sine + leg.untold * sine,
            side_cosine=self.side_cosine + leg.untold * cosine,
            wind=self.wind + (leg.wind_mps or 0j) * leg.seconds,
            no_wind_s=self.no_wind_s + (leg.seconds if windless else 0.0),
            astray_m=self.astray_m + leg.astray_mps * leg.seconds,
        )

    def unknown_for(self, seconds: float, *, astray_mps: float, counted: bool) -> "Casualty":
        """Return how it stands after a time in which nobody knows how the boat went, nor, if so, how long."""
        return replace(
            self,
            seconds=self.seconds + seconds,
            unknown_s=self.unknown_s + seconds,
            no_wind_s=self.no_wind_s + seconds,
            astray_m=self.astray_m + astray_mps * seconds,
            lost_count=self.lost_count or not counted,
        )

    def in_frame(self, frame: Frame, variation_deg: float | None) -> "Casualty | None":
        """Return it in another frame; None where the variation that would turn it is not known."""
        if frame == self.frame:
            return self
        if not self.run and self.heading_deg is None:
            return replace(self, frame=frame)
        if variation_deg is None:
            return None
        # Magnetic to true: east variation turns clockwise.
        by_deg = variation_deg if frame == "true" else -variation_deg
        turned = complex(*unit(by_deg))
        along, across = turned.real, turned.imag
        north, both, east = self.wander_north, self.wander_both, self.wander_east
        sine, cosine = _turned(self.sine, self.cosine, by_deg)
        side_sine, side_cosine = _turned(self.side_sine, self.side_cosine, by_deg)
        return replace(
            self,
            frame=frame,
            heading_deg=None if self.heading_deg is None else (self.heading_deg + by_deg) % 360.0,
            velocity_mps=self.velocity_mps * turned,
            run=self.run * turned,
            sine=sine,
            cosine=cosine,
            port=self.port * turned,
            starboard=self.starboard * turned,
            side_sine=side_sine,
            side_cosine=side_cosine,
            wind=self.wind * turned,
            wander_with=self.wander_with * turned,
            wander_north=along * along * north - 2.0 * along * across * both + across * across * east,
            wander_both=along * across * (north - east) + (along * along - across * across) * both,
            wander_east=across * across * north + 2.0 * along * across * both + along * along * east,
            earlier=tuple(each.turned(by_deg) for each in self.earlier),
        )

    def _wandered(self, run: complex, seconds: float) -> "Casualty":
        """Let the log's factor wander on for a leg, to first order in its length: a second or a few."""
        kept = exp(-seconds / WANDER_MEMORY_S)
        variance, with_ = WANDER_SD**2, self.wander_with
        return replace(
            self,
            wander_with=kept * with_ + variance * run,
            wander_north=self.wander_north + run.real * (2.0 * with_.real + variance * run.real),
            wander_both=self.wander_both
            + run.real * with_.imag
            + run.imag * with_.real
            + variance * run.real * run.imag,
            wander_east=self.wander_east + run.imag * (2.0 * with_.imag + variance * run.imag),
        )


def _turned(sine: complex, cosine: complex, by_deg: float) -> tuple[complex, complex]:
    """Return runs weighted by sine and cosine of the heading in a frame whose headings are so much more."""
    turn = complex(*unit(by_deg))
    return (
        (sine * turn.real + cosine * turn.imag) * turn,
        (cosine * turn.real - sine * turn.imag) * turn,
    )


def unlogged_mps(speed_kn: float, *other_kn: float) -> float:
    """Return how fast she may go where no log tells it, m/s an axis; `other_kn` comes on top."""
    slow_kn = UNLOGGED_KN if abs(speed_kn) < UNLOGGED_BELOW_KN else 0.0
    return hypot(slow_kn, *other_kn) * METRES_PER_SECOND_PER_KNOT
