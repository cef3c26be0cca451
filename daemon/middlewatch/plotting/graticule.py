"""The graticule: parallels and meridians, and the scales of latitude and longitude along the border."""

from collections.abc import Iterator
from math import ceil, floor

from middlewatch.plotting.draft import Draft
from middlewatch.plotting.labels import Box
from middlewatch.plotting.paper import BORDER_MM
from middlewatch.plotting.pen import Anchor, Dot, Hand, Stroke
from middlewatch.quantities.positions import Position, longitude

# Minutes of arc between lines, and into how many parts the border divides each.
_STEPS_MIN = (
    (0.05, 5), (0.1, 5), (0.2, 4), (0.5, 5), (1.0, 10), (2.0, 10), (5.0, 5), (10.0, 10), (20.0, 10),
    (30.0, 6), (60.0, 6), (120.0, 4), (300.0, 5), (600.0, 10),
)  # fmt: skip
_LEAST_MM = 28.0  # between two lines
_BAND_MM = 1.4  # the ruled band of the scales


def draw_graticule(draft: Draft) -> None:
    """Draw parallels and meridians on the window."""
    window, flat = draft.sheet.window, draft.sheet.projection
    stroke = Stroke(draft.sheet.palette.print, 0.12)
    with draft.pen.group("graticule"):
        for minutes in _lines(*_latitudes(draft), _steps(draft, north=True)[0]):
            y = flat.at(Position(minutes / 60, flat.centre.longitude_deg))[1]
            draft.pen.line(((window.left, y), (window.right, y)), stroke, class_="parallel")
        for minutes in _lines(*_longitudes(draft), _steps(draft, north=False)[0]):
            x = _meridian_x(draft, minutes)
            draft.pen.line(((x, window.top), (x, window.bottom)), stroke, class_="meridian")


def draw_border(draft: Draft) -> None:
    """Draw the scales round the window: distances are taken from the latitude beside them."""
    window = draft.sheet.window
    stroke = Stroke(draft.sheet.palette.chart, 0.2)
    with draft.pen.group("border"):
        for by in (0.0, _BAND_MM):
            box = window.wider(by)
            corners = (
                (box.left, box.top),
                (box.right, box.top),
                (box.right, box.bottom),
                (box.left, box.bottom),
            )
            draft.pen.line(corners, stroke, closed=True)
        with draft.pen.group("latitude-scale"):
            _latitude_scale(draft, window, stroke)
        with draft.pen.group("longitude-scale"):
            _longitude_scale(draft, window, stroke)


def figures(draft: Draft, *, north: bool) -> list[float]:
    """Return where along the border the figures of latitude (`north`), or of longitude, stand: y or x, mm."""
    flat, step = draft.sheet.projection, _steps(draft, north=north)[0]
    if north:
        ys = _lines(*_latitudes(draft), step)
        return [flat.at(Position(minutes / 60, flat.centre.longitude_deg))[1] for minutes in ys]
    return [_meridian_x(draft, minutes) for minutes in _lines(*_longitudes(draft), step)]


def _latitude_scale(draft: Draft, window: Box, stroke: Stroke) -> None:
    step, parts = _steps(draft, north=True)
    flat = draft.sheet.projection
    for minutes in _lines(*_latitudes(draft), step / parts):
        y = flat.at(Position(minutes / 60, flat.centre.longitude_deg))[1]
        whole = _is_whole(minutes, step)
        reach = _BAND_MM + 1.2 if whole else _BAND_MM
        draft.pen.shape(
            (((window.left - reach, y), (window.left, y)), ((window.right, y), (window.right + reach, y))),
            stroke,
        )
        if whole:
            words = _in_degrees(minutes, 2, "NS", step)
            _upright(draft, words, (window.left - BORDER_MM / 2 - 0.4, y), -90.0)
            _upright(draft, words, (window.right + BORDER_MM / 2 + 2.2, y), -90.0)


def _longitude_scale(draft: Draft, window: Box, stroke: Stroke) -> None:
    step, parts = _steps(draft, north=False)
    for minutes in _lines(*_longitudes(draft), step / parts):
        x = _meridian_x(draft, minutes)
        whole = _is_whole(minutes, step)
        reach = _BAND_MM + 1.2 if whole else _BAND_MM
        draft.pen.shape(
            (((x, window.top - reach), (x, window.top)), ((x, window.bottom), (x, window.bottom + reach))),
            stroke,
        )
        if whole:
            words = _in_degrees(longitude(minutes / 60) * 60, 3, "EW", step)
            _upright(draft, words, (x, window.top - BORDER_MM / 2 - 0.2), 0.0)
            _upright(draft, words, (x, window.bottom + BORDER_MM / 2 + 2.0), 0.0)


def _upright(draft: Draft, words: str, where: Dot, turned_deg: float) -> None:
    anchor: Anchor = "middle"
    draft.pen.write(words, where, Hand(draft.sheet.palette.chart, 2.3), anchor, turned_deg)


def _meridian_x(draft: Draft, minutes: float) -> float:
    flat = draft.sheet.projection
    return flat.at(Position(flat.centre.latitude_deg, minutes / 60))[0]


def _latitudes(draft: Draft) -> tuple[float, float]:
    """Return from where to where the window reaches in latitude, in minutes."""
    window, flat = draft.sheet.window, draft.sheet.projection
    south = flat.place(window.left, window.bottom).latitude_deg
    return south * 60, flat.place(window.left, window.top).latitude_deg * 60


def _longitudes(draft: Draft) -> tuple[float, float]:
    """Return the same in longitude, running on past 180 degrees."""
    window, flat = draft.sheet.window, draft.sheet.projection
    half = (window.right - window.left) / 2 / flat.mm_per_radian * 57.29577951308232 * 60
    middle = flat.centre.longitude_deg * 60
    return middle - half, middle + half


def _steps(draft: Draft, *, north: bool) -> tuple[float, int]:
    """Return the minutes from line to line, and into how many parts the border divides them."""
    flat = draft.sheet.projection
    minute_mm = flat.mm_per_radian / 57.29577951308232 / 60
    if north:
        minute_mm = flat.nm_mm(flat.centre.latitude_deg)
    return next((each for each in _STEPS_MIN if each[0] * minute_mm >= _LEAST_MM), _STEPS_MIN[-1])


def _lines(first: float, last: float, step: float) -> Iterator[float]:
    for n in range(ceil(first / step), floor(last / step) + 1):
        yield n * step


def _is_whole(minutes: float, step: float) -> bool:
    return abs(minutes / step - round(minutes / step)) < 1e-6


def _in_degrees(minutes: float, figures: int, sides: str, step: float) -> str:
    """Write a parallel or meridian, to no finer than its step: `46°58'N`, `034°07.5'W`."""
    places = 2 if step < 0.1 else 1 if step < 1.0 else 0
    power = 10**places
    whole, rest = divmod(round(abs(minutes) * power), 60 * power)
    part = f"{rest / power:0{2 if places == 0 else places + 3}.{places}f}"
    return f"{whole:0{figures}d}°{part}'{sides[minutes < 0]}"
