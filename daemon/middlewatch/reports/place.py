"""A point, as it is published."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class PlaceReport:
    """A point."""

    latitude_deg: float
    longitude_deg: float
