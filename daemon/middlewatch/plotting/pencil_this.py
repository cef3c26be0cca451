"""Pencil this: what to draw on the paper chart for each fix and each DR due, in words.

Latitude and longitude have no more digits than the area deserves: whole minutes from a half axis of a mile
up, tenths from a tenth of a mile, hundredths below (judgement). Without an area, whole minutes.
"""

from collections.abc import Iterator

from middlewatch.plotting.legs import Leg, legs_of
from middlewatch.plotting.pencil_sights import figures, of_lone_sights, stroke
from middlewatch.plotting.plot import Charted, DrPoint, Plot
from middlewatch.quantities.angles import three_figures
from middlewatch.quantities.instants import Instant
from middlewatch.quantities.positions import Position
from middlewatch.reports.fix import FixReport

Due = tuple[Instant, tuple[str, ...]]

_AT_NM = 0.05
"""Nearer to a mark than this she is at it, as far as a distance in tenths can tell."""


def pencil_this(plot: Plot, charted: Charted) -> tuple[str, ...]:
    """Return lines of text, the oldest first: a heading a fix or DR, and below it, indented, what to draw."""
    dues = [(fix.at, tuple(_of_fix(fix, plot, charted))) for fix in plot.fixes]
    dues += _of_drs(plot, charted)
    dues += of_lone_sights(plot, charted)
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
        yield "  " + stroke(line, sights.get(id_), charted)
    yield from _nearest(place, charted)
    yield from _dr_of(fix, half_axis)
    if fix.rival is not None:
        rival = Position(fix.rival.latitude_deg, fix.rival.longitude_deg)
        other = in_minutes(rival, half_axis)
        yield f"  the lines also cross at {other}: pencil both until a third line decides"
    if fix.area is not None:
        yield f"  {_area(fix.area.semi_major_nm, fix.area.semi_minor_nm, fix.area.orientation_deg)}"
    for flag in fix.flags:
        yield f"  {flag}"


def _dr_of(fix: FixReport, half_axis: float | None) -> Iterator[str]:
    """Say where the DR was at the fix, and what set and drift that makes, where they are told."""
    if fix.dr is None:
        return
    dr = in_minutes(Position(fix.dr.latitude_deg, fix.dr.longitude_deg), half_axis)
    told = fix.set_deg is not None and fix.drift_kn is not None
    yield f"  DR at the fix {dr}; label {fix.at.clock}" + (
        f"; from it set {three_figures(fix.set_deg or 0.0)} T, drift {fix.drift_kn:.1f} kn" if told else ""
    )


def _area(major_nm: float, minor_nm: float, along_deg: float) -> str:
    sizes = f"{major_nm:.1f} nm either way along {three_figures(along_deg)} T and {minor_nm:.1f} nm across"
    return f"area, 95 in 100: {sizes}"


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
        yield f"  from there course {figures(leg.course_true_deg, charted)}{speed}"
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
    if distance < _AT_NM:
        yield f"  at {mark.name}"
        return
    yield f"  {mark.name} bears {figures(bearing, charted)}, {distance:.1f} nm off"
    away, _ = mark.position.to(place)
    yield f"  lay off from {mark.name} {figures(away, charted)}, {distance:.1f} nm"


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
