"""The plot: fixes are published once, revised when what they rest on changes, and restored as they were."""

from dataclasses import replace

import pytest

from entries.entering import FIVE_WEST, MARKS, START, Aboard, utc
from entries.history import plotted
from middlewatch.navigator.navigator import Navigator
from middlewatch.navigator.tuning import Tuning, VariationChoice
from middlewatch.wire import entries


def departed(tuning: Tuning | None = None) -> Aboard:
    """Return a boat that departed at ten seconds, a minute after her start."""
    boat = Aboard(tuning)
    boat.run(10)
    boat.depart()
    boat.run(50)
    return boat


def bearing(boat: Aboard, id_: str, mark: str, error_deg: float = 0.0) -> None:
    """Take a true bearing of a mark from where the EP is, but for an error."""
    true_deg = boat.ep_at(boat.seconds).to(MARKS[mark].position)[0] + error_deg
    boat.sighting(id=id_, kind="bearing", mark=mark, bearing_deg=round(true_deg % 360, 6), reference="true")


def test_two_perfect_bearings_fix_the_boat_where_she_is() -> None:
    """Bearings of two marks taken from one place cross there, to a metre for their rounding."""
    boat = departed()
    bearing(boat, "b1", "Start Point")
    bearing(boat, "b2", "Stoke Point")

    fix = boat.fixes()[-1]
    assert (fix.id, fix.label, fix.sightings, fix.revises) == ("f-b2", "Fix", ("b1", "b2"), None)
    boat_m = boat.ep_at(60).offset_to(
        replace(START, latitude_deg=fix.latitude_deg, longitude_deg=fix.longitude_deg)
    )
    assert boat_m == pytest.approx((0.0, 0.0), abs=1.0)


def test_a_fix_is_published_once() -> None:
    """A remark, a course ordered, a satellite position entered: nothing is published again."""
    boat = departed()
    bearing(boat, "b1", "Start Point")
    bearing(boat, "b2", "Stoke Point")
    boat.order(kind="remark", text="clear")
    boat.order(kind="course", heading_deg=90, reference="true")
    boat.sighting(kind="position", latitude_deg=50, longitude_deg=-4, sd_nm=0.01, source="satellite")
    boat.run(10)

    assert [fix.id for fix in boat.fixes()] == ["f-b2"]


def test_revisions_count_up_and_each_names_the_one_before() -> None:
    """Three changes, three revisions."""
    boat = departed()
    bearing(boat, "b1", "Start Point")
    bearing(boat, "b2", "Stoke Point")
    for bearing_deg in (343, 344, 345):
        boat.order(kind="amend", entry="b1", change={"bearing_deg": bearing_deg})

    assert [(fix.id, fix.revises) for fix in boat.fixes()] == [
        ("f-b2", None),
        ("f-b2.2", "f-b2"),
        ("f-b2.3", "f-b2.2"),
        ("f-b2.4", "f-b2.3"),
    ]


def test_a_fix_withdrawn_comes_back_as_a_revision() -> None:
    """One line gone there is no fix; another line makes it again, under a new revision."""
    boat = departed()
    bearing(boat, "b1", "Start Point")
    bearing(boat, "b2", "Stoke Point")
    boat.order(kind="withdraw", entry="b1")
    boat.hear(
        "sighting", {"id": "b0", "kind": "range", "mark": "Bolt Head", "distance_nm": 8.4, "at": utc(40)}
    )

    assert [(fix.id, fix.revises, fix.withdrawn) for fix in boat.fixes()] == [
        ("f-b2", None, None),
        ("f-b2", None, True),
        ("f-b2.2", "f-b2", None),
    ]


def test_a_late_order_revises_running_fixes() -> None:
    """A stream heard afterwards carries the earlier line elsewhere: the R Fix is published again."""
    boat = departed()
    bearing(boat, "b1", "Start Point")
    boat.run(1200)
    bearing(boat, "b2", "Stoke Point")
    before = boat.fixes()[-1]
    boat.order(kind="stream", set_deg=0, drift_kn=2, at=utc(60))
    after = boat.fixes()[-1]

    assert (before.id, after.id, after.revises) == ("f-b2", "f-b2.2", "f-b2")
    # Twenty minutes of 2 kn to the north carry the line 0.67 nm farther north.
    assert after.latitude_deg > before.latitude_deg


def test_a_late_heading_by_hand_turns_relative_bearings_with_it() -> None:
    """The ship's head was another than the sensor's: lines by it are drawn again, and the fix of them."""
    boat = departed()
    boat.sighting(id="b1", kind="bearing", mark="Start Point", bearing_deg=252, reference="relative")
    bearing(boat, "b2", "Stoke Point")
    boat.run(30)
    boat.order(kind="by_hand", heading_deg=85, reference="true", at=utc(30))

    line = boat.navigator.room.plot.lines["b1"]
    assert getattr(line.shape, "bearing_true_deg", None) == pytest.approx((252 + 85) % 360)
    assert boat.fixes()[-1].id == "f-b2.2"


def test_without_the_heading_it_rested_on_a_line_is_gone_until_it_returns() -> None:
    """The heading by hand withdrawn takes the relative bearing's line away, another brings it back."""
    boat = Aboard(Tuning(variation=FIVE_WEST))
    boat.heading_magnetic_deg = None
    boat.run(10)
    boat.depart()
    boat.order(id="h1", kind="by_hand", heading_deg=90, reference="true")
    boat.run(50)
    boat.sighting(id="b1", kind="bearing", mark="Start Point", bearing_deg=252, reference="relative")
    with_heading = list(boat.navigator.room.plot.lines)
    boat.order(kind="withdraw", entry="h1")
    without = list(boat.navigator.room.plot.lines)
    boat.order(kind="by_hand", heading_deg=90, reference="true", at=utc(20))

    assert (with_heading, without) == (["b1"], [])
    assert list(boat.navigator.room.plot.lines) == ["b1"]


def test_a_burst_of_one_mark_is_no_fix() -> None:
    """Three bearings of one light within three minutes fix nothing, and the answer says so."""
    boat = departed()
    for id_ in ("b1", "b2", "b3"):
        bearing(boat, id_, "Start Point")
        boat.run(20)
    answer = boat.sighting(id="b4", kind="bearing", mark="Start Point", bearing_deg=342, reference="true")

    assert boat.fixes() == []
    assert answer.sighting is not None
    assert str(answer.sighting.pencil).endswith("; no fix: a burst of one mark, not a fix")


def test_a_refused_fix_order_publishes_nothing() -> None:
    """One line of two is asked for: no fix comes of it, and the one that stands is left alone."""
    boat = departed()
    bearing(boat, "b1", "Start Point")
    bearing(boat, "b2", "Stoke Point")
    said = boat.hear("order", {"id": "x1", "kind": "fix", "using": ["b2"]})

    assert len(said) == 1
    assert boat.navigator.room.plot.ids() == ["f-b2"]


def test_the_later_choice_of_the_skipper_holds() -> None:
    """Two fix orders for one newest line: the later by its own time, however they are heard."""
    boat = departed()
    bearing(boat, "b1", "Start Point")
    bearing(boat, "b2", "Stoke Point")
    bearing(boat, "b3", "Bolt Head")
    boat.run(10)
    boat.order(id="x2", kind="fix", using=["b2", "b3"], at=utc(66))
    boat.order(id="x1", kind="fix", using=["b1", "b3"], at=utc(63))
    later_holds = boat.fixes()[-1].sightings
    boat.order(kind="withdraw", entry="x2")

    assert later_holds == ("b2", "b3")
    assert boat.fixes()[-1].sightings == ("b1", "b3")


def test_taken_up_again_after_a_restart() -> None:
    """From what the journal was given a new navigator has the same fixes, and revises them alike."""
    boat = departed()
    bearing(boat, "b1", "Start Point")
    bearing(boat, "b2", "Stoke Point")
    bearing(boat, "b3", "Bolt Head", 2.0)
    boat.order(id="x1", kind="fix", using=["b1", "b3"])
    boat.order(kind="withdraw", entry="b2")
    boat.run(20)
    again = Aboard()
    again.navigator = Navigator(Tuning(variation=FIVE_WEST), MARKS, entries)
    again.navigator.thaw(boat.navigator.freeze(), boat.navigator.drain())
    again.now_ms = boat.now_ms

    assert plotted(again) == plotted(boat)
    assert again.navigator.room.plot.published == boat.navigator.room.plot.published
    for each in (again, boat):
        each.order(kind="withdraw", entry="x1")
    assert again.navigator.room.plot.published == boat.navigator.room.plot.published
    assert again.run(5) == boat.run(5)


def test_restart_with_a_choice_whose_lines_are_all_withdrawn() -> None:
    """A fix ordered of one radar position, then withdrawn, does not keep the daemon from starting."""
    boat = departed()
    boat.sighting(id="p1", kind="position", latitude_deg=50, longitude_deg=-4, sd_nm=0.1, source="radar")
    boat.order(id="x1", kind="fix", using=["p1"])
    boat.order(kind="withdraw", entry="p1")
    boat.run(5)
    again = Aboard()
    again.navigator.thaw(boat.navigator.freeze(), boat.navigator.drain())

    assert again.navigator.room.plot.lines == {}


def test_a_late_line_that_a_later_sighting_uses_is_not_said_to_make_no_fix() -> None:
    """It makes none of its own, being the older of the two; the answer names the fix it is part of."""
    boat = departed()
    bearing(boat, "b2", "Stoke Point")

    answer = boat.sighting(
        id="b1", kind="bearing", mark="Start Point", bearing_deg=20.0, reference="true", ago_s=2
    )

    assert answer.sighting is not None
    assert answer.sighting.fix == "f-b2"
    assert "no fix" not in str(answer.sighting.pencil)


def test_a_drift_that_no_sea_makes_is_flagged() -> None:
    """A bearing 30 degrees out puts the boat miles off in ten minutes: the fix is published, and doubted."""
    boat = departed()
    boat.run(600)
    bearing(boat, "b1", "Start Point", error_deg=30.0)
    bearing(boat, "b2", "Stoke Point")

    fix = boat.fixes()[-1]
    assert fix.drift_kn is not None
    assert fix.drift_sd_kn is not None
    assert fix.drift_kn - 3 * fix.drift_sd_kn > 1.5
    assert fix.flags[-1] == (
        f"a drift of {fix.drift_kn:.1f} kn is more than the sea here can make (1.5 kn): "
        "doubt a line, the DR's origin, the log or the compass"
    )


# --- what an adopted fix is worth --------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("bearings", "run_nm", "mark_nm", "strongest_kn", "axis_nm"),
    [
        ((45, 90), 3.0, (3.0, 3.0), 1.5, 0.472),
        ((45, 90), 3.0, (3.0, 3.0), 3.0, 0.872),
        ((60, 75), 2.0, (3.732, 6.464), 1.5, 1.255),
    ],
)
def test_an_adopted_running_fix_is_no_better_than_its_run(
    bearings: tuple[int, int],
    run_nm: float,
    mark_nm: tuple[float, float],
    strongest_kn: float,
    axis_nm: float,
) -> None:
    """The origin it makes holds the run's doubt, and the more of it the narrower the cut.

    First case, the design's section 4: course 000, bearings of 2 degrees, axes 0.660 x 0.103 nm, here their
    root mean square. The others by hand from lines with errors e, f cut at b: drms = sqrt(e^2 + f^2) / sin b,
    the earlier line's e with 5 % of the run and 0.7 kn of stream, twice that where the sea can make 3 kn.
    """
    boat = Aboard(Tuning(variation=VariationChoice("chart", 0.0, 2026.0), strongest_stream_kn=strongest_kn))
    boat.heading_magnetic_deg, boat.speed_kn = 0.0, 5.0
    boat.run(10)
    boat.depart()
    mark = START.moved(mark_nm[0] * 1852.0, mark_nm[1] * 1852.0)
    light = {"latitude_deg": mark.latitude_deg, "longitude_deg": mark.longitude_deg}
    boat.sighting(kind="bearing", mark=light, bearing_deg=bearings[0], reference="true", sd_deg=2)
    boat.run(round(run_nm / 5.0 * 3600))
    boat.sighting(kind="bearing", mark=light, bearing_deg=bearings[1], reference="true", sd_deg=2)

    boat.order(kind="adopt", fix=boat.fixes()[-1].id)
    boat.run(1)

    origin = boat.navigator.room.reckoning.now.origin
    assert origin is not None
    assert origin.sd_nm == pytest.approx(axis_nm, rel=0.03)
