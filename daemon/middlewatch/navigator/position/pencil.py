"""The line or fix to draw, in words: what goes onto the chart, with its label."""

from middlewatch.navigator.position.arcs import AngleArc
from middlewatch.navigator.position.fix import PlottedFix
from middlewatch.navigator.position.lines import Circle, Point, PositionLine, Ray, TransitRay
from middlewatch.navigator.position.regions import ContourBand, InSight, Wedge
from middlewatch.quantities.angles import direction, three_figures
from middlewatch.quantities.instants import Instant
from middlewatch.reports.answer import ChainReport


def pencil_line(
    line: PositionLine, chain: ChainReport | None = None, transferred_to: Instant | None = None
) -> str:
    """Say how to draw a line: `0142: from Start Point draw 065 T (bearing 245 T, 248 M); label 0142`.

    A bearing is drawn from its mark towards the boat. `chain` gives the figures the bearing came by; a line
    carried to another moment is drawn from its mark moved by the run, and bears both times: `0118-0142`.
    """
    taken = Instant(line.at_ms).clock
    if transferred_to is None:
        return f"{taken}: {_stroke(line, '', chain)}; label {taken}"
    carried = f" moved by the run since {taken}"
    return f"{transferred_to.clock}: {_stroke(line, carried, chain)}; label {taken}-{transferred_to.clock}"


def pencil_fix(fix: PlottedFix) -> str:
    """Say how to mark a fix: `0142: R Fix at 50 03.12 N 004 12.34 W, 3.00 nm off; label 0142 R Fix`."""
    at = Instant(fix.lines[-1].line.at_ms).clock
    off = "" if fix.distance_off_nm is None else f", {fix.distance_off_nm:.2f} nm off"
    return f"{at}: {fix.label} at {fix.place!s}{off}; label {at} {fix.label}"


def _stroke(line: PositionLine, carried: str, chain: ChainReport | None) -> str:
    match line.shape:
        case Ray(bearing_true_deg=bearing):
            drawn = three_figures(direction(bearing + 180.0))
            return f"from {line.mark}{carried} draw {drawn} T (bearing {_figures(bearing, chain)})"
        case TransitRay(bearing_true_deg=bearing):
            drawn = three_figures(direction(bearing + 180.0))
            return f"from the front mark of {line.mark}{carried} draw {drawn} T, away from the rear one"
        case Circle(radius_nm=radius_nm):
            return f"round {line.mark}{carried} draw an arc of {radius_nm:.2f} nm"
        case AngleArc(angle_deg=angle_deg, radius_nm=radius_nm, centre=centre):
            through = f"through {line.mark}{carried} draw the arc of {angle_deg:.1f} degrees"
            return f"{through}, of {radius_nm:.2f} nm round {centre!s}"
        case InSight(radius_nm=radius_nm):
            return f"the boat is at or inside {radius_nm:.2f} nm of {line.mark}{carried}"
        case Wedge():
            return _sectors(line.mark + carried, line.shape)
        case ContourBand(sd_nm=sd_nm):
            return f"the boat is near {line.mark}{carried}, within {2.0 * sd_nm:.2f} nm of it or so"
        case Point(position=position):
            return f"plot the boat at {position!s}{carried} ({line.mark})"


def _sectors(mark: str, wedge: Wedge) -> str:
    """Say between which bearings of a light, true and from seaward, the boat is, or is not."""
    limits = [
        f"{three_figures(each.from_true_deg)} and {three_figures(each.to_true_deg)} T"
        for each in wedge.sectors
    ]
    where = "between" if wedge.shown else "not between"
    return f"{mark} bears {where} {', or '.join(limits)}"


def _figures(bearing_true_deg: float, chain: ChainReport | None) -> str:
    figures = [f"{three_figures(bearing_true_deg)} T"]
    if chain is not None:
        links = ((chain.magnetic_deg, "M"), (chain.compass_deg, "C"))
        figures += [f"{three_figures(value)} {tag}" for value, tag in links if value is not None]
    return ", ".join(figures)
