"""How far the boat's heading has turned over the last two minutes."""

from dataclasses import dataclass, field

from middlewatch.quantities.angles import turn

EVERY_MS, KEPT = 5_000, 24


@dataclass(slots=True)
class Turned:
    """Turns, degrees, + to starboard, each of five seconds, and the heading they end at."""

    turns: list[float] = field(default_factory=list)
    last: tuple[int, float] | None = None

    def take(self, heading_deg: float | None, now_ms: int) -> None:
        """Take the heading of now."""
        if heading_deg is None:
            self.turns, self.last = [], None
        elif self.last is None:
            self.last = now_ms, heading_deg
        elif now_ms - self.last[0] >= EVERY_MS:
            self.turns.append(turn(self.last[1], heading_deg))
            del self.turns[:-KEPT]
            self.last = now_ms, heading_deg

    @property
    def over_two_minutes(self) -> float:
        """The sum of turns, degrees; once round is 360."""
        return sum(self.turns)
