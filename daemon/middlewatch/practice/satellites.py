"""The practice boat's satellite receiver: good, lost for a while, or drawn away while it still says good."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from math import hypot

from middlewatch.practice.chance import Wander, chance
from middlewatch.practice.sentences import (
    date_field,
    direction_field,
    latitude_fields,
    longitude_fields,
    sentence,
    time_field,
)
from middlewatch.practice.truth import Truth
from middlewatch.quantities.angles import direction_of, unit
from middlewatch.quantities.instants import MS_PER_HOUR
from middlewatch.quantities.lengths import METRES_PER_NM
from middlewatch.quantities.positions import Position


@dataclass(frozen=True, slots=True)
class Lost:
    """No position from one moment until the other (not included)."""

    from_ms: int
    until_ms: int


@dataclass(frozen=True, slots=True)
class Pull:
    """The position is drawn away from `from_ms` on: towards this true direction, at this rate in knots.

    From `until_ms` the displacement stays as large as it then is, until the receiver is let go at
    `let_go_ms`, if it ever is: from then on its position is the true one again, at a bound.
    """

    from_ms: int
    until_ms: int
    towards_true_deg: float
    rate_kn: float
    let_go_ms: int | None = None

    def pulled_nm(self, at_ms: int) -> float:
        """Return how far the position has been drawn by this moment, in nm."""
        if self.let_go_ms is not None and at_ms >= self.let_go_ms:
            return 0.0
        drawn_ms = min(at_ms, self.until_ms) - self.from_ms
        return max(0.0, self.rate_kn * drawn_ms / MS_PER_HOUR)

    def rate_now_kn(self, at_ms: int) -> float:
        """Return the rate at which the position is drawn at this moment, in knots."""
        return self.rate_kn if self.from_ms <= at_ms < self.until_ms else 0.0


@dataclass(frozen=True, slots=True)
class Receiver:
    """How good the receiver is, and what befalls it.

    The error wanders by `sd_m` an axis over `memory_s`, and jitters by `jitter_m` from second to second:
    metres, as a receiver with a clear sky has it (common practice, no source).
    """

    lost: tuple[Lost, ...] = ()
    pulls: tuple[Pull, ...] = ()
    sd_m: float = 2.0
    memory_s: float = 120.0
    jitter_m: float = 0.3

    def has_position(self, at_ms: int) -> bool:
        """Say whether the receiver has a position at this moment."""
        return not any(gap.from_ms <= at_ms < gap.until_ms for gap in self.lost)

    def pulled_m(self, at_ms: int) -> tuple[float, float]:
        """Return how far the position has been drawn away by this moment: (north, east) in metres."""
        return _sum((pull.towards_true_deg, pull.pulled_nm(at_ms) * METRES_PER_NM) for pull in self.pulls)

    def pull_now_kn(self, at_ms: int) -> tuple[float, float]:
        """Return the velocity at which the position is drawn away: (north, east) in knots."""
        return _sum((pull.towards_true_deg, pull.rate_now_kn(at_ms)) for pull in self.pulls)


def receive(truths: tuple[Truth, ...], receiver: Receiver, seed: int) -> Iterator[tuple[str, str]]:
    """Yield the RMC and the GGA of each second, for the position at that second."""
    source = chance(seed, "satellite position")
    north_error = Wander(source, receiver.sd_m, receiver.memory_s)
    east_error = Wander(source, receiver.sd_m, receiver.memory_s)
    for truth in truths:
        north_m = north_error.next_second() + source.gauss(0.0, receiver.jitter_m)
        east_m = east_error.next_second() + source.gauss(0.0, receiver.jitter_m)
        if not receiver.has_position(truth.at_ms):
            yield _rmc_without_position(truth.at_ms), _gga_without_position(truth.at_ms)
            continue
        pulled_north_m, pulled_east_m = receiver.pulled_m(truth.at_ms)
        seen = truth.position.moved(north_m + pulled_north_m, east_m + pulled_east_m)
        yield _rmc(truth, seen, receiver.pull_now_kn(truth.at_ms)), _gga(truth.at_ms, seen)


def _rmc(truth: Truth, seen: Position, pull_kn: tuple[float, float]) -> str:
    # The receiver believes that it moves as the position it was made to believe moves.
    north_kn = truth.over_ground_kn[0] + pull_kn[0]
    east_kn = truth.over_ground_kn[1] + pull_kn[1]
    return sentence(
        "GPRMC",
        time_field(truth.at_ms),
        "A",
        *latitude_fields(seen),
        *longitude_fields(seen),
        f"{hypot(north_kn, east_kn):.1f}",
        direction_field(direction_of(north_kn, east_kn)),
        date_field(truth.at_ms),
        "",
        "",
        "A",  # mode: autonomous
        "V",  # navigational status: not provided, as most receivers have it
    )


def _rmc_without_position(at_ms: int) -> str:
    return sentence("GPRMC", time_field(at_ms), "V", *[""] * 6, date_field(at_ms), "", "", "N", "V")


def _gga(at_ms: int, seen: Position) -> str:
    return sentence(
        "GPGGA",
        time_field(at_ms),
        *latitude_fields(seen),
        *longitude_fields(seen),
        "1",
        "10",
        "0.9",
        "2.1",
        "M",
        "50.0",
        "M",
        "",
        "",
    )


def _gga_without_position(at_ms: int) -> str:
    return sentence("GPGGA", time_field(at_ms), *[""] * 4, "0", "00", "", "", "M", "", "M", "", "")


def _sum(arrows: Iterable[tuple[float, float]]) -> tuple[float, float]:
    """Return the sum, (north, east), of arrows given by direction and length."""
    north = east = 0.0
    for towards_deg, length in arrows:
        north_part, east_part = unit(towards_deg)
        north += length * north_part
        east += length * east_part
    return north, east
