"""The board's clock: what is a clock that was set, and what is not."""

from dataclasses import dataclass

import pytest

from middlewatch.quantities.instants import Instant
from middlewatch.runtime import clock
from middlewatch.runtime.clock import BoardClock


@dataclass
class Board:
    """A board whose program is held up, if so wanted, after it has read UTC."""

    now_ms: int = 5000
    ahead_ms: int = Instant.parse("2026-05-03T01:55:00Z").ms
    pause_ms: int = 0

    def utc_ms(self) -> int:
        """Return UTC, and be held up."""
        utc_ms = self.now_ms + self.ahead_ms
        self.now_ms, self.pause_ms = self.now_ms + self.pause_ms, 0
        return utc_ms

    def monotonic_ms(self) -> int:
        """Return the ms since the board was booted."""
        return self.now_ms


@pytest.fixture
def board(monkeypatch: pytest.MonkeyPatch) -> Board:
    """Give the board whose clocks are read."""
    board = Board()
    monkeypatch.setattr(clock, "utc_ms", board.utc_ms)
    monkeypatch.setattr(clock, "monotonic_ms", board.monotonic_ms)
    return board


def test_a_program_held_up_has_not_had_its_clock_set(board: Board) -> None:
    """Two seconds between the readings of the two clocks, as on a busy board, are no step of one of them."""
    board_clock = BoardClock()
    board.pause_ms = 2000

    assert board_clock.was_set_by_ms() is None
    assert board_clock.was_set_by_ms() is None


def test_held_up_at_its_start_it_takes_the_right_time(board: Board) -> None:
    """The scale begins at UTC, whatever came between."""
    board.pause_ms = 2000
    board_clock = BoardClock()

    assert board_clock.stamp().at_ms == board.utc_ms()


def test_a_clock_that_was_set_is_told_once(board: Board) -> None:
    """An hour, in whole seconds."""
    board_clock = BoardClock()
    board.ahead_ms += 3_600_100

    assert [board_clock.was_set_by_ms(), board_clock.was_set_by_ms()] == [3_600_000, None]
