"""Inks: for the day on paper, for the night, where no ink is bright enough to blind, and for the sun."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

LightName = Literal["day", "night", "sun"]


@dataclass(frozen=True, slots=True)
class Palette:
    """The colours of a sheet. Nothing hangs on colour alone: each thing has its form or its words too.

    `paper` is the ground; `print` what the empty sheet bears; `chart` what the files bear; `pencil` what is
    plotted; `area` the outline of the area; `danger` what to keep off; red, green and white the sectors.
    """

    paper: str
    print: str
    chart: str
    pencil: str
    area: str
    danger: str
    red: str
    green: str
    white: str


DAY = Palette(
    paper="#fdfcf7",
    print="#8fa3a8",
    chart="#3d4f57",
    pencil="#26262b",
    area="#1d3f8f",
    danger="#8a2f1c",
    red="#b3362a",
    green="#2f7d46",
    white="#c08a1e",
)
"""Printed paper and graphite."""

NIGHT = Palette(
    paper="#0b0c0e",
    print="#525b60",
    chart="#6b6f6c",
    pencil="#857f72",
    area="#6f7fa6",
    danger="#a0604a",
    red="#8f463c",
    green="#4b7a57",
    white="#84723f",
)
"""Near-black ground and dim ink: no colour here has more than a quarter of white's luminance."""

SUN = Palette(
    paper="#ffffff",
    print="#767676",
    chart="#1c1c1c",
    pencil="#000000",
    area="#00207a",
    danger="#7a1500",
    red="#a00000",
    green="#005a1e",
    white="#5c3d00",
)
"""White paper and black ink, for a screen in the sun and for one that knows only grey."""

PALETTES: Mapping[LightName, Palette] = MappingProxyType({"day": DAY, "night": NIGHT, "sun": SUN})
"""The inks by the light they are seen in."""
