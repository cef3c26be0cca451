"""The practice skipper: what is sighted from the true boat, and what is then entered.

Bodies are those that go to the `sighting` and `order` topics.
"""

from dataclasses import dataclass

from middlewatch.practice.chance import chance
from middlewatch.quantities.angles import direction
from middlewatch.quantities.instants import MS_PER_MINUTE, MS_PER_SECOND, Instant
from middlewatch.quantities.positions import Position
from middlewatch.readings.entries import Channel
from middlewatch.readings.marks import Mark

_SAYS_HOW_LONG_AGO_MS = 2 * MS_PER_MINUTE
"""Up to this long after a sight the skipper enters how many seconds ago it was, later the time it was."""


@dataclass(frozen=True, slots=True)
class SkipperEntry:
    """What the skipper sends, when it is heard, and on which topic."""

    at_ms: int
    channel: Channel
    body: dict[str, object]


@dataclass(frozen=True, slots=True)
class Outlook:
    """The boat as the skipper stands on her: where she is when, the real variation (E+), and the seed."""

    positions: dict[int, Position]
    variation_deg: float
    seed: int

    def sighted(self, at_ms: int, mark: Mark, name: str, sd_deg: float) -> tuple[int, float]:
        """Return (bearing magnetic by the hand-bearing compass, whole degrees; true distance in nm).

        `name` seeds the error, so that one sight more or less leaves the others as they were.
        """
        bearing_true_deg, distance_nm = self.positions[at_ms].to(mark.position)
        error_deg = chance(self.seed, f"bearing {name}").gauss(0.0, sd_deg)
        # True to magnetic: east variation is SUBTRACTED.
        return round(direction(bearing_true_deg - self.variation_deg + error_deg)) % 360, distance_nm


@dataclass(frozen=True, slots=True)
class TakeBearing:
    """Take a bearing of a mark at a whole second and enter it, at once or later; errors are 1 sigma."""

    id: str
    taken_ms: int
    mark: Mark
    entered_after_s: int = 0
    note: str | None = None
    sd_deg: float = 1.5

    def enter(self, outlook: Outlook) -> SkipperEntry:
        """Return the entry; one that comes late says when the bearing was taken."""
        bearing_deg, _ = outlook.sighted(self.taken_ms, self.mark, self.id, self.sd_deg)
        body: dict[str, object] = {
            "id": self.id,
            "kind": "bearing",
            "mark": self.mark.name,
            "bearing_deg": bearing_deg,
            "reference": "magnetic",
        }
        late_ms = self.entered_after_s * MS_PER_SECOND
        if late_ms > _SAYS_HOW_LONG_AGO_MS:
            body["at"] = str(Instant(self.taken_ms))
        elif late_ms > 0:
            body["ago_s"] = self.entered_after_s
        if self.note is not None:
            body["note"] = self.note
        return SkipperEntry(self.taken_ms + late_ms, "sighting", body)


@dataclass(frozen=True, slots=True)
class Depart:
    """Begin the reckoning by bearing and distance of a mark; errors are 1 sigma, a part of the distance."""

    id: str
    at_ms: int
    mark: Mark
    sd_deg: float = 1.5
    distance_part: float = 0.03

    def enter(self, outlook: Outlook) -> SkipperEntry:
        """Return the order."""
        bearing_deg, distance_nm = outlook.sighted(self.at_ms, self.mark, self.id, self.sd_deg)
        judged = distance_nm * (
            1.0 + chance(outlook.seed, f"distance {self.id}").gauss(0.0, self.distance_part)
        )
        body: dict[str, object] = {
            "id": self.id,
            "kind": "departure",
            "mark": self.mark.name,
            "bearing_deg": bearing_deg,
            "reference": "magnetic",
            "distance_nm": round(judged, 2),
        }
        return SkipperEntry(self.at_ms, "order", body)


@dataclass(frozen=True, slots=True)
class Write:
    """Enter something that needs no look over the side, word for word."""

    at_ms: int
    channel: Channel
    body: dict[str, object]

    def enter(self, _outlook: Outlook, /) -> SkipperEntry:
        """Return the entry."""
        return SkipperEntry(self.at_ms, self.channel, self.body)


Action = TakeBearing | Depart | Write
