"""What a boat really meets: each situation of the table with what is shown in it and what may be heard.

What is right is a navigator's judgement (common practice, no source); each row says it in a sentence.
"""

import pytest

from watch.meets.boat import Boat, towards
from watch.meets.row import Row
from watch.meets.table import ROWS


@pytest.mark.parametrize(
    ("row", "seed"),
    [pytest.param(row, seed, id=f"{row.name}, seed {seed}") for row in ROWS for seed in row.seeds],
)
def test_what_a_boat_meets(row: Row, seed: int) -> None:
    """The row's own sentence holds: nothing else is shown, what must be heard is heard, and nothing more."""
    assert row.faults(seed) == [], row.words


def _jumps(boat: Boat) -> None:
    boat.under_way(120)
    boat.it_begins()
    boat.receiver.off_m = towards(0.0, 400.0)
    boat.sail(30)


def test_a_row_that_does_not_hold_says_where() -> None:
    """A receiver that jumps, judged by a row that wants silence, a held DR and another alert."""
    quiet = Row(
        "a jump", "Nothing.", _jumps, dr="held", ways=frozenset({"anchored"}), must=(("log wheel", 10),)
    )
    loud = Row(
        "a jump",
        "It is a warning at once.",
        _jumps,
        states=frozenset({"jumped"}),
        ends=frozenset({"jumped"}),
        must=(("satellite jumped", 2),),
        gravest="warning",
    )

    wrong = " / ".join(quiet.faults(1))
    for each in ("jumped is shown at 131", "under_way is shown", "the DR moves", "log wheel is never raised",
                 "satellite jumped (warning) is raised at 131", "jumped is shown at the end"):  # fmt: skip
        assert each in wrong
    assert loud.faults(1) == []


def test_no_two_rows_are_one() -> None:
    """Each situation has a name and a sentence of its own, so that a failing row says what it is about."""
    assert len({row.name for row in ROWS}) == len(ROWS)
    assert all(row.words.endswith(".") for row in ROWS)
