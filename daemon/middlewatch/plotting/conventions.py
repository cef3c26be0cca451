"""Conventions: which sign stands for what, and how it is labelled, in the schools navigators come from.

Paper conventions differ, so it is a setting. Where a source is named it was seen; `from memory` where not.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from middlewatch.plotting import symbols
from middlewatch.plotting.pen import Dot, Pen, Stroke
from middlewatch.quantities.angles import three_figures

Symbols = Literal["us", "uk", "imo"]

Sign = Callable[[Pen, Dot, Stroke], None]
OnCourse = Callable[[Pen, Dot, Stroke, float], None]


@dataclass(frozen=True, slots=True)
class Heads:
    """How many arrowheads stand at the mark's end and at the outer end of a line."""

    inner: int = 0
    outer: int = 0


@dataclass(frozen=True, slots=True)
class Convention:
    """One school's signs and labels.

    `bearing`, `distance`, `transferred`: the heads of a line of position, of an arc, of either carried on.
    `water`, `stream`: the heads of a course through the water and of a stream's vector. `dr_word`, `ep_word`
    stand behind the time; `transferred_word` before the two times; `fix_words` by the fix's label. What
    bounds the boat and is no line (a sector's limits, a light in sight, a contour) has no heads in any: see
    `bounds`. A light dipped is an arc like any distance (MSC.232(82), appendix 3: light arcs).
    """

    name: Symbols
    fix: Sign
    dr: OnCourse
    ep: Sign
    bearing: Heads
    distance: Heads
    transferred: Heads
    water: int
    stream: int
    dr_word: str
    ep_word: str
    transferred_word: str
    fix_words: Mapping[str, str]
    course_words: Callable[[float], str]
    speed_words: Callable[[float], str]


def _crossed_dr(pen: Pen, at: Dot, stroke: Stroke, _course_deg: float) -> None:
    symbols.crossed_circle(pen, at, stroke)


US = Convention(
    name="us",
    fix=symbols.dot_in_circle,
    dr=symbols.half_circle,
    ep=symbols.dot_in_square,
    bearing=Heads(),
    distance=Heads(),
    transferred=Heads(),
    water=0,
    stream=1,
    dr_word="DR",
    ep_word="EP",
    transferred_word="",
    fix_words=MappingProxyType({"Fix": "FIX", "R Fix": "R FIX"}),
    course_words=lambda true_deg: f"C {three_figures(true_deg)}",
    speed_words=lambda kn: f"S {kn:.1f}",
)
"""The United States' paper practice.

Fix: a dot in a circle; DR: a dot and half a circle; EP: a dot in a square; running fix: a circle and R FIX
(Bowditch, as quoted by the training texts that were seen). Both times on a transferred line, a current's
arrow, C and S along the course: from memory.
"""

UK = Convention(
    name="uk",
    fix=symbols.dot_in_circle,
    dr=symbols.tick,
    ep=symbols.dot_in_triangle,
    bearing=Heads(outer=1),
    distance=Heads(inner=1, outer=1),
    transferred=Heads(inner=2, outer=2),
    water=1,
    stream=3,
    dr_word="",
    ep_word="EP",
    transferred_word="",
    fix_words=MappingProxyType({"Fix": "Fix", "R Fix": "R Fix"}),
    course_words=lambda true_deg: f"{three_figures(true_deg)}° T",
    speed_words=lambda kn: f"{kn:.1f} kn",
)
"""The United Kingdom's paper practice.

Arrowheads: one at the outer end of a bearing, one at both ends of a range, two at both ends of a transferred
line; water track one, tide three (a maritime college's notes that were seen). Fix: a dot in a circle; DR: a
tick across the track; EP: a dot in a triangle; from memory of the yachtsmen's courses.
"""

IMO = Convention(
    name="imo",
    fix=symbols.crossed_circle,
    dr=_crossed_dr,
    ep=symbols.crossed_circle,
    bearing=Heads(),
    distance=Heads(),
    transferred=Heads(),
    water=1,
    stream=3,
    dr_word="DR",
    ep_word="EP",
    transferred_word="TPL",
    fix_words=MappingProxyType({"Fix": "FIX", "R Fix": "R FIX"}),
    course_words=lambda true_deg: f"CTW {three_figures(true_deg)}",
    speed_words=lambda kn: f"STW {kn:.1f}",
)
"""IMO SN.1/Circ.243/Rev.2 (2019), symbols and terms: one crossed circle, and words that tell which it is.

Lines thin and solid, TPL and both times on a transferred one, three arrowheads for a stream, solid as
measured and dashed as predicted. It has no running fix of its own; ours keeps its name.
"""

CONVENTIONS: Mapping[Symbols, Convention] = MappingProxyType({"us": US, "uk": UK, "imo": IMO})
