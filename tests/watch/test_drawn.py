"""How a receiver moves beyond the run: steps, silences, and what is put down to echoes."""

from math import hypot

import pytest

from middlewatch.navigator.watch.drawn import ECHO_M, Drawn, Moves
from middlewatch.navigator.watch.receivers import Receiver
from watch.bench import HERE

SLOW = (0.3, -0.2)
"""A slow stream, metres a second north and east."""


def at(north_m: float, east_m: float = 0.0) -> Receiver:
    """Return a receiver that is so far off, of a boat that makes no way."""
    place = HERE.moved(north_m, east_m)
    return Receiver("GP@bow", place.latitude_deg, place.longitude_deg, 0, (0.0, 0.0), 0)


def moves_after(drawn: Drawn, silent_s: int, receiver: Receiver) -> Moves:
    """Return what it moves once it is heard again."""
    for _ in range(silent_s):
        assert drawn.moves(None, SLOW, comparable=True) == []
    moves = drawn.moves(receiver, SLOW, comparable=True)
    assert moves is not None
    return moves


def begun() -> Drawn:
    """Return it with a first position heard."""
    drawn = Drawn()
    assert drawn.moves(at(0.0), SLOW, comparable=True) is None
    return drawn


def test_what_is_heard_each_second_is_taken_as_it_is() -> None:
    """Two metres on in a second are two metres."""
    ((north_m, east_m),) = moves_after(begun(), 0, at(2.0))

    assert (north_m, east_m) == pytest.approx((2.0, 0.0), abs=1e-6)


def test_a_position_off_after_a_silence_is_put_down_to_an_echo() -> None:
    """Forty metres off after a dozen seconds under a bridge: it went as the slow stream does."""
    assert moves_after(begun(), 12, at(40.0)) == [SLOW] * 13


def test_further_off_than_an_echo_is_spread_over_the_silence() -> None:
    """A hundred and fifty metres in a dozen seconds are no echo's."""
    moves = moves_after(begun(), 12, at(150.0))

    assert len(moves) == 13
    assert moves[0][0] == pytest.approx(150.0 / 13, rel=1e-6)


def test_a_receiver_that_is_drawn_off_in_silences_is_seen() -> None:
    """Ten seconds silent and ten metres on each time: past an echo altogether it moves as it says."""
    drawn, seen_m, told_m = begun(), 0.0, 0.0
    for _ in range(40):
        told_m += 10.0
        for _ in range(10):
            drawn.moves(None, (0.0, 0.0), comparable=True)
        moves = drawn.moves(at(told_m), (0.0, 0.0), comparable=True) or []
        seen_m += sum(hypot(*each) for each in moves)

    assert told_m - seen_m == pytest.approx(ECHO_M, abs=10.0)


def test_an_echo_that_ends_gives_back_what_was_put_down_to_it() -> None:
    """Off after a silence and back in one step, again and again: each bridge is as the first."""
    drawn = begun()
    for _ in range(10):
        assert moves_after(drawn, 12, at(60.0)) == [SLOW] * 13
        moves_after(drawn, 0, at(0.0))
        moves_after(drawn, 0, at(0.0))


def test_after_a_step_too_far_for_an_echo_the_next_bridge_is_as_the_first() -> None:
    """Its datum changed, 150 metres at once; under a bridge later it is forty off, and back: an echo."""
    drawn = begun()
    moves_after(drawn, 0, at(150.0))
    moves_after(drawn, 0, at(150.0))

    assert moves_after(drawn, 12, at(190.0)) == [SLOW] * 13
    assert moves_after(drawn, 12, at(150.0)) == [SLOW] * 13
