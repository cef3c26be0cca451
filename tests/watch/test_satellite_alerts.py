"""What is said of the satellite check: when, once, and in which words."""

from cmath import exp
from math import radians

import pytest

from entries.entering import Aboard, heard
from middlewatch.navigator.tuning import Tuning
from middlewatch.quantities.positions import Position
from middlewatch.readings.zones import Zone
from middlewatch.reports.alert import SoundReport
from middlewatch.reports.satellite import SatelliteReport
from middlewatch.wire.nmea import Decoder
from watch.bench import aboard, with_the_boat
from wire.sealing import sealed


def states_of(boat: Aboard, name: str = "satellite") -> list[tuple[str, str]]:
    """Return priority and state of each alert said."""
    return [(alert.priority, alert.state) for alert in boat.alerts(name)]


def test_in_step_says_nothing() -> None:
    """Twenty minutes with everything well: no alert of any kind."""
    boat = aboard()
    boat.run(1200)

    assert boat.satellite.state == "in_step"
    assert boat.alerts() == []
    assert (boat.satellite.apparent_drift_kn or 0.0) < 0.2


@pytest.mark.parametrize(
    ("alone", "said"),
    [
        ("state", []),
        ("caution", [("caution", "active")]),
        ("warning", [("warning", "active-unacknowledged")]),
    ],
)
def test_past_the_limit_alone_raises_what_limit_alone_says(alone: str, said: list[tuple[str, str]]) -> None:
    """0.6 nm when up to 1.2 nm would be ordinary: nothing, a caution or a warning, as set.

    A warning is said again in its newest words after a minute.
    """
    boat = aboard(offset_nm=0.6, tuning=Tuning(limit_alone=alone))  # type: ignore[arg-type]  # one of the three words
    boat.depart(id="d2", sd_nm=0.4)
    boat.run(180)

    assert boat.satellite.state == "wide"
    assert list(dict.fromkeys(states_of(boat))) == said


def test_a_warning_only_past_limit_and_ordinary_for_a_minute() -> None:
    """0.6 nm since a departure good to 0.05: after 10 s it is wide, after 60 s there is a warning."""
    boat = aboard(offset_nm=0.6)
    boat.run(100)

    cautions = [alert for alert in boat.alerts("satellite") if alert.priority == "caution"]
    warnings = [alert for alert in boat.alerts("satellite") if alert.priority == "warning"]
    assert (len(cautions), len(warnings)) == (1, 1)
    assert (warnings[0].at.ms - cautions[0].at.ms) / 1000 == 50
    assert warnings[0].revision == 2
    # It is one alert that became graver, since the caution.
    assert (cautions[0].escalation, warnings[0].escalation) == (0, 1)
    assert warnings[0].since == cautions[0].at
    assert "one of the two is wrong; take a bearing" in warnings[0].text
    report = gap_at(boat, warnings[0].at.ms)
    assert warnings[0].text.startswith(
        f"satellite position (GP@bow) {report.gap_nm:.2f} nm 000 T of the EP at {warnings[0].at.clock} "
        "(limit 0.50 nm; ordinary since "
        f"the departure of 0100: up to {report.ordinary_gap_nm:.2f} nm)"
    )


def gap_at(boat: Aboard, at_ms: int) -> SatelliteReport:
    """Return the satellite report of a tick."""
    return next(
        report for report in boat.said if isinstance(report, SatelliteReport) and report.at.ms == at_ms
    )


def test_a_gap_past_the_ordinary_within_the_limit_is_a_caution() -> None:
    """0.4 nm a minute after a departure good to 0.05 nm is much, though the limit was set at 0.5."""
    boat = aboard(offset_nm=0.4)
    boat.run(100)

    assert boat.satellite.gap_nm == pytest.approx(0.4, abs=0.01)
    assert boat.satellite.state == "apart"
    assert states_of(boat) == [("caution", "active")]
    assert "more than is ordinary" in boat.alerts()[0].text


def test_a_pull_within_what_the_sea_can_do_is_a_caution() -> None:
    """A knot from one second to the next, with a strongest stream of 1.5: told within two minutes."""
    boat = aboard()
    boat.run(600)
    boat.satellites = lambda second: with_the_boat(boat, max(0, second - 610), 1.0, 0.0)
    boat.run(120)

    assert boat.satellite.state == "parting"
    # Its words change as the causes are weighed; it is one caution, heard once.
    assert set(states_of(boat)) == {("caution", "active")}
    assert "set in abruptly" in boat.alerts()[0].text


def test_another_change_is_told_as_another_and_the_first_no_more() -> None:
    """A knot northward, then three southward: the caution tells the new one, and since when."""
    boat = aboard()
    boat.run(600)
    turns_s = 910

    def drawn(second: int) -> Position:
        north_s = min(second, turns_s) - 610 - 3 * max(0, second - turns_s)
        return with_the_boat(boat, max(0, north_s) if second < turns_s else north_s, 1.0, 0.0)

    boat.satellites = drawn
    boat.run(300)
    first = boat.alerts("satellite")[-1]
    assert " kn towards 000 T set in abruptly" in first.text
    boat.run(60)

    second = boat.alerts("satellite")[-1]
    assert " kn towards 180 T set in abruptly" in second.text
    assert "towards 000 T set in" not in second.text
    assert second.since.ms - first.since.ms == pytest.approx(300_000, abs=30_000)


@pytest.mark.parametrize(("pull_kn", "stands"), [(1.0, True), (0.0, False)])
def test_another_receiver_that_takes_over_ends_a_parting_only_where_it_does_not_part(
    pull_kn: float, *, stands: bool
) -> None:
    """Drawn at a knot, the first falls silent; another on the same satellites is, or is not, drawn too."""
    boat = aboard(tuning=Tuning(limit_nm=5.0))
    boat.run(600)
    boat.satellites = lambda second: with_the_boat(boat, max(0, second - 610), 1.0, 0.0)
    boat.run(200)
    assert boat.satellite.state == "parting"
    boat.satellites = None
    for _ in range(240):
        place = with_the_boat(boat, max(0, boat.seconds - 610), pull_kn, 0.0)
        boat.navigator.step(heard(boat.now_ms + 400, place, source="GPRMC@mast"))
        boat.run(1)

    assert boat.navigator.room.check.steering == "GP@mast"
    assert boat.navigator.room.alerts.stands("satellite", "parting") == stands


def test_an_apparent_stream_beyond_the_sea_is_a_warning() -> None:
    """Five knots where the sea can do 1.5: a caution at once, a warning once it has lasted a minute."""
    boat = aboard()
    boat.run(600)
    boat.satellites = lambda second: with_the_boat(boat, max(0, second - 610), 5.0, 0.0)
    boat.run(121)

    assert list(dict.fromkeys(states_of(boat))) == [
        ("caution", "active"),
        ("warning", "active-unacknowledged"),
    ]
    assert "more than the 1.5 kn of these waters" in boat.alerts()[-1].text


def test_a_tack_is_no_parting() -> None:
    """Leeway of twelve degrees on either tack: a step of 1.2 kn that a tack explains."""
    boat = aboard()
    boat.run(600)
    # She is pushed 12 degrees to leeward on each tack; her EP allows none.
    pushed = Pushed(boat, 12.0)
    boat.satellites = lambda _: pushed.place()
    for tack in range(4):
        boat.heading_magnetic_deg, pushed.leeway_deg = (95.0, 12.0) if tack % 2 else (5.0, -12.0)
        boat.run(600)

    assert not [alert for alert in boat.alerts() if "abruptly" in alert.text]


class Pushed:
    """A boat that makes leeway which her reckoning does not allow for, from now on."""

    def __init__(self, boat: Aboard, leeway_deg: float) -> None:
        self.boat, self.leeway_deg = boat, leeway_deg
        self.at, self.run = boat.ep_at(boat.seconds), self._run()

    def place(self) -> Position:
        """Return where she is."""
        run = self._run()
        made = complex(run[0] - self.run[0], run[1] - self.run[1]) * exp(1j * radians(self.leeway_deg))
        self.at, self.run = self.at.moved(made.real, made.imag), run
        return self.at.moved(0.1 * (self.boat.seconds % 7), 0.0)

    def _run(self) -> tuple[float, float]:
        now = self.boat.navigator.room.reckoning.now
        return now.dr_north_m, now.dr_east_m


def test_lost_for_a_minute_is_a_caution_and_cleared_when_back() -> None:
    """60 s after the last position, once; nothing before the first one was ever heard."""
    boat = aboard()
    boat.run(20)
    boat.satellites = lambda _: None
    boat.run(59)
    quiet = states_of(boat)
    boat.run(30)
    lost = boat.alerts("satellite")
    boat.satellites = lambda second: with_the_boat(boat, second, 0.0, 0.0)
    boat.run(2)

    assert quiet == []
    assert [(alert.priority, alert.state) for alert in lost] == [("caution", "active")]
    assert lost[0].text == "no satellite position for 60 s: the reckoning goes on by heading and log"
    assert states_of(boat)[-1] == ("caution", "normal")
    assert boat.alerts("satellite")[-1].text.startswith("over at 0102: ")


def test_never_heard_is_never_lost() -> None:
    """A boat without a receiver is not told each minute that it has none."""
    boat = Aboard(Tuning())
    boat.run(10)
    boat.depart()
    boat.run(300)

    assert boat.alerts() == []


def test_a_doubt_that_comes_and_goes_is_said_once() -> None:
    """Three satellites and four, second by second: one caution, over when a minute has been without."""
    boat = aboard()
    boat.run(30)
    boat.satellites, place = None, boat.satellites
    assert place is not None
    for second in range(60):
        reading = heard(boat.now_ms + 400, place(boat.seconds))
        reading.satellites = 3 + second % 2
        boat.navigator.step(reading)
        boat.run(1)
    during = boat.alerts("satellite")
    boat.satellites = place
    boat.run(62)

    assert {alert.state for alert in during} == {"active"}
    # Its causes are weighed once a minute, and said as they change.
    assert len(during) <= 2
    assert "its position is by 3 satellites, and 4 are needed" in during[0].text
    assert boat.alerts("satellite")[-1].state == "normal"
    # Doubted last in the 58th second after the first.
    assert boat.alerts("satellite")[-1].at.ms == during[0].at.ms + 59_000 + 60_000


def test_a_jump_is_a_warning_and_clears_after_a_minute() -> None:
    """Warning at once; over after a minute of agreement, and rectified until somebody acknowledges it."""
    boat = aboard()
    boat.run(20)
    boat.satellites = lambda second: with_the_boat(boat, second, 0.0, 0.3)
    boat.run(80)

    assert states_of(boat) == [("warning", "active-unacknowledged"), ("warning", "rectified-unacknowledged")]
    assert boat.alerts()[0].text.startswith(
        "satellites jumped (GP@bow): 0.30 nm between two positions, beyond what the log ran; take a bearing; "
        "likeliest the satellites (over 99 %: they jumped at 0100), else "
    )


def test_a_jump_is_one_warning_through_a_short_silence() -> None:
    """Some seconds without a position soon after it: not over, not raised and heard anew, no new words."""
    boat = aboard()
    boat.run(20)
    boat.satellites = lambda second: with_the_boat(boat, second, 0.0, 0.3)
    boat.run(10)
    place, boat.satellites = boat.satellites, None
    boat.run(12)
    boat.satellites = place
    boat.run(10)

    assert "none" in {each.state for each in boat.said if isinstance(each, SatelliteReport)}
    assert states_of(boat) == [("warning", "active-unacknowledged")]
    assert len([each for each in boat.said if isinstance(each, SoundReport)]) == 1


@pytest.mark.parametrize(("zones", "jumps"), [(False, True), (True, False)])
def test_a_race_carries_her_while_the_receiver_is_silent(zones: bool, jumps: bool) -> None:
    """Five knots of stream for three minutes unheard: a jump in a sea of 1.5 kn, none in a zone of 6."""
    ring = [(49.0, -5.0), (51.0, -5.0), (51.0, -3.0), (49.0, -3.0)]
    race = Zone("The Race", "race", 6.0, (tuple(Position(*corner) for corner in (*ring, ring[0])),))
    boat = aboard(tuning=Tuning(zones=(race,) if zones else (), limit_nm=5.0))
    boat.run(120)
    boat.satellites = lambda _: None
    boat.run(180)
    boat.satellites = lambda second: with_the_boat(boat, max(0, second - 130), 5.0, 0.0)
    boat.run(2)

    assert ("jumped" in (boat.satellite.state, *boat.satellite.also)) == jumps


def test_log_running_and_satellites_still_is_a_question() -> None:
    """Five minutes within 30 m with the log over 1 kn: asked, never done; an order answers it."""
    boat = aboard()
    boat.speed_kn = 1.8
    lies_at = boat.ep_at(10)
    boat.satellites = lambda second: lies_at.moved(0.3 * (second % 11), 0.3 * (second % 7))
    # Since the first second, before the departure, the satellites have lain within 30 m.
    boat.run(290)
    before = boat.alerts("satellite")
    boat.run(2)
    asked = boat.alerts("satellite")[-1]
    way = boat.position.way
    boat.order(kind="way", way="anchored")
    boat.run(1)

    assert before == []
    assert (
        asked.text
        == "log 1.8 kn, satellites still 5 min: anchored or made fast? The DR runs on until ordered"
    )
    assert way == "under_way"
    assert boat.alerts("satellite")[-1].state == "normal"


def test_our_own_output_is_no_satellite() -> None:
    """Talker IN, and lines signed as ours, come back through a gateway: no receiver is heard."""
    decoder = Decoder("bow", checksum_required=True, satellite_talkers=frozenset(), own_source="middlewatch")
    boat = Aboard(Tuning())
    boat.run(5)
    rmc = "RMC,010005.00,A,5000.0000,N,00400.0000,W,6.0,90.0,030526,,,A,V"
    for line in (sealed(f"IN{rmc}"), sealed(f"GP{rmc}", tag="s:middlewatch,c:1777770005")):
        for reading in decoder.read(line, boat.now_ms + 10):
            boat.navigator.step(reading)
    boat.run(1)

    assert (boat.satellite.state, boat.satellite.reason) == ("none", "no receiver")


def test_a_receiver_kept_through_a_restart() -> None:
    """The check's state is frozen and thawed to the last digit."""
    boat = aboard(north_kn=20.0)
    boat.run(200)
    again = Aboard(Tuning(), satellites=boat.satellites)
    again.navigator.thaw(boat.navigator.freeze(), boat.navigator.drain())

    assert again.navigator.freeze() == boat.navigator.freeze()
    assert again.navigator.room.check == boat.navigator.room.check


def test_a_pull_that_never_ends_is_not_told_as_over() -> None:
    """A knot, kept on: after an hour it is said to be taken for the stream, until an origin by sight."""
    boat = aboard(tuning=Tuning(limit_nm=5.0))
    boat.run(600)
    boat.satellites = lambda second: with_the_boat(boat, max(0, second - 610), 1.0, 0.0)
    boat.run(3900)
    unended = boat.alerts("satellite")[-1]

    assert (unended.priority, unended.state) == ("caution", "active")
    assert "set in abruptly, has not ended in an hour" in unended.text
    assert "only the gap would tell of a receiver drawn off" in unended.text
    boat.depart(id="d2", sd_nm=0.05)
    boat.run(2)
    assert "has not ended in an hour" not in boat.alerts("satellite")[-1].text


def test_what_is_held_on_keeps_the_words_it_had() -> None:
    """A gap back within the limit is not told as past it, while the caution stands its minute out."""
    boat = aboard(offset_nm=0.6)
    boat.depart(id="d2", sd_nm=0.4)
    boat.run(100)
    ep = boat.navigator.room.reckoning.now.ep
    assert ep is not None
    nearer = Position(*ep).moved(0.55 * 1852.0, 0.0)
    here = {"latitude_deg": nearer.latitude_deg, "longitude_deg": nearer.longitude_deg}
    boat.sighting(kind="position", **here, sd_nm=0.1, source="visual")
    boat.order(kind="adopt", fix=boat.fixes()[-1].id)
    boat.satellites = lambda second: with_the_boat(boat, second, 0.0, 0.05)
    boat.run(90)

    told = [alert for alert in boat.alerts("satellite") if "past the limit" in alert.text]
    assert told
    assert all(" 0.6" in alert.text.partition(" nm ")[0] for alert in told)
    assert boat.alerts("satellite")[-1].state == "normal"
