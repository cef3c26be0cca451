"""Sightings as they arrive: the fields of each kind, and the reading they make."""

from typing import Literal

from pydantic import Field

from middlewatch.quantities.positions import Position
from middlewatch.readings.entries import (
    Bearing,
    HorizontalAngle,
    LightRange,
    Passing,
    PositionSight,
    Range,
    SectorSeen,
    Sounding,
    Transit,
    VerticalAngle,
)
from middlewatch.readings.marks import MarkRef
from middlewatch.wire.entry_fields import (
    AngleDeg,
    AngleMin,
    ColourWord,
    DepthBelowWord,
    DepthM,
    Direction,
    DistanceM,
    DistanceNm,
    EntryFields,
    EyeM,
    HeightM,
    IndexErrorMin,
    Latitude,
    Longitude,
    MarkWord,
    ReferenceWord,
    SdDeg,
    SdMin,
    SideWord,
    TideM,
    Visible,
    Words,
    YesNo,
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
            wanted = "another mark than the front one"
            raise RefusedError("rear_mark", _told(rear), wanted, "a mark makes no transit with itself")
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


class VerticalAngleFields(EntryFields):
    """`vertical_angle`."""

    mark: MarkWord
    angle_min: AngleMin
    index_error_min: IndexErrorMin | None = None
    eye_m: EyeM | None = None
    height_m: HeightM | None = None
    tide_m: TideM | None = None

    def request(self) -> VerticalAngle:
        """Return the angle."""
        if self.angle_min <= (self.index_error_min or 0.0):
            wanted = "an angle larger than the index error"
            reason = "with the index error taken off nothing is left of the angle"
            raise RefusedError("angle_min", shown(self.angle_min), wanted, reason)
        return VerticalAngle(
            mark_ref(self.mark), self.angle_min, self.index_error_min, self.eye_m, self.height_m, self.tide_m
        )


class HorizontalAngleFields(EntryFields):
    """`horizontal_angle`: `mark` is the left one."""

    mark: MarkWord
    second_mark: MarkWord
    angle_deg: AngleDeg

    def request(self) -> HorizontalAngle:
        """Return the angle."""
        left, right = mark_ref(self.mark), mark_ref(self.second_mark)
        if left == right:
            wanted = "another mark than the left one"
            raise RefusedError("second_mark", _told(right), wanted, "a mark makes no angle with itself")
        return HorizontalAngle(left, right, self.angle_deg)


class RaisedFields(EntryFields):
    """`raised`."""

    mark: MarkWord
    visibility_nm: Visible | None = None
    bobbed: YesNo = False

    def request(self) -> LightRange:
        """Return the light that came in sight."""
        return LightRange(mark_ref(self.mark), "raised", self.visibility_nm, self.bobbed)


class DippedFields(RaisedFields):
    """`dipped`."""

    def request(self) -> LightRange:
        """Return the light that went out of sight."""
        return LightRange(mark_ref(self.mark), "dipped", self.visibility_nm, self.bobbed)


class SectorFields(EntryFields):
    """`sector`."""

    mark: MarkWord
    colour: ColourWord

    def request(self) -> SectorSeen:
        """Return the colour seen."""
        return SectorSeen(mark_ref(self.mark), self.colour)


class DepthFields(EntryFields):
    """`depth`."""

    depth_m: DepthM
    below: DepthBelowWord
    contour: Words | None = None
    tide_m: TideM | None = None

    def request(self) -> Sounding:
        """Return the sounding."""
        return Sounding(self.depth_m, self.below, self.contour, self.tide_m)


def _told(mark: MarkRef) -> str:
    return mark if isinstance(mark, str) else shown([mark.latitude_deg, mark.longitude_deg])


SIGHTINGS: dict[str, type[EntryFields]] = {
    "bearing": BearingFields,
    "range": RangeFields,
    "transit": TransitFields,
    "vertical_angle": VerticalAngleFields,
    "horizontal_angle": HorizontalAngleFields,
    "raised": RaisedFields,
    "dipped": DippedFields,
    "sector": SectorFields,
    "depth": DepthFields,
    "passing": PassingFields,
    "position": PositionFields,
}
