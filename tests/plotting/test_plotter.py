"""The plotter: what it keeps of the reports that come by."""

from dataclasses import replace

from entries.entering import Aboard
from middlewatch.plotting.plotter import Plotter
from middlewatch.quantities.instants import Instant
from middlewatch.quantities.positions import Position
from middlewatch.reports.answer import Answer, SightingAnswer
from middlewatch.reports.position import DrReport, EpReport, FormerDrReport, PositionReport
from plotting.conftest import Sailed
from plotting.everything import BOAT, LATE, POSITION, at, origin

START = at("2058")
ORIGIN = origin("departure", "d1", "2058", BOAT)


def sail(plotter: Plotter, seconds: range, heading_deg: float, place: Position, kn: float = 6.0) -> Position:
    """Report a boat on a heading each second, yawing nine degrees; return where she gets to."""
    for second in seconds:
        place = place.along(heading_deg, kn / 3600)
        yaw = (-9.0, 0.0, 9.0, 0.0)[second // 5 % 4]
        plotter.take(report(second, place, (heading_deg + yaw) % 360, kn))
    return place


def report(second: int, place: Position, heading_deg: float, kn: float) -> PositionReport:
    """Return a position report so many seconds after the start."""
    where = place.latitude_deg, place.longitude_deg
    return replace(
        POSITION,
        at=Instant(START.ms + 1000 * second),
        dr=DrReport(*where, START, 0.0),
        ep=EpReport(*where, ()),
        origin=ORIGIN,
        heading_true_deg=heading_deg,
        speed_kn=kn,
    )


def dues(plotter: Plotter) -> list[tuple[str, str]]:
    """Return why and when each DR is plotted."""
    return [(point.due, point.at.clock_with_seconds) for dr in plotter.plot().drs for point in dr.points]


def test_a_steady_course_has_its_hours_only() -> None:
    """Yaw is no alteration of course: the departure and each whole hour are plotted, nothing else."""
    plotter = Plotter()
    sail(plotter, range(1, 2 * 3600), 355.0, BOAT)

    assert dues(plotter) == [("departure", "20:58:00"), ("hour", "21:00:00"), ("hour", "22:00:00")]


def test_a_lasting_alteration_is_plotted_where_it_began() -> None:
    """An alteration of 90 degrees through north is plotted within ten seconds of when it was made."""
    plotter = Plotter()
    place = sail(plotter, range(1, 1000), 315.0, BOAT)
    sail(plotter, range(1000, 1500), 45.0, place)

    (_, when), *others = [due for due in dues(plotter) if due[0] == "course"]
    assert "21:14:30" <= when <= "21:14:50"
    assert others == []


def test_a_change_of_speed_is_plotted() -> None:
    """From 6 knots to 3: one DR for the speed."""
    plotter = Plotter()
    place = sail(plotter, range(1, 1000), 90.0, BOAT)
    sail(plotter, range(1000, 1500), 90.0, place, kn=3.0)

    assert [due for due, _ in dues(plotter)].count("speed") == 1


def test_a_short_swerve_is_not_plotted() -> None:
    """Forty seconds on another heading are no alteration of course."""
    plotter = Plotter()
    place = sail(plotter, range(1, 1000), 90.0, BOAT)
    place = sail(plotter, range(1000, 1040), 150.0, place)
    sail(plotter, range(1040, 1500), 90.0, place)

    assert [due for due, _ in dues(plotter)].count("course") == 0


def test_a_dr_that_leaps_is_another_dr() -> None:
    """A DR worked again is drawn beside the one that stood, which is kept as replaced."""
    plotter = Plotter()
    place = sail(plotter, range(1, 300), 90.0, BOAT)
    sail(plotter, range(300, 400), 90.0, place.along(0.0, 1.0))
    first, second = plotter.plot().drs

    assert first.replaced == Instant(START.ms + 300_000)
    assert first.left == place
    assert second.replaced is None


def test_an_adoption_keeps_the_old_dr_running(sailed: Sailed) -> None:
    """After the demo's adoption two DRs stand: the new one, and the old one dated and carried on."""
    old, new = sailed.plot.drs

    assert (old.replaced and old.replaced.clock, new.replaced) == ("2236", None)
    assert new.origin.id == "f-carrow-2231"
    assert sailed.positions[-1].former is not None
    former: FormerDrReport = sailed.positions[-1].former
    assert old.path[-1] == Position(former.latitude_deg, former.longitude_deg)
    assert new.path[0] == Position(new.origin.latitude_deg, new.origin.longitude_deg)


def test_a_withdrawn_sight_stays_as_withdrawn() -> None:
    """Withdrawing marks the sight and keeps its line."""
    plotter = Plotter()
    said = SightingAnswer(LATE, None, None, None, None, None, None, (), None, None)
    usual = Answer("sighting", "b1", "bearing", LATE.at, LATE.at, True, True, True, False, sighting=said)
    plotter.take(usual)
    plotter.take(
        replace(usual, channel="order", id="w1", kind="withdraw", sighting=None, effect="done", about="b1")
    )
    (sight,) = plotter.plot().sights

    assert (sight.withdrawn, sight.open, sight.line) == (True, False, LATE)


def test_the_daemon_says_what_it_withdraws() -> None:
    """What the navigator itself answers to a withdrawal strikes the sight through."""
    boat, plotter = Aboard(), Plotter()
    boat.run(5)
    boat.depart(latitude_deg=50.0, longitude_deg=-4.0)
    boat.run(60)
    seen = boat.sighting(id="b1", kind="bearing", mark="Start Point", bearing_deg=350)
    withdrawn = boat.order(id="w1", kind="withdraw", entry="b1")
    for answer in (seen, withdrawn):
        plotter.take(answer)

    assert withdrawn.accepted
    assert [(sight.id, sight.withdrawn) for sight in plotter.plot().sights] == [("b1", True)]


def test_a_refused_sight_is_not_drawn() -> None:
    """What was refused is nowhere on the sheet."""
    plotter = Plotter()
    plotter.take(Answer("sighting", "b1", "bearing", None, LATE.at, False, False, False, False))

    assert plotter.plot().sights == ()


def test_a_revised_fix_stands_in_the_place_of_the_first(sailed: Sailed) -> None:
    """A revision of a revision replaces both; the others stay."""
    first = sailed.plot.fixes[0]
    plotter = Plotter()
    for fix in sailed.plot.fixes:
        plotter.take(fix)
    plotter.take(replace(first, id=f"{first.id}.2", revises=first.id))
    plotter.take(replace(first, id=f"{first.id}.3", revises=f"{first.id}.2", withdrawn=True))
    fixes = plotter.plot().fixes

    assert len(fixes) == len(sailed.plot.fixes)
    assert [fix.id for fix in fixes if fix.withdrawn] == [f"{first.id}.3"]
