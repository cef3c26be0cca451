"""The search: who is overboard by the last look, and where satellites had the boat at each press."""

from dataclasses import dataclass, field
from typing import NamedTuple

from middlewatch.navigator.reckoning.casualty import Casualty

WAKE_EVERY_S, WAKE_S = 10, 120
"""So often, and so long back, satellite positions are kept for a press that is told late (judgement)."""
NEAR_ENOUGH_MS = 6_000


class SatelliteMark(NamedTuple):
    """A satellite position: of which receiver, when, where."""

    source: str
    at_ms: int
    latitude_deg: float
    longitude_deg: float

    @property
    def rounded(self) -> "SatelliteMark":
        """The same to a centimetre: it is kept every few seconds, and must stay small."""
        return self._replace(
            latitude_deg=round(self.latitude_deg, 7), longitude_deg=round(self.longitude_deg, 7)
        )


@dataclass(slots=True)
class Search:
    """What the search keeps besides the reckoning's casualties.

    `standing`: those of the last look; `gone`: who is overboard no more, until it is reported; `marks`: by
    id, of satellites, and so never to be compared; `wake`: where satellites had her lately.
    """

    standing: tuple[Casualty, ...] = ()
    gone: tuple[Casualty, ...] = ()
    marks: dict[str, SatelliteMark] = field(default_factory=dict)
    wake: list[SatelliteMark] = field(default_factory=list)

    def pass_by(self, mark: SatelliteMark | None, now_ms: int) -> None:
        """Let a satellite position become part of the wake, each few seconds."""
        if mark is not None and now_ms // 1000 % WAKE_EVERY_S == 0:
            self.wake.append(mark.rounded)
        while self.wake and now_ms - self.wake[0].at_ms > WAKE_S * 1000:
            self.wake.pop(0)

    def mark(self, id_: str, at_ms: int, newest: SatelliteMark | None) -> None:
        """Keep where satellites had her at a press, if anything near that moment is known."""
        known = [*self.wake, *([] if newest is None else [newest])]
        near = [each for each in known if abs(each.at_ms - at_ms) <= NEAR_ENOUGH_MS]
        if near:
            self.marks[id_] = min(near, key=lambda each: abs(each.at_ms - at_ms))
