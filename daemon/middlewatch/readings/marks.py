"""Marks: what can be sighted, as the marks file lists them."""

from dataclasses import dataclass

from middlewatch.quantities.positions import Position


@dataclass(frozen=True, slots=True)
class Sector:
    """A sector of a light: from one bearing to the other clockwise, true, *from seaward* (boat to light)."""

    colour: str
    from_true_deg: float
    to_true_deg: float


@dataclass(frozen=True, slots=True)
class Mark:
    """A charted object: height above the datum of heights in m, nominal range in nm; None where not given."""

    name: str
    position: Position
    height_m: float | None = None
    range_nm: float | None = None
    character: str | None = None
    sectors: tuple[Sector, ...] = ()
    datum: str | None = None
    source: str | None = None
    sd_m: float = 0.0


@dataclass(frozen=True, slots=True)
class Contour:
    """A depth contour: its depth below chart datum in m, its line, how well that is charted (m).

    `slope_1_in`: over how many metres of ground the bottom there falls by one.
    """

    name: str
    depth_m: float
    points: tuple[Position, ...]
    sd_m: float
    slope_1_in: float


MarkRef = str | Position
"""A mark as an entry names it: by its name in the marks file, or by its position."""
