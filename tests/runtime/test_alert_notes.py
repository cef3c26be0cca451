"""What the log notes of an alert: all of it once, then what is new, and what is heard again."""

from dataclasses import replace

import pytest

from middlewatch.quantities.instants import Instant
from middlewatch.reports.alert import AlertReport
from middlewatch.runtime.alert_notes import AlertNotes

AT = Instant.parse("2026-05-02T22:45:00Z")
PARTING = "satellites parting (GP@bow): 3.0 kn (set in; 2245), no more; log or receiver; take a bearing"
CAUSES = "likeliest the log (60 %: it stands; 2245 (b1)), else a stream (40 %)"


def alert(text: str, *, seconds: int = 0, state: str = "active", priority: str = "caution") -> AlertReport:
    """Return the satellite alert as it stands so many seconds after it was raised."""
    at = Instant(AT.ms + 1000 * seconds)
    return AlertReport("satellite", at, priority, state, text, AT, 4)  # type: ignore[arg-type] # words of the table


def noted(*alerts: AlertReport) -> list[str | None]:
    """Return what a new log notes of them."""
    notes = AlertNotes()
    return [notes.words(each) for each in alerts]


def test_raised_it_is_noted_in_full() -> None:
    """Word for word as it is said."""
    assert noted(alert(PARTING)) == [f"CAUTION: {PARTING}"]


def test_then_only_what_is_new() -> None:
    """A clause that is added is noted with since when the alert stands; brackets hold their semicolons."""
    assert noted(alert(PARTING), alert(f"{PARTING}; {CAUSES}", seconds=50)) == [
        f"CAUTION: {PARTING}",
        f"CAUTION, satellite since 2245: {CAUSES}",
    ]


def test_what_is_taken_away_is_no_note() -> None:
    """Fewer words, or the same with the time before them, are nothing new."""
    assert noted(alert(f"{PARTING}; {CAUSES}"), alert(PARTING, seconds=300))[1] is None
    assert noted(alert(PARTING), alert(f"2245 {PARTING}", seconds=9))[1] is None


def test_a_new_condition_keeps_its_next_act() -> None:
    """`take a bearing` was said of the first already; of the second it is said again, after its own words."""
    wide = "2253 satellite position 0.51 nm 165 T of the EP; take a bearing"

    assert noted(alert(PARTING), alert(f"{wide}; 2245 {PARTING}", seconds=480))[1] == (
        f"CAUTION, satellite since 2245: {wide}"
    )


def test_graver_it_is_a_warning_with_what_made_it_one() -> None:
    """The new priority stands in front, how to acknowledge it behind."""
    words = noted(
        alert(PARTING),
        alert(
            f"two lines exclude it at 39 degrees; {PARTING}",
            seconds=700,
            state="active-unacknowledged",
            priority="warning",
        ),
    )[1]

    assert words == (
        "WARNING, satellite since 2245: two lines exclude it at 39 degrees"
        " (acknowledge satellite, revision 4)"
    )


@pytest.mark.parametrize(("seconds", "again"), [(59, False), (60, True), (360, True)])
def test_what_nobody_acknowledges_is_noted_each_time_it_is_heard(seconds: int, again: bool) -> None:
    """A minute on and more it stands there in full once more; within the minute nothing is new."""
    first = alert(PARTING, state="active-unacknowledged", priority="warning")
    words = noted(first, replace(first, at=Instant(AT.ms + 1000 * seconds)))[1]

    assert words == (f"WARNING: {PARTING} (acknowledge satellite, revision 4)" if again else None)


def test_an_answer_that_says_so_stands_for_the_acknowledged_alert() -> None:
    """The order's answer has just told it; without one the gravest thing is named."""
    warning = alert(PARTING, state="active-unacknowledged", priority="warning")
    known = replace(warning, state="active-acknowledged")
    answered, alone = AlertNotes(), AlertNotes()
    answered.words(warning)
    alone.words(warning)

    assert answered.words(known, answered=True) is None
    assert alone.words(known) == (
        "satellite warning acknowledged, and it stands:"
        " satellites parting (GP@bow): 3.0 kn (set in; 2245), no more"
    )


def test_over_it_is_begun_anew() -> None:
    """The note of its end names when it was raised; raised again it is noted in full."""
    assert noted(alert(PARTING), alert("over at 2250", seconds=300, state="normal"), alert(PARTING)) == [
        f"CAUTION: {PARTING}",
        "satellite caution of 2245 over",
        f"CAUTION: {PARTING}",
    ]
