"""Watchkeeping: what is said of heading, log, variation, way and time, once each, in a skipper's words."""

import re

import pytest

from entries.entering import START, Aboard, heard, utc
from middlewatch.navigator.tuning import Tuning, VariationChoice
from middlewatch.quantities.positions import Position
from middlewatch.readings.sentences import (
    ApparentWind,
    Heading,
    HeadingKind,
    LogTotal,
    Satellite,
    WaterSpeed,
    Word,
)
from middlewatch.readings.watch import ClockChange, Fault, Started
from middlewatch.reports.alert import AlertReport


def departed(tuning: Tuning | None = None) -> Aboard:
    """Return a boat under way for a minute."""
    boat = Aboard(tuning or Tuning())
    boat.run(10)
    boat.depart()
    boat.run(50)
    return boat


def spoken(boat: Aboard, name: str) -> list[tuple[str, str, str]]:
    """Return priority, state and text of the alerts of one subject."""
    return [(alert.priority, alert.state, alert.text) for alert in boat.alerts(name)]


def test_nothing_is_said_when_all_is_well() -> None:
    """Half an hour under way: not a word, but for an area that by then is a mile wide."""
    boat = departed(Tuning(area_warn_nm=5.0))
    boat.run(1800)

    assert boat.alerts() == []


# --- heading and log ----------------------------------------------------------------------------------------


def test_a_silent_heading_is_a_warning_once_it_is_held() -> None:
    """Bridged for 15 s and then said once, with source, last value and the next act; over when it is back."""
    boat = departed()
    boat.heading_magnetic_deg = None
    # Last heard at 59.1 s: at the tick of 74 s it is 14.9 s old.
    boat.run(14)
    bridged = boat.alerts()
    boat.run(120)
    held = spoken(boat, "heading")
    boat.heading_magnetic_deg = 95.0
    boat.run(2)

    assert bridged == []
    text = (
        "heading by HCHDM@bow not heard for 15 s: the DR runs on with the last, 095 M; "
        "mend it, or order heading by hand"
    )
    assert held == [("warning", "active-unacknowledged", text)]
    assert spoken(boat, "heading")[1:] == [("warning", "rectified-unacknowledged", f"{text} (over at 0103)")]


def test_a_silent_log_is_a_warning_and_by_hand_ends_it() -> None:
    """Speed by hand is what the warning asked for: it is over, though the sensor is still silent."""
    boat = departed()
    boat.speed_kn = None
    boat.run(20)
    held = spoken(boat, "log")
    boat.order(kind="acknowledge", alert="log")
    boat.order(kind="by_hand", speed_kn=5)
    boat.run(2)

    assert held == [
        (
            "warning",
            "active-unacknowledged",
            (
                "speed by VWVHW@bow not heard for 15 s: the DR runs on with the last, "
                "6.0 kn through the water; mend it, or order speed by hand"
            ),
        )
    ]
    assert spoken(boat, "log")[-1][1] == "normal"


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("heading", "no heading is heard: order it by hand, or the DR waits"),
        ("log", "no speed through the water is heard: order it by hand, or the DR waits"),
    ],
)
def test_never_heard_is_said_once_settled(name: str, text: str) -> None:
    """Fifteen seconds after the start, not in the first."""
    boat = Aboard(Tuning())
    if name == "heading":
        boat.heading_magnetic_deg = None
    else:
        boat.speed_kn = None
    boat.run(15)
    early = boat.alerts()
    boat.run(30)

    assert early == []
    assert spoken(boat, name) == [("warning", "active-unacknowledged", text)]


def test_another_source_takes_over_and_gives_back() -> None:
    """A caution while the second-best steers, cleared when the better one has."""
    boat = departed()

    def sail(seconds: int) -> None:
        for _ in range(seconds):
            boat.navigator.step(
                Heading(boat.now_ms + 50, "IIHDM@mast", HeadingKind.MAGNETIC, 96.0, None, None)
            )
            boat.second()

    sail(20)
    boat.heading_magnetic_deg = None
    sail(20)
    took = spoken(boat, "heading")
    boat.heading_magnetic_deg = 95.0
    sail(70)

    assert took == [("caution", "active", "heading by IIHDM@mast: HCHDM@bow silent for 10 s")]
    assert [state for _, state, _ in spoken(boat, "heading")] == ["active", "normal"]


def test_log_total_and_speed_apart_are_a_question() -> None:
    """The total grows at 4 kn while the speed says 6: after a mile it is asked which is right."""
    boat = departed()
    for second in range(900):
        boat.navigator.step(LogTotal(boat.now_ms + 300, "VWVLW@bow", 100 + 4 * second / 3600))
        boat.second()

    assert [(priority, state) for priority, state, _ in spoken(boat, "log")] == [("caution", "active")]
    found = re.fullmatch(
        r"log total grew (\d\.\d\d) nm while its speed made (\d\.\d\d) nm: which is right\?",
        spoken(boat, "log")[0][2],
    )
    assert found is not None
    assert float(found[1]) / float(found[2]) == pytest.approx(4 / 6, abs=0.02)


def test_a_wheel_that_stands_is_told_by_a_receiver_that_sends_its_speed_apart() -> None:
    """GGA has no speed, VTG has: five knots over the ground, and the log at nought for ten seconds."""
    boat = departed()
    boat.speed_kn = 0.0
    for second in range(10):
        at_ms, place = boat.now_ms, Position(50.0, -4.0).moved(0.1 * (second % 7), 2.57 * second)
        way = Satellite(at_ms + 500, "GPVTG@bow", gives_position=False, word=Word.GOOD, speed_kn=5.0)
        boat.navigator.step(heard(at_ms + 400, place, source="GPGGA@bow"))
        boat.navigator.step(way)
        boat.run(1)

    (said,) = [text for _, _, text in spoken(boat, "log")]
    assert said == (
        "log 0, check wheel: 0.0 kn through the water, 5.0 kn over the ground by satellites;"
        " order speed by hand"
    )


def test_a_total_that_falls_silent_is_asked_after_no_more() -> None:
    """Of the two only the speed is left to be heard: within a minute the question is over."""
    boat = departed()
    for second in range(900):
        boat.navigator.step(LogTotal(boat.now_ms + 300, "VWVLW@bow", 100 + 4 * second / 3600))
        boat.second()
    assert boat.navigator.room.alerts.stands("log", "total")
    boat.run(70)

    assert [state for _, state, _ in spoken(boat, "log")] == ["active", "normal"]


# --- variation ----------------------------------------------------------------------------------------------


def test_a_heading_that_cannot_be_made_true_is_a_warning() -> None:
    """Variation by the bus, which gives none: the DR waits, and that is not kept from anybody."""
    boat = departed(Tuning(variation=VariationChoice("bus")))

    assert boat.position.heading_true_deg is None
    assert spoken(boat, "heading") == [
        (
            "warning",
            "active-unacknowledged",
            "the variation is not known, and so no true heading: order one by hand, or the DR waits",
        )
    ]

    boat.order(kind="by_hand", heading_deg=90, reference="true")
    boat.run(1)

    assert boat.alerts("heading")[-1].state == "rectified-unacknowledged"


def test_a_rose_a_degree_off_the_model_is_said_once() -> None:
    """The chart's rose says 5 W where the model has about 0.1 W: said at the next whole minute, once."""
    boat = departed(Tuning(variation=VariationChoice("chart", value_deg=-5.0, year=2026.0)))
    boat.run(600)

    ((priority, state, text),) = spoken(boat, "heading")
    assert (priority, state) == ("caution", "active")
    assert re.fullmatch(
        r"variation in use 5\.0 W \(chart\), by the model 0\.\d [EW]: [45]\.\d degrees apart, "
        r"which would turn every heading and magnetic bearing",
        text,
    )


def test_an_old_rose_is_said() -> None:
    """Over ten years old, though it agrees."""
    boat = departed(Tuning(variation=VariationChoice("chart", value_deg=0.0, year=2012.0)))

    assert spoken(boat, "heading") == [
        ("caution", "active", "the chart's rose is of 2012: over ten years old")
    ]


def test_the_bus_against_the_model() -> None:
    """HDG's variation field says 13 E and the model steers: the difference is told, the model steers on."""
    boat = departed()
    for _ in range(70):
        boat.navigator.step(Heading(boat.now_ms + 90, "IIHDG@mast", HeadingKind.SENSOR, 96.0, None, 13.0))
        boat.second()

    ((_, _, text),) = spoken(boat, "heading")
    assert "(model), by the bus 13.0 E" in text


# --- way ----------------------------------------------------------------------------------------------------


def test_little_way_is_reported_after_a_minute_and_left_at_once() -> None:
    """Log under 1.5 kn for 60 s: `little_way`; at 1.5 kn under way again."""
    boat = departed()
    boat.speed_kn = 1.4
    ways = []
    for _ in range(70):
        boat.second()
        ways.append(boat.position.way)
    boat.speed_kn = 1.6
    boat.run(2)

    assert ways.index("little_way") in (60, 61)
    assert boat.position.way == "under_way"
    assert boat.alerts() == []


def test_anchored_with_the_log_running_is_asked_about() -> None:
    """Over 3 kn for 5 min with the anchor down: a question, and the DR stays held until ordered."""
    boat = departed()
    boat.order(kind="way", way="anchored")
    boat.run(300)
    early = boat.alerts()
    boat.run(5)
    held = boat.dr_at(60) == boat.dr_at(365)
    boat.order(kind="way", way="under_way")
    boat.run(1)

    assert early == []
    assert held
    assert spoken(boat, "position")[0] == (
        "caution",
        "active",
        "anchored by order, but the log has been over 3 kn for 5 min: under way?",
    )
    assert spoken(boat, "position")[1][1] == "normal"


def test_a_receiver_that_lies_still_at_anchor_is_not_called_frozen() -> None:
    """Two knots of tide turn the log, the digits stand, and both are right."""
    boat = Aboard(satellites=lambda _seconds: START)
    boat.speed_kn = 2.0
    boat.run(1)
    boat.depart()
    boat.order(kind="way", way="anchored")
    boat.run(60)

    assert boat.satellite.state == "in_step"
    assert boat.alerts("satellite") == []


@pytest.mark.parametrize("wind_deg", [40.0, None])
def test_leeway_by_order_is_questioned_after_a_tack(wind_deg: float | None) -> None:
    """Ordered to starboard on the port tack: on the other one it lies to port, by the wind or the heading."""
    boat = departed()
    boat.order(kind="leeway", leeway_deg=6, pushed_to="starboard")
    sail(boat, 120, None if wind_deg is None else -wind_deg % 360)
    assert boat.alerts() == []

    boat.heading_magnetic_deg = 5.0
    sail(boat, 59, wind_deg)
    assert boat.alerts() == []
    sail(boat, 3, wind_deg)

    assert spoken(boat, "position") == [
        (
            "caution",
            "active",
            (
                "leeway 6 degrees to starboard by order, but the boat seems to have tacked: "
                "the EP may be laid off to the wrong side; order the leeway anew"
            ),
        )
    ]

    boat.order(kind="leeway", leeway_deg=6, pushed_to="port")
    sail(boat, 2, wind_deg)

    assert boat.alerts("position")[-1].state == "normal"


def sail(boat: Aboard, seconds: int, wind_deg: float | None) -> None:
    """Sail so long with the apparent wind from there, clockwise from the bow; None: not heard."""
    for _ in range(seconds):
        if wind_deg is not None:
            boat.navigator.step(ApparentWind(boat.now_ms, "WIMWV@mast", wind_deg, 12.0))
        boat.second()


def test_satellites_prompt_no_way_while_the_dr_is_held() -> None:
    """Lying to her anchor, the log turned by the tide, the satellites still: no question is asked again."""
    boat = Aboard(Tuning(), satellites=lambda second: Position(50.0, -4.0).moved(second % 5 * 1.0, 0.0))
    boat.run(10)
    boat.depart()
    boat.order(kind="way", way="anchored")
    boat.speed_kn = 1.8
    boat.run(400)

    assert boat.alerts("satellite") == []


# --- links and clock ----------------------------------------------------------------------------------------


def test_faults_of_links_are_cautions_in_their_own_words() -> None:
    """Two inputs fail and come back: one alert, both named while both are down."""
    boat = departed()
    faults = [
        Fault(boat.now_ms, "input", "bow", failed=True, text="input bow: no such device"),
        Fault(boat.now_ms + 10, "input", "mast", failed=True, text="input mast: connection refused"),
        Fault(boat.now_ms + 20, "input", "bow", failed=False, text=""),
        Fault(boat.now_ms + 30, "input", "mast", failed=False, text=""),
    ]
    said = [
        report for fault in faults for report in boat.navigator.step(fault) if isinstance(report, AlertReport)
    ]

    assert [(alert.state, alert.text) for alert in said] == [
        ("active", "input bow: no such device"),
        ("active", "0101 input bow: no such device; 0101 input mast: connection refused"),
        ("active", "input mast: connection refused"),
        ("normal", "over at 0101: input mast: connection refused"),
    ]


def test_a_clock_that_was_set_is_doubtful_until_ordered() -> None:
    """`at` is refused meanwhile, `ago_s` is taken; the order ends the caution."""
    boat = departed()
    boat.said += boat.navigator.step(ClockChange(boat.now_ms, 3_600_000, "a time server"))
    by_clock = boat.sighting(kind="bearing", mark="Start Point", bearing_deg=342, at=utc(3650))
    by_ago = boat.sighting(kind="bearing", mark="Start Point", bearing_deg=342, ago_s=10)
    boat.order(kind="clock", utc=utc(60))

    assert spoken(boat, "clock")[0][2].startswith(
        "the clock is doubtful: it was set by +3600.0 s: a time server"
    )
    assert by_clock.refusal is not None
    assert (by_clock.refusal.field, by_clock.refusal.wanted) == ("at", "ago_s, or neither")
    assert by_ago.accepted
    assert spoken(boat, "clock")[-1][1] == "normal"
    assert boat.sighting(kind="bearing", mark="Start Point", bearing_deg=342, at=utc(55)).accepted


def test_a_restart_after_an_unknown_gap_makes_no_jump_of_the_satellites() -> None:
    """Two miles on, and nobody knows how long it took: the position as first heard is taken as it is."""
    boat = Aboard(Tuning(), satellites=lambda second: Position(50.0, -4.0 + second / 36000))
    boat.run(10)
    boat.depart()
    boat.run(60)
    again = Aboard(Tuning())
    again.navigator.thaw(boat.navigator.freeze(), boat.navigator.drain())
    again.now_ms = boat.now_ms + 1000
    again.said += again.navigator.step(
        Started(again.now_ms, "another boot", gap_known=False, clock_doubt="it woke up")
    )
    again.satellites = lambda second: Position(50.04, -4.0 + second / 36000)
    again.run(5)

    assert "jumped" not in (again.satellite.state, *again.satellite.also)


# --- words --------------------------------------------------------------------------------------------------


def test_a_restart_after_an_unknown_gap_is_no_quarrel_of_the_log() -> None:
    """The total has grown by what was sailed meanwhile, which nobody summed: nothing is held against it."""
    boat = departed()
    for second in range(120):
        boat.navigator.step(LogTotal(boat.now_ms, "VWVLW@bow", 100.0 + second / 600))
        boat.run(1)
    boat.now_ms += 30_000
    boat.navigator.step(Started(boat.now_ms, "another boot", gap_known=False, clock_doubt=None))
    for second in range(120):
        boat.navigator.step(LogTotal(boat.now_ms, "VWVLW@bow", 103.0 + second / 600))
        boat.run(1)

    assert boat.alerts("log") == []


def test_no_alert_ever_says_that_anything_is_safe() -> None:
    """Neither the word, nor a cause as a fact: over all that can be made to be said here."""
    boat = Aboard(
        Tuning(limit_alone="warning"), satellites=lambda second: Position(50.0, -4.0 + second / 36000)
    )
    boat.run(10)
    boat.depart()
    boat.run(60)
    boat.satellites = lambda _: Position(50.02, -4.0)
    boat.run(120)
    boat.heading_magnetic_deg = boat.speed_kn = None
    boat.satellites = lambda _: None
    boat.run(90)
    boat.navigator.step(heard(boat.now_ms + 5, None))
    boat.navigator.step(WaterSpeed(boat.now_ms + 6, "VWVHW@bow", 6.0))
    boat.said += boat.navigator.step(ClockChange(boat.now_ms + 7, 60_000, "by hand"))

    texts = [alert.text for alert in boat.alerts()]
    assert {alert.name for alert in boat.alerts()} == {"satellite", "heading", "log", "clock"}
    assert not [text for text in texts if re.search(r"\bsafe|spoof|jamm", text, re.IGNORECASE)]
