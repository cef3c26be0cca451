"""A departure that was a false satellite position: what the lines that correct it say of the satellites."""

import pytest

from entries.entering import FIVE_WEST, Aboard
from middlewatch.navigator.navigator import Navigator
from middlewatch.navigator.tuning import Tuning
from middlewatch.quantities.positions import Position
from middlewatch.reports.satellite import CauseReport
from middlewatch.wire import entries
from watch.test_when_satellites_lie import MARKS, sailed

OFF_M = 1500.0
SIGHTED_S = 1200
NORTH, EAST, SOUTH = MARKS


def corrected(
    *marks: str, off_m: float = OFF_M, wrong_deg: float = 0.0
) -> tuple[Aboard, dict[str, CauseReport]]:
    """Depart from satellites that have her off to the north, sight marks and adopt the fix; the causes after.

    `off_m`: how far to the north; `wrong_deg`: how far off the last of the bearings is.
    """
    boat = Aboard(Tuning(variation=FIVE_WEST, samples=2000))
    boat.navigator = Navigator(boat.navigator.room.tuning, MARKS, entries)
    boat.satellites = lambda second: sailed(boat, second).moved(off_m, 0.0)
    boat.run(20)
    assert boat.order(id="d1", kind="departure", **{"from": "satellite"}).accepted
    boat.run(SIGHTED_S)
    here: Position = sailed(boat, boat.seconds)
    for mark in marks:
        bearing_deg = here.to(MARKS[mark].position)[0] + (wrong_deg if mark == marks[-1] else 0.0)
        body = {"id": f"b-{mark[0].lower()}", "kind": "bearing", "mark": mark, "reference": "true"}
        assert boat.sighting(**body, bearing_deg=round(bearing_deg, 1) % 360.0).accepted
    assert boat.order(kind="adopt", fix=f"f-b-{marks[-1][0].lower()}").accepted
    boat.run(600)
    return boat, {each.cause: each for each in boat.satellite.causes}


@pytest.mark.parametrize(
    ("off_m", "least", "excluding"),
    [
        (3000.0, 0.9, "East Light (b-e), North Light (b-n), South Light (b-s)"),
        (OFF_M, 0.7, "East Light (b-e), North Light (b-n)"),
    ],
)
def test_three_marks_that_agree_convict_the_satellites_they_were_departed_from(
    off_m: float, least: float, excluding: str
) -> None:
    """All three exclude the DR too, which came of the satellites: that is no word for the satellites.

    A wrong entry would be one of three that agree with the two others: the satellites have it, over 9 in 10.
    Nearer the third runs within two deviations of where they have her: it is not said to exclude them.
    """
    boat, causes = corrected(NORTH, EAST, SOUTH, off_m=off_m)

    assert causes["satellite"].weight > least
    assert causes["satellite"].evidence.endswith(f"excluded by {excluding}")
    assert boat.navigator.room.alerts.stands("satellite", "excluded")


@pytest.mark.parametrize(("marks", "wrong_deg"), [((NORTH, SOUTH), 0.0), ((NORTH, EAST, SOUTH), 12.0)])
def test_lines_that_nothing_bears_out_convict_nobody(marks: tuple[str, ...], wrong_deg: float) -> None:
    """Of two either may be wrong, and of three that do not meet one is: it may have been the entry."""
    boat, causes = corrected(*marks, wrong_deg=wrong_deg)

    assert causes["satellite"].weight < 0.5
    assert not boat.navigator.room.alerts.stands("satellite", "excluded")
