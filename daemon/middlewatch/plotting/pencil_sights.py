"""What to pencil of each sighting: the line to draw with its label, or what bounds the boat."""

from collections.abc import Iterator

from middlewatch.plotting.bounds import NINETY_FIVE, limits
from middlewatch.plotting.plot import Charted, Plot, Sight
from middlewatch.quantities.angles import direction, three_figures
from middlewatch.quantities.instants import Instant
from middlewatch.quantities.positions import Position
from middlewatch.reports.fix import LineReport


def of_lone_sights(plot: Plot, charted: Charted) -> Iterator[tuple[Instant, tuple[str, ...]]]:
    """Yield what to pencil of the sightings that no fix which stands has been made of."""
    fixed = {id_ for fix in plot.fixes if not fix.withdrawn for id_ in fix.sightings}
    for sight in plot.sights:
        if sight.id not in fixed:
            yield sight.line.at, tuple(_of_sight(sight, charted))


def _of_sight(sight: Sight, charted: Charted) -> Iterator[str]:
    head = f"{sight.line.at.clock} {sight.kind.replace('_', ' ')}"
    if sight.withdrawn:
        yield f"{head} withdrawn: strike it through, do not rub it out"
        return
    yield f"{head}: {stroke(sight.line, sight, charted)}"
    if sight.open:
        yield "  doubtful and open: draw it dashed"


def stroke(line: LineReport, sight: Sight | None, charted: Charted) -> str:
    """Say which line to draw from what, and the times to write on it.

    `line` as it is drawn, carried or not; `sight` the sighting it came by, where that is known.
    """
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
            arc = f"an arc of {line.radius_nm:.2f} nm{_reach(line, sight)}"
            return f"round {named}{carried} draw {arc}; label {label}"
        case "wedge":
            return f"{_wedge(line, f'{named}{carried}', charted)}; label {label}"
        case "contour":
            return f"{_contour(line)}{carried}; label {label}"
        case _:
            return f"mark the boat at {named}{carried}; label {label}"


def _reach(line: LineReport, sight: Sight | None) -> str:
    """Say of a light raised or dipped on which side of the arc she is, and how far off it may be."""
    if not line.inside and (sight is None or sight.kind not in {"raised", "dipped"}):
        return ""
    good = "" if line.sd_nm is None else f", which may be {NINETY_FIVE * line.sd_nm:.1f} nm out (95 in 100)"
    where = "at or inside it" if line.inside else "on it"
    return f": the boat is {where}{good}"


def _wedge(line: LineReport, named: str, charted: Charted) -> str:
    """Say which limits to draw from a light, and that the boat is between them."""
    arcs = [f"{figures(first, charted)} and {figures(last, charted)}" for first, last in limits(line)]
    if not arcs:
        return f"{named} shows so all round: no limit to draw"
    out = "" if line.sd_deg is None else f"; each may be {NINETY_FIVE * line.sd_deg:.1f}° out (95 in 100)"
    between = ", or ".join(arcs)
    return f"draw the limits on which {named} bears {between}: the boat is between them, clockwise{out}"


def _contour(line: LineReport) -> str:
    depth = "the contour" if line.depth_m is None else f"the {line.depth_m:g} m contour"
    off = "" if line.sd_nm is None else f", up to {NINETY_FIVE * line.sd_nm:.2f} nm off it (95 in 100)"
    near = Position(line.latitude_deg, line.longitude_deg)
    return f"trace {depth} about {near}: the boat is near it{off}"


def _seen(true_deg: float, sight: Sight | None, charted: Charted) -> str:
    """Write a bearing as it was worked, with the magnetic one of its own chain where it has one."""
    if sight is None or sight.chain is None or sight.chain.magnetic_deg is None:
        return figures(true_deg, charted)
    return f"{three_figures(true_deg)} T, {three_figures(sight.chain.magnetic_deg)} M"


def _run(taken: LineReport, carried: LineReport) -> str:
    """Say by how much a mark is moved first: ` moved 2.99 nm 261 T by the run since 2128`."""
    start = Position(taken.latitude_deg, taken.longitude_deg)
    way_deg, run_nm = start.to(Position(carried.latitude_deg, carried.longitude_deg))
    return f" moved {run_nm:.2f} nm {three_figures(way_deg)} T by the run since {taken.at.clock}"


def figures(true_deg: float, charted: Charted) -> str:
    """Write a direction true, and magnetic where the variation is known: `350 T, 001 M`."""
    if charted.variation is None:
        return f"{three_figures(true_deg)} T"
    # True to magnetic: east variation is SUBTRACTED.
    magnetic = direction(true_deg - charted.variation.value_deg)
    return f"{three_figures(true_deg)} T, {three_figures(magnetic)} M"
