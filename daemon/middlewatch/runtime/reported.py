"""REPORTS read again, back as reports: for the plotting sheet only."""

from collections.abc import Callable, Iterator
from dataclasses import MISSING, fields, is_dataclass
from functools import lru_cache
from math import cos, radians
from types import NoneType, UnionType
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints

from middlewatch.quantities.instants import Instant
from middlewatch.quantities.positions import longitude, radii_m
from middlewatch.reports import Report
from middlewatch.reports.answer import Answer
from middlewatch.reports.area import Outline
from middlewatch.reports.fix import FixReport
from middlewatch.reports.position import PositionReport
from middlewatch.reports.satellite import SatelliteReport
from middlewatch.runtime.reports_told import BadReports, Json, told

Reader = Callable[[Any], Any]
"""From what JSON gives to what a field holds; Any, for both may be whatever INTERFACE has."""

_READ: dict[str, type] = {"position": PositionReport, "fix": FixReport, "satellite": SatelliteReport}
_ANSWERS: dict[str, Literal["sighting", "order"]] = {"sighting/answer": "sighting", "order/answer": "order"}
_DEGREES_PER_RADIAN = 57.29577951308232


def read_reports(file: str) -> Iterator[Report]:
    """Yield the positions, fixes, answers, and the last satellite report of a file of reports.

    Alerts and advice are passed over. BadReports names the line of one that is no report.
    """
    satellite: Report | None = None
    for number, topic, said in told(file):
        try:
            report = _report(topic, said)
        except (ValueError, KeyError, TypeError, AttributeError) as fault:
            raise BadReports(
                file, number, f"a wrong {topic}", f"one as --reports writes it ({fault!r})"
            ) from fault
        if isinstance(report, SatelliteReport):
            satellite = report
        elif report is not None:
            yield report
    if satellite is not None:
        yield satellite


def _report(topic: str, said: Json) -> Report | None:
    if topic in _ANSWERS:
        return _answer(_ANSWERS[topic], said)
    kind = _READ.get(topic)
    if kind is None:
        return None
    report: Report = _object(kind)(said)
    return report


def _answer(channel: Literal["sighting", "order"], said: Json) -> Answer:
    """Read an answer, whose refusal or sighting is published beside the rest and not inside it."""
    flat: Json = {**said, "channel": channel}
    if "reason" in said:
        flat["refusal"] = said
    elif channel == "sighting":
        flat["sighting"] = said
    answer: Answer = _object(Answer)(flat)
    return answer


@lru_cache(maxsize=64)
def _object(kind: type) -> Reader:
    """Return the reader of a class of report; what is left out of the JSON is None or the class's default."""
    hints = get_type_hints(kind)
    readers = [(each, _reader(hints[each.name])) for each in fields(kind)]

    def read(said: Json) -> Any:
        given: Json = {}
        for each, reader in readers:
            value = said.get(each.name)
            if value is not None:
                given[each.name] = reader(value)
            elif each.default is MISSING:
                given[each.name] = () if get_origin(hints[each.name]) is tuple else None
        return kind(**given)

    return read


def _reader(hint: Any) -> Reader:
    if get_origin(hint) in {Union, UnionType}:
        (hint,) = (choice for choice in get_args(hint) if choice is not NoneType)
    if get_origin(hint) is tuple:
        inside = _reader(get_args(hint)[0])
        return lambda values: tuple([inside(value) for value in values])
    if hint is Instant:
        return _instant
    if hint is Outline:
        return _outline
    if is_dataclass(hint) and isinstance(hint, type):
        return _object(hint)
    return _as_it_is


@lru_cache(maxsize=256)
def _instant(text: str) -> Instant:
    return Instant.parse(text)


def _as_it_is(value: Any) -> Any:
    return value


def _outline(polygons: list[list[list[float]]]) -> Outline:
    """Return an outline with these corners, told from the first of them: what Outline.corners_deg undoes."""
    north_deg, east_deg = polygons[0][0]
    meridional_m, _ = radii_m(north_deg)

    def offset(corner: list[float]) -> complex:
        middle = (north_deg + corner[0]) / 2
        east = longitude(corner[1] - east_deg) / _DEGREES_PER_RADIAN * meridional_m * cos(radians(middle))
        return complex((corner[0] - north_deg) / _DEGREES_PER_RADIAN * meridional_m, east)

    drawn = tuple(tuple(offset(corner) for corner in corners) for corners in polygons)
    return Outline(north_deg, east_deg, drawn)
