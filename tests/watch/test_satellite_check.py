"""The satellite check: its states, their order, how long each must last, and what the ordinary gap is."""

from itertools import pairwise

import pytest

from entries.entering import START, Aboard, heard
from middlewatch.navigator.receivers import Receiver
from middlewatch.navigator.satellites import Check, Sight, Since
from middlewatch.navigator.tuning import Tuning
from middlewatch.quantities.positions import Position
from middlewatch.readings.sentences import Satellite, Word
from middlewatch.reports.satellite import SatelliteReport
from middlewatch.wire.nmea import Decoder
from wire.sealing import sealed

NM = 1852.0
KNOT = NM / 3600
HERE = Position(50.0, -4.0)


class Bench:
    """The check alone, on a boat that lies or runs as the test says; a tick a second."""

    def __init__(
        self,
        *,
        sd_nm: float = 0.05,
        limit_nm: float = 0.5,
        stream_kn: float = 1.5,
        speed_kn: float | None = 0.5,
    ) -> None:
        self.check = Check()
        self.now_ms = 1_000_000
        self.sd_nm, self.limit_nm, self.stream_kn, self.speed_kn = sd_nm, limit_nm, stream_kn, speed_kn
        self.hours = 0.0
        self.ep: Position | None = HERE
        self.water_m = (0.0, 0.0)
        self.reckoned = True

    def tick(self) -> None:
        """Let a second pass."""
        self.now_ms += 1000
        self.check.tick(
            self.now_ms,
            Sight(
                self.ep,
                self.water_m,
                self.speed_kn,
                self.reckoned,
                self.sd_nm,
                self.hours,
                self.limit_nm,
                self.stream_kn,
            ),
        )

    def hear(
        self, place: Position | None, word: Word = Word.GOOD, source: str = "GPGGA@bow", caution: bool = False
    ) -> None:
        """Hear a receiver half a second after the last tick."""
        reading = heard(self.now_ms + 500, place, word, source)
        reading.caution = caution
        self.check.hear(reading, self.water_m, self.stream_kn)

    def off(self, north_nm: float, seconds: int, word: Word = Word.GOOD) -> list[str]:
        """Hear for some seconds that the boat is so far north of her EP; return the states."""
        states: list[str] = []
        for _ in range(seconds):
            self.hear(HERE.moved(north_nm * NM + self.now_ms / 1e6, 0.0), word)
            self.tick()
            states.append(self.check.state)
        return states


def aboard(north_kn: float = 0.0, offset_nm: float = 0.0, tuning: Tuning | None = None) -> Aboard:
    """Return a boat just departed, with satellites that follow her but for an offset and a pull northward."""
    boat = Aboard(
        tuning or Tuning(), satellites=lambda second: _with_the_boat(boat, second, north_kn, offset_nm)
    )
    boat.run(10)
    boat.depart()
    return boat


def _with_the_boat(boat: Aboard, second: int, north_kn: float, offset_nm: float) -> Position:
    reckoning = boat.navigator.room.reckoning
    ep = reckoning.ep(reckoning.now.second) or START
    # A receiver's last digit never stands still.
    return ep.moved((offset_nm + north_kn * second / 3600) * NM + 0.1 * (second % 7), 0.0)


# --- none ---------------------------------------------------------------------------------------------------


def test_no_receiver() -> None:
    """Nothing of satellites was ever heard."""
    bench = Bench()
    bench.tick()

    assert (bench.check.state, bench.check.reason, bench.check.gap_nm) == ("none", "no receiver", None)


def test_no_position() -> None:
    """A receiver speaks and has no position, or had one more than five seconds ago."""
    bench = Bench()
    bench.hear(None)
    bench.tick()
    assert (bench.check.state, bench.check.reason) == ("none", "no position")

    bench.off(0.0, 1)
    states = []
    for _ in range(6):
        bench.tick()
        states.append(bench.check.state)
    assert states == ["in_step"] * 4 + ["none"] * 2
    assert bench.check.reason == "no position"


def test_course_and_time_alone_are_no_position() -> None:
    """VTG and ZDA make a receiver heard, without a position."""
    bench = Bench()
    bench.check.hear(
        Satellite(bench.now_ms, "GPVTG@bow", gives_position=False, word=Word.GOOD, course_deg=90), (0, 0), 1.5
    )
    bench.tick()

    assert bench.check.reason == "no position"


def test_no_reckoning() -> None:
    """A position without an EP to hold it against."""
    bench = Bench()
    bench.ep = None
    bench.off(0.0, 1)

    assert (bench.check.state, bench.check.reason) == ("none", "no reckoning")
    assert bench.check.ordinary_gap_nm is None


def test_none_of_it_without_a_receiver_even_before_a_departure() -> None:
    """The first reason that holds is the one given: no receiver comes before no reckoning."""
    bench = Bench()
    bench.ep = None
    bench.tick()

    assert bench.check.reason == "no receiver"


def test_since_is_when_the_state_began() -> None:
    """From the first tick on, never 1970."""
    boat = Aboard()
    boat.run(3)

    assert boat.satellite.since.ms == boat.now_ms - 2000


# --- doubtful -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("word", [Word.ESTIMATED, Word.MANUAL, Word.SIMULATOR])
def test_doubtful_by_the_receivers_own_word(word: Word) -> None:
    """Quality 6, 7, 8 or mode E, M, S."""
    bench = Bench()
    bench.off(0.0, 3, word)

    assert bench.check.state == "doubtful"
    assert bench.check.reason == f"the receiver itself calls its position {word.value}"


@pytest.mark.parametrize(
    "body",
    [
        "GPGGA,114055.22,5000.0000,N,00400.0000,W,6,00,,,M,,M,,",
        "GPRMC,114055.22,A,5000.0000,N,00400.0000,W,2.64,8.2,161022,,,E",
        "GPRMC,114055.22,V,5000.0000,N,00400.0000,W,2.64,8.2,161022,,,E",
        "GPGLL,5000.0000,N,00400.0000,W,114055.22,A,E",
    ],
)
def test_a_receiver_on_its_own_dead_reckoning_is_doubtful(body: str) -> None:
    """As sentences send it: quality 6, mode E, with status A or V."""
    bench = Bench()
    decoder = Decoder("bow", checksum_required=True, satellite_talkers=frozenset())
    for reading in decoder.read(sealed(body), bench.now_ms + 500):
        assert isinstance(reading, Satellite)
        bench.check.hear(reading, (0.0, 0.0), 1.5)
    bench.tick()

    assert bench.check.state == "doubtful"


def test_the_word_of_one_sentence_is_not_talked_away_by_another() -> None:
    """GGA says estimated; GLL, which carries no word, comes after it each second: doubtful all the same."""
    bench = Bench()
    for _ in range(3):
        bench.hear(HERE, Word.ESTIMATED, "GPGGA@bow")
        bench.hear(HERE, Word.UNSAID, "GPGLL@bow")
        bench.tick()
        assert bench.check.state == "doubtful"


def test_without_any_word_there_is_no_doubt() -> None:
    """A receiver that only sends GLL of the old kind is taken as it is."""
    bench = Bench()
    bench.hear(HERE, Word.UNSAID, "GPGLL@bow")
    bench.tick()

    assert bench.check.state == "in_step"


def test_navigational_status_caution_is_doubtful() -> None:
    """RMC's status C or U is the receiver's own caution, and GGA beside it says nothing against that."""
    bench = Bench()
    bench.hear(HERE, source="GPRMC@bow", caution=True)
    bench.hear(HERE, source="GPGGA@bow")
    bench.tick()

    assert (bench.check.state, bench.check.reason) == ("doubtful", "the receiver itself says caution")


# --- frozen -------------------------------------------------------------------------------------------------


def test_frozen_after_twenty_seconds_with_the_log_over_one_knot() -> None:
    """The last digits stand while the boat runs: at 20 s it is frozen, at the first living digit no more."""
    bench = Bench(speed_kn=1.1)
    states = []
    for _ in range(22):
        bench.hear(HERE)
        bench.tick()
        states.append(bench.check.state)
    bench.hear(HERE.moved(0.2, 0.0))
    bench.tick()

    # Heard half a second after the tick before: 19.5 s at the 20th tick, 20.5 at the 21st.
    assert states == ["in_step"] * 20 + ["frozen"] * 2
    assert bench.check.state == "in_step"


def test_not_frozen_while_the_log_shows_no_way() -> None:
    """Moored, digits may stand; and getting under way they have twenty seconds from then."""
    bench = Bench(speed_kn=1.0)
    states = []
    for second in range(80):
        bench.speed_kn = 1.0 if second < 40 else 3.0
        bench.hear(HERE)
        bench.tick()
        states.append(bench.check.state)

    assert states == ["in_step"] * 60 + ["frozen"] * 20


def test_frozen_though_its_sentences_round_differently() -> None:
    """RMC with four decimals and GGA with five both stand still: two roundings of one frozen position."""
    bench = Bench(speed_kn=3.0)
    for _ in range(25):
        bench.hear(Position(50.00001, -4.0), source="GPGGA@bow")
        bench.hear(Position(50.0, -4.0), source="GPRMC@bow")
        bench.tick()

    assert bench.check.state == "frozen"


# --- jumped -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("jump_nm", "state"), [(0.09, "in_step"), (0.11, "jumped")])
def test_jumped_beyond_a_tenth_of_a_mile(jump_nm: float, state: str) -> None:
    """Between two positions a second apart: less than 0.1 nm is none."""
    bench = Bench()
    bench.off(0.0, 5)
    bench.off(jump_nm, 1)

    assert bench.check.state == state


def test_jumped_for_a_minute_of_agreement() -> None:
    """It stays so until the positions have agreed with each other for 60 s."""
    bench = Bench()
    bench.off(0.0, 5)
    states = bench.off(0.2, 62)

    assert states == ["jumped"] * 60 + ["in_step"] * 2


def test_what_the_log_ran_is_no_jump() -> None:
    """After ten minutes without a position the boat has run a mile, and the position with her."""
    bench = Bench(speed_kn=6.0)
    bench.off(0.0, 5)
    for _ in range(600):
        bench.water_m = (bench.water_m[0] + 6 * KNOT, 0.0)
        bench.tick()
    bench.ep = HERE.moved(*bench.water_m)
    bench.off(1.0, 1)

    assert bench.check.state == "in_step"


def test_what_the_log_did_not_run_is_a_jump_however_long_it_took() -> None:
    """Lost for ten minutes and back two miles on: of one mile, stream makes 0.25 and log and leeway 0.1."""
    bench = Bench(speed_kn=6.0)
    bench.off(0.0, 5)
    for _ in range(600):
        bench.water_m = (bench.water_m[0] + 6 * KNOT, 0.0)
        bench.tick()
    bench.off(2.0, 1)

    assert "jumped" in (bench.check.state, *bench.check.also)
    assert bench.check.reason == "1.00 nm between two positions, beyond what the log ran"


def test_without_a_reckoned_run_only_the_impossible_is_a_jump() -> None:
    """No heading, no log: 0.2 nm in a minute are a boat under way; half a mile is no small craft."""
    for north_nm, jumped in ((0.2, False), (0.5, True)):
        bench = Bench(limit_nm=5.0)
        bench.reckoned = False
        bench.off(0.0, 5)
        for _ in range(60):
            bench.tick()
        bench.off(north_nm, 1)
        assert (bench.check.state == "jumped") is jumped


def test_two_receivers_are_never_held_against_each_other() -> None:
    """A second receiver half a mile away, on another talker or another input, is no jump of either."""
    bench = Bench()
    for _ in range(90):
        bench.hear(HERE.moved(bench.now_ms / 1e6, 0.0), source="GPRMC@bow")
        bench.hear(HERE.moved(0.5 * NM + bench.now_ms / 1e6, 0.0), source="GLRMC@bow")
        bench.hear(HERE.moved(-0.5 * NM - bench.now_ms / 1e6, 0.0), source="GPRMC@mast")
        bench.tick()
        assert bench.check.state == "in_step"
    assert sorted(bench.check.receivers) == ["GL@bow", "GP@bow", "GP@mast"]


def test_the_other_receiver_takes_over_after_ten_seconds() -> None:
    """The first one heard is looked at; silent for ten seconds it gives way, which is no jump."""
    bench = Bench()
    for second in range(40):
        if second < 10:
            bench.hear(HERE.moved(bench.now_ms / 1e6, 0.0), source="GPRMC@bow")
        bench.hear(HERE.moved(0.3 * NM + bench.now_ms / 1e6, 0.0), source="GLRMC@bow")
        bench.tick()

    assert bench.check.steering == "GL@bow"
    assert bench.check.gap_nm == pytest.approx(0.3, abs=0.01)
    assert bench.check.state == "in_step"


def test_a_late_order_is_no_jump_of_the_satellites() -> None:
    """Speed by hand, entered an hour late, moves the run by miles in a second: that step is the entry's."""
    # The true boat runs 6 kn to the eastward, as heading and log have it; 4 kn of that are then ordered away.
    boat = Aboard(satellites=lambda second: START.moved(0.1 * (second % 7), 6 * KNOT * second))
    boat.run(10)
    boat.depart()
    boat.run(1200)
    boat.order(kind="by_hand", speed_kn=2, ago_s=1190)
    boat.run(2)

    assert boat.satellite.gap_nm == pytest.approx(4 * 1190 / 3600, abs=0.05)
    assert "jumped" not in (boat.satellite.state, *boat.satellite.also)
    # Nor is a stream of miles a minute made of it.
    assert boat.satellite.apparent_drift_kn is not None
    assert boat.satellite.apparent_drift_kn < 0.5


# --- wide ---------------------------------------------------------------------------------------------------


def test_wide_after_ten_seconds_past_the_limit() -> None:
    """0.51 nm of a limit of 0.50: not at 9 s, at 10 s."""
    bench = Bench()
    bench.check.receivers["GP@bow"] = _already_there(bench, 0.51)
    states = bench.off(0.51, 13)

    assert states == ["in_step"] * 10 + ["wide"] * 3
    assert bench.check.reason == "past the limit of 0.50 nm"


def test_a_gap_past_the_limit_for_nine_seconds_is_not_wide() -> None:
    """And what had begun begins again."""
    bench = Bench()
    bench.check.receivers["GP@bow"] = _already_there(bench, 0.48)
    states = [*bench.off(0.51, 9), *bench.off(0.49, 1), *bench.off(0.51, 10), *bench.off(0.51, 1)]

    assert states == ["in_step"] * 20 + ["wide"]


def test_wide_until_below_seven_tenths_for_a_minute() -> None:
    """0.36 nm keeps it, 0.34 for 60 s clears it."""
    bench = Bench()
    bench.check.receivers["GP@bow"] = _already_there(bench, 0.51)
    bench.off(0.51, 20)
    kept = bench.off(0.43, 30) + bench.off(0.36, 100)
    cleared = bench.off(0.34, 62)

    assert set(kept) == {"wide"}
    assert cleared == ["wide"] * 60 + ["in_step"] * 2


def test_a_short_silence_does_not_clear_it() -> None:
    """Twenty seconds without a position leave a wide gap wide; a minute without one ends it."""
    bench = Bench()
    bench.check.receivers["GP@bow"] = _already_there(bench, 0.51)
    bench.off(0.51, 20)
    for _ in range(20):
        bench.tick()
    assert bench.check.state == "none"
    assert bench.check.wide.on
    assert bench.off(0.51, 1) == ["wide"]

    for _ in range(61):
        bench.tick()
    assert not bench.check.wide.on


def _already_there(bench: Bench, north_nm: float) -> Receiver:
    """Return a receiver that has been so far north all along: no jump is made of the tests' beginning."""
    place = HERE.moved(north_nm * NM, 0.0)
    return Receiver("GP@bow", place.latitude_deg, place.longitude_deg, bench.now_ms, (0.0, 0.0), bench.now_ms)


def test_since_turns_on_and_off_only_after_it_lasted() -> None:
    """Ten seconds on, sixty off; the neutral band in between leaves it as it is."""
    since = Since()
    seen = []
    for second in range(100):
        gap = 1.0 if second < 15 else 0.85 if second < 20 else 0.5
        since.watch(second * 1000, beyond=gap > 0.9, below=gap < 0.7, on_after_ms=10_000, off_after_ms=60_000)
        seen.append(since.on)

    assert [second for second, (before, after) in enumerate(pairwise(seen), 1) if before != after] == [10, 80]


# --- the ordinary gap ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("sd_nm", "hours", "stream_kn", "ordinary_nm"),
    [
        (0.05, 0.0, 1.5, 0.1515),
        (0.05, 1.0, 1.5, 2.3515),
        (0.3, 0.5, 1.5, 2.009),
        (0.3, 0.5, 3.0, 3.109),
        (0.3, 0.5, 0.5, 2.009),
    ],
)
def test_ordinary_gap(sd_nm: float, hours: float, stream_kn: float, ordinary_nm: float) -> None:
    """3.03 x sd + 2.2 kn x hours x (strongest stream / 1.5 where over 1): the design's rough line."""
    bench = Bench(sd_nm=sd_nm, stream_kn=stream_kn)
    bench.hours = hours
    bench.tick()

    assert bench.check.ordinary_gap_nm == pytest.approx(ordinary_nm, abs=1e-9)


def test_the_gap_is_from_the_ep_to_the_satellite_position() -> None:
    """Half a mile north and a third east of the EP bears 034; far astray it is the geodesic's."""
    bench = Bench()
    bench.hear(HERE.moved(0.5 * NM, NM / 3))
    bench.tick()
    assert bench.check.gap_nm == pytest.approx((0.25 + 1 / 9) ** 0.5, abs=1e-6)
    assert bench.check.bearing_deg == pytest.approx(33.69, abs=0.01)

    bench.hear(Position(0.0, 0.0))
    bench.tick()
    assert bench.check.gap_nm == pytest.approx(HERE.to(Position(0.0, 0.0))[1])


def test_states_are_given_in_the_interfaces_order() -> None:
    """Doubtful, frozen, jumped and wide at once: the first is the state, the others stand in `also`."""
    bench = Bench(speed_kn=3.0)
    bench.off(0.0, 3)
    far = HERE.moved(0.8 * NM, 0.0)
    for _ in range(25):
        bench.hear(far, Word.ESTIMATED)
        bench.tick()

    assert (bench.check.state, bench.check.also) == ("doubtful", ("frozen", "jumped", "wide"))


# --- what is said of it -------------------------------------------------------------------------------------


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
    """0.6 nm when up to 1.2 nm would be ordinary: nothing, a caution or a warning, as set."""
    boat = aboard(tuning=Tuning(limit_alone=alone))  # type: ignore[arg-type]  # one of the three words
    boat.depart(id="d2", sd_nm=0.4)
    boat.satellites = lambda second: _with_the_boat(boat, second, 0.0, min(0.6, second / 100))
    boat.run(180)

    assert boat.satellite.state == "wide"
    assert states_of(boat) == said


def test_a_warning_only_past_limit_and_ordinary_for_a_minute() -> None:
    """From 0.5 nm on it is wide; 60 s after the gap passed both comes the warning, in the same alert."""
    boat = aboard(north_kn=20.0)
    boat.run(200)

    cautions = [alert for alert in boat.alerts("satellite") if alert.priority == "caution"]
    warnings = [alert for alert in boat.alerts("satellite") if alert.priority == "warning"]
    assert (len(cautions), len(warnings)) == (1, 1)
    # 20 kn pass half a mile 90 s after the start; ordinary is then 0.15 + 2.2 x 80 s / 3600 = 0.20.
    assert (cautions[0].at.ms - warnings[0].at.ms) / 1000 == -50
    assert warnings[0].revision == 2
    assert "one of the two is wrong; take a bearing" in warnings[0].text
    report = gap_at(boat, warnings[0].at.ms)
    assert warnings[0].text.startswith(
        f"satellite position (GP@bow) {report.gap_nm:.2f} nm 000 T of the EP (limit 0.50 nm; ordinary since "
        f"the departure of 0100: up to {report.ordinary_gap_nm:.2f} nm, rough)"
    )


def gap_at(boat: Aboard, at_ms: int) -> SatelliteReport:
    """Return the satellite report of a tick."""
    return next(
        report for report in boat.said if isinstance(report, SatelliteReport) and report.at.ms == at_ms
    )


def test_a_gap_past_the_ordinary_within_the_limit_says_nothing() -> None:
    """0.4 nm a minute after a departure good to 0.05 nm is much; the limit was set at 0.5."""
    boat = aboard()
    boat.satellites = lambda second: _with_the_boat(boat, second, 0.0, min(0.4, second / 200))
    boat.run(300)

    assert boat.satellite.gap_nm == pytest.approx(0.4, abs=0.01)
    assert boat.alerts() == []


def test_lost_for_a_minute_is_a_caution_and_cleared_when_back() -> None:
    """60 s after the last position, once; nothing before the first one was ever heard."""
    boat = aboard()
    boat.run(20)
    boat.satellites = lambda _: None
    boat.run(59)
    quiet = states_of(boat)
    boat.run(30)
    lost = boat.alerts("satellite")
    boat.satellites = lambda second: _with_the_boat(boat, second, 0.0, 0.0)
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


def test_a_jump_is_a_warning_and_clears_after_a_minute() -> None:
    """Warning at once; over after a minute of agreement, and rectified until somebody acknowledges it."""
    boat = aboard()
    boat.run(20)
    boat.satellites = lambda second: _with_the_boat(boat, second, 0.0, 0.3)
    boat.run(80)

    assert states_of(boat) == [("warning", "active-unacknowledged"), ("warning", "rectified-unacknowledged")]
    assert boat.alerts()[0].text == (
        "satellites jumped (GP@bow): 0.30 nm between two positions, beyond what the log ran; take a bearing"
    )


def test_log_running_and_satellites_still_is_a_question() -> None:
    """Five minutes within 30 m with the log over 1 kn: asked, never done; an order answers it."""
    boat = aboard()
    boat.speed_kn = 1.8
    lies_at = boat.ep_at(10)
    boat.satellites = lambda second: lies_at.moved(float(second % 11), float(second % 7))
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
