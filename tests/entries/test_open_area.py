"""A sighting that is open: the area is the wider of with and without it, live as after a restart."""

from entries.afloat import departed
from entries.entering import Aboard
from navigator.navigating import taken_up


def suspected() -> Aboard:
    """Return a boat with a good bearing, and one that is a dozen degrees out and stands open."""
    boat = departed()
    boat.run(600)
    good = boat.sighting(id="b1", kind="bearing", mark="Start Point", bearing_deg=337, reference="true")
    assert not good.open
    boat.run(10)
    bad = boat.sighting(id="b2", kind="bearing", mark="Stoke Point", bearing_deg=56, reference="true")
    assert bad.open
    boat.run(1)
    return boat


def test_open_the_area_is_the_wider_of_with_and_without() -> None:
    """As soon as it is answered the cloud is worked without it too, and the wider of the two is told."""
    boat = suspected()
    area = boat.navigator.room.area
    assert area.told is not None
    assert area.without is not None
    second = area.told.sheet.second
    both = [area._told(passage, second).sheet.size_m2 for passage in (area.passages[-1], area.without)]

    assert area.told.sheet.size_m2 == max(both)
    assert both[0] != both[1]


def test_withdrawn_there_is_one_cloud_again() -> None:
    """Without it nothing is open."""
    boat = suspected()
    boat.order(kind="withdraw", entry="b2")

    assert boat.navigator.room.area.without is None


def test_confirmed_it_counts_in_full() -> None:
    """Once it stands there is one cloud again, with it."""
    boat = suspected()
    boat.order(kind="confirm", entry="b2")

    assert boat.navigator.room.area.without is None


def test_a_restart_tells_the_same_area() -> None:
    """Taken up again while it is open, the daemon says what it would have said."""
    boat = suspected()
    again = taken_up(boat.navigator, boat.navigator.freeze(), boat.navigator.drain())
    boat.navigator, live = again, boat.navigator
    assert again.room.area.without is not None
    restarted = boat.run(30)[-1]
    boat.navigator, boat.now_ms = live, boat.now_ms - 30_000

    assert restarted == boat.run(30)[-1]
