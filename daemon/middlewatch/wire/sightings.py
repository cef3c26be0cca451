"""Sightings as they arrive: the fields of each kind, and the reading they make."""

from typing import Literal

from pydantic import Field

from middlewatch.quantities.positions import Position
from middlewatch.readings.entries import Bearing, Passing, PositionSight, Range, Transit
from middlewatch.wire.entry_fields import (
    Direction,
    DistanceM,
    DistanceNm,
    EntryFields,
    Latitude,
    Longitude,
    MarkWord,
    ReferenceWord,
    SdDeg,
    SdMin,
    SideWord,
    mark_ref,
)
from middlewatch.wire.refusals import RefusedError, shown


class BearingFields(EntryFields):
    """`bearing`; without a mark the note must say what was seen."""

    mark: MarkWord | None = None
    bearing_deg: Direction
    reference: ReferenceWord = "magnetic"
    sd_deg: SdDeg | None = None

    def request(self) -> Bearing:
        """Return the bearing."""
        if self.mark is None and self.note is None:
            wanted = "mark, or a note that says what was seen"
            raise RefusedError(
                "mark", "nothing", wanted, "a bearing of nothing named cannot be drawn or found again"
            )
        mark = None if self.mark is None else mark_ref(self.mark)
        return Bearing(mark, self.bearing_deg, self.reference, self.sd_deg)


class RangeFields(EntryFields):
    """`range`."""

    mark: MarkWord
    distance_nm: DistanceNm
    sd_nm: DistanceNm | None = None

    def request(self) -> Range:
        """Return the range."""
        return Range(mark_ref(self.mark), self.distance_nm, self.sd_nm)


class TransitFields(EntryFields):
    """`transit`: `mark` is the front one."""

    mark: MarkWord
    rear_mark: MarkWord
    sd_min: SdMin | None = None

    def request(self) -> Transit:
        """Return the transit."""
        front, rear = mark_ref(self.mark), mark_ref(self.rear_mark)
        if front == rear:
            found = rear if isinstance(rear, str) else shown([rear.latitude_deg, rear.longitude_deg])
            raise RefusedError(
                "rear_mark", found, "another mark than the front one", "a mark makes no transit with itself"
            )
        return Transit(front, rear, self.sd_min)


class PassingFields(EntryFields):
    """`passing`."""

    mark: MarkWord
    side: SideWord
    distance_m: DistanceM

    def request(self) -> Passing:
        """Return the mark passed."""
        return Passing(mark_ref(self.mark), self.side, self.distance_m)


class PositionFields(EntryFields):
    """`position`: from elsewhere."""

    latitude_deg: Latitude
    longitude_deg: Longitude
    sd_nm: DistanceNm
    source: Literal["visual", "radar", "other", "satellite"] = Field(
        description="one of visual, radar, other, satellite"
    )

    def request(self) -> PositionSight:
        """Return the position."""
        return PositionSight(Position(self.latitude_deg, self.longitude_deg), self.sd_nm, self.source)


SIGHTINGS: dict[str, type[EntryFields]] = {
    "bearing": BearingFields,
    "range": RangeFields,
    "transit": TransitFields,
    "passing": PassingFields,
    "position": PositionFields,
}

NOT_BUILT_YET = frozenset({"vertical_angle", "horizontal_angle", "raised", "dipped", "sector", "depth"})
"""Kinds of sighting that are agreed on and cannot be taken yet."""
