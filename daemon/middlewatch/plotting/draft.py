"""The draft: the sheet being drawn, its pen, what is on the ground already, the labels still to be set."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

from middlewatch.plotting.labels import Box, Ground, Label
from middlewatch.plotting.paper import Sheet
from middlewatch.plotting.pen import Dot, Hand, Pen, Stroke
from middlewatch.plotting.plot import Charted, Plot
from middlewatch.quantities.instants import MS_PER_HOUR, Instant
from middlewatch.quantities.positions import Position

Age = Literal["new", "older", "old"]
FADED: dict[Age, str] = {"new": "1", "older": "0.6", "old": "0.35"}
"""How much ink is left of what is up to an hour old, up to three, and older (judgement)."""

_OFF_MM = 30_000.0  # no stroke need run farther off the paper
_FINEST_MM = 0.15  # corners nearer to each other than this are one


@dataclass(slots=True)
class Draft:
    """What the parts of the sheet draw with."""

    sheet: Sheet
    plot: Plot
    charted: Charted
    pen: Pen
    ground: Ground
    labels: list[Label] = field(default_factory=list)

    @classmethod
    def on(cls, sheet: Sheet, plot: Plot, charted: Charted) -> "Draft":
        """Return an empty draft."""
        return cls(sheet, plot, charted, Pen(sheet.width_mm, sheet.height_mm), Ground(sheet.window))

    def at(self, place: Position) -> Dot:
        """Return where a place comes to lie, not farther off the paper than a stroke need run."""
        x, y = self.sheet.projection.at(place)
        return min(max(x, -_OFF_MM), _OFF_MM), min(max(y, -_OFF_MM), _OFF_MM)

    def dots(self, places: Sequence[Position]) -> list[Dot]:
        """Return where places come to lie, without the corners that nobody could tell apart."""
        dots = [self.at(place) for place in places]
        kept = dots[:1]
        for dot in dots[1:-1]:
            if abs(dot[0] - kept[-1][0]) + abs(dot[1] - kept[-1][1]) > _FINEST_MM:
                kept.append(dot)
        return kept + dots[-1:] if len(dots) > 1 else kept

    def shows(self, dot: Dot) -> bool:
        """Say whether a dot is in the window."""
        return Box(*dot, *dot).within(self.sheet.window)

    def pencil(self, width: float = 0.25, dash: str = "") -> Stroke:
        """Return a pencil stroke."""
        return Stroke(self.sheet.palette.pencil, width, dash)

    def hand(self, size: float = 2.5, *, struck: bool = False) -> Hand:
        """Return the hand the plot is labelled in."""
        return Hand(self.sheet.palette.pencil, size, slanted=True, struck=struck)

    def age_of(self, at: Instant) -> Age:
        """Return how old something is on this sheet."""
        hours = 0.0 if self.plot.at is None else (self.plot.at.ms - at.ms) / MS_PER_HOUR
        return "new" if hours <= 1.0 else "older" if hours <= 3.0 else "old"

    def sign(self, dot: Dot, reach: float) -> None:
        """Keep the ground under a sign free of words."""
        self.ground.take(Box(dot[0] - reach, dot[1] - reach, dot[0] + reach, dot[1] + reach))


def name_in_svg(id_: str) -> str:
    """Return an id as an attribute may hold it: what XML or a selector would choke on becomes `_`."""
    return "".join(sign if sign.isascii() and (sign.isalnum() or sign in "-.") else "_" for sign in id_)
