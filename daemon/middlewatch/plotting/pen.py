"""The pen: strokes, rings and words in millimetres of paper, as SVG. The one module that touches drawsvg.

Attributes are written as they are given: none may hold what a skipper or a file says, but words may.
"""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any, Literal

import drawsvg  # type: ignore[import-untyped]  # the library ships no types

from middlewatch.plotting.lettering import TYPEFACE, width_mm

Dot = tuple[float, float]
"""A place on the paper: x to the right, y downwards, mm."""

Anchor = Literal["start", "middle", "end"]


@dataclass(frozen=True, slots=True)
class Stroke:
    """How a line is drawn: colour, width in mm, dashes in mm."""

    colour: str
    width: float = 0.25
    dash: str = ""

    def attributes(self) -> dict[str, str]:
        """Return it as SVG says it."""
        said = {"stroke": self.colour, "stroke_width": _figure(self.width), "fill": "none"}
        return {**said, "stroke_dasharray": self.dash} if self.dash else said


@dataclass(frozen=True, slots=True)
class Hand:
    """How words are written: colour, size of type in mm; slanted by hand, upright in print.

    `halo`: a colour laid round the letters, so that they can be read over lines.
    """

    colour: str
    size: float = 2.5
    slanted: bool = False
    struck: bool = False
    halo: str = ""

    def attributes(self) -> dict[str, str]:
        """Return it as SVG says it."""
        said = {"fill": self.colour}
        if self.slanted:
            said["font_style"] = "italic"
        if self.struck:
            said["text_decoration"] = "line-through"
        if self.halo:
            said |= {"stroke": self.halo, "stroke_width": "0.5", "paint_order": "stroke"}
        return said


@dataclass(slots=True)
class Pen:
    """Draws on a paper of so many mm."""

    width: float
    height: float
    _at: list[Any] = field(default_factory=list)  # groups, of a library without types

    def __post_init__(self) -> None:
        self._at.append(drawsvg.Group(font_family=TYPEFACE, stroke_linecap="round", stroke_linejoin="round"))

    @contextmanager
    def group(self, kind: str, **attributes: str) -> Iterator[None]:
        """Put what is drawn meanwhile into a group of this class; further attributes as SVG names them."""
        inside = drawsvg.Group(class_=kind, **attributes)
        self._at[-1].append(inside)
        self._at.append(inside)
        try:
            yield
        finally:
            self._at.pop()

    @contextmanager
    def window(self, left: float, top: float, right: float, bottom: float) -> Iterator[None]:
        """Cut off what is drawn meanwhile at the sides of a rectangle."""
        clip = drawsvg.ClipPath()
        clip.append(drawsvg.Rectangle(_n(left), _n(top), _n(right - left), _n(bottom - top)))
        with self.group("window", clip_path=clip):
            yield

    def line(self, dots: Sequence[Dot], stroke: Stroke, *, closed: bool = False, **more: str) -> None:
        """Draw from dot to dot."""
        self.shape((dots,), stroke, closed=closed, **more)

    def shape(
        self, parts: Sequence[Sequence[Dot]], stroke: Stroke, *, closed: bool = False, **more: str
    ) -> None:
        """Draw several lines as one thing."""
        d = "".join(_path(dots) + ("Z" if closed else "") for dots in parts if dots)
        self._at[-1].append(drawsvg.Path(d=d, **{**stroke.attributes(), **more}))

    def ring(self, centre: Dot, radius: float, stroke: Stroke, **more: str) -> None:
        """Draw a circle."""
        self._at[-1].append(
            drawsvg.Circle(_n(centre[0]), _n(centre[1]), _n(radius), **{**stroke.attributes(), **more})
        )

    def dot(self, centre: Dot, radius: float, colour: str) -> None:
        """Draw a filled circle."""
        self._at[-1].append(drawsvg.Circle(_n(centre[0]), _n(centre[1]), _n(radius), fill=colour))

    def fill(self, left: float, top: float, right: float, bottom: float, colour: str) -> None:
        """Fill a rectangle."""
        self._at[-1].append(
            drawsvg.Rectangle(_n(left), _n(top), _n(right - left), _n(bottom - top), fill=colour)
        )

    def write(
        self, words: str, where: Dot, hand: Hand, anchor: Anchor = "start", turned_deg: float = 0.0
    ) -> None:
        """Write words on the line through a dot, turned clockwise about it."""
        more = hand.attributes()
        if anchor != "start":
            more["text_anchor"] = anchor
        if turned_deg:
            more["transform"] = f"rotate({turned_deg:.1f} {where[0]:.3f} {where[1]:.3f})"
        more["textLength"] = _figure(width_mm(words, hand.size))
        more["lengthAdjust"] = "spacingAndGlyphs"
        self._at[-1].append(drawsvg.Text(words, _n(hand.size), _n(where[0]), _n(where[1]), **more))

    def svg(self, title: str, paper: str) -> str:
        """Return the sheet as an SVG document, its user unit a millimetre of the paper."""
        drawing = drawsvg.Drawing(self.width, self.height)
        drawing.view_box = (0, 0, _figure(self.width), _figure(self.height))
        drawing.set_render_size(f"{self.width:g}mm", f"{self.height:g}mm")
        drawing.append_title(title)
        drawing.append(drawsvg.Rectangle(0, 0, _n(self.width), _n(self.height), fill=paper, class_="paper"))
        drawing.append(self._at[0])
        drawn: str = drawing.as_svg()
        return drawn


def _n(mm: float) -> float:
    """Round to a thousandth of a millimetre."""
    return round(mm, 3) + 0.0


def _figure(mm: float) -> str:
    return f"{_n(mm):g}"


def _path(dots: Sequence[Dot]) -> str:
    return "M" + "L".join(f"{x:.3f} {y:.3f}" for x, y in dots)
