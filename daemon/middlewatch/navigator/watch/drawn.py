"""How the steering receiver moves beyond the run by heading and log, second by second."""

from dataclasses import dataclass
from math import hypot

from middlewatch.navigator.watch.receivers import Receiver
from middlewatch.quantities.positions import offset_m

REACH_S = 60
"""Over so long a silence a receiver's way is spread evenly; over a longer one nothing is concluded."""

STEP_M = 15.0
"""What no pull makes in a second (29 kn): a step of the position, as a cliff or a bridge makes it. It widens
the gap, and may be a jump; of an apparent stream it tells nothing (judgement)."""

ECHO_M = 100.0
"""A position that comes back after a silence may be an echo's, so far off (a bridge's, a cliff's): no stream
is made of it, unless such steps take the receiver further away altogether (judgement)."""

Moves = list[tuple[float, float]]
"""How a receiver moved, second by second: metres, north and east."""


def summed(moves: Moves) -> tuple[float, float]:
    """Return how far it moved altogether."""
    north_m = east_m = 0.0
    for north, east in moves:
        north_m += north
        east_m += east
    return north_m, east_m


@dataclass(slots=True)
class Drawn:
    """Where the receiver was last, with the run through the water until then, and how long ago."""

    latitude_deg: float = 0.0
    longitude_deg: float = 0.0
    water_m: tuple[float, float] = (0.0, 0.0)
    silent_s: int = REACH_S
    stepped: bool = False
    echo_m: complex = 0j  # what has been put down to echoes so far, north + east j

    def water_reworked(self, north_m: float, east_m: float) -> None:
        """Take it that the run so far came out otherwise after an entry."""
        self.water_m = self.water_m[0] + north_m, self.water_m[1] + east_m

    def moves(
        self, receiver: Receiver | None, expected: tuple[float, float] = (0.0, 0.0), *, comparable: bool
    ) -> Moves | None:
        """Return what the receiver moved beyond the run in each second since it was last heard, metres.

        `expected`: what it would move in a second by the slow stream.
        None where that cannot be said: it begins anew. Nothing (an empty list) while it is silent.
        """
        if not comparable:
            self.silent_s = REACH_S
            return None
        if receiver is None:
            self.silent_s = min(self.silent_s + 1, REACH_S)
            return []
        begins, seconds = self.silent_s >= REACH_S, self.silent_s + 1
        north_m, east_m = offset_m((self.latitude_deg, self.longitude_deg), receiver.place)
        north_m -= receiver.water_m[0] - self.water_m[0]
        east_m -= receiver.water_m[1] - self.water_m[1]
        self.latitude_deg, self.longitude_deg = receiver.latitude_deg, receiver.longitude_deg
        self.water_m, self.silent_s = receiver.water_m, 0
        if begins:
            return None
        if seconds == 1 and hypot(north_m, east_m) <= STEP_M:
            self.stepped = False
            return [(north_m, east_m)]
        off_m = north_m - seconds * expected[0], east_m - seconds * expected[1]
        # To a millimetre: it is kept every few seconds, and must stay small.
        echo_m = complex(round(self.echo_m.real + off_m[0], 3), round(self.echo_m.imag + off_m[1], 3))
        if seconds > 1 and abs(echo_m) < ECHO_M:
            self.echo_m, self.stepped = echo_m, False
            return [expected] * seconds
        # A position that steps second after second is drawn away, and fast.
        self.stepped = not self.stepped and hypot(north_m, east_m) > STEP_M * seconds
        if self.stepped:
            # Too far for an echo it has another place from now on (a datum, a jump): echoes are off that.
            self.echo_m = echo_m if abs(echo_m) < ECHO_M else 0j
            return [expected] * seconds
        return [(north_m / seconds, east_m / seconds)] * seconds
