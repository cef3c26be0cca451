"""A doubtful clock set by satellites: only where the settings say so, only by such as are in no doubt."""

import pytest

from entries.entering import Aboard
from middlewatch.navigator.tuning import Tuning
from middlewatch.quantities.instants import Instant
from middlewatch.quantities.positions import Position
from middlewatch.readings.sentences import Word
from middlewatch.readings.watch import Started

AHEAD_MS = 3 * 3600 * 1000


def woken(tuning: Tuning, word: Word = Word.GOOD) -> Aboard:
    """Return a boat whose board woke at its last saved time, satellites telling three hours later."""
    boat = Aboard(tuning, satellites=lambda _second: Position(50.0, -4.0))
    boat.word = word
    boat.navigator.step(Started(boat.now_ms, "boot", gap_known=False, clock_doubt="no battery"))
    boat.run(5)
    boat.navigator.room.check.time = boat.now_ms - 500, boat.now_ms - 500 + AHEAD_MS
    boat.run(3)
    return boat


def test_the_settings_let_satellites_set_it_once() -> None:
    """Set on by three hours, told with its source and what to do; doubtful no more, it is left alone then."""
    boat = woken(Tuning(clock_from_satellites=True))
    told = boat.alerts("clock")[-1]
    boat.navigator.room.check.time = boat.now_ms - 500, boat.now_ms - 500 + 2 * AHEAD_MS
    boat.run(60)

    assert boat.navigator.clock_doubt is None
    assert boat.navigator.utc(boat.now_ms) == Instant(boat.now_ms + AHEAD_MS)
    assert told.priority == "caution"
    assert "by satellites (GP@bow), as the settings let them: 10800.0 s on" in told.text
    assert "hold it against your watch" in told.text


@pytest.mark.parametrize(
    ("tuning", "word"),
    [(Tuning(), Word.GOOD), (Tuning(clock_from_satellites=True), Word.ESTIMATED)],
    ids=["not set", "in doubt of themselves"],
)
def test_else_it_stays_doubtful(tuning: Tuning, word: Word) -> None:
    """Without the setting, or by a receiver that reckons on by itself, the clock stays as it was."""
    boat = woken(tuning, word)

    assert boat.navigator.clock_doubt == "no battery"
    assert boat.navigator.utc(boat.now_ms) == Instant(boat.now_ms)


def test_the_skippers_order_ends_what_is_told() -> None:
    """Ordered by hand it is his; the caution is over."""
    boat = woken(Tuning(clock_from_satellites=True))
    boat.order(kind="clock", utc=str(Instant(boat.now_ms + AHEAD_MS + 2000)))
    boat.run(2)

    assert boat.alerts("clock")[-1].state == "normal"


def test_a_year_that_cannot_be_sets_nothing() -> None:
    """Satellites of the year 9999 do not set a doubtful clock, whatever the settings let them."""
    boat = woken(Tuning())
    boat.navigator.room.tuning = Tuning(clock_from_satellites=True)
    boat.navigator.room.check.time = boat.now_ms, Instant.parse("9999-12-31T23:59:59Z").ms
    boat.run(3)

    assert boat.navigator.clock_doubt == "no battery"
