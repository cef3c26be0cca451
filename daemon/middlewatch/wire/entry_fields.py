"""The fields entries are made of: each with its range, and described as a refusal words what is wanted.

The upper ends catch slips and keep arithmetic finite: half the Earth's girth for distances, more than any
stream or boat runs for speeds (judgement, no source).
"""

from abc import abstractmethod
from datetime import datetime
from typing import Annotated, Any, ClassVar, Literal, get_args

from pydantic import AfterValidator, BaseModel, ConfigDict, Discriminator, Field, PlainValidator, Tag

from middlewatch.quantities.angles import direction
from middlewatch.quantities.instants import Instant
from middlewatch.quantities.positions import Position
from middlewatch.readings.entries import Colour, DepthBelow, Order, Reference, Side, Sighting, WayWord
from middlewatch.readings.marks import MarkRef
from middlewatch.reports.alert import AlertName

_STRICT = ConfigDict(strict=True, extra="forbid", frozen=True, allow_inf_nan=False)

# --- numbers -----------------------------------------------------------------------------------------------

# 360 and 0 are one direction; the entry's text keeps the one that was said.
Direction = Annotated[
    float, Field(ge=0, le=360, description="degrees clockwise, 0 to 360"), AfterValidator(direction)
]
Latitude = Annotated[float, Field(ge=-90, le=90, description="degrees, north +, -90 to 90")]
Longitude = Annotated[float, Field(ge=-180, le=180, description="degrees, east +, -180 to 180")]
DistanceNm = Annotated[float, Field(gt=0, le=10_800, description="nautical miles, over 0, up to 10800")]
DistanceM = Annotated[float, Field(gt=0, le=18_520, description="metres, over 0, up to 18520")]
SdDeg = Annotated[float, Field(gt=0, le=180, description="degrees, over 0, up to 180")]
SdMin = Annotated[float, Field(gt=0, le=600, description="minutes of arc, over 0, up to 600")]
AngleMin = Annotated[float, Field(gt=0, le=1800, description="minutes of arc, over 0, up to 1800")]
IndexErrorMin = Annotated[float, Field(ge=-60, le=60, description="minutes of arc, + on the arc, -60 to 60")]
AngleDeg = Annotated[float, Field(gt=0, lt=180, description="degrees, over 0, under 180")]
EyeM = Annotated[float, Field(gt=0, le=50, description="metres above the water, over 0, up to 50")]
HeightM = Annotated[float, Field(gt=0, le=5_000, description="metres, over 0, up to 5000")]
TideM = Annotated[float, Field(ge=-5, le=20, description="metres above chart datum, -5 to 20")]
DepthM = Annotated[float, Field(gt=0, le=11_000, description="metres, over 0, up to 11000")]
SdKn = Annotated[float, Field(gt=0, le=30, description="knots, over 0, up to 30")]
Drift = Annotated[float, Field(ge=0, le=30, description="knots, 0 to 30")]
Visible = Annotated[float, Field(ge=0, le=100, description="nautical miles, 0 to 100")]
Revision = Annotated[int, Field(ge=0, description="the alert's revision, a whole number")]

SpeedByHand = Annotated[
    float, Field(ge=-100, le=100, description="knots, -100 (astern) to 100, or null to give the sensor back")
]
HeadingByHand = Annotated[
    float,
    Field(ge=0, le=360, description="degrees clockwise, 0 to 360, or null to give the sensor back"),
    AfterValidator(direction),
]
LogByHand = Annotated[
    float,
    Field(ge=0, le=1_000_000, description="nautical miles, 0 to 1000000, or null to give the sensor back"),
]
Factor = Annotated[
    float, Field(ge=0.5, le=2.0, description="what the log shows is times this, 0.5 to 2, or null to cancel")
]
FactorSd = Annotated[float, Field(gt=0, le=0.5, description="a part of one, over 0, up to 0.5")]
DeviationDeg = Annotated[
    float, Field(ge=-60, le=60, description="degrees, east +, -60 to 60, or null to cancel")
]
CardPoint = Annotated[str, Field(pattern=r"^\d{1,3}(\.\d+)?:[+-]?\d{1,2}(\.\d+)?$")]
Leeway = Annotated[float, Field(ge=0, le=30, description="degrees, 0 to 30, or null to cancel")]

# --- times -------------------------------------------------------------------------------------------------


def _instant(value: object) -> Instant:
    try:
        moment = Instant.parse(value if isinstance(value, str) else "")
    except ValueError:
        raise ValueError("that is not date, time and offset (Z or +hh:mm) as RFC 3339 writes them") from None
    if moment.ms < 0:
        raise ValueError("the time is before 1970")
    return moment


Moment = Annotated[
    Instant,
    PlainValidator(_instant, json_schema_input_type=datetime),
    Field(description="date and time with Z or an offset, as 2026-05-03T01:42:07Z"),
]
Ago = Annotated[float, Field(ge=0, le=31_536_000, description="seconds back from now, 0 to 31536000")]

# --- words -------------------------------------------------------------------------------------------------


def _one_of(words: Any) -> str:
    """Return `one of port, starboard`; the parameter is Any, for so typing sees the name of a Literal."""
    return "one of " + ", ".join(get_args(words))


Words = Annotated[str, Field(pattern=r"\S", description="some words, in quotes")]
EntryId = Annotated[
    str,
    Field(pattern=r"^[A-Za-z0-9._-]{1,64}$", description="1 to 64 of letters, digits, dot, underscore, dash"),
]
# `f-`, an entry's id, and the number of a revision.
FixId = Annotated[str, Field(pattern=r"^[A-Za-z0-9._-]{1,80}$", description="a fix's id, as f-<id>")]

ReferenceWord = Annotated[Reference, Field(description=_one_of(Reference))]
HeadingReference = Literal["magnetic", "true", "compass"]
HeadingReferenceWord = Annotated[HeadingReference, Field(description=_one_of(HeadingReference))]
SideWord = Annotated[Side, Field(description=_one_of(Side))]
ColourWord = Annotated[Colour, Field(description=_one_of(Colour))]
DepthBelowWord = Annotated[DepthBelow, Field(description=_one_of(DepthBelow))]
YesNo = Annotated[bool, Field(description="true or false")]
WayOrdered = Annotated[WayWord, Field(description=_one_of(WayWord))]
AlertWord = Annotated[AlertName, Field(description=_one_of(AlertName))]

# --- marks -------------------------------------------------------------------------------------------------

_NAMED, PLACED = "by its name", "by its place"


class MarkPlace(BaseModel):
    """A mark told by where it is."""

    model_config = _STRICT

    latitude_deg: Latitude
    longitude_deg: Longitude


def _named_or_placed(value: object) -> str | None:
    if isinstance(value, dict):
        return PLACED
    return _NAMED if isinstance(value, str) else None


MarkWord = Annotated[
    Annotated[Words, Tag(_NAMED)] | Annotated[MarkPlace, Tag(PLACED)],
    Discriminator(_named_or_placed),
    Field(description="a mark's name, or an object of its latitude_deg and longitude_deg"),
]


def mark_ref(mark: str | MarkPlace) -> MarkRef:
    """Return a mark as the navigator looks it up."""
    return mark if isinstance(mark, str) else Position(mark.latitude_deg, mark.longitude_deg)


def field_path(location: tuple[int | str, ...]) -> str:
    """Return where in an entry an error lies, as `mark.latitude_deg` or `using[1]`."""
    steps = [step for step in location if step not in {_NAMED, PLACED}]
    return str(steps[0]) + "".join(f"[{step}]" if isinstance(step, int) else f".{step}" for step in steps[1:])


# --- every entry -------------------------------------------------------------------------------------------


class EntryFields(BaseModel):
    """What every entry may carry; `may_be_null` names the fields in which null says something."""

    model_config = _STRICT
    may_be_null: ClassVar[frozenset[str]] = frozenset()

    id: EntryId | None = None
    kind: str = Field(description="the kind of the entry")
    at: Moment | None = None
    ago_s: Ago | None = None
    note: Words | None = None

    @abstractmethod
    def request(self) -> Sighting | Order:
        """Return the entry as a reading; RefusedError where its fields contradict each other."""

    def said(self, *fields: str) -> list[str]:
        """Return which of these fields the entry gives, null or not."""
        return [field for field in fields if field in self.model_fields_set]
