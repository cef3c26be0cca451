"""The compass settings: where variation comes from, and the two deviation cards."""

from itertools import pairwise
from typing import Annotated, Literal

from pydantic import AfterValidator, Field, model_validator

from middlewatch.navigator.tuning import CardPoints, VariationChoice
from middlewatch.settings.refusal import wrong
from middlewatch.settings.table import Table

# Past this a card is a slip of the pen: a compass so far out is of no use and has to be compensated
# (common practice, no source).
_LARGEST_DEVIATION_DEG = 45.0


def _round_the_circle(points: CardPoints) -> CardPoints:
    """Check a card and bring a point at 360 to 0, which is the same heading."""
    for place, (heading, deviation) in enumerate(points, start=1):
        if not 0.0 <= heading <= 360.0:
            raise wrong(f"#{place}", heading, "a heading from 0 to 360")
        if abs(deviation) > _LARGEST_DEVIATION_DEG:
            raise wrong(f"#{place}", deviation, "a deviation from -45 to 45, E+")
    for place, (before, after) in enumerate(pairwise(points), start=2):
        if after[0] <= before[0]:
            raise wrong(f"#{place}", after[0], f"headings that increase: one past {before[0]:g}")
    if not points or points[-1][0] != 360.0:
        return points
    return _north_once(points)


def _north_once(points: CardPoints) -> CardPoints:
    *others, (_, at_360) = points
    if not others or others[0][0] != 0.0:
        return ((0.0, at_360), *others)
    if others[0][1] != at_360:
        raise wrong(f"#{len(points)}", at_360, f"the deviation given at 0, {others[0][1]:g}: 360 is 0")
    return tuple(others)


Card = Annotated[
    tuple[Annotated[tuple[float, float], Field(strict=False)], ...],
    Field(strict=False),
    AfterValidator(_round_the_circle),
]
"""A deviation card: (heading on that compass, deviation E+) in degrees, headings increasing, within [0, 360).

Empty: no card; one point: the same deviation on every heading.
"""


class VariationSettings(Table):
    """Where variation comes from; value, year and annual change belong to the chart's rose alone."""

    source: Literal["model", "chart", "bus"] = "model"
    value_deg: Annotated[float, Field(ge=-180, le=180)] | None = None
    year: Annotated[float, Field(ge=1900, le=2200)] | None = None
    annual_change_min: Annotated[float, Field(ge=-120, le=120)] | None = None

    @model_validator(mode="after")
    def _rose_with_the_chart_only(self) -> "VariationSettings":
        """Refuse a rose without its value, year or annual change, and one where it is not asked for."""
        for key in ("value_deg", "year", "annual_change_min"):
            value = getattr(self, key)
            if self.source == "chart" and value is None:
                raise wrong(key, value, "what the chart's rose says (source is chart)")
            if self.source != "chart" and value is not None:
                raise wrong(key, value, f"no {key} where the source is {self.source}")
        return self

    def choice(self) -> VariationChoice:
        """Return the navigator's own form of it."""
        if self.value_deg is None or self.year is None or self.annual_change_min is None:
            return VariationChoice(source=self.source)
        return VariationChoice(self.source, self.value_deg, self.year, self.annual_change_min)


class CompassSettings(Table):
    """Variation, and a card for the sensor on the bus and one for the steering compass."""

    variation: VariationSettings = VariationSettings()
    sensor_card: Card = ()
    hdm_corrected: bool = True
    deviation_known: bool = True
    steering_card: Card = ()
