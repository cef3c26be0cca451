"""Whether a receiver moves as no boat does: along a rule or round a circle, each step like the one before.

A receiver that has lost its satellites may run on with its last course and speed and not say so, and false
signals have led receivers round in circles. A boat in a sea does neither: in two recordings of boats under
way no step of five seconds followed from the one before to better than 0.33 m, root mean square of a minute.
"""

from dataclasses import dataclass, field
from math import atan2, degrees, hypot, sqrt

from middlewatch.quantities.positions import offset_m

STEP_S = 5
STEPS = 24
"""Two minutes: a boat on a calm sea may run smoothly for one (judgement)."""
LIKE_M = 0.2
"""Between what rounding to a ten-thousandth of a minute makes (0.13 m) and the smoothest boat (0.33 m)."""
UNDER_WAY_M = 2.5
CIRCLE_DEG = 45.0
"""A course that has turned by more in two minutes goes round (judgement)."""


@dataclass(slots=True)
class Smoothness:
    """The last steps of a receiver, metres north and east, and where and when the last one ended."""

    steps: list[tuple[float, float]] = field(default_factory=list)
    last: tuple[float, float, int] | None = None
    follows: float | None = None  # degrees its course turned, where each step follows from the one before

    def hear(self, place: tuple[float, float], at_ms: int) -> None:
        """Take a position; one that comes late or early begins the steps anew."""
        if self.last is None:
            self.last = *place, at_ms
            return
        waited_ms = at_ms - self.last[2]
        if waited_ms < STEP_S * 1000 - 300:
            return
        if waited_ms > STEP_S * 1000 + 300:
            self.steps.clear()
        else:
            north_m, east_m = offset_m(self.last[:2], place)
            self.steps.append((round(north_m, 3), round(east_m, 3)))
            del self.steps[:-STEPS]
        self.last = *place, at_ms
        self.follows = self._follows()

    def words(self, turned_deg: float) -> str | None:
        """Return how it moves, in words, where it moves as no boat does; None where it does not.

        `turned_deg`: how far the boat's own heading has turned meanwhile.
        """
        if self.follows is None:
            return None
        if abs(self.follows) < CIRCLE_DEG:
            return "it runs along a straight line as no boat does: is it running on by itself?"
        if abs(turned_deg) < abs(self.follows) / 2.0:
            return "it runs round a circle at constant speed, and the boat's heading does not"
        return None

    def _follows(self) -> float | None:
        """Return how far its course turned where each step follows from the one before; None elsewhere."""
        if len(self.steps) < STEPS or min(hypot(*step) for step in self.steps) < UNDER_WAY_M:
            return None
        pairs = list(zip(self.steps, self.steps[1:], strict=False))
        # The one turn from step to step that fits them all best.
        along = sum(a * c + b * d for (a, b), (c, d) in pairs)
        across = sum(a * d - b * c for (a, b), (c, d) in pairs)
        whole = hypot(along, across)
        if not whole:
            return None  # hopping to and fro between coarse digits: no turn fits better than another
        cosine, sine = along / whole, across / whole
        unlike = sum(
            (c - cosine * a + sine * b) ** 2 + (d - sine * a - cosine * b) ** 2 for (a, b), (c, d) in pairs
        )
        if sqrt(unlike / len(pairs)) > LIKE_M:
            return None
        return degrees(atan2(sine, cosine)) * len(pairs)
