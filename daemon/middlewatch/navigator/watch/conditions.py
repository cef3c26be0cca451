"""A condition: one thing that is wrong with a subject, in words that stay while only figures change."""

import re
from dataclasses import dataclass

from middlewatch.navigator.timescale import Timescale
from middlewatch.reports.alert import Priority

FIGURES = str.maketrans("", "", "0123456789.:+-")
_HEAD = re.compile(r"[:;,] ")
_ASIDE = re.compile(r" \([^()]*[:;,] [^()]*\)")
"""What is said in brackets at such length that it is no head."""


@dataclass(slots=True)
class Condition:
    """One thing that is wrong: how much it matters, in words, since when, and when it was over.

    `reason`: why it stands, where its judge says; `newest`: its words as they would be now, empty where
    they are the same.
    """

    priority: Priority
    text: str
    since_ms: int
    acknowledged: bool = False
    over_ms: int | None = None
    reason: str | None = None
    newest: str = ""

    def again(self, priority: Priority, reason: str | None) -> bool:
        """Return whether this is only raised again, and is nothing new."""
        same_reason = alike(self.reason or "", reason or "")
        return self.over_ms is None and self.priority == priority and same_reason

    @property
    def wants_acknowledging(self) -> bool:
        """Whether somebody has yet to say that he knows."""
        return self.priority != "caution" and not self.acknowledged


def said(condition: Condition, scale: Timescale, *, timed: bool) -> str:
    """Return a condition in full, with when it was over; `timed`: with when it began."""
    began = f"{scale.utc(condition.since_ms).clock} " if timed else ""
    over = "" if condition.over_ms is None else f" (over at {scale.utc(condition.over_ms).clock})"
    return f"{began}{condition.text}{over}"


def named(condition: Condition, scale: Timescale) -> str:
    """Return the head of a condition's words, with when it began, and when it was over."""
    head = _HEAD.split(_ASIDE.sub("", condition.text), maxsplit=1)[0]
    over = "" if condition.over_ms is None else f" (over at {scale.utc(condition.over_ms).clock})"
    return f"{head} since {scale.utc(condition.since_ms).clock}{over}"


def alike(one: str, other: str) -> bool:
    """Return whether two texts are the same but for figures."""
    return one == other or one.translate(FIGURES) == other.translate(FIGURES)
