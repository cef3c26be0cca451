"""Orders the reckoning goes by: where she starts, how she lies, what is laid over the run, what is seen."""

from typing import Literal

from pydantic import Field

from middlewatch.quantities.positions import Position
from middlewatch.readings.entries import (
    ByHand,
    ClockOrder,
    CourseOrder,
    Departure,
    DeviationOrder,
    FromMark,
    LeewayOrder,
    LogFactorOrder,
    Overboard,
    Recovered,
    StreamOrder,
    Visibility,
    WayOrder,
)
from middlewatch.wire.entry_fields import (
    CardPoint,
    DeviationDeg,
    Direction,
    DistanceM,
    DistanceNm,
    Drift,
    EntryFields,
    EntryId,
    Factor,
    FactorSd,
    HeadingByHand,
    HeadingReferenceWord,
    Latitude,
    Leeway,
    LogByHand,
    Longitude,
    MarkWord,
    Moment,
    ReferenceWord,
    SdDeg,
    SdKn,
    SideWord,
    SpeedByHand,
    Visible,
    WayOrdered,
    mark_ref,
)
from middlewatch.wire.refusals import RefusedError

# By sight, close to a mark (the design's section 4).
_DEPARTURE_SD_NM = 0.05


class DepartureFields(EntryFields):
    """`departure`: a position, a bearing and distance of a mark, or `from`."""

    latitude_deg: Latitude | None = None
    longitude_deg: Longitude | None = None
    mark: MarkWord | None = None
    bearing_deg: Direction | None = None
    reference: ReferenceWord = "magnetic"
    distance_nm: DistanceNm | None = None
    from_: Literal["satellite", "last_agreed"] | None = Field(
        default=None, alias="from", description="satellite, last_agreed"
    )
    sd_nm: DistanceNm = _DEPARTURE_SD_NM

    def request(self) -> Departure:
        """Return the departure, from the one way its place is told."""
        by_position = self.said("latitude_deg", "longitude_deg")
        by_mark = self.said("mark", "bearing_deg", "reference", "distance_nm")
        by_order = ["from"] if self.from_ is not None else []
        ways = [way for way in (by_position, by_mark, by_order) if way]
        if len(ways) != 1:
            wanted = "latitude_deg and longitude_deg, or mark, bearing_deg and distance_nm, or from"
            found = " beside ".join(" and ".join(way) for way in ways) or "nothing"
            raise RefusedError(
                "departure", found, wanted, "a departure's place is told in one way, and in one only"
            )
        return Departure(self._place(), self.sd_nm)

    def _place(self) -> Position | FromMark | Literal["satellite", "last_agreed"]:
        if self.from_ is not None:
            return self.from_
        if self.latitude_deg is not None and self.longitude_deg is not None:
            return Position(self.latitude_deg, self.longitude_deg)
        if self.mark is not None and self.bearing_deg is not None and self.distance_nm is not None:
            return FromMark(mark_ref(self.mark), self.bearing_deg, self.reference, self.distance_nm)
        raise self._incomplete()

    def _incomplete(self) -> RefusedError:
        by_position = self.said("latitude_deg", "longitude_deg")
        needed = ("latitude_deg", "longitude_deg") if by_position else ("mark", "bearing_deg", "distance_nm")
        missing = next(field for field in needed if field not in self.model_fields_set)
        return RefusedError(
            missing, "nothing", " and ".join(needed), f"the departure's place needs {missing}"
        )


class WayFields(EntryFields):
    """`way`: how the boat lies."""

    way: WayOrdered
    radius_m: DistanceM | None = None
    drift_towards_deg: Direction | None = None
    drift_kn: Drift | None = None
    until: Moment | None = None

    def request(self) -> WayOrder:
        """Return the way; a field that this way would leave unused is refused, not dropped."""
        drift = self.said("drift_towards_deg", "drift_kn")
        if drift and self.way not in {"hove_to", "drifting"}:
            raise RefusedError(
                drift[0], self.way, "a drift with hove_to or drifting", f"{self.way} takes no drift"
            )
        if len(drift) == 1:
            raise RefusedError(
                drift[0], drift[0], "drift_towards_deg and drift_kn", "half a drift cannot be steered by"
            )
        if self.radius_m is not None and self.way != "anchored":
            raise RefusedError("radius_m", self.way, "a radius with anchored", f"{self.way} takes no radius")
        return WayOrder(self.way, self.radius_m, self.drift_towards_deg, self.drift_kn, self.until)


class CourseFields(EntryFields):
    """`course`: the one ordered."""

    heading_deg: Direction
    reference: HeadingReferenceWord = "compass"

    def request(self) -> CourseOrder:
        """Return the course ordered."""
        return CourseOrder(self.heading_deg, self.reference)


class ByHandFields(EntryFields):
    """`by_hand`: null gives a sensor back; a field left out stays as it was."""

    may_be_null = frozenset({"heading_deg", "speed_kn", "log_nm"})

    heading_deg: HeadingByHand | None = None
    reference: HeadingReferenceWord = "compass"
    speed_kn: SpeedByHand | None = None
    log_nm: LogByHand | None = None

    def request(self) -> ByHand:
        """Return what is given by hand and what is given back."""
        given: set[Literal["heading", "speed", "log"]] = set()
        if self.said("heading_deg"):
            given.add("heading")
        if self.said("speed_kn"):
            given.add("speed")
        if self.said("log_nm"):
            given.add("log")
        if self.said("reference") and self.heading_deg is None:
            raise RefusedError(
                "reference", self.reference, "heading_deg beside it", "a reference belongs to a heading"
            )
        if not given:
            raise RefusedError(
                "heading_deg",
                "nothing",
                "heading_deg, speed_kn or log_nm",
                "by_hand needs one thing at least",
            )
        return ByHand(frozenset(given), self.heading_deg, self.reference, self.speed_kn, self.log_nm)


class LeewayFields(EntryFields):
    """`leeway`: null cancels."""

    may_be_null = frozenset({"leeway_deg", "pushed_to"})

    leeway_deg: Leeway | None
    pushed_to: SideWord | None = None

    def request(self) -> LeewayOrder:
        """Return the leeway, with the side it pushes to, or its end."""
        if self.leeway_deg is not None and self.pushed_to is None:
            raise RefusedError(
                "pushed_to", "nothing", "one of port, starboard", "leeway needs the side it pushes to"
            )
        if self.leeway_deg is None and self.pushed_to is not None:
            raise RefusedError(
                "pushed_to", self.pushed_to, "leeway_deg beside it", "leeway_deg null cancels leeway"
            )
        return LeewayOrder(self.leeway_deg, self.pushed_to)


class StreamFields(EntryFields):
    """`stream`: towards where (true), and how fast."""

    set_deg: Direction
    drift_kn: Drift
    sd_kn: SdKn | None = None
    until: Moment | None = None

    def request(self) -> StreamOrder:
        """Return the stream."""
        return StreamOrder(self.set_deg, self.drift_kn, self.sd_kn, self.until)


class LogFactorFields(EntryFields):
    """`log_factor`: by hand, from satellites, or null to cancel."""

    may_be_null = frozenset({"factor"})

    factor: Factor | None = None
    sd: FactorSd | None = None
    from_: Literal["satellite"] | None = Field(default=None, alias="from", description="satellite")

    def request(self) -> LogFactorOrder:
        """Return the factor, told in one way only; how good it is goes with one by hand."""
        ways = self.said("factor") + (["from"] if self.from_ is not None else [])
        if len(ways) != 1:
            found = " beside ".join(ways) or "nothing"
            raise RefusedError(
                "factor",
                found,
                'factor, or from: "satellite"',
                "a log's factor is told in one way, and in one only",
            )
        if self.sd is not None and self.factor is None:
            raise RefusedError(
                "sd", f"{self.sd:g}", "factor beside it", "how good a factor is goes with one by hand"
            )
        return LogFactorOrder(self.from_ or self.factor, self.sd)


class DeviationFields(EntryFields):
    """`deviation`: found on the present heading, a card's points, from satellites, or null to cancel."""

    may_be_null = frozenset({"deviation_deg"})

    deviation_deg: DeviationDeg | None = None
    card: list[CardPoint] | None = Field(
        default=None,
        min_length=1,
        max_length=72,
        description="heading:deviation, degrees, east +, as 0:-2, 90:1.5, for one heading after the other",
    )
    sd_deg: SdDeg | None = None
    from_: Literal["satellite"] | None = Field(default=None, alias="from", description="satellite")

    def request(self) -> DeviationOrder:
        """Return the deviation, told in one way only; how good it is goes with one by hand."""
        ways = self.said("deviation_deg") + [
            word for word, told in (("card", self.card), ("from", self.from_)) if told is not None
        ]
        if len(ways) != 1:
            found = " beside ".join(ways) or "nothing"
            wanted = 'deviation_deg, card, or from: "satellite"'
            raise RefusedError(
                "deviation_deg", found, wanted, "a deviation is told in one way, and in one only"
            )
        if self.sd_deg is not None and self.deviation_deg is None and self.card is None:
            reason = "how good a deviation is goes with one by hand"
            raise RefusedError("sd_deg", f"{self.sd_deg:g}", "deviation_deg or card beside it", reason)
        return DeviationOrder(self.from_ or self._points() or self.deviation_deg, self.sd_deg)

    def _points(self) -> tuple[tuple[float, float], ...] | None:
        if self.card is None:
            return None
        pairs = (point.split(":") for point in self.card)
        points = tuple((float(heading), float(deviation)) for heading, deviation in pairs)
        off = next((heading for heading, _ in points if heading > 360.0), None)
        if off is not None:
            raise RefusedError("card", f"{off:g}", "headings from 0 to 360", "there is no such heading")
        return points


class VisibilityFields(EntryFields):
    """`visibility`."""

    visibility_nm: Visible

    def request(self) -> Visibility:
        """Return how far one sees."""
        return Visibility(self.visibility_nm)


class ClockFields(EntryFields):
    """`clock`: the time it was at arrival, or from satellites."""

    utc: Moment | None = None
    from_: Literal["satellite"] | None = Field(default=None, alias="from", description="satellite")

    def request(self) -> ClockOrder:
        """Return the clock's setting, told in one way only."""
        if self.utc is not None and self.from_ is None:
            return ClockOrder(self.utc)
        if self.from_ is not None and self.utc is None:
            return ClockOrder(self.from_)
        found = "nothing" if self.utc is None else "utc beside from"
        raise RefusedError(
            "utc", found, 'utc, or from: "satellite"', "the clock is set in one way, and in one only"
        )


class OverboardFields(EntryFields):
    """`overboard`: nothing but when; nobody has time for more."""

    def request(self) -> Overboard:
        """Return the order."""
        return Overboard()


class RecoveredFields(EntryFields):
    """`recovered`: who, where more than one is overboard."""

    entry: EntryId | None = None

    def request(self) -> Recovered:
        """Return the order."""
        return Recovered(self.entry)
