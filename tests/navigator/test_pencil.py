"""The line to draw, in words."""

import pytest

from middlewatch.navigator.position.fix import PlottedFix
from middlewatch.navigator.position.fixing import FixRules, plotted
from middlewatch.navigator.position.lines import Circle, Point, Ray, TransitRay
from middlewatch.navigator.position.pencil import pencil_fix, pencil_line
from middlewatch.quantities.angles import three_figures
from middlewatch.quantities.instants import Instant
from middlewatch.quantities.positions import Position
from middlewatch.reports.answer import ChainReport
from navigator.legs import Legs, leg, line, seen

LIGHT = Position(50.0, -4.0)
AT_0142 = 102 * 60


def test_a_bearing_is_drawn_from_its_mark_towards_the_boat() -> None:
    """The bearing's reciprocal is drawn, and the figures it came by are shown with it."""
    taken = line("b1", AT_0142, "Hallow Point", Ray(LIGHT, 245.0, 2.0))
    chain = ChainReport(250.0, -2.0, 248.0, -3.0, "model", 245.0)

    assert pencil_line(taken) == "0142: from Hallow Point draw 065 T (bearing 245 T); label 0142"
    assert pencil_line(taken, chain) == (
        "0142: from Hallow Point draw 065 T (bearing 245 T, 248 M, 250 C); label 0142"
    )


def test_a_transferred_line_bears_both_times() -> None:
    """A line carried to another moment is drawn from its mark as moved, and labelled with both times."""
    taken = line("b1", 78 * 60, "Hallow Point", Ray(LIGHT, 245.0, 2.0))

    assert pencil_line(taken, transferred_to=Instant(AT_0142 * 1000)) == (
        "0142: from Hallow Point moved by the run since 0118 draw 065 T (bearing 245 T); label 0118-0142"
    )


def test_every_shape_can_be_drawn() -> None:
    """A transit, a distance and a point have their own stroke."""
    transit = line(
        "t", AT_0142, "Beacon over Church", TransitRay(LIGHT, LIGHT.along(30.0, 1.0), 1.0), "transit"
    )
    distance = line("r", AT_0142, "Hallow Point", Circle(LIGHT, 3.2, 0.1), "range")
    point = line("p", AT_0142, "Outer Buoy", Point(Position(50.0521, -4.2057), 0.02), "passing")

    assert pencil_line(transit) == (
        "0142: from the front mark of Beacon over Church draw 210 T, away from the rear one; label 0142"
    )
    assert pencil_line(distance) == "0142: round Hallow Point draw an arc of 3.20 nm; label 0142"
    assert pencil_line(point) == "0142: plot the boat at 50 03.13 N 004 12.34 W (Outer Buoy); label 0142"


def test_a_fix_is_marked_with_its_time_and_label() -> None:
    """Where it is, how far off, and the label that tells a running fix."""
    run = Legs(LIGHT.along(180.0, 4.0), [leg(270.0, 5.0, 3600)])
    lines = [
        line(f"b{second}", second, "light", seen(run.place(second), LIGHT))
        for second in (AT_0142 - 3600, AT_0142)
    ]
    fix = plotted(lines[1], lines[:1], run, FixRules())
    assert isinstance(fix, PlottedFix)

    assert pencil_fix(fix) == (
        f"0142: R Fix at {fix.place!s}, {fix.distance_off_nm:.2f} nm off; label 0142 R Fix"
    )


@pytest.mark.parametrize(
    ("direction", "spoken"), [(5.4, "005"), (359.6, "000"), (0.0, "000"), (65.0, "065"), (245.2, "245")]
)
def test_directions_have_three_figures(direction: float, spoken: str) -> None:
    """What rounds to 360 is 000."""
    assert three_figures(direction) == spoken


@pytest.mark.parametrize(
    ("position", "written"),
    [
        (Position(50.0521, -4.2057), "50 03.13 N 004 12.34 W"),
        (Position(-33.999999, 151.5), "34 00.00 S 151 30.00 E"),
        (Position(0.0, -180.0), "00 00.00 N 180 00.00 W"),
    ],
)
def test_positions_are_in_degrees_and_minutes(position: Position, written: str) -> None:
    """No minute is ever written as 60.00."""
    assert str(position) == written
