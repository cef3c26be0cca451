"""The benchmark of causes scores what it says it does."""

from collections import Counter

import pytest

from benchmarks.causes import Calm, Verdict, judge, quiet_lines, settled, table, told_last


def verdict(kind: str, cause: str, firsts: tuple[str, ...], weight: float = 0.5) -> Verdict:
    """Return what came of a passage."""
    return Verdict(
        kind=kind, cause=cause, seed=1, marks=True, visible_s=10, alert_s=None, firsts=firsts, weight=weight,
        last=told_last(firsts), settled_s=None, told="", cpu_s=1.0,
    )  # fmt: skip


def test_a_cause_stands_first_for_good() -> None:
    """From the second after the last wrong one; from the first where none is; never where it ends so."""
    assert settled(["none", "log", "stream", "log", "log"], "log") == 3
    assert settled(["log", "log"], "log") == 0
    assert settled(["log", "none"], "log") is None


def test_a_cause_told_last_is_told_still_when_nothing_stands() -> None:
    """The last that stood first, until another did; none where none ever did."""
    assert told_last(["none", "log", "entry", "none", "none"]) == "entry"
    assert told_last(["none", "none"]) == "none"


def test_the_table_counts_who_is_first_and_who_instead() -> None:
    """Two in three right at 5 minutes, one in three at 10; the middle weight; what stood instead."""
    rows = table([
        verdict("pulled", "satellite", ("none", "satellite", "satellite"), 0.9),
        verdict("pulled", "satellite", ("none", "satellite", "stream"), 0.7),
        verdict("pulled", "satellite", ("none", "none", "stream"), 0.6),
        verdict("tide line", "stream", ("stream", "stream", "stream"), 0.8),
    ])  # fmt: skip
    row = next(each for each in rows if each.startswith("pulled")).split()
    whole = next(each for each in rows if each.startswith("all")).split()
    confused = next(each for each in rows if each.startswith("satellite")).split()

    assert row[1:5] == ["3", "0.0", "66.7", "33.3"]
    assert row[-3:] == ["0.70", "stream", "2"]
    assert whole[1:5] == ["4", "25.0", "75.0", "50.0"]
    assert row[5] == "33.3"
    # In the order entry, satellite, log, compass, stream, none.
    assert confused[1:] == ["3", "0.0%", "33.3%", "0.0%", "0.0%", "66.7%", "0.0%"]


def test_quiet_passages_count_what_wrongly_stands_first() -> None:
    """Of two hours with an alert for fifteen minutes: the satellites first for six, in one passage."""
    calm = Calm(3600, 540, Counter({"stream": 540}), 1.0)
    accused = Calm(3600, 360, Counter({"satellite": 360}), 1.0)
    lines = quiet_lines([calm, accused])

    assert "alert stands 12.5 % of the time" in lines[0]
    assert "satellite 40.0 %" in lines[1]
    assert "in 1 of 2, 3.0 min an hour" in lines[2]


@pytest.mark.parametrize(("kind", "soon_s"), [("jumped", 2), ("log stopped", 15)])
def test_a_fault_is_visible_when_it_is_told(kind: str, soon_s: int) -> None:
    """Through the navigator: a jump at once, a wheel that stands within 10 s of it."""
    judged = judge((kind, 5), 500)

    assert judged.alert_s is not None
    assert judged.visible_s <= judged.alert_s <= soon_s
    assert len(judged.firsts) == 3
