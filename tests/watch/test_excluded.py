"""Lines that exclude the satellite position: one is a caution, two that cut a warning; both have an end."""

import re
from dataclasses import replace
from math import radians, sin

import pytest

from entries.entering import START, Aboard
from middlewatch.navigator.navigator import Navigator
from middlewatch.quantities.positions import Position
from middlewatch.readings.marks import Contour, Mark
from middlewatch.wire import entries
from watch.test_when_satellites_lie import MARKS, TUNING, aboard, sailed


def drawn() -> Aboard:
    """Return a boat 20 minutes after her receiver began to be drawn off at three knots: a mile off."""
    boat = aboard(pull_kn=3.0)
    boat.run(1200)
    return boat


def see(boat: Aboard, id_: str, mark: Mark) -> None:
    """Take a bearing of a mark from where she is, and sail on for a second."""
    bearing_deg = round(sailed(boat, boat.seconds).to(mark.position)[0], 1) % 360.0
    assert boat.sighting(
        id=id_, kind="bearing", mark=mark.name, bearing_deg=bearing_deg, reference="true"
    ).accepted
    boat.run(1)


def receiver(boat: Aboard, second: int) -> Position:
    """Return where the receiver has her."""
    assert boat.satellites is not None
    place = boat.satellites(second)
    assert place is not None
    return place


def stands(boat: Aboard) -> tuple[bool, bool]:
    """Return whether the caution of one line and the warning of two stand."""
    alerts = boat.navigator.room.alerts
    return alerts.stands("satellite", "contradicted"), alerts.stands("satellite", "excluded")


def test_one_line_is_a_caution_with_its_distance_off() -> None:
    """It says how far off the line passes, of what mark, and wants another mark."""
    boat = drawn()
    see(boat, "b1", MARKS["North Light"])

    assert stands(boat) == (True, False)
    text = boat.alerts("satellite")[-1].text
    # The bearing was taken a second ago, and is the mark's from the boat then: the line runs through both.
    mark, seen_ago = MARKS["North Light"].position, boat.seconds - 1
    bearing_deg, _ = sailed(boat, seen_ago).to(mark)
    from_satellites_deg, distance_nm = receiver(boat, seen_ago).to(mark)
    off_nm = distance_nm * abs(sin(radians(from_satellites_deg - bearing_deg)))
    said_nm = re.search(r"North Light \(b1\) passes ([\d.]+) nm off the satellite position \(GP@bow\)", text)
    assert said_nm is not None
    # The receiver is remembered each half minute, in which she is drawn 0.025 nm.
    assert float(said_nm[1]) == pytest.approx(off_nm, abs=0.025)
    assert "agrees with the reckoning: one of the two is wrong; take a bearing of another mark" in text


def test_two_lines_that_cut_well_are_a_warning() -> None:
    """Both are named with their distances and their cut, and what to go by; nothing is asked for any more."""
    boat = drawn()
    see(boat, "b1", MARKS["North Light"])
    see(boat, "b2", MARKS["South Light"])
    see(boat, "b3", MARKS["East Light"])

    assert stands(boat) == (False, True)
    alert = boat.alerts("satellite")[-1]
    assert alert.priority == "warning"
    assert "two lines exclude the satellite position (GP@bow) and agree with the reckoning: " in alert.text
    assert "go by the lines, not by the receiver" in alert.text
    assert boat.navigator.room.advised.settles is None


def test_one_mark_twice_is_one_witness() -> None:
    """Ten minutes apart two bearings of one light cut, and are its word alone: a caution still."""
    boat = drawn()
    see(boat, "b1", MARKS["North Light"])
    boat.run(600)
    see(boat, "b2", MARKS["North Light"])

    assert stands(boat) == (True, False)


def test_a_poor_cut_is_no_warning(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two marks that bear within 30 degrees of each other exclude no more than one: a caution still."""
    beside = Mark("Beside North", Position(50.07, -3.88), height_m=30.0, range_nm=15.0)
    monkeypatch.setitem(MARKS, beside.name, beside)
    boat = drawn()
    see(boat, "b1", MARKS["North Light"])
    see(boat, "b2", beside)
    evidence = boat.satellite.causes[0].evidence

    assert "excluded by North Light (b1), Beside North (b2)" in evidence
    assert stands(boat) == (True, False)


def test_a_line_and_a_sounding_are_a_warning(monkeypatch: pytest.MonkeyPatch) -> None:
    """On the contour she sails along, and her receiver a mile off it: with a bearing beside it, a warning."""
    along = (START.moved(0.0, -4_000.0), START.moved(0.0, 12_000.0))
    charted = replace(TUNING, contours=(Contour("ten metres", 10.0, along, 50.0, 50.0),), keel_depth_m=1.5)
    monkeypatch.setattr("watch.test_when_satellites_lie.TUNING", charted)
    boat = drawn()
    sounding = {"kind": "depth", "depth_m": 11.5, "below": "keel", "contour": "ten metres", "tide_m": 3.0}
    assert boat.sighting(id="s1", **sounding).accepted
    boat.run(1)
    assert stands(boat) == (True, False)

    see(boat, "b1", MARKS["North Light"])

    assert stands(boat) == (False, True)
    assert (
        "a line and a sounding exclude the satellite position (GP@bow)" in boat.alerts("satellite")[-1].text
    )
    assert "excluded by " in boat.satellite.causes[0].evidence


def test_two_soundings_are_no_more_than_a_caution(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of two contours, side by side: the tide in both, or the chart, may be wrong at once."""
    lines = [(START.moved(north_m, -4_000.0), START.moved(north_m, 12_000.0)) for north_m in (0.0, -60.0)]
    contours = tuple(
        Contour(f"contour {number}", 10.0, points, 50.0, 50.0) for number, points in enumerate(lines)
    )
    charted = replace(TUNING, contours=contours, keel_depth_m=1.5)
    monkeypatch.setattr("watch.test_when_satellites_lie.TUNING", charted)
    boat = drawn()
    for number in range(2):
        sounding = {"kind": "depth", "depth_m": 11.5, "below": "keel", "tide_m": 3.0}
        assert boat.sighting(id=f"s{number}", contour=f"contour {number}", **sounding).accepted
        boat.run(1)

    assert stands(boat) == (True, False)


def test_a_later_line_of_the_mark_takes_the_place_of_the_older() -> None:
    """What excluded them and does so no more is a caution no more: a mark's newest line is its word."""
    boat = aboard()
    place = boat.satellites
    boat.satellites = lambda second: sailed(boat, second).moved(1500.0, 0.0)
    boat.run(120)
    see(boat, "b1", MARKS["East Light"])
    boat.run(30)
    assert stands(boat) == (True, False)

    boat.satellites = place
    boat.run(31)
    see(boat, "b2", MARKS["East Light"])
    boat.run(10)
    assert stands(boat) == (False, False)


def test_it_ends_once_they_agree_again_and_does_not_come_back_when_they_are_trusted() -> None:
    """Lines of before the agreement are past: of two that exclude them nothing stands, before and after."""
    boat = drawn()
    see(boat, "b1", MARKS["North Light"])
    see(boat, "b2", MARKS["East Light"])
    assert stands(boat) == (False, True)

    boat.satellites = lambda second: sailed(boat, second)
    boat.run(900)
    assert stands(boat) == (False, False)
    assert boat.satellite.state == "returning"
    assert boat.satellite.causes == ()
    assert boat.order(kind="trust_satellites", anyway=True).accepted
    boat.run(120)
    assert stands(boat) == (False, False)
    assert (boat.satellite.state, boat.satellite.causes) == ("in_step", ())


def test_it_does_not_come_back_while_they_are_not_heard() -> None:
    """Half a minute under a cliff, ten minutes after they came back: what was said before is past still."""
    boat = drawn()
    see(boat, "b1", MARKS["North Light"])
    see(boat, "b2", MARKS["East Light"])
    # The next half minute that is remembered of the receiver is still of the pull.
    boat.run(90)
    boat.satellites = lambda second: sailed(boat, second)
    boat.run(600)
    assert (boat.satellite.state, stands(boat)) == ("returning", (False, False))
    said = len(boat.alerts("satellite"))
    boat.satellites = lambda _: None
    boat.run(40)

    assert boat.satellite.state == "none"
    assert stands(boat) == (False, False)
    assert len(boat.alerts("satellite")) == said


def test_restarted_it_stands_as_it_stood() -> None:
    """What lines say is worked anew from the lines: the same stands, and the same is kept."""
    boat = drawn()
    see(boat, "b1", MARKS["North Light"])
    see(boat, "b2", MARKS["East Light"])
    again = Navigator(boat.navigator.room.tuning, MARKS, entries)
    again.thaw(boat.navigator.freeze(), boat.navigator.drain())

    assert again.room.alerts.stands("satellite", "excluded")
    assert again.freeze() == boat.navigator.freeze()
