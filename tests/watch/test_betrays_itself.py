"""A receiver, a log or a compass that betrays itself: what is told of it, and what is not made of it."""

import re
from collections.abc import Callable

import pytest

from area.model import chance
from entries.entering import FIVE_WEST, START, Aboard, utc
from middlewatch.navigator.tuning import Tuning
from middlewatch.navigator.watch.causes import Cause, weigh
from middlewatch.quantities.positions import Position
from middlewatch.readings.sentences import Word
from middlewatch.reports.satellite import SatelliteReport
from watch.sailed import noise

KNOT = 1852.0 / 3600.0
BEGINS_S = 910


def sailed(second: int) -> Position:
    """Return where she is: due east at 6 kn from the start; a receiver's last digits never stand still."""
    return START.moved(0.1 * (second % 7), 6.0 * KNOT * (second - 10))


def aboard(satellites: Callable[[int], Position] = sailed) -> Aboard:
    """Return a boat a quarter of an hour out, all well until then."""
    boat = Aboard(Tuning(variation=FIVE_WEST), satellites=satellites)
    boat.run(10)
    boat.depart()
    boat.run(BEGINS_S - 10)
    return boat


def jumps(second: int) -> Position:
    """Return a receiver that jumps by 0.3 nm to the north."""
    return sailed(second).moved(0.3 * 1852.0 * (second > BEGINS_S), 0.0)


def freezes(second: int) -> Position:
    """Return a receiver whose digits stand."""
    return sailed(min(second, BEGINS_S))


@pytest.mark.parametrize("satellites", [jumps, freezes])
def test_where_they_last_agreed_is_kept_when_they_jump_or_freeze(
    satellites: Callable[[int], Position],
) -> None:
    """No pull need have been before it: the agreement is of a minute or two before, and may be ordered."""
    boat = aboard(satellites)
    boat.run(90)

    agreed = boat.satellite.last_agreed
    assert agreed is not None
    assert utc(BEGINS_S - 120) <= str(agreed.at) < utc(BEGINS_S)
    assert boat.order(kind="departure", **{"from": "last_agreed"}).accepted


def test_digits_that_stand_froze_once() -> None:
    """However long they stand, the time told is when they froze."""
    boat = aboard(freezes)
    boat.run(300)

    froze = boat.navigator.room.scale.utc(boat.now_ms - 299_000).clock
    assert boat.satellite.causes[0].evidence == f"they froze at {froze}"


def test_a_receiver_that_doubts_itself_is_not_explained_by_a_stream() -> None:
    """Nothing has parted: what need not have a cause is not told one, and the doubt stands as it is."""
    boat = aboard()
    boat.word = Word.SIMULATOR
    boat.run(120)

    text = boat.alerts("satellite")[-1].text
    assert text.startswith("satellites doubtful (GP@bow): the receiver itself calls its position simulator")
    assert text.endswith("take a bearing")


def test_a_witness_that_betrays_itself_is_told_by_that() -> None:
    """Likeliest by what it shows itself: never that nothing is seen of it."""
    boat = aboard()
    alerts: dict[Cause, str] = {"log": "log", "compass": "heading"}
    for cause, alert in alerts.items():
        first = weigh(boat.navigator.room, frozenset({cause})).causes[0]
        assert (first.cause, first.evidence) == (cause, f"it betrays itself, as the {alert} alert says")


@pytest.mark.parametrize(("cause", "shows_kn", "turned_deg"), [("log", 3.0, 0.0), ("compass", 6.0, 20.0)])
def test_a_pull_long_after_a_step_is_not_put_down_to_it(
    cause: Cause, shows_kn: float, turned_deg: float
) -> None:
    """While the alert of the step stands a receiver is drawn off: the satellites are to be suspected too."""
    drawn_s = BEGINS_S + 600
    gone = noise(chance(5, 7), 3000).tolist()
    boat = aboard(
        lambda second: START.moved(
            gone[second].real + 3.0 * KNOT * max(0, second - drawn_s),
            gone[second].imag + 6.0 * KNOT * (second - 10),
        )
    )
    boat.speed_kn, boat.heading_magnetic_deg = shows_kn, 95.0 + turned_deg
    boat.run(600)
    first = boat.satellite.causes[0]
    assert (first.cause, first.weight > 0.99) == (cause, True)
    boat.run(600)

    found = {each.cause: each.weight for each in boat.satellite.causes}
    assert boat.alerts("log" if cause == "log" else "heading")[-1].state == "active-unacknowledged"
    assert found["satellite"] > 0.3
    assert found[cause] < 0.75


def test_a_step_that_was_not_mended_is_not_told_as_over_only() -> None:
    """After half an hour the alert goes, and says that nothing was seen to come right."""
    boat = aboard()
    boat.speed_kn = 3.0
    boat.run(120)
    boat.order(kind="acknowledge", alert="log")
    boat.run(1800)

    last = boat.alerts("log")[-1]
    assert last.state == "normal"
    assert re.match(r"over at \d{4}: log not seen to come right in half an hour: ", last.text)


def test_a_log_that_failed_and_is_right_again_is_not_said_to_show_ten_times_too_much() -> None:
    """Down to a half for ten minutes and back: what is told is no figure that no log ever showed."""
    boat = aboard()
    boat.speed_kn = 3.0
    boat.run(600)
    boat.speed_kn = 6.0
    boat.run(120)

    reports = [each for each in boat.said if isinstance(each, SatelliteReport)]
    evidence = {cause.evidence for each in reports for cause in each.causes if cause.cause == "log"}
    assert any(words.endswith("and comes and goes with what the log shows") for words in evidence)
    assert all(float(size) > -50.0 for words in evidence for size in re.findall(r"(-\d+) % of", words))


@pytest.mark.parametrize(("weedy_kn", "seconds"), [(3.0, 600), (0.0, 300)])
def test_a_log_that_is_right_again_ends_the_parting_it_made(weedy_kn: float, seconds: int) -> None:
    """Over within two minutes, and not found anew as its contrary, which would stand for an hour."""
    gone = noise(chance(0, 3), 3000).tolist()
    boat = aboard(lambda second: sailed(second).moved(gone[second].real, gone[second].imag))
    boat.speed_kn = weedy_kn
    boat.run(seconds)
    assert boat.navigator.room.check.pull.parting is not None

    boat.speed_kn = 6.0
    boat.run(120)
    assert boat.navigator.room.check.pull.parting is None
    boat.run(600)
    assert boat.navigator.room.check.pull.parting is None
