"""What the deck log notes of an alert: all of it when it is raised, and after that what is new in its words.

An alert says the same thing again with each revision, for whoever reads it alone. A log is read down, and
what stands there already is not wanted again.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

from middlewatch.quantities.instants import MS_PER_MINUTE, Instant
from middlewatch.reports.alert import AlertName, AlertReport

_AGAIN_AFTER_MS = MS_PER_MINUTE
"""What nobody acknowledges is heard again after a minute and more, and noted again as often."""
_BEGAN = re.compile(r"\d{4} ")
"""The time before a condition's words, which stands there only beside others."""


@dataclass(slots=True)
class _Noted:
    """What has been noted of an alert since it was raised: how it was at the last note, and every clause."""

    alert: AlertReport
    clauses: set[str]
    raised: Instant = field(init=False)

    def __post_init__(self) -> None:
        self.raised = self.alert.at


class AlertNotes:
    """Says of each alert what the log has not said yet."""

    def __init__(self) -> None:
        self._noted: dict[AlertName, _Noted] = {}

    def words(self, alert: AlertReport, *, answered: bool = False) -> str | None:
        """Return what is to be noted of a report, None where nothing is.

        `answered`: an answer has said just now that it is acknowledged, and stands.
        """
        noted = self._noted.get(alert.name)
        if alert.state == "normal":
            self._noted.pop(alert.name, None)
            of = "" if noted is None else f" of {noted.raised.clock}"
            return f"{alert.name} {alert.priority}{of} over"
        clauses = list(_clauses(alert.text))
        if noted is None:
            self._noted[alert.name] = _Noted(alert, set(map(_plain, clauses)))
            return _in_words(alert, _prefix(alert), alert.text)
        new = list(_unsaid(clauses, noted.clauses))
        before = noted.alert
        turned = (before.priority, before.state) != (alert.priority, alert.state) and not answered
        unheeded = alert.state == before.state == "active-unacknowledged"
        again = unheeded and alert.at.ms - before.at.ms >= _AGAIN_AFTER_MS
        noted.clauses |= set(map(_plain, clauses))
        if not (new or turned or again):
            noted.alert = replace(alert, at=before.at)
            return None
        noted.alert = alert
        if again:
            return _in_words(alert, _prefix(alert), alert.text)
        # Where only its state is another, the gravest thing is named for it to be known by.
        prefix = f"{alert.priority.upper()}, {alert.name} since {noted.raised.clock}: "
        return _in_words(alert, prefix, "; ".join(new or clauses[:1]))


def _clauses(text: str) -> Iterator[str]:
    """Yield the clauses of an alert's words: they end at a semicolon that stands in no brackets."""
    depth = began = 0
    for place, letter in enumerate(text):
        depth += (letter == "(") - (letter == ")")
        if letter == ";" and not depth:
            yield text[began:place].strip()
            began = place + 1
    yield text[began:].strip()


def _unsaid(clauses: Sequence[str], said: set[str]) -> Iterator[str]:
    """Yield the clauses that are new, and the next act that goes with one."""
    goes_on = False
    for clause in clauses:
        act = not re.search(r"\d", clause)
        if _plain(clause) not in said or (goes_on and act):
            goes_on = True
            yield clause
        else:
            goes_on = False


def _plain(clause: str) -> str:
    return _BEGAN.sub("", clause, count=1) if _BEGAN.match(clause) else clause


def _prefix(alert: AlertReport) -> str:
    return f"{alert.priority.upper()}: "


def _in_words(alert: AlertReport, prefix: str, text: str) -> str:
    name = f"{alert.name} {alert.priority}"
    if alert.state == "rectified-unacknowledged":
        return f"{name} over, but nobody has acknowledged it (revision {alert.revision}): {text}"
    if alert.state in ("active-acknowledged", "active-silenced"):
        return f"{name} {alert.state.removeprefix('active-')}, and it stands: {text}"
    acknowledge = f" (acknowledge {alert.name}, revision {alert.revision})"
    return f"{prefix}{text}{acknowledge if alert.priority != 'caution' else ''}"
