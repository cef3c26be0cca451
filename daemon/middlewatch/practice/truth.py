"""The true boat: where she really is, second by second, on the ellipsoid.

A plan of legs is sailed with a helmsman's yaw, turns at a stated rate, leeway, and a stream that nobody on
board knows. The instruments and the skipper's sights are made from this, and the navigator's work is marked
against it.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise
from math import cos, pi, radians, tan
from typing import Literal, Protocol

from middlewatch.practice.chance import Wander, chance
from middlewatch.quantities.angles import direction, turn, unit
from middlewatch.quantities.instants import MS_PER_HOUR, MS_PER_SECOND
from middlewatch.quantities.lengths import METRES_PER_SECOND_PER_KNOT
from middlewatch.quantities.positions import Position


class Stream(Protocol):
    """Water that moves over the ground, the same over the whole passage at any one moment."""

    def at(self, at_ms: int, /) -> tuple[float, float]:
        """Return (north, east) in knots at a moment of UTC."""


@dataclass(frozen=True, slots=True)
class SteadyStream:
    """A stream that does not change: set true, *towards*, and drift in knots."""

    set_deg: float
    drift_kn: float

    def at(self, _at_ms: int, /) -> tuple[float, float]:
        """Return (north, east) in knots."""
        north, east = unit(self.set_deg)
        return self.drift_kn * north, self.drift_kn * east


@dataclass(frozen=True, slots=True)
class RectilinearTide:
    """A tide that runs to and fro along one line as a cosine of time.

    `set_deg` (true, towards) and `drift_kn` are those of the greatest rate, at `greatest_ms`; half a period
    later it runs as hard the other way. The period is that of the principal lunar tide, M2: 12.4206 h (from
    memory).
    """

    set_deg: float
    drift_kn: float
    greatest_ms: int
    period_h: float = 12.4206

    def at(self, at_ms: int, /) -> tuple[float, float]:
        """Return (north, east) in knots at a moment of UTC."""
        phase = 2.0 * pi * (at_ms - self.greatest_ms) / (self.period_h * MS_PER_HOUR)
        rate_kn = self.drift_kn * cos(phase)
        north, east = unit(self.set_deg)
        return rate_kn * north, rate_kn * east


@dataclass(frozen=True, slots=True)
class Leg:
    """A stretch of the plan: for so many seconds, this course steered at this speed by a perfect log.

    Leeway is + where the boat is pushed to starboard. The turn onto the leg is part of it.
    """

    lasts_s: int
    heading_deg: float
    speed_kn: float
    leeway_deg: float = 0.0
    reference: Literal["true", "magnetic"] = "true"


@dataclass(frozen=True, slots=True)
class Plan:
    """What the boat will do and what the sea will do to her.

    `variation_deg` is the real one, E+, the same over the passage. Yaw is one standard deviation about the
    course steered; a speed ordered is gathered or lost at `gather_kn_per_s`.
    """

    start_ms: int
    start: Position
    legs: tuple[Leg, ...]
    stream: Stream
    variation_deg: float
    turn_deg_per_s: float = 2.0
    gather_kn_per_s: float = 0.1
    yaw_deg: float = 2.0
    yaw_memory_s: float = 8.0
    speed_wander_kn: float = 0.15
    speed_memory_s: float = 60.0


@dataclass(frozen=True, slots=True)
class Truth:
    """The boat at one whole second.

    `speed_water_kn` is along the keel, as a perfect log has it; `leeway_deg` is + to starboard; the stream is
    (north, east) over the ground.
    """

    at_ms: int
    position: Position
    heading_true_deg: float
    speed_water_kn: float
    leeway_deg: float
    stream_north_kn: float
    stream_east_kn: float

    @property
    def over_ground_kn(self) -> tuple[float, float]:
        """The velocity over the ground, (north, east) in knots: keel, leeway and stream."""
        ahead_north, ahead_east = unit(self.heading_true_deg)
        # Starboard lies a quarter turn clockwise of ahead: (-east, north) of its unit vector.
        aside_kn = self.speed_water_kn * tan(radians(self.leeway_deg))
        return (
            self.speed_water_kn * ahead_north - aside_kn * ahead_east + self.stream_north_kn,
            self.speed_water_kn * ahead_east + aside_kn * ahead_north + self.stream_east_kn,
        )


def sail(plan: Plan, seed: int) -> tuple[Truth, ...]:
    """Sail the plan: one truth a second from its start to the end of its last leg, both included."""
    position = plan.start
    motions = list(_motions(plan, seed))
    sailed = [motions[0]]
    for before, after in pairwise(motions):
        # A second's run is made with the mean of the velocities at its two ends.
        north_kn, east_kn = (
            (first + second) / 2.0
            for first, second in zip(before.over_ground_kn, after.over_ground_kn, strict=True)
        )
        position = position.moved(north_kn * METRES_PER_SECOND_PER_KNOT, east_kn * METRES_PER_SECOND_PER_KNOT)
        sailed.append(replace(after, position=position))
    return tuple(sailed)


def _motions(plan: Plan, seed: int) -> Iterator[Truth]:
    """Yield how the boat moves each second; the position is still the plan's start."""
    yaw = Wander(chance(seed, "yaw"), plan.yaw_deg, plan.yaw_memory_s)
    puffs = Wander(chance(seed, "boat's speed"), plan.speed_wander_kn, plan.speed_memory_s)
    steered_deg, speed_kn = _course_true_deg(plan, plan.legs[0]), plan.legs[0].speed_kn
    for second, leg in enumerate(_leg_each_second(plan.legs)):
        at_ms = plan.start_ms + second * MS_PER_SECOND
        to_turn_deg = turn(steered_deg, _course_true_deg(plan, leg))
        steered_deg = direction(steered_deg + _at_most(to_turn_deg, plan.turn_deg_per_s))
        speed_kn += _at_most(leg.speed_kn - speed_kn, plan.gather_kn_per_s)
        stream_north_kn, stream_east_kn = plan.stream.at(at_ms)
        yield Truth(
            at_ms=at_ms,
            position=plan.start,
            heading_true_deg=direction(steered_deg + yaw.next_second()),
            speed_water_kn=max(0.0, speed_kn + puffs.next_second()),
            leeway_deg=leg.leeway_deg,
            stream_north_kn=stream_north_kn,
            stream_east_kn=stream_east_kn,
        )


def _leg_each_second(legs: tuple[Leg, ...]) -> Iterator[Leg]:
    for leg in legs:
        yield from (leg for _ in range(leg.lasts_s))
    yield legs[-1]


def _course_true_deg(plan: Plan, leg: Leg) -> float:
    if leg.reference == "true":
        return leg.heading_deg
    return direction(leg.heading_deg + plan.variation_deg)  # magnetic to true: east variation ADDS


def _at_most(change: float, size: float) -> float:
    return max(-size, min(size, change))
