"""Pencil this: what to draw on the paper chart for each fix and each DR due, in words.

Latitude and longitude have no more digits than the area deserves: whole minutes from a half axis of a mile
up, tenths from a tenth of a mile, hundredths below (judgement). Without an area, whole minutes.
"""

from collections.abc import Iterator

from middlewatch.plotting.legs import Leg, legs_of
from middlewatch.plotting.plot import Charted, DrPoint, Plot, Sight
from middlewatch.quantities.angles import direction, three_figures
from middlewatch.quantities.instants import Instant
from middlewatch.quantities.positions import Position
from middlewatch.reports.fix import FixReport, LineReport

Due = tuple[Instant, tuple[str, ...]]


def pencil_this(plot: Plot, charted: Charted) -> tuple[str, ...]:
    """Return lines of text, the oldest first: a heading a fix or DR, and below it, indented, what to draw."""
    dues = [(fix.at, tuple(_of_fix(fix, plot, charted))) for fix in plot.fixes]
    dues += _of_drs(plot, charted)
    return tuple(line for _, lines in sorted(dues, key=lambda due: due[0]) for line in lines)


# --- fixes ------------------------------------------------------------------------------------------


def _of_fix(fix: FixReport, plot: Plot, charted: Charted) -> Iterator[str]:
    place = Position(fix.latitude_deg, fix.longitude_deg)
    half_axis = None if fix.area is None else fix.area.semi_major_nm
    if fix.withdrawn:
        yield f"{fix.at.clock} {fix.label} withdrawn: strike it through, do not rub it out"
        return
    yield f"{fix.at.clock} {fix.label} at {in_minutes(place, half_axis)}; label {fix.at.clock} {fix.label}"
    sights = {sight.id: sight for sight in plot.sights}
    for id_, line in zip(fix.sightings, fix.lines, strict=True):
        yield "  " + _stroke(line, sights.get(id_), charted)
    yield from _nearest(place, charted)
    if fix.rival is not None:
        rival = Position(fix.rival.latitude_deg, fix.rival.longitude_deg)
        other = in_minutes(rival, half_axis)
        yield f"  the lines also cross at {other}: pencil both until a third line decides"
    if fix.area is not None:
        yield f"  {_area(fix.area.semi_major_nm, fix.area.semi_minor_nm, fix.area.orientation_deg)}"
    for flag in fix.flags:
        yield f"  {flag}"


def _area(major_nm: float, minor_nm: float, along_deg: float) -> str:
    sizes = f"{major_nm:.1f} nm either way along {three_figures(along_deg)} T and {minor_nm:.1f} nm across"
    return f"area, 95 in 100: {sizes}"


def _stroke(line: LineReport, sight: Sight | None, charted: Charted) -> str:
    """Say which line to draw from what, and the times to write on it."""
    drawn_from = sight.line if sight is not None else line
    mark = charted.mark_at(Position(drawn_from.latitude_deg, drawn_from.longitude_deg))
    named = str(Position(line.latitude_deg, line.longitude_deg)) if mark is None else mark.name
    carried, label = "", line.at.clock
    if line.transferred_to is not None:
        label = f"{line.at.clock}-{line.transferred_to.clock}"
        carried = _run(drawn_from, line) if mark is not None else ""
    match line.shape:
        case "ray" if line.bearing_deg is not None:
            away = three_figures(direction(line.bearing_deg + 180.0))
            seen = f"bearing {_seen(line.bearing_deg, sight, charted)}"
            return f"from {named}{carried} draw {away} T ({seen}); label {label}"
        case "circle" if line.radius_nm is not None:
            return f"round {named}{carried} draw an arc of {line.radius_nm:.2f} nm; label {label}"
        case "point":
            return f"mark the boat at {named}{carried}; label {label}"
        case _:
            return f"by {named}{carried} ({line.shape}); label {label}"


def _seen(true_deg: float, sight: Sight | None, charted: Charted) -> str:
    """Write a bearing as it was worked, with the magnetic one of its own chain where it has one."""
    if sight is None or sight.chain is None or sight.chain.magnetic_deg is None:
        return _figures(true_deg, charted)
    return f"{three_figures(true_deg)} T, {three_figures(sight.chain.magnetic_deg)} M"


def _run(taken: LineReport, carried: LineReport) -> str:
    """Say by how much a mark is moved first: ` moved 2.99 nm 261 T by the run since 2128`."""
    start = Position(taken.latitude_deg, taken.longitude_deg)
    way_deg, run_nm = start.to(Position(carried.latitude_deg, carried.longitude_deg))
    return f" moved {run_nm:.2f} nm {three_figures(way_deg)} T by the run since {taken.at.clock}"


# --- DRs --------------------------------------------------------------------------------------------


def _of_drs(plot: Plot, charted: Charted) -> Iterator[Due]:
    """Yield what to pencil for each DR due; one that was replaced counts until it was."""
    for dr in plot.drs:
        legs = tuple(legs_of(dr, plot.at))
        for point in dr.points:
            if dr.replaced is None or point.at <= dr.replaced:
                yield point.at, tuple(_of_point(point, legs, charted))


def _of_point(point: DrPoint, legs: tuple[Leg, ...], charted: Charted) -> Iterator[str]:
    why = _WHY[point.due]
    place = in_minutes(point.place, point.half_axis_nm)
    yield f"{point.at.clock} DR, {why}: {place}; label {point.at.clock}"
    leg = next((leg for leg in reversed(legs) if leg.start.at <= point.at), None)
    if leg is not None:
        speed = "" if leg.speed_kn is None else f", speed {leg.speed_kn:.1f} kn through the water"
        yield f"  from there course {_figures(leg.course_true_deg, charted)}{speed}"
    if point.ep is not None and point.ep != point.place:
        yield f"  EP {in_minutes(point.ep, point.half_axis_nm)}"
    yield from _nearest(point.place, charted)


_WHY = {
    "departure": "departure",
    "fix": "begun anew at the fix",
    "hour": "on the hour",
    "course": "altered course",
    "speed": "altered speed",
}


def _nearest(place: Position, charted: Charted) -> Iterator[str]:
    mark = charted.nearest_mark(place)
    if mark is None:
        return
    bearing, distance = place.to(mark.position)
    yield f"  {mark.name} bears {_figures(bearing, charted)}, {distance:.1f} nm off"


def _figures(true_deg: float, charted: Charted) -> str:
    """Write a direction true, and magnetic where the variation is known: `350 T, 001 M`."""
    if charted.variation is None:
        return f"{three_figures(true_deg)} T"
    # True to magnetic: east variation is SUBTRACTED.
    magnetic = direction(true_deg - charted.variation.value_deg)
    return f"{three_figures(true_deg)} T, {three_figures(magnetic)} M"


# --- latitude and longitude -------------------------------------------------------------------------


def in_minutes(place: Position, half_axis_nm: float | None) -> str:
    """Write a place to no more digits than an area of this half axis deserves: `46 59.1 N 034 08.1 W`."""
    places = 0 if half_axis_nm is None or half_axis_nm >= 1.0 else 1 if half_axis_nm >= 0.1 else 2
    north = _minutes(place.latitude_deg, 2, "NS", places)
    return f"{north} {_minutes(place.longitude_deg, 3, 'EW', places)}"


def _minutes(degrees: float, figures: int, sides: str, places: int) -> str:
    """Write degrees and minutes; rounded as a whole, so that 59.96 never becomes 60.0."""
    power = 10**places
    whole, rest = divmod(round(abs(degrees) * 60 * power), 60 * power)
    width = 2 if places == 0 else places + 3
    return f"{whole:0{figures}d} {rest / power:0{width}.{places}f} {sides[degrees < 0]}"
