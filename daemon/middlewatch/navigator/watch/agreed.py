"""Where satellites and reckoning last agreed, half minute by half minute, for three quarters of an hour."""

from dataclasses import dataclass, field
from typing import NamedTuple

from middlewatch.quantities.instants import MS_PER_SECOND
from middlewatch.quantities.positions import Position

EVERY_S, KEPT = 30, 90
BEFORE_S = 60
"""So long before the onset that was found they are taken to have agreed: an onset is known no finer."""


class Stood(NamedTuple):
    """How they stood at a second: where the satellites had her, the ordinary gap then, whether in step."""

    second: int
    latitude_deg: float
    longitude_deg: float
    ordinary_nm: float
    in_step: bool

    @property
    def position(self) -> Position:
        """Where the satellites had her."""
        return Position(self.latitude_deg, self.longitude_deg)


class Parted(NamedTuple):
    """A parting, or several without a break: the second it set in, and the last at which it stood."""

    onset: int
    until: int


@dataclass(slots=True)
class Agreed:
    """How they stood each half minute, and the last agreement before what is suspected (None: nothing).

    `doubted`: the last second at which more was amiss than a parting or a gap past the limit; `parted`: when
    they parted last, None: never.
    """

    stood: list[Stood] = field(default_factory=list)
    last: Stood | None = None
    doubted: int = -1
    parted: Parted | None = None

    @staticmethod
    def is_due(now_ms: int) -> bool:
        """Return whether it is time to note how they stand."""
        return now_ms // MS_PER_SECOND % EVERY_S == 0

    def tick(self, now_ms: int, place: Position | None, ordinary_nm: float | None, *, in_step: bool) -> None:
        """Note how they stand, where it is time."""
        if place is None or not self.is_due(now_ms):
            return
        # To a metre: it is kept every few seconds, and must stay small.
        here = round(place.latitude_deg, 5), round(place.longitude_deg, 5)
        self.stood.append(
            Stood(
                now_ms // MS_PER_SECOND,
                *here,
                round(ordinary_nm or 0.0, 4),
                in_step and ordinary_nm is not None,
            )
        )
        del self.stood[:-KEPT]

    def part(self, onset: int, second: int) -> Parted | None:
        """Note that at a second a parting stands, which set in at another; return the one before it.

        None while that goes on, and where there was none.
        """
        before = self.parted
        goes_on = before is not None and second - before.until <= 1
        self.parted = Parted(min(onset, before.onset) if goes_on and before is not None else onset, second)
        return None if goes_on else before

    def suspect(self, onset: int) -> None:
        """Keep the last agreement before an onset, seconds; an earlier one found later takes its place."""
        before = [each for each in self.stood if each.in_step and each.second <= onset - BEFORE_S]
        if before and (self.last is None or before[-1].second < self.last.second):
            self.last = before[-1]

    def settle(self) -> None:
        """Nothing is suspected any more."""
        self.last = None

    def undoubted(self, until: int) -> list[Stood]:
        """Return how they stood until a second, without a break, since they were last doubted."""
        newest: list[Stood] = []
        for each in reversed([each for each in self.stood if self.doubted < each.second <= until]):
            if newest and newest[-1].second - each.second != EVERY_S:
                break
            newest.append(each)
        return newest[::-1]

    def place_at(self, second: int) -> Position | None:
        """Return where the satellites had her at a second; None where they were not heard about then."""
        for place in range(len(self.stood) - 1, -1, -1):
            here = self.stood[place]
            if here.second > second:
                continue
            if here.ordinary_nm == 0.0:
                return None  # nothing was reckoned then that they could be held against
            if second - here.second > EVERY_S:
                return None
            if place + 1 == len(self.stood):
                return here.position
            after = self.stood[place + 1]
            if after.second - here.second > EVERY_S:
                return here.position
            part = (second - here.second) / EVERY_S
            north_m, east_m = here.position.offset_to(after.position)
            return here.position.moved(part * north_m, part * east_m)
        return None
