"""The deck: which ticks fall before a start, and which do not."""

import pytest

from middlewatch.navigator.navigator import Navigator
from middlewatch.navigator.tuning import Tuning
from middlewatch.quantities.instants import MS_PER_DAY, Instant
from middlewatch.readings.watch import Started, Tick
from middlewatch.reports import Report
from middlewatch.reports.position import PositionReport
from middlewatch.runtime.deck import Deck
from middlewatch.wire import entries

LEFT_MS = Instant.parse("2026-05-03T01:00:00Z").ms


@pytest.mark.parametrize(
    ("away_ms", "gap_known", "ticks"),
    [
        (60_000, True, 60),
        (60_000, False, 0),
        (60_001, False, 0),
        (2 * MS_PER_DAY + 1000, True, 0),
        (180 * MS_PER_DAY, True, 0),
    ],
)
def test_the_ticks_of_a_gap(away_ms: int, gap_known: bool, ticks: int) -> None:
    """A known gap is run through; one of days, or of unknown length, is not. Then every second comes."""
    navigator, said = Navigator(Tuning(), {}, entries), list[PositionReport]()

    def take(_at: Instant, reports: tuple[Report, ...]) -> None:
        said.extend(each for each in reports if isinstance(each, PositionReport))

    navigator.step(Tick(LEFT_MS))
    deck = Deck(navigator, {}, None, take)

    deck.rare(Started(LEFT_MS + away_ms, "boot", gap_known, None))
    assert len(said) == ticks

    deck.time(LEFT_MS + away_ms // 1000 * 1000 + 3000)
    assert len(said) == ticks + 3
