"""Figures as they are published: rounded by what they are, -0.0 as 0.0, and never NaN or infinite."""

from collections.abc import Callable
from dataclasses import dataclass
from math import isfinite

Figure = Callable[[float], str]


@dataclass(frozen=True, slots=True)
class Rounding:
    """How a figure is written: its writer, its decimals, its unit, and the ends it lies between.

    `above` and `below` are themselves never written; None is no end.
    """

    write: Figure
    places: int
    unit: str
    at_least: float | None = None
    above: float | None = None
    at_most: float | None = None
    below: float | None = None


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
    return rounding_of(key).write


def rounding_of(key: str) -> Rounding:
    """Return how the figure of a key is written."""
    if key in _BY_KEY:
        return _BY_KEY[key]
    return next((rounding for suffix, rounding in _BY_SUFFIX.items() if key.endswith(suffix)), _WEIGHT)


def _unfit(number: float) -> ValueError:
    return ValueError(f"{number} was about to be published")


_degrees = decimals(2)
_WEIGHT = Rounding(decimals(3), 3, "a weight, a probability or a number of sigmas")
_TURN = Rounding(turn, 2, "degrees, east or clockwise +", above=-180, at_most=180)
_PLAIN_DEGREES = Rounding(_degrees, 2, "degrees")
_BY_KEY: dict[str, Rounding] = {
    "longitude_deg": Rounding(longitude, 7, "degrees, east +", at_least=-180, below=180),
    "residual_deg": _TURN,
    "deviation_deg": _TURN,
    "variation_deg": _TURN,
    "orientation_deg": Rounding(axis, 2, "degrees clockwise, of an axis", at_least=0, below=180),
    "sd_deg": _PLAIN_DEGREES,
    "cut_deg": _PLAIN_DEGREES,
}
_BY_SUFFIX: dict[str, Rounding] = {
    "latitude_deg": Rounding(decimals(7), 7, "degrees, north +", at_least=-90, at_most=90),
    "_deg": Rounding(direction, 2, "degrees clockwise", at_least=0, below=360),
    "_nm": Rounding(decimals(4), 4, "nautical miles"),
    "_kn": Rounding(decimals(3), 3, "knots"),
    "_s": Rounding(decimals(1), 1, "seconds"),
    "_m": Rounding(decimals(1), 1, "metres"),
}
