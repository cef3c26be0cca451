"""Somebody overboard on the sheet: where it was, where the water has carried it, and gone when recovered."""

from dataclasses import replace

from entries.entering import Aboard
from middlewatch.plotting.plot import Plot
from middlewatch.plotting.plotter import Plotter
from middlewatch.reports.overboard import CasualtyReport, OverboardReport
from plotting.everything import PLOT
from plotting.paperwork import circle_of
from plotting.test_sheet_content import drawn


def _told() -> OverboardReport:
    """Return what is told of somebody overboard in a stream of 2 kn after ten minutes."""
    boat = Aboard()
    boat.run(5)
    boat.depart()
    boat.order(kind="stream", set_deg=0, drift_kn=2)
    boat.order(id="o", kind="overboard")
    boat.run(600)
    return [each for each in boat.said if isinstance(each, OverboardReport)][-1]


def _on_the_sheet(told: OverboardReport) -> Plot:
    """Return the plot of everything with the casualty laid where that sheet is."""
    ep = PLOT.position.ep if PLOT.position else None
    assert ep is not None
    (one,) = told.casualties
    assert one.was is not None
    assert one.drifted is not None
    north = one.drifted.latitude_deg - one.was.latitude_deg
    was = replace(one.was, latitude_deg=ep.latitude_deg, longitude_deg=ep.longitude_deg)
    adrift = replace(was, latitude_deg=was.latitude_deg + north)
    moved: CasualtyReport = replace(one, was=was, drifted=adrift)
    return replace(PLOT, overboard=replace(told, casualties=(moved,)))


def test_was_and_adrift_are_drawn_and_labelled() -> None:
    """Two saltires, the later in a ring, a third of a mile to the north of the other."""
    drawing = drawn(_on_the_sheet(_told()))

    (group,) = drawing.groups("overboard")
    assert len(drawing.groups("label", "overboard-was")) == 1
    assert len(drawing.groups("label", "overboard-adrift")) == 1
    assert circle_of(group) is not None


def test_recovered_it_is_off_the_sheet() -> None:
    """What stands no more is drawn no more."""
    plot = _on_the_sheet(_told())
    assert plot.overboard is not None
    (one,) = plot.overboard.casualties
    over = replace(plot.overboard, casualties=(replace(one, state="recovered"),))

    assert not drawn(replace(plot, overboard=over)).groups("overboard")


def test_the_plotter_keeps_the_newest() -> None:
    """A report taken stands on the plot."""
    plotter, told = Plotter(), _told()
    plotter.take(told)

    assert plotter.plot().overboard is told
