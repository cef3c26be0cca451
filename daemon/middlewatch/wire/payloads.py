"""Reports as payloads: one JSON object on one line, keys in INTERFACE's order, figures rounded as it says.

How a class of report is written is worked out once, when this module is loaded: `position` and `satellite` go
out each second, and in a replay some thousand times a second.
"""

from collections.abc import Callable
from dataclasses import fields, is_dataclass
from functools import lru_cache
from json import JSONEncoder
from operator import attrgetter
from types import NoneType, UnionType
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints

from middlewatch.quantities.instants import Instant
from middlewatch.reports import Report
from middlewatch.reports.advice import AdviceReport
from middlewatch.reports.ahead import AheadReport, DangerReport
from middlewatch.reports.alert import AlertReport, CommandReport, SoundReport
from middlewatch.reports.answer import Answer, ProposalReport, RefusalReport, SightingAnswer, SlipReport
from middlewatch.reports.area import AreaReport, Outline
from middlewatch.reports.fix import FixReport, LineReport
from middlewatch.reports.overboard import OverboardReport
from middlewatch.reports.position import CalibratedReport, OriginReport, PositionReport, SourceReport
from middlewatch.reports.satellite import SatelliteReport
from middlewatch.reports.status import StatusReport
from middlewatch.wire.figures import decimals, figure_of, longitude

Published = Report | StatusReport
"""What goes out: what the navigator says, and the daemon's own state."""

Writer = Callable[[Any], str]
"""From a value that is not None to its JSON; Any, for each writer takes what its field holds."""

# Where INTERFACE's order is not the order in which the class lists its fields, or a field is not published.
_ORDER: dict[type, tuple[str, ...]] = {
    FixReport: (
        "id", "at", "label", "latitude_deg", "longitude_deg", "sightings", "lines", "cut_deg",
        "distance_off_nm", "cocked_hat", "rival", "set_deg", "drift_kn", "drift_sd_kn", "over_s", "stream",
        "area", "dr", "flags", "worth", "revises", "withdrawn",
    ),
    SatelliteReport: (
        "at", "state", "also", "reason", "since", "gap_nm", "bearing_deg", "ordinary_gap_nm", "limit_nm",
        "unseen_pull_kn", "apparent_set_deg", "apparent_drift_kn", "last_agreed", "causes",
    ),
    AlertReport: ("at", "priority", "state", "text", "since", "revision", "by"),
    Answer: ("id", "kind", "at", "heard_at", "accepted", "used", "open", "repeat"),
}  # fmt: skip

# What `left_out_of` says.
_LEFT_OUT: dict[type, frozenset[str]] = {
    PositionReport: frozenset({"former", "ahead", "danger"}),
    SourceReport: frozenset({"calibrated"}),
    AheadReport: frozenset({"danger"}),
    SatelliteReport: frozenset({"reason", "last_agreed"}),
    FixReport: frozenset({"cocked_hat", "rival", "stream", "revises", "withdrawn"}),
    LineReport: frozenset(
        {"sd_deg", "sd_nm", "transferred_to", "inside", "from_deg", "to_deg", "others", "depth_m", "points"}
    ),
    SightingAnswer: frozenset({"rival", "fix", "proposes"}),
    ProposalReport: frozenset({"sd_deg", "sd_nm"}),
    SlipReport: frozenset({"mark", "at"}),
    AreaReport: frozenset({"heaps"}),
    AdviceReport: frozenset({"sight", "settles"}),
    StatusReport: frozenset({"outputs"}),
    AlertReport: frozenset({"by"}),
}

# The same for hours, or for a minute: written once, not each second.
_STAYS: frozenset[type] = frozenset({OriginReport, CalibratedReport, AheadReport, DangerReport})

# The words of a report are mostly those of the report before.
_latitude = decimals(7)

_text: Writer = lru_cache(maxsize=1024)(JSONEncoder(ensure_ascii=False).encode)


def payload(report: Published) -> str:
    """Return a report as one JSON object on one line; ValueError for a figure that is not finite."""
    return _WRITERS[type(report)](report)


def _object(kind: type, special: dict[str, Writer] | None = None) -> Writer:
    """Return the writer of a class of report; `special` writes some of its fields otherwise."""
    return _fields(kind, keys_of(kind), special, "{", "}")


def keys_of(kind: type) -> tuple[str, ...]:
    """Return the fields of a class of report that are published, in their order."""
    return _ORDER.get(kind) or tuple(field.name for field in fields(kind))


def left_out_of(kind: type) -> frozenset[str]:
    """Return the fields that are left out where None; every other field is null then."""
    return _LEFT_OUT.get(kind, frozenset())


def _fields(
    kind: type,
    keys: tuple[str, ...],
    special: dict[str, Writer] | None = None,
    start: str = "",
    end: str = "",
) -> Writer:
    """Return the writer of these fields, two or more, in this order, between start and end."""
    hints = get_type_hints(kind)
    writers: list[Writer] = []
    absents: list[str] = []
    template = start
    for key in keys:
        label = f'"{key}":' if key == keys[0] else f',"{key}":'
        write = (special or {}).get(key) or _writer(hints[key], key)
        if key in left_out_of(kind):
            template += "%s"
            writers.append(_with_its_label(label, write))
            absents.append("")
        else:
            template += label + "%s"
            writers.append(write)
            absents.append("null")
    return _filling(template + end, attrgetter(*keys), writers, absents)


def _filling(
    template: str, values_of: Callable[[Any], tuple[Any, ...]], writers: list[Writer], absents: list[str]
) -> Writer:
    def write_all(report: Any) -> str:
        return template % tuple(
            [
                absent if value is None else write(value)
                for value, write, absent in zip(values_of(report), writers, absents, strict=True)
            ]
        )

    return write_all


def _with_its_label(label: str, write: Writer) -> Writer:
    return lambda value: label + write(value)


def _listed(write: Writer) -> Writer:
    return lambda values: "[" + ",".join([write(value) for value in values]) + "]"


def _writer(hint: Any, key: str) -> Writer:
    """Return the writer for a field of this type and key; None has been dealt with before it is called."""
    if get_origin(hint) in {Union, UnionType}:
        (hint,) = (choice for choice in get_args(hint) if choice is not NoneType)
    if get_origin(hint) is tuple:
        return _listed(_writer(get_args(hint)[0], key))
    if hint is float:
        return figure_of(key)
    if is_dataclass(hint) and hint not in _PLAIN and isinstance(hint, type):
        write = _object(hint)
        return lru_cache(maxsize=8)(write) if hint in _STAYS else write
    if get_origin(hint) is Literal:
        return {word: _text(word) for word in get_args(hint)}.__getitem__
    return _PLAIN[hint]


@lru_cache(maxsize=64)
def instant(moment: Instant) -> str:
    """Write an instant, in its quotes."""
    return f'"{moment}"'


def _outline(outline: Outline) -> str:
    """Write polygons as lists of corners, each [latitude, longitude] in degrees."""
    polygons = [
        "[" + ",".join([f"[{_latitude(north)},{longitude(east)}]" for north, east in corners]) + "]"
        for corners in outline.corners_deg()
    ]
    return "[" + ",".join(polygons) + "]"


def _never(value: object) -> str:
    raise ValueError(f"{value!r} stands where nothing is published yet")


_PLAIN: dict[Any, Writer] = {
    str: _text,
    int: str,
    bool: {True: "true", False: "false"}.__getitem__,
    Instant: instant,
    NoneType: _never,
    Outline: _outline,
}


def _answer(answer: Answer) -> str:
    inside = _answer_head(answer)
    if answer.refusal is not None:
        inside += "," + _refusal(answer.refusal)
    if answer.sighting is not None:
        inside += "," + _SIGHTINGS[_units(answer.sighting)](answer.sighting)
    if answer.effect is not None:
        inside += ',"effect":' + _text(answer.effect)
    if answer.about is not None:
        inside += ',"about":' + _text(answer.about)
    return "{" + inside + "}"


def _units(sighting: SightingAnswer) -> tuple[str, ...]:
    """Return the units in which a sighting is held against the reckoning: those given, else its line's."""
    given = {
        "deg": sighting.expected_deg is not None or sighting.residual_deg is not None,
        "nm": sighting.expected_nm is not None or sighting.residual_nm is not None,
    }
    if any(given.values()):
        return tuple(unit for unit, is_given in given.items() if is_given)
    by_distance = sighting.line is not None and sighting.line.shape in {"circle", "point", "contour"}
    return ("nm",) if by_distance else ("deg",)


def sighting_keys(units: tuple[str, ...]) -> tuple[str, ...]:
    """Return the fields of a sighting's answer that is held against the reckoning in these units."""
    held = (f"{what}_{unit}" for what in ("expected", "residual") for unit in units)
    return ("line", "chain", *held, "unusual_sigma", "slips", "rival", "fix", "pencil", "proposes")


def slip_value_key(units: tuple[str, ...]) -> str:
    """Return the key by whose unit a slip's value is written."""
    return f"expected_{units[0]}"


def _sighting(*units: str) -> Writer:
    """Return the writer of a sighting's answer in these units; a slip's value is in the first."""
    slips = _listed(_object(SlipReport, {"value": figure_of(slip_value_key(units))}))
    return _fields(SightingAnswer, sighting_keys(units), {"slips": slips})


_answer_head = _fields(Answer, keys_of(Answer))
_refusal = _fields(RefusalReport, keys_of(RefusalReport))
SIGHTING_UNITS: tuple[tuple[str, ...], ...] = (("deg",), ("nm",), ("deg", "nm"))
"""In what units a sighting's answer may be told."""

_SIGHTINGS: dict[tuple[str, ...], Writer] = {units: _sighting(*units) for units in SIGHTING_UNITS}
_WRITERS: dict[type, Writer] = {
    Answer: _answer,
    **{
        kind: _object(kind)
        for kind in (
            PositionReport,
            SatelliteReport,
            FixReport,
            AdviceReport,
            AlertReport,
            SoundReport,
            CommandReport,
            OverboardReport,
            StatusReport,
        )
    },
}
