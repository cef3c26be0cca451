"""The satellite check: its states, their order, how long each must last, and what the ordinary gap is."""

from itertools import pairwise

import pytest

from entries.entering import START, Aboard
from middlewatch.navigator.reckoning.sources import MOST_SOURCES
from middlewatch.navigator.tuning import Tuning
from middlewatch.navigator.watch.lasting import Since
from middlewatch.quantities.positions import Position
from middlewatch.readings.sentences import Satellite, Word
from middlewatch.wire.nmea import Decoder
from watch.bench import HERE, KNOT, NM, Bench, already_there, round_area, with_the_boat
from wire.sealing import sealed

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


def test_receivers_that_are_heard_once_fill_nothing() -> None:
    """A receiver that changes its name each second is not remembered for ever; the one that steers is."""
    bench = Bench()
    for number in range(500):
        bench.hear(HERE, source="GPGGA@bow")
        bench.hear(HERE, source=f"GPGGA@{number}")
        bench.tick()

    assert len(bench.check.receivers) == MOST_SOURCES
    assert bench.check.steering == "GP@bow"
    assert bench.check.state == "in_step"


def test_course_and_time_alone_are_no_position() -> None:
    """VTG and ZDA make a receiver heard, without a position."""
    bench = Bench()
    bench.check.hear(
        Satellite(bench.now_ms, "GPVTG@bow", gives_position=False, word=Word.GOOD, course_deg=90), (0, 0), 1.5
    )
    bench.tick()

    assert bench.check.reason == "no position"


def test_a_reckoning_from_satellites_agrees_with_them_by_the_run_only() -> None:
    """Departed from them, a receiver that lies all the while is in step: told, until an origin by sight."""
    boat = Aboard(Tuning(), satellites=lambda second: with_the_boat(boat, second, 0.0, 0.0))
    boat.run(10)
    boat.order(id="d1", kind="departure", **{"from": "satellite"})
    boat.run(300)

    assert (boat.satellite.state, boat.satellite.reason) == (
        "in_step",
        f"agreement since {boat.navigator.room.scale.utc(boat.now_ms - 300_000).clock} is by the run only",
    )
    here = boat.ep_at(boat.seconds)
    boat.depart(id="d2", latitude_deg=here.latitude_deg, longitude_deg=here.longitude_deg)
    boat.run(5)
    assert (boat.satellite.state, boat.satellite.reason) == ("in_step", None)


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
    """The last digits stand while the boat runs: frozen at 20 s, returning at the first living digit."""
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
    assert (bench.check.state, bench.check.also) == ("returning", ())


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
    """It stays so until the positions have agreed with each other for 60 s; then they are returning."""
    bench = Bench()
    bench.off(0.0, 5)
    states = bench.off(0.2, 62)

    assert states == ["jumped"] * 60 + ["returning"] * 2


def test_what_the_log_ran_is_no_jump() -> None:
    """After ten minutes without a position the boat has run a mile, and the position with her."""
    bench = Bench(speed_kn=6.0)
    bench.off(0.0, 5)
    for _ in range(600):
        bench.water_m = (bench.water_m[0] + 6 * KNOT, 0.0)
        bench.tick()
    bench.ep = HERE.moved(*bench.water_m)
    bench.off(1.0, 1)

    assert (bench.check.state, bench.check.also) == ("returning", ())


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


def test_two_receivers_that_disagree() -> None:
    """A second one half a mile away, on another talker or input, is no jump; after 20 s it is said."""
    bench = Bench()
    states = []
    for _ in range(90):
        bench.hear(HERE.moved(bench.now_ms / 1e6, 0.0), source="GPRMC@bow")
        bench.hear(HERE.moved(0.5 * NM + bench.now_ms / 1e6, 0.0), source="GLRMC@bow")
        bench.hear(HERE.moved(0.01 * NM + bench.now_ms / 1e6, 0.0), source="GPRMC@mast")
        bench.tick()
        states.append(bench.check.state)
        assert "jumped" not in bench.check.also

    assert states == ["in_step"] * 20 + ["doubtful"] * 70
    assert bench.check.reason == "GL@bow has her 0.50 nm from there: two receivers that disagree"
    assert sorted(bench.check.receivers) == ["GL@bow", "GP@bow", "GP@mast"]

    bench.hear(HERE.moved(bench.now_ms / 1e6, 0.0), source="GPRMC@bow")
    bench.hear(HERE.moved(bench.now_ms / 1e6, 0.0), source="GLRMC@bow")
    bench.tick()
    reason = bench.check.reason or ""
    assert reason.endswith(" had her elsewhere till a moment ago: two receivers that disagree")


@pytest.mark.parametrize(("apart_nm", "doubted"), [(0.35, True), (0.01, False)])
def test_a_receiver_that_takes_over_from_one_that_had_her_elsewhere(apart_nm: float, doubted: bool) -> None:
    """One falls silent: the other does not count again by that; one that had agreed with it does."""
    bench, states, reasons = Bench(stream_kn=0.5), [], set()
    for second in range(1000):
        if second < 90:
            bench.hear(HERE.moved(bench.now_ms / 1e6, 0.0), source="GPRMC@bow")
        bench.hear(HERE.moved(apart_nm * NM + bench.now_ms / 1e6, 0.0), source="GNRMC@mast")
        bench.tick()
        if second >= 110:
            states.append(bench.check.state)
            reasons.add(bench.check.reason)

    silent = f"GP@bow, silent for 60 s, had her {apart_nm:.2f} nm from there: two receivers that disagree"
    if doubted:
        assert list(dict.fromkeys(states)) == ["doubtful", "returning"]
        assert states.count("doubtful") > 400
        assert silent in reasons
        assert all("GN@mast has her" not in (reason or "") for reason in reasons)
    else:
        assert set(states) == {"in_step"}


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
    assert "jumped" not in (bench.check.state, *bench.check.also)


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
    bench.check.receivers["GP@bow"] = already_there(bench, 0.51)
    states = bench.off(0.51, 13)

    assert states == ["in_step"] * 10 + ["wide"] * 3
    assert bench.check.reason == "past the limit of 0.50 nm"


def test_a_gap_past_the_limit_for_nine_seconds_is_not_wide() -> None:
    """And what had begun begins again."""
    bench = Bench()
    bench.check.receivers["GP@bow"] = already_there(bench, 0.48)
    states = [*bench.off(0.51, 9), *bench.off(0.49, 1), *bench.off(0.51, 10), *bench.off(0.51, 1)]

    assert states == ["in_step"] * 20 + ["wide"]


def test_wide_until_below_seven_tenths_for_a_minute() -> None:
    """0.36 nm keeps it, 0.34 for 60 s clears it."""
    bench = Bench()
    bench.check.receivers["GP@bow"] = already_there(bench, 0.51)
    bench.off(0.51, 20)
    kept = bench.off(0.43, 30) + bench.off(0.36, 100)
    cleared = bench.off(0.34, 62)

    assert set(kept) == {"wide"}
    assert cleared == ["wide"] * 60 + ["in_step"] * 2


def test_a_silence_does_not_clear_it() -> None:
    """A position that comes back as far off as it left is not in step, however long it was away."""
    bench = Bench()
    bench.check.receivers["GP@bow"] = already_there(bench, 0.51)
    bench.off(0.51, 20)
    for _ in range(20):
        bench.tick()
    assert bench.check.state == "none"
    assert bench.check.gap.wide.on
    assert bench.off(0.51, 1) == ["wide"]

    for _ in range(700):
        bench.tick()
    assert bench.check.state == "none"
    assert bench.off(0.51, 1) == ["returning"]
    assert bench.check.also == ("wide",)


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


def test_the_ordinary_gap_is_the_areas_own() -> None:
    """A round area of 95 in 100 about the EP: its 99 in 100 is sqrt(ln 0.01 / ln 0.05) times as wide."""
    bench = Bench()
    bench.area = round_area(HERE, 0.5)
    bench.off(0.0, 1)

    # Rayleigh's distribution: 1.2398 x 0.5.
    assert bench.check.ordinary_gap_nm == pytest.approx(0.6199, rel=2e-3)


def test_without_an_area_nothing_is_called_ordinary() -> None:
    """After a gap of unknown length the reckoning waits: unknown is null, not zero, and no warning."""
    bench = Bench()
    bench.check.receivers["GP@bow"] = already_there(bench, 0.8)
    bench.off(0.8, 100)

    assert bench.check.ordinary_gap_nm is None
    assert (bench.check.state, bench.check.gap.parted.on) == ("wide", False)


def test_apart_beyond_the_area_for_a_minute() -> None:
    """A tenth of a mile outside an area of 0.3 nm, within the limit: apart after 60 s, not before."""
    bench = Bench()
    bench.area = round_area(HERE, 0.3)
    bench.check.receivers["GP@bow"] = already_there(bench, 0.4)
    states = bench.off(0.4, 70)

    # It is looked at each five seconds.
    assert 60 <= states.index("apart") < 65
    assert set(states) == {"in_step", "apart"}


@pytest.mark.parametrize("metres", [25.0, 60.0, 100.0])
def test_multipath_that_comes_back_is_no_parting(metres: float) -> None:
    """Under a cliff for half a minute: 20 to 100 m off and back again, and no stream is made of it."""
    bench = Bench()
    states = [*bench.off(0.0, 600), *bench.off(metres / NM, 30), *bench.off(0.0, 600)]

    assert set(states) == {"in_step"}


def test_parting_outlasts_a_silence() -> None:
    """Drawn away, then silent for twenty seconds or two minutes: it comes back parting, not forgiven."""
    bench = Bench()
    bench.off(0.0, 300)
    for second in range(30):
        bench.off(4.0 * second / 3600, 1)
    for silence, back in ((20, ("parting",)), (120, ("returning", "parting"))):
        for _ in range(silence):
            bench.tick()
        assert bench.check.state == "none"
        bench.off(0.03, 1)
        assert (bench.check.state, *bench.check.also) == back


def test_parting_when_a_pull_sets_in() -> None:
    """Four knots from one second to the next: parting within half a minute, long before the gap is wide."""
    bench = Bench()
    bench.off(0.0, 300)
    states = []
    for second in range(30):
        states += bench.off(4.0 * second / 3600, 1)

    assert states[0] == "in_step"
    assert states[-1] == "parting"
    assert (bench.check.gap_nm or 1.0) < 0.04
    assert bench.check.reason is not None
    assert bench.check.reason.startswith("an apparent stream of 4.")


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
