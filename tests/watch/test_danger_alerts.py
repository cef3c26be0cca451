"""What is said of dangers, of a wide area and of an hour without a sight: when, in which words, how long."""

from collections.abc import Sequence
from dataclasses import replace

import pytest

from entries.entering import FIVE_WEST, MARKS, START, START_MS, Aboard
from middlewatch.navigator.navigator import Navigator
from middlewatch.navigator.tuning import Tuning
from middlewatch.navigator.watch import dangers
from middlewatch.navigator.watch.dangers import Level, Seen
from middlewatch.quantities.positions import Position
from middlewatch.readings.dangers import Danger
from middlewatch.readings.marks import Mark
from middlewatch.reports.ahead import DangerReport
from middlewatch.reports.alert import AlertReport
from middlewatch.wire import entries

NEVER_WIDE = 50.0
ROCK = START.along(90.0, 6.0)
FAR_OUT_DEG = 112.0


def aboard(
    *rocks: Danger, marks: Sequence[Mark] = tuple(MARKS.values()), warn_nm: float = NEVER_WIDE
) -> Aboard:
    """Return a boat departed, 6 kn due east, with these dangers and marks."""
    tuning = Tuning(variation=FIVE_WEST, dangers=rocks, area_warn_nm=warn_nm)
    boat = Aboard(tuning)
    boat.navigator = Navigator(tuning, {mark.name: mark for mark in marks}, entries)
    boat.run(10)
    boat.depart()
    return boat


def rock(place: Position = ROCK, clearance_m: float = 400.0) -> Danger:
    """Return a rock."""
    return Danger("Black Rock", "point", ((place,),), clearance_m)


def turns(boat: Aboard, name: str) -> list[AlertReport]:
    """Return the alerts of a subject by which its priority changed, or it was over."""
    alerts = boat.alerts(name)
    weighs = [each.priority if each.state != "normal" else "normal" for each in alerts]
    return [each for each, now, before in zip(alerts, weighs, ["", *weighs], strict=False) if now != before]


def raised(boat: Aboard, name: str) -> list[tuple[int, str]]:
    """Return the minute and the priority, or `normal`, of each of those alerts."""
    return [
        ((each.at.ms - START_MS) // 60_000, each.priority if each.state != "normal" else "normal")
        for each in turns(boat, name)
    ]


def within_hour(boat: Aboard) -> float:
    """Return the chance told at the next second."""
    boat.run(1)
    assert boat.position.danger is not None
    return boat.position.danger.within_hour


# --- a story ------------------------------------------------------------------------------------------------


def test_an_approach_to_a_rock_in_fog() -> None:
    """A rock right ahead at 6 miles, nothing to be seen: caution, warning, alarm; less once turned away."""
    boat = aboard(rock())
    boat.order(kind="visibility", visibility_nm=0.2)
    boat.run(52 * 60)
    sounded = raised(boat, "danger")
    texts = [each.text for each in turns(boat, "danger")]
    boat.heading_magnetic_deg = 275.0
    boat.run(40 * 60)
    after = raised(boat, "danger")[len(sounded) :]

    assert [priority for _, priority in sounded] == ["caution", "warning", "alarm"]
    caution, warning, alarm = (minute for minute, _ in sounded)
    # At once: in an hour she would be up to it. Warned half an hour off; alarmed in the area's last miles.
    assert caution == 0
    assert 22 <= warning <= 35
    assert warning < alarm <= 50
    assert texts[0].startswith("Black Rock, to be kept 400 m off: 5.6")
    assert " nm from the edge of the area to that; chance of coming closer " in texts[0]
    assert "take a sight, and look out for it" in texts[0]
    assert "alter course away from it, then take a sight" in texts[1]
    assert "off: the area reaches into that; chance of coming closer " in texts[2]
    assert "stop or turn away now, then take a sight" in texts[2]
    for text in texts:
        assert "by the reckoning (at 01" in text
        assert "no line since the departure" in text
        assert "area 0." in text or "area 1." in text
        assert "safe" not in text
    # Turned away the alarm falls; being a mile or so off with an area as wide, a caution may stay.
    assert after[0][1] in ("warning", "caution")
    assert "alarm" not in [priority for _, priority in after]


def test_a_rock_well_clear_is_not_spoken_of() -> None:
    """Eight miles abeam, with an hour to run: nothing is said of it, but how far off it is."""
    boat = aboard(rock(START.along(0.0, 9.0)))
    boat.run(30 * 60)

    assert boat.alerts("danger") == []
    assert boat.position.danger is not None
    assert boat.position.danger.within_hour == 0.0
    assert boat.position.danger.soonest_at is None
    assert 7.0 < boat.position.danger.distance_nm < 8.5


def test_at_anchor_nothing_is_said() -> None:
    """She lies where the skipper says that she lies: the rock she anchored beside is no news."""
    boat = aboard(rock(START.along(90.0, 1.0)))
    boat.run(60)
    under_way = len(boat.alerts("danger"))
    boat.order(kind="way", way="anchored")
    boat.run(180)

    assert under_way > 0
    assert boat.alerts("danger")[-1].state in ("normal", "rectified-unacknowledged")
    quiet_since = len(boat.alerts("danger"))
    boat.run(600)
    assert len(boat.alerts("danger")) == quiet_since


def test_without_a_departure_it_is_over() -> None:
    """A departure withdrawn leaves nothing to be in danger by."""
    boat = aboard(rock(START.along(90.0, 1.0)))
    boat.run(120)
    assert boat.alerts("danger")[-1].state != "normal"
    boat.order(kind="withdraw", entry="d1")
    boat.run(2)

    assert boat.alerts("danger")[-1].state in ("normal", "rectified-unacknowledged")
    assert (boat.position.ahead, boat.position.danger) == (None, None)


def test_an_open_sighting_is_judged_by_the_worse() -> None:
    """A bearing far out takes the rock out of her way; while it is open, what holds without it is told.

    The other boat took no sight: at the same second, with the same seed, just that is what she is told.
    """
    light = Mark("Light", START.along(90.0, 8.0))
    doubting, other = (aboard(rock(START.along(90.0, 4.0), 200.0), marks=[light]) for _ in range(2))
    for boat in (doubting, other):
        boat.run(25 * 60)
    answer = doubting.sighting(kind="bearing", mark="Light", bearing_deg=FAR_OUT_DEG, id="b1")
    for boat in (doubting, other):
        boat.order(kind="visibility", visibility_nm=20)
    told, without = within_hour(doubting), within_hour(other)
    doubting.order(kind="confirm", entry="b1")
    confirmed = within_hour(doubting)

    assert answer.open
    assert told == without
    assert confirmed < told - 0.05


def test_an_order_about_alerts_changes_nothing_that_is_told_ahead() -> None:
    """Whether there is an alert to acknowledge may hang on satellites, which must have no part in this."""
    boat = aboard(rock(START.along(90.0, 2.0)))
    boat.run(70)
    before = boat.position.danger
    answers = [boat.order(kind=kind, alert="danger") for kind in ("silence", "acknowledge")]
    boat.run(1)

    assert all(answer.accepted for answer in answers)
    assert before is not None
    assert boat.position.danger is before


# --- how it rises and falls ---------------------------------------------------------------------------------


def seen(half_hour: float, hour: float, distance_nm: float = 1.0, *, reached: bool = False) -> Seen:
    """Return what was seen of a danger."""
    boat = aboard()
    boat.run(1)
    area, at = boat.position.area, boat.position.at
    assert area is not None
    return Seen(area, DangerReport(at, "Black Rock", distance_nm, 0.0, half_hour, hour, None, None), reached)


@pytest.mark.parametrize(
    ("what", "level"),
    [
        (seen(0.0, 0.0), "none"),
        (seen(0.0, 0.02), "none"),
        (seen(0.0, 0.021), "caution"),
        (seen(0.0, 0.0, reached=True), "caution"),
        (seen(0.10, 0.5), "caution"),
        (seen(0.101, 0.5), "warning"),
        (seen(0.101, 0.5, 0.0, reached=True), "alarm"),
        (seen(0.05, 0.05, 0.0, reached=True), "caution"),
    ],
)
def test_how_much_a_chance_matters(what: Seen, level: Level) -> None:
    """Over 2 in 100 in the hour, or reached: caution; over 10 in half an hour: warning, inside: alarm."""
    assert dangers._level(what, 1.0) == level


def test_it_rises_at_once_and_falls_slowly() -> None:
    """From a look to the next it rises; it falls once less than half has been told for three minutes."""
    boat = aboard(rock())
    room = boat.navigator.room
    told, levels = dangers.Told(), []
    chances = [0.0, 0.12, 0.09, 0.06, 0.04, 0.04, 0.11, 0.04, 0.04, 0.04, 0.04, 0.0, 0.0, 0.0, 0.0]
    for chance in chances:
        room.now_ms += 60_000
        dangers.keep(room, told, seen(chance, chance))
        levels.append(told.level)

    assert levels == ["none", *["warning"] * 9, *["caution"] * 4, "none"]


def test_a_second_rock_is_heard_and_to_and_fro_is_not() -> None:
    """A warning of one rock acknowledged, another becomes the likelier: it wants acknowledging anew, once."""
    boat = aboard(rock(), replace(rock(), name="Rock 2"))
    room, told = boat.navigator.room, dangers.Told()
    states = []
    for name in ("Black Rock", "Rock 2", "Black Rock", "Rock 2"):
        room.now_ms += 60_000
        danger = seen(0.5, 0.5)
        assert danger.danger is not None
        dangers.keep(room, told, replace(danger, danger=replace(danger.danger, likeliest=name)))
        states.append(room.alerts.standing["danger"].state)
        room.alerts.acknowledge("danger")

    assert [state == "active-unacknowledged" for state in states] == [True, True, False, False]


# --- the area -----------------------------------------------------------------------------------------------


def test_an_area_too_wide_is_said_once() -> None:
    """Past a mile, as set, with its size, its age and the next act; a fix makes it small, and it is over."""
    boat = aboard(warn_nm=1.0)
    boat.run(40 * 60)
    wide = boat.alerts("position")
    for mark in ("Start Point", "Gammon Beacon"):
        bearing_deg = boat.ep_at(boat.seconds).to(MARKS[mark].position)[0] + 5.0
        boat.sighting(kind="bearing", mark=mark, bearing_deg=round(bearing_deg) % 360, sd_deg=1.0)
    boat.run(2)

    assert [(each.priority, each.state) for each in wide] == [("caution", "active")]
    assert wide[0].text.startswith("the area is wider than 1.00 nm, as set, by the reckoning (at 012")
    assert wide[0].text.endswith("T); take a sight")
    assert boat.alerts("position")[-1].state == "normal"


def test_near_a_danger_half_the_way_to_it_is_too_wide() -> None:
    """Coming up to a rock that she will leave half a mile to port, long before the area is a mile wide."""
    boat = aboard(rock(START.along(80.0, 2.5), 100.0), warn_nm=1.0)
    boat.run(20 * 60)

    assert "half the way to Black Rock" in boat.alerts("position")[0].text


def test_an_area_that_reaches_to_a_danger_is_wider_than_no_length() -> None:
    """Upon the rock, after a sight: it is said that the area reaches to it, beside the danger's own alarm."""
    boat = aboard(rock(START.along(90.0, 2.5), 300.0), warn_nm=1.0)
    boat.run(22 * 60)
    boat.sighting(kind="bearing", mark="Start Point", bearing_deg=350)
    boat.run(2)

    assert boat.alerts("danger")[-1].priority == "alarm"
    assert "the area reaches to Black Rock, by the reckoning (" in boat.alerts("position")[-1].text


# --- an hour without a sight --------------------------------------------------------------------------------


def test_an_hour_without_a_line_is_said_where_a_mark_can_be_seen() -> None:
    """By range or height; a line ends it, and the next hour begins with that."""
    light = Mark("Light", START.along(0.0, 8.0), height_m=40.0, range_nm=18.0)
    boat = aboard(marks=[light])
    boat.run(59 * 60)
    early = boat.alerts("position")
    boat.run(120)
    said = boat.alerts("position")
    boat.sighting(kind="range", mark="Light", distance_nm=9.6)
    boat.run(59 * 60)

    assert early == []
    assert len(said) == 1
    assert said[0].text.startswith(
        "no line since the departure 60 min ago at 0201, and Light in reach: by the EP "
    )
    assert said[0].text.endswith(" nm; take a sight of it")
    assert [each.state for each in boat.alerts("position")] == ["active", "normal"]


@pytest.mark.parametrize(
    "mark",
    [
        Mark("Unknown", START.along(0.0, 2.0)),
        Mark("Low", START.along(0.0, 14.0), height_m=4.0, range_nm=18.0),
        Mark("Dim", START.along(0.0, 14.0), height_m=80.0, range_nm=5.0),
    ],
    ids=["neither height nor range given", "below the horizon", "too dim"],
)
def test_where_no_mark_can_be_seen_no_sight_is_asked_for(mark: Mark) -> None:
    """Geographic range: 2.03 times the roots of both heights (IALA), 7 miles for 4 metres seen from 2."""
    boat = aboard(marks=[mark])
    boat.run(75 * 60)

    assert boat.alerts("position") == []


def test_in_fog_no_sight_is_asked_for() -> None:
    """The visibility that the skipper gave is less than the light is off."""
    boat = aboard(marks=[Mark("Light", START.along(0.0, 8.0), height_m=40.0, range_nm=18.0)])
    boat.order(kind="visibility", visibility_nm=0.5)
    boat.run(70 * 60)

    assert boat.alerts("position") == []


def test_what_was_seen_is_told_of_the_gravest() -> None:
    """The nearest and the likeliest may be two: both are named."""
    near = Danger("Shoal", "point", ((START.along(0.0, 1.5),),), 50.0)
    boat = aboard(rock(START.along(90.0, 4.0)), near)
    boat.run(120)
    danger = boat.position.danger

    assert danger is not None
    assert (danger.name, danger.likeliest) == ("Shoal", "Black Rock")
    assert "to the clearance of Shoal; chance of coming closer" in boat.alerts("danger")[-1].text
