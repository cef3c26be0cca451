"""Paper and scale: the largest scale at which all fits, or a refusal that says which would."""

import pytest

from middlewatch.plotting.paper import SCALES, DoesNotFitError, PaperName, laid_out
from middlewatch.plotting.plot import Charted, Plot
from middlewatch.quantities.positions import Position
from plotting.everything import CHARTED, PLOT


def places() -> list[Position]:
    """Return every place of the plot that must be shown."""
    found = [place for dr in PLOT.drs for place in dr.path]
    return [*found, *(Position(fix.latitude_deg, fix.longitude_deg) for fix in PLOT.fixes)]


@pytest.mark.parametrize("paper", ["a4", "a3"])
def test_the_largest_scale_that_fits_is_taken(paper: PaperName) -> None:
    """All that is plotted lies in the window, and at the next larger scale it would be refused."""
    sheet = laid_out(PLOT, Charted("kittiwake"), paper=paper)
    larger = SCALES[SCALES.index(sheet.projection.scale) - 1]
    window = sheet.window

    for place in places():
        x, y = sheet.projection.at(place)
        assert window.left < x < window.right
        assert window.top < y < window.bottom
    with pytest.raises(DoesNotFitError, match=f"1:{sheet.projection.scale:.0f} would"):
        laid_out(PLOT, Charted("kittiwake"), paper=paper, scale=larger)


def test_a_refusal_says_which_scale_would_fit() -> None:
    """What does not fit is refused in one line, and the scale it names fits."""
    with pytest.raises(DoesNotFitError) as refusal:
        laid_out(PLOT, CHARTED, scale=20_000.0)
    said = str(refusal.value)
    named = float(said.rpartition("1:")[2].split()[0])

    assert said.startswith("the plot does not fit A4 at 1:20000; 1:")
    assert laid_out(PLOT, CHARTED, scale=named).projection.scale == named


def test_an_empty_plot_has_a_sheet() -> None:
    """Nothing plotted is a sheet too."""
    assert laid_out(Plot(), CHARTED).projection.scale == SCALES[0]
