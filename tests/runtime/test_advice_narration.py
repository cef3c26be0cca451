"""Advice in the deck log: one line of what to do, and no more."""

from middlewatch.quantities.instants import Instant
from middlewatch.reports.advice import AdviceReport, AdvisedSight
from middlewatch.runtime.narration import Narrator

NOW = Instant.parse("2026-05-03T01:10:00Z")
LATER = Instant.parse("2026-05-03T01:25:00Z")


def noted(sight: AdvisedSight) -> list[tuple[str, ...]]:
    """Return what is noted of advice whose own text is long."""
    advice = AdviceReport(NOW, "Wait. And much more.", sight)
    return [note.sentences for note in Narrator().notes(NOW, advice)]


def test_a_bearing_to_wait_for_is_one_line() -> None:
    """The mark, when, the bearing in whole tens, the area to hope for; a stop in a name does no harm."""
    sight = AdvisedSight("bearing", "St. Anne", LATER, 20.0, 30.0, 0.456)

    assert noted(sight) == [
        ("Advice: a bearing of St. Anne about 0125, when it bears 020 T; the area becomes about 0.46 nm.",)
    ]


def test_a_sight_for_now_names_no_bearing() -> None:
    """Nothing is lent that could be written down as seen."""
    sight = AdvisedSight("range", "St. Anne", NOW, None, None, 1.2)

    assert noted(sight) == [("Advice: a range of St. Anne now; the area becomes about 1.20 nm.",)]
