"""The command `sheet`: the plotting sheet of a passage, from the file of its reports, and what to pencil."""

from middlewatch.navigator.reckoning.variation import chart_variation, model_variation
from middlewatch.plotting.conventions import CONVENTIONS
from middlewatch.plotting.drawing import drawn_sheet
from middlewatch.plotting.palette import DAY, NIGHT
from middlewatch.plotting.paper import Look, PaperName, laid_out
from middlewatch.plotting.pencil_this import pencil_this
from middlewatch.plotting.plot import Charted, Plot, Variation
from middlewatch.plotting.plotter import Plotter
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


def drawn(settings: Settings, plot: Plot, *, paper: PaperName, scale: float | None, night: bool) -> str:
    """Return the sheet as SVG; DoesNotFitError where it does not fit the paper at the scale."""
    bears = charted(settings, plot)
    look = Look(NIGHT if night else DAY, CONVENTIONS[settings.sheet.symbols])
    return drawn_sheet(plot, bears, laid_out(plot, bears, look, paper=paper, scale=scale))


def words(settings: Settings, plot: Plot) -> tuple[str, ...]:
    """Return what to pencil on the chart, a line each."""
    return pencil_this(plot, charted(settings, plot))
