"""The command `sheet`: the plotting sheet of a passage, from the file of its reports, and what to pencil."""

from pathlib import Path

from middlewatch.navigator.reckoning.variation import chart_variation, model_variation
from middlewatch.plotting.conventions import CONVENTIONS
from middlewatch.plotting.drawing import drawn_sheet
from middlewatch.plotting.palette import PALETTES, LightName
from middlewatch.plotting.paper import Look, PaperName
from middlewatch.plotting.pencil_this import pencil_this
from middlewatch.plotting.plot import Charted, Plot, Variation
from middlewatch.plotting.plotter import Plotter
from middlewatch.plotting.series import series_for
from middlewatch.reports.answer import ChainReport
from middlewatch.runtime.reported import read_reports
from middlewatch.settings import Settings


def plotted(reports: str) -> Plot:
    """Return what stands on the sheet at the end of a file of reports.

    OSError where it cannot be read, BadReports where it holds something else.
    """
    plotter = Plotter()
    for report in read_reports(reports):
        plotter.take(report)
    return plotter.plot()


def charted(settings: Settings, plot: Plot) -> Charted:
    """Return what the settings bring to the sheet; the variation is that at the newest EP."""
    return Charted(
        settings.boat.name, settings.marks, settings.contours, settings.dangers, _variation(settings, plot)
    )


def _variation(settings: Settings, plot: Plot) -> Variation | None:
    """Return the variation by model or chart, as set; that of the bus as the newest bearing had it."""
    place, at, choice = plot.ep, plot.at, settings.compass.variation.choice()
    if choice.source == "bus":
        return next((v for sight in reversed(plot.sights) if (v := _of_chain(sight.chain)) is not None), None)
    if place is None or at is None:
        return None
    found = chart_variation(choice, at) if choice.source == "chart" else model_variation(place, at)
    return None if found is None else Variation(found.value_deg, found.source)


def _of_chain(chain: ChainReport | None) -> Variation | None:
    if chain is None or chain.variation_deg is None:
        return None
    return Variation(chain.variation_deg, chain.variation_source or "")


def drawn(
    settings: Settings, plot: Plot, *, paper: PaperName, scale: float | None, light: LightName
) -> tuple[str, ...]:
    """Return the sheet as SVG, or as many sheets as it takes at the scale; DoesNotFitError of too many."""
    bears = charted(settings, plot)
    look = Look(PALETTES[light], CONVENTIONS[settings.sheet.symbols])
    return tuple(
        drawn_sheet(plot, bears, sheet) for sheet in series_for(plot, bears, look, paper=paper, scale=scale)
    )


def write_sheets(svgs: tuple[str, ...], out: Path) -> tuple[Path, ...]:
    """Write one sheet into `out`, several into files beside it that bear their numbers; OSError if not."""
    figures = len(str(len(svgs)))
    names = (f"{out.stem}-{n:0{figures}d}{out.suffix}" for n in range(1, len(svgs) + 1))
    files = (out,) if len(svgs) == 1 else tuple(out.with_name(name) for name in names)
    for file, svg in zip(files, svgs, strict=True):
        file.write_text(svg, encoding="utf-8")
    return files


def words(settings: Settings, plot: Plot) -> tuple[str, ...]:
    """Return what to pencil on the chart, a line each."""
    return pencil_this(plot, charted(settings, plot))
