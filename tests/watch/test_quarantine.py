"""Quarantine, the last agreement, and the shifts of the EP: small state, worked by hand."""

from math import log

import pytest

from middlewatch.navigator.watch.agreed import Agreed
from middlewatch.navigator.watch.causes import PRIOR, by_lines
from middlewatch.navigator.watch.quarantine import LIKELIEST, Quarantine
from middlewatch.navigator.watch.shifts import Shift, Shifts
from middlewatch.navigator.watch.witnesses import Against, Said
from middlewatch.quantities.positions import Position

HERE = Position(50.0, -4.0)
MINUTE_MS = 60_000


def excluded_by(*marks: str) -> Said:
    """Return what is said when bearings of some marks exclude the satellites."""
    return Said(tuple(Against(mark, mark) for mark in marks), (), None)


@pytest.mark.parametrize(("marks", "guilty"), [(("A",), 0.03), (("A", "B"), 0.92)])
def test_what_contradicting_bearings_make_of_satellites_and_entry(
    marks: tuple[str, ...], guilty: float
) -> None:
    """One bearing makes the satellites guilty with 3 %, two marks that agree with 92 (design, 7)."""
    said = excluded_by(*marks)
    odds = {cause: log(PRIOR[cause]) + by_lines(cause, said) for cause in ("satellite", "entry")}
    weight = 1.0 / (1.0 + 2.718281828 ** (odds["entry"] - odds["satellite"]))

    assert weight == pytest.approx(guilty, abs=0.005)


def test_satellites_return_by_steps() -> None:
    """Lost, back, ten minutes in agreement, two lines: then only the order is wanted."""
    quarantine = Quarantine()
    quarantine.tick(0, None, heard=True, agrees=True)
    assert not quarantine.returning

    quarantine.tick(1000, "no position for a minute", heard=False, agrees=False)
    assert (quarantine.why, quarantine.returning) == ("no position for a minute", False)

    for second in range(2, 603):
        quarantine.tick(1000 * second, None, heard=True, agrees=True)
        assert quarantine.returning
    assert quarantine.wants(601_000) == [
        "10 min of agreement (9 so far)",
        "two lines that cut at 30 degrees or more and pass by them",
    ]
    quarantine.vouched = True
    assert quarantine.wants(602_000) == []
    assert quarantine.words(602_000) == "after no position for a minute; wanted: the order trust_satellites"

    quarantine.trust(602_000)
    quarantine.tick(603_000, None, heard=True, agrees=True)
    assert (quarantine.why, quarantine.returning) == (None, False)


def test_agreement_begins_again_after_a_gap() -> None:
    """Nine minutes in step, a second wide: the ten minutes begin again; a lie begins everything again."""
    quarantine = Quarantine()
    quarantine.tick(0, "a position that jumped", heard=True, agrees=False)
    quarantine.tick(1000, None, heard=True, agrees=True)
    quarantine.tick(9 * MINUTE_MS, None, heard=True, agrees=False)
    quarantine.tick(9 * MINUTE_MS + 1000, None, heard=True, agrees=True)
    assert quarantine.wants(11 * MINUTE_MS)[0].startswith("10 min of agreement (1 so far)")

    quarantine.vouched = True
    quarantine.tick(12 * MINUTE_MS, "a position that froze", heard=True, agrees=False)
    assert (quarantine.returning, quarantine.vouched) == (False, False)


def test_while_they_part_still_they_are_not_back() -> None:
    """Blamed, and then something else is likelier: they are back once the parting is over, and not before."""
    quarantine = Quarantine()
    quarantine.tick(0, LIKELIEST, heard=True, agrees=False, parting=True)
    quarantine.tick(1000, None, heard=True, agrees=False, parting=True)
    assert (quarantine.why, quarantine.returning) == (LIKELIEST, False)

    quarantine.tick(2000, None, heard=True, agrees=True, parting=False)
    assert quarantine.returning


def test_the_last_agreement_is_the_one_before_the_onset() -> None:
    """Kept each half minute; of those in step a minute before the onset the newest."""
    agreed = Agreed()
    for second in range(0, 600, 10):
        place = HERE.moved(float(second), 0.0)
        agreed.tick(1000 * second, place, 0.4, in_step=second != 360)
    agreed.suspect(430)
    assert agreed.last is not None
    assert agreed.last.second == 330

    agreed.suspect(200)
    assert agreed.last.second == 120
    agreed.suspect(430)
    assert agreed.last.second == 120
    agreed.settle()
    assert agreed.last is None


def test_where_the_satellites_had_her() -> None:
    """Between two half minutes by the part of the time; none where they were not heard about then."""
    agreed = Agreed()
    for second in (0, 30, 120):
        agreed.tick(1000 * second, HERE.moved(10.0 * second, 0.0), 0.4, in_step=True)

    between = agreed.place_at(15)
    assert between is not None
    assert HERE.offset_to(between)[0] == pytest.approx(150.0, abs=1.5)
    assert agreed.place_at(-1) is None
    assert agreed.place_at(100) is None
    assert agreed.place_at(121) is not None


def test_an_entry_that_moves_the_ep_is_a_shift() -> None:
    """The run is none; a fix that moves her by half a mile is, with the gap after it."""
    shifts = Shifts()
    shifts.tick(HERE, (0.0, 0.0), 0.02, 0.05, "d1")
    shifts.tick(HERE.moved(3.0, 0.0), (3.0, 0.0), 0.02, 0.05, "d1")
    assert shifts.last is not None
    assert shifts.last.entry == "d1"

    moved = HERE.moved(3.0, 926.0)
    shifts.tick(moved, (3.0, 0.0), 0.5, 0.1, "a2")
    assert shifts.last.entry == "a2"
    assert shifts.last.gap_after_nm == 0.5


def test_a_gap_far_beyond_its_entrys_doubt_speaks_against_it() -> None:
    """Half a mile where the entry is good to 0.05: surely; 0.1 where it is good to 0.1: rather not."""
    sure = Shift("d1", 0.5, 0.05)
    fair = Shift("d1", 0.1, 0.1)

    assert sure.wrong() > 10.0
    assert fair.wrong() < 0.0
