"""What the practice skipper enters, in the words in which he would say it."""

from collections.abc import Callable, Mapping

from middlewatch.practice.skipper import SkipperEntry
from middlewatch.quantities.instants import Instant

_Body = Mapping[str, object]

_TAGS = {"magnetic": " M", "true": " T", "compass": " C", "relative": " from the bow"}


def in_words(entry: SkipperEntry) -> str:
    """Say what was entered: `bearing of Carrow Head 001 M, taken 40 s ago, "hazy" (carrow-2200)`."""
    body = entry.body
    kind = str(body["kind"])
    words = _WORDS[kind](body) if kind in _WORDS else kind.replace("_", " ")
    note = f', "{body["note"]}"' if "note" in body else ""
    return f"{words}{_when(body)}{note} ({body['id']})"


def _when(body: _Body) -> str:
    if "ago_s" in body:
        return f", taken {body['ago_s']} s ago"
    if "at" in body:
        return f", taken at {Instant.parse(str(body['at'])).clock} and entered only now"
    return ""


def _bearing(body: _Body) -> str:
    return f"bearing of {body['mark']} {_direction(body, 'bearing_deg')}"


def _departure(body: _Body) -> str:
    bearing = _direction(body, "bearing_deg")
    return f"departure, {body['mark']} bearing {bearing}, distant {body['distance_nm']} nm"


def _course(body: _Body) -> str:
    return f"course {_direction(body, 'heading_deg')}"


def _stream(body: _Body) -> str:
    until = f" until {Instant.parse(str(body['until'])).clock}" if "until" in body else ""
    return f"stream setting {body['set_deg']:03} T, drift {body['drift_kn']} kn{until}"


def _adopt(body: _Body) -> str:
    return f"adopt the fix {body['fix']}"


def _acknowledge(body: _Body) -> str:
    return f"acknowledged, the {body['alert']} alert"


def _trust(_body: _Body) -> str:
    return "trust the satellites again"


def _remark(body: _Body) -> str:
    return f'"{body["text"]}"'


def _direction(body: _Body, field: str) -> str:
    return f"{body[field]:03}{_TAGS[str(body['reference'])]}"


_WORDS: dict[str, Callable[[_Body], str]] = {
    "bearing": _bearing,
    "departure": _departure,
    "course": _course,
    "stream": _stream,
    "adopt": _adopt,
    "acknowledge": _acknowledge,
    "trust_satellites": _trust,
    "remark": _remark,
}
