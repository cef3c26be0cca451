"""What the sea has to do with how well one observes from a small boat."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Literal

from middlewatch.navigator.tuning import Doubts

Sea = Literal["calm", "moderate", "rough"]

_MODERATE = Doubts()
_CALM_DEG, _ROUGH_DEG = 1.5, 4.5
"""One standard deviation of a hand bearing (common practice; the design's section 4)."""
_CALM_PART, _ROUGH_PART = 0.5, 2.0
"""Half and twice what it is in a moderate sea: sextant angles, a depth read off, the lift of the eye
(judgement)."""


def _beside_moderate(bearing_deg: float, part: float) -> Mapping[str, float]:
    return MappingProxyType(
        {
            "bearing_deg": bearing_deg,
            "vertical_angle_min": _MODERATE.vertical_angle_min * part,
            "horizontal_angle_min": _MODERATE.horizontal_angle_min * part,
            "sounding_m": _MODERATE.sounding_m * part,
            "eye_lift_m": _MODERATE.eye_lift_m * part,
        }
    )


BY_SEA: Mapping[Sea, Mapping[str, float]] = MappingProxyType(
    {
        "calm": _beside_moderate(_CALM_DEG, _CALM_PART),
        "moderate": _beside_moderate(_MODERATE.bearing_deg, 1.0),
        "rough": _beside_moderate(_ROUGH_DEG, _ROUGH_PART),
    }
)
"""The doubts that the sea sets, by their names in `Doubts`; it has no part in the others.

Those are a range as a part of itself, two marks in line, a mark passed, the edge of a sector, a departure.
"""
