"""What speaks against a receiver: its own word in figures, its time, its way of moving, its speed."""

from collections.abc import Callable
from math import cos, radians, sin

import pytest

from area.model import chance
from entries.entering import heard
from middlewatch.navigator.watch.receiver_time import ROLLOVER_MS, ReceiverTime
from middlewatch.navigator.watch.smoothness import Smoothness
from middlewatch.quantities.positions import Position
from middlewatch.readings.sentences import Satellite, Word
from watch.bench import HERE, KNOT, Bench

Place = Callable[[int], Position]


def said(bench: Bench, **fields: float) -> tuple[str, str | None]:
    """Hear one position with such fields; return state and reason."""
    reading = heard(bench.now_ms + 500, HERE)
    for name, value in fields.items():
        setattr(reading, name, value)
    bench.check.hear(reading, bench.water_m, bench.stream_kn)
    bench.tick()
    return bench.check.state, bench.check.reason


def test_too_few_satellites() -> None:
    """Three give no position that could be checked; four do (any textbook)."""
    assert said(Bench(), satellites=4)[0] == "in_step"
    assert said(Bench(), satellites=3) == (
        "doubtful",
        "its position is by 3 satellites, and 4 are needed",
    )


def test_satellites_that_stand_badly() -> None:
    """HDOP over five (common practice, no source)."""
    assert said(Bench(), hdop=5.0)[0] == "in_step"
    assert said(Bench(), hdop=7.25) == ("doubtful", "its satellites stand badly: HDOP 7.2")


def test_its_own_word_for_its_errors() -> None:
    """GST over some 40 m, GBS with a satellite in it: doubted while it says so, and half a minute."""
    bench = Bench()
    assert said(bench)[0] == "in_step"
    for fields, reason in (
        ({"sd_m": 60.0}, "by its own word its position is good to 60 m, one standard deviation"),
        ({"sd_m": 4.0}, None),
        ({"suspects": "13, by 85 m"}, "it suspects satellite 13, by 85 m"),
    ):
        told = Satellite(bench.now_ms + 100, "GPGST@bow", gives_position=False, word=Word.UNSAID, **fields)
        bench.check.hear(told, bench.water_m, bench.stream_kn)
        assert said(bench)[1] == reason
    for _ in range(31):
        state, _ = said(bench)
    assert state == "in_step"


# --- time ---------------------------------------------------------------------------------------------------


def test_a_date_1024_weeks_early() -> None:
    """A missed rollover of the week is named as what it is, and as long as it lasts."""
    bench = Bench()
    for _ in range(100):
        state, reason = said(bench, utc_ms=bench.now_ms - ROLLOVER_MS)

    assert state == "doubtful"
    assert reason == "its date is 1024 weeks early: it missed the rollover of the week"


def test_a_date_told_beside_the_position_counts_as_well() -> None:
    """A receiver that gives its date in ZDA alone, and its position without, is held to it all the same."""
    bench = Bench()
    said(bench)
    early_ms = bench.now_ms - ROLLOVER_MS
    beside = Satellite(
        bench.now_ms + 100, "GPZDA@bow", gives_position=False, word=Word.UNSAID, utc_ms=early_ms
    )
    bench.check.hear(beside, bench.water_m, bench.stream_kn)

    assert said(bench)[1] == "its date is 1024 weeks early: it missed the rollover of the week"


def test_a_board_that_was_laid_up_knows_a_date_1024_weeks_early() -> None:
    """The board woke ten months behind: what is nearly 1024 weeks before it missed the rollover."""
    time, now_ms = ReceiverTime(), 1_800_000_000_000
    time.hear(now_ms, now_ms + 300 * 86_400_000 - ROLLOVER_MS)

    assert time.doubt(now_ms) == "its date is 1024 weeks early: it missed the rollover of the week"


def test_a_time_that_jumps_is_doubted_for_a_minute() -> None:
    """Twenty seconds on from one sentence to the next."""
    time = ReceiverTime()
    for now_ms in range(0, 100_000, 1000):
        time.hear(now_ms, now_ms + (20_000 if now_ms >= 10_000 else 0))
        wrong = time.doubt(now_ms)
        assert (wrong is not None) == (10_000 <= now_ms < 70_000)
        assert wrong in (None, "its time went +20 s off the boat's clock")


def test_a_time_that_runs_is_found() -> None:
    """Two seconds for one: after sixteen it stands more than fifteen off."""
    time, second = ReceiverTime(), 0
    while time.doubt(1000 * second) is None:
        second += 1
        time.hear(1000 * second, 2000 * second)

    # The first it hears, at 1 s, is what it goes by.
    assert second == 17


def test_a_time_that_moves_on_only_each_ten_seconds_is_none() -> None:
    """As a real receiver does; the position moves each second."""
    time = ReceiverTime()
    for second in range(200):
        time.hear(1000 * second, 10_000 * (second // 10))
        assert time.doubt(1000 * second) is None


# --- the way it moves ---------------------------------------------------------------------------------------


def moved(place: Place, seconds: int = 150, turned_deg: float = 0.0) -> str | None:
    """Return what is said of a receiver that moves so, rounded to a ten-thousandth of a minute."""
    smooth = Smoothness()
    for second in range(seconds):
        here = place(second)
        rounded = round(here.latitude_deg * 600_000) / 600_000, round(here.longitude_deg * 600_000) / 600_000
        smooth.hear(rounded, 1000 * second)
    return smooth.words(turned_deg)


def straight(second: int) -> Position:
    """Run 5 knots along 037."""
    return HERE.moved(5 * KNOT * second * cos(radians(37)), 5 * KNOT * second * sin(radians(37)))


def circle(second: int) -> Position:
    """Run round a circle of a tenth of a mile, at 20 knots (as published of false signals; from memory)."""
    angle = 20 * KNOT * second / 185.2
    return HERE.moved(185.2 * cos(angle), 185.2 * sin(angle))


def test_a_receiver_that_runs_on_by_itself() -> None:
    """Two minutes along a rule, to the rounding of its digits."""
    assert moved(straight, 110) is None
    assert moved(straight) == "it runs along a straight line as no boat does: is it running on by itself?"


def test_a_receiver_that_runs_round_a_circle() -> None:
    """With the boat on her course it is the receiver's; with the boat turning as far it is hers."""
    assert moved(circle) == "it runs round a circle at constant speed, and the boat's heading does not"
    assert moved(circle, turned_deg=700.0) is None


@pytest.mark.parametrize("seed", range(5))
def test_a_boat_in_a_sea_is_never_too_smooth(seed: int) -> None:
    """Noise of a quarter of a metre each second, as little as any recording of a boat under way has."""
    draw = chance(seed, 7)
    assert moved(lambda second: straight(second).moved(*draw.normal(0.0, 0.25, 2))) is None


def test_a_boat_that_lies_still_is_never_too_smooth() -> None:
    """A receiver on static hold stands like a rock; that is no running on."""
    assert moved(lambda _: HERE) is None


# --- its speed ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("log_kn", "says_kn", "state"),
    [
        (5.0, 11.9, "in_step"),
        (5.0, 12.1, "doubtful"),
        (0.0, 12.1, "in_step"),
        (0.0, 17.0, "doubtful"),
        (18.0, 19.0, "in_step"),
        (18.0, 22.6, "doubtful"),
    ],
)
def test_a_speed_beyond_the_boats_own(log_kn: float, says_kn: float, state: str) -> None:
    """Log 5, stream 1.5: up to 12; a log at nothing may be stuck; one that shows 18 knots bears them out."""
    bench = Bench(speed_kn=log_kn)
    for second in range(25):
        reading = heard(bench.now_ms + 500, HERE.moved(0.3 * (second % 5), 0.0))
        reading.speed_kn = says_kn
        bench.check.hear(reading, bench.water_m, bench.stream_kn)
        bench.tick()

    assert bench.check.state == state


def test_speed_over_the_ground_is_what_is_told_just_now() -> None:
    """GGA tells none and VTG does; what was told six seconds ago is told no more."""
    bench = Bench(speed_kn=0.0)
    for _ in range(30):
        way = Satellite(bench.now_ms + 100, "GPVTG@bow", gives_position=False, word=Word.GOOD, speed_kn=25.0)
        bench.check.hear(way, bench.water_m, bench.stream_kn)
        state, reason = said(bench)
    receiver = bench.check.receivers["GP@bow"]
    assert (state, reason) == ("doubtful", "it says 25.0 kn over the ground, with the log at 0.0")
    assert receiver.speed_kn(bench.now_ms) == 25.0
    for _ in range(6):
        said(bench)

    assert receiver.speed_kn(bench.now_ms) is None


def test_a_receiver_that_hops_between_coarse_digits_follows_nothing() -> None:
    """Steps that cancel to the last digit, quarter turns of 3 m and 6 m, go on by no rule."""
    hops = (
        -3, 6j, 6j, -6j, 6j, 6, -3j, 6, -3j, -6j, 6, -3j, 6j, 3, -6, -6, -6j, -6j, 6j, 3j, -3, -3j, -6, -6j,
    )  # fmt: skip
    smooth = Smoothness(steps=[(complex(hop).real, complex(hop).imag) for hop in hops])

    assert smooth._follows() is None
    assert smooth.words(0.0) is None
