"""Witnesses as they stand: a sighting speaks as amended, withdrawn not at all, whatever it said first."""

import re
from collections.abc import Callable

import pytest

from entries.entering import FIVE_WEST, Aboard, utc
from middlewatch.navigator.keeping import Kept
from middlewatch.navigator.navigator import Navigator
from middlewatch.navigator.tuning import Tuning
from middlewatch.navigator.watch.causes import weigh
from middlewatch.navigator.watch.witnesses import Said, heard
from middlewatch.quantities.positions import Position
from middlewatch.reports.satellite import CauseReport
from middlewatch.wire import entries
from navigator.navigating import stowed
from watch.test_when_satellites_lie import MARKS, ONSET_S, sailed

PULL_KN = 4.0
SIGHTED_S = 2400


def drawn_off() -> Aboard:
    """Return a boat whose receiver is drawn off to the north-west, fifteen minutes since, a mile by now."""
    boat = Aboard(Tuning(variation=FIVE_WEST, samples=2000))
    boat.navigator = Navigator(boat.navigator.room.tuning, MARKS, entries)
    part = 0.5**0.5 * PULL_KN * 1852.0 / 3600.0

    def place(second: int) -> Position:
        off_m = part * max(0, second - ONSET_S)
        return sailed(boat, second).moved(off_m, -off_m)

    boat.satellites = place
    boat.run(10)
    boat.depart()
    boat.run(SIGHTED_S - 10)
    return boat


def bears(boat: Aboard, mark: str, *, by_satellites: bool) -> float:
    """Return the bearing of a mark when it is sighted: from where she is, or from where the receiver is."""
    here = sailed(boat, SIGHTED_S)
    if by_satellites:
        off_m = 0.5**0.5 * PULL_KN * 1852.0 / 3600.0 * (SIGHTED_S - ONSET_S)
        here = here.moved(off_m, -off_m)
    return round(here.to(MARKS[mark].position)[0], 1) % 360.0


def sight(boat: Aboard, id_: str, mark: str, *, by_satellites: bool = False, late: bool = False) -> None:
    """Sight a mark; late: a minute afterwards, told with its time."""
    bearing_deg = bears(boat, mark, by_satellites=by_satellites)
    at = {"at": utc(SIGHTED_S)} if late else {}
    body = {"id": id_, "kind": "bearing", "mark": mark, "bearing_deg": bearing_deg, "reference": "true"}
    assert boat.sighting(**body, **at).accepted


def stands(boat: Aboard) -> tuple[Said, tuple[CauseReport, ...]]:
    """Return what is heard of the witnesses, and the causes, at the end of the third minute after."""
    boat.run(SIGHTED_S + 180 - boat.seconds)
    room = boat.navigator.room
    return heard(room), weigh(room, frozenset()).causes


def told(act: Callable[[Aboard], None]) -> tuple[Said, tuple[CauseReport, ...]]:
    """Sail, do something to the deck log, and return how the witnesses stand."""
    boat = drawn_off()
    act(boat)
    return stands(boat)


def right_at_once(boat: Aboard) -> None:
    """Two bearings from where she is."""
    sight(boat, "b1", "North Light")
    sight(boat, "b2", "South Light")


def test_a_bearing_from_where_she_is_speaks_against_the_satellites() -> None:
    """Two marks, both against them; one from where they have her is not."""
    said, causes = told(right_at_once)
    against, _ = told(lambda boat: sight(boat, "b1", "North Light", by_satellites=True))

    assert [each.named for each in said.against_satellites] == ["North Light (b1)", "South Light (b2)"]
    assert said.against_reckoning == ()
    assert causes[0].cause == "satellite"
    assert against.against_satellites == ()


@pytest.mark.parametrize("first_amended", [True, False])
def test_an_amended_bearing_speaks_as_it_stands_now(first_amended: bool) -> None:
    """Typed wrong and amended, before the other bearing or after it: as if it had been right at once."""

    def amended(boat: Aboard) -> None:
        sight(boat, "b1", "North Light", by_satellites=True)
        change = {"bearing_deg": bears(boat, "North Light", by_satellites=False)}
        if first_amended:
            boat.order(kind="amend", entry="b1", change=change)
        sight(boat, "b2", "South Light")
        if not first_amended:
            boat.run(70)
            boat.order(kind="amend", entry="b1", change=change)

    assert told(amended) == told(right_at_once)


def test_an_amended_mark_speaks_for_itself() -> None:
    """The wrong light, put right: the witness is the other mark."""

    def amended(boat: Aboard) -> None:
        bearing_deg = bears(boat, "North Light", by_satellites=False)
        body = {"id": "b1", "kind": "bearing", "mark": "South Light", "bearing_deg": bearing_deg}
        boat.sighting(**body, reference="true")
        boat.order(kind="amend", entry="b1", change={"mark": "North Light"})
        sight(boat, "b2", "South Light")

    assert told(amended) == told(right_at_once)


def test_a_bearing_that_is_withdrawn_is_no_witness() -> None:
    """As if it had never been entered; and one that was wrong no longer stains the one after it."""

    def withdrawn(boat: Aboard) -> None:
        sight(boat, "b1", "North Light", by_satellites=True)
        sight(boat, "b2", "South Light")
        boat.run(70)
        boat.order(kind="withdraw", entry="b1")

    assert told(withdrawn) == told(lambda boat: sight(boat, "b2", "South Light"))


def test_late_bearings_say_the_same_in_any_order() -> None:
    """A minute late, the second first: what they say is as in time."""

    def late(boat: Aboard) -> None:
        boat.run(60)
        sight(boat, "b2", "South Light", late=True)
        sight(boat, "b1", "North Light", late=True)

    assert told(late) == told(right_at_once)


def test_a_departure_amended_is_what_the_bearing_after_it_is_held_against() -> None:
    """Typed a mile off, every bearing contradicts the reckoning; put right, none does."""

    def by_departure(boat: Aboard, *, amended: bool) -> None:
        there = sailed(boat, boat.seconds)
        off = there.moved(0.0 if not amended else 1852.0, 0.0)
        place = {"latitude_deg": off.latitude_deg, "longitude_deg": off.longitude_deg}
        boat.order(id="d2", kind="departure", **place)
        boat.run(1)
        sight(boat, "b1", "South Light")
        if amended:
            change = {"latitude_deg": there.latitude_deg, "longitude_deg": there.longitude_deg}
            boat.order(kind="amend", entry="d2", change=change)

    said = [told(lambda boat, by=by: by_departure(boat, amended=by))[0] for by in (True, False)]  # type: ignore[misc]  # bound
    assert said[0].against_satellites == said[1].against_satellites
    assert said[0].against_reckoning == said[1].against_reckoning == ()


def test_what_an_amendment_makes_of_the_causes_is_said() -> None:
    """Bearings from where the satellites have her speak for them; amended, it is said what that turned."""
    boat = drawn_off()
    for id_, mark in (("b1", "North Light"), ("b2", "South Light")):
        sight(boat, id_, mark, by_satellites=True)
    boat.run(2)
    before = boat.satellite.causes[0].cause
    for id_, mark in (("b1", "North Light"), ("b2", "South Light")):
        change = {"bearing_deg": bears(boat, mark, by_satellites=False)}
        boat.order(kind="amend", entry=id_, change=change)
    boat.run(2)
    text = boat.alerts("satellite")[-1].text

    assert before != "satellite"
    assert boat.satellite.causes[0].cause == "satellite"
    assert re.search(r"likeliest the satellites \(\d+ %\) by bearing b2 amended$", text)


def test_a_restart_changes_no_witness() -> None:
    """Killed between bearing and amendment, and once more after it: the same is heard."""
    boat = drawn_off()
    sight(boat, "b1", "North Light", by_satellites=True)
    first = restarted(boat, Kept())
    change = {"bearing_deg": bears(boat, "North Light", by_satellites=False)}
    boat.order(kind="amend", entry="b1", change=change)
    sight(boat, "b2", "South Light")
    restarted(boat, first)

    assert stands(boat) == told(right_at_once)


def restarted(boat: Aboard, earlier: Kept) -> Kept:
    """Let a new navigator take up what the old one kept, after what was kept earlier; return all of it."""
    old, kept = boat.navigator, boat.navigator.drain()
    whole = Kept(earlier.entries + kept.entries, earlier.events + kept.events, earlier.rows + kept.rows)
    boat.navigator = Navigator(old.room.tuning, old.room.marks, old.room.reader)
    boat.navigator.thaw(old.freeze(), stowed(whole))
    return whole
