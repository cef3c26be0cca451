"""Figures as they are published: rounded by what they are, -0.0 as 0.0, and never NaN or infinite."""

from collections.abc import Callable
from math import isfinite

Figure = Callable[[float], str]


def decimals(places: int) -> Figure:
    """Return the writer of a plain figure with so many decimals."""

    def write(number: float) -> str:
        # Adding 0.0 makes 0.0 of -0.0, and a float of a whole number.
        rounded = round(number, places) + 0.0
        if not isfinite(rounded):
            raise _unfit(number)
        return repr(rounded)

    return write


def direction(degrees_clockwise: float) -> str:
    """Write a direction: two decimals, [0, 360) once rounded."""
    rounded = round(degrees_clockwise % 360.0, 2) % 360.0
    if not isfinite(rounded):
        raise _unfit(degrees_clockwise)
    return repr(rounded)


def turn(degrees_signed: float) -> str:
    """Write a turn: two decimals, (-180, 180] once rounded."""
    rounded = round(degrees_signed, 2) + 0.0
    if not -180.0 < rounded <= 180.0:
        rounded = round(180.0 - (180.0 - rounded) % 360.0, 2) + 0.0
    return _degrees(rounded)


def axis(degrees_clockwise: float) -> str:
    """Write the direction of an axis, which has no sense: two decimals, [0, 180) once rounded."""
    return _degrees(round(degrees_clockwise % 180.0, 2) % 180.0)


def longitude(degrees_east: float) -> str:
    """Write a longitude: seven decimals, [-180, 180) once rounded, as positions have it."""
    rounded = round(degrees_east, 7) + 0.0
    if not isfinite(rounded):
        raise _unfit(degrees_east)
    return repr(rounded if rounded < 180.0 else rounded - 360.0)


def figure_of(key: str) -> Figure:
    """Return the writer for a key, by the unit it ends in; without a unit it is a weight or counts sigmas."""
    if key == "longitude_deg":
        return longitude
    if key in _TURNS:
        return turn
    if key == "orientation_deg":
        return axis
    if key in _PLAIN_DEGREES:
        return _degrees
    return next((write for suffix, write in _BY_SUFFIX.items() if key.endswith(suffix)), _weight)


def _unfit(number: float) -> ValueError:
    return ValueError(f"{number} was about to be published")


_degrees = decimals(2)
_weight = decimals(3)
_TURNS = frozenset({"residual_deg", "deviation_deg", "variation_deg"})
_PLAIN_DEGREES = frozenset({"sd_deg", "cut_deg"})
_BY_SUFFIX: dict[str, Figure] = {
    "latitude_deg": decimals(7),
    "_deg": direction,
    "_nm": decimals(4),
    "_kn": decimals(3),
    "_s": decimals(1),
    "_m": decimals(1),
}
