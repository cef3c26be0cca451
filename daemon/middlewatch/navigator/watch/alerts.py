"""Alerts: one for each subject, whatever number of conditions stands behind it.

Priorities and states follow IMO MSC.302(87): a warning or alarm wants to be acknowledged, a caution does not;
one that is over before it was acknowledged stays, as rectified, until it is. What came and went between two
reports is not said at all, and what has not changed is not said again.
"""

from dataclasses import dataclass, field

from middlewatch.navigator.timescale import Timescale
from middlewatch.reports.alert import AlertName, AlertReport, AlertState, Priority

SILENCE_MS = 30_000
LAST_REVISION = 99
"""After it revisions begin again at 1."""

_WEIGHT: dict[Priority, int] = {"caution": 1, "warning": 2, "alarm": 3}


@dataclass(slots=True)
class Condition:
    """One thing that is wrong: how much it matters, in words, since when, and when it was over."""

    priority: Priority
    text: str
    since_ms: int
    acknowledged: bool = False
    over_ms: int | None = None

    @property
    def wants_acknowledging(self) -> bool:
        """Whether somebody has yet to say that he knows."""
        return self.priority != "caution" and not self.acknowledged


@dataclass(frozen=True, slots=True)
class Words:
    """What was last said of a subject."""

    priority: Priority
    state: AlertState
    text: str


@dataclass(slots=True)
class Standing:
    """How one subject stands: its conditions, since when any or none, and what was last said of it."""

    conditions: dict[str, Condition] = field(default_factory=dict)
    since_ms: int = 0
    silent_until_ms: int | None = None
    revision: int = 0
    said: Words | None = None
    gone: str = ""  # what cleared last

    @property
    def live(self) -> list[Condition]:
        """What is wrong now."""
        return [each for each in self.conditions.values() if each.over_ms is None]

    @property
    def state(self) -> AlertState:
        """The state that follows from the conditions."""
        grave = any(each.priority != "caution" for each in self.live)
        if any(each.wants_acknowledging for each in self.conditions.values()):
            if not grave:
                return "rectified-unacknowledged"
            return "active-unacknowledged" if self.silent_until_ms is None else "active-silenced"
        if grave:
            return "active-acknowledged"
        return "active" if self.live else "normal"

    @property
    def priority(self) -> Priority:
        """The gravest condition's priority; once all is well, what it was."""
        if not self.conditions:
            return "caution" if self.said is None else self.said.priority
        return max((each.priority for each in self.conditions.values()), key=_WEIGHT.__getitem__)

    def text(self, scale: Timescale) -> str:
        """Say it, the gravest first; where there are several, each with the time it began."""
        if not self.conditions:
            return f"over at {scale.utc(self.since_ms).clock}: {self.gone}"
        worst_first = sorted(self.conditions.values(), key=lambda each: -_WEIGHT[each.priority])
        several = len(worst_first) > 1
        return "; ".join(_said(each, scale, timed=several) for each in worst_first)


@dataclass(slots=True)
class Alerts:
    """All subjects that ever had a condition; `changed` are to be looked at when alerts are next said."""

    standing: dict[AlertName, Standing] = field(default_factory=dict)
    changed: list[AlertName] = field(default_factory=list)
    again: bool = False

    def raise_(self, name: AlertName, key: str, priority: Priority, text: str, at_ms: int) -> None:
        """Raise a condition; one that stands already is not raised again unless its priority changes."""
        standing = self.standing.setdefault(name, Standing())
        had = standing.conditions.get(key)
        if had is not None and had.over_ms is None and had.priority == priority:
            return
        if not standing.live:
            standing.since_ms = at_ms
        condition = Condition(priority, text, at_ms)
        if had is not None and _WEIGHT[priority] < _WEIGHT[had.priority]:
            condition.acknowledged = had.acknowledged
        if condition.wants_acknowledging:
            standing.silent_until_ms = None
        standing.conditions[key] = condition
        self._look_at(name)

    def clear(self, name: AlertName, key: str, at_ms: int) -> None:
        """Take a condition away; a warning that nobody acknowledged stays until somebody does."""
        standing = self.standing.get(name)
        condition = None if standing is None else standing.conditions.get(key)
        if standing is None or condition is None or condition.over_ms is not None:
            return
        condition.over_ms = at_ms
        if not condition.wants_acknowledging:
            standing.gone = standing.conditions.pop(key).text
        if not standing.live:
            standing.since_ms, standing.silent_until_ms = at_ms, None
        self._look_at(name)

    def acknowledge(self, name: AlertName) -> str:
        """Acknowledge; return what came of it, in words."""
        standing = self.standing[name]
        state = standing.state
        if not any(each.wants_acknowledging for each in standing.conditions.values()):
            return f"{name}: {_at_rest(state)}, nothing to acknowledge"
        words = f"{name} {standing.priority} acknowledged; it "
        for key, condition in list(standing.conditions.items()):
            condition.acknowledged = True
            if condition.over_ms is not None:
                standing.gone = standing.conditions.pop(key).text
        standing.silent_until_ms = None
        self._look_at(name)
        return words + ("was over already" if state == "rectified-unacknowledged" else "still stands")

    def silence(self, name: AlertName, at_ms: int) -> str:
        """Silence for 30 s; return what came of it, in words."""
        standing = self.standing[name]
        if standing.state not in ("active-unacknowledged", "active-silenced"):
            return f"{name}: {_at_rest(standing.state)}, nothing sounds"
        standing.silent_until_ms = at_ms + SILENCE_MS
        self._look_at(name)
        return f"{name} {standing.priority} silent for 30 s; it is not acknowledged"

    def tick(self, at_ms: int) -> None:
        """End silences whose 30 s are over."""
        for name, standing in self.standing.items():
            if standing.silent_until_ms is not None and at_ms >= standing.silent_until_ms:
                standing.silent_until_ms = None
                self._look_at(name)

    def say_again(self) -> None:
        """Have every alert said once more as it stands, under the same revision: after a restart."""
        self.again = True
        for name in self.standing:
            self._look_at(name)

    def said(self, now_ms: int, scale: Timescale) -> tuple[AlertReport, ...]:
        """Return the alerts that are otherwise than last said, each one revision on."""
        reports = [
            report for name in self.changed if (report := self._report(name, now_ms, scale)) is not None
        ]
        self.changed.clear()
        self.again = False
        return tuple(reports)

    def _report(self, name: AlertName, now_ms: int, scale: Timescale) -> AlertReport | None:
        standing = self.standing[name]
        before = standing.said
        if before is None and not standing.conditions:
            return None  # it came and went before anything was said of it
        words = Words(standing.priority, standing.state, standing.text(scale))
        if before is not None and before.state == words.state == "normal":
            words = before
        if words != before:
            standing.said = words
            standing.revision = standing.revision % LAST_REVISION + 1
        elif not self.again:
            return None
        return AlertReport(
            name=name,
            at=scale.utc(now_ms),
            priority=words.priority,
            state=words.state,
            text=words.text,
            since=scale.utc(standing.since_ms),
            revision=standing.revision,
        )

    def _look_at(self, name: AlertName) -> None:
        if name not in self.changed:
            self.changed.append(name)


def _said(condition: Condition, scale: Timescale, *, timed: bool) -> str:
    began = f"{scale.utc(condition.since_ms).clock} " if timed else ""
    over = "" if condition.over_ms is None else f" (over at {scale.utc(condition.over_ms).clock})"
    return f"{began}{condition.text}{over}"


def _at_rest(state: AlertState) -> str:
    return {"active": "a caution", "active-acknowledged": "acknowledged already"}.get(state, state)
