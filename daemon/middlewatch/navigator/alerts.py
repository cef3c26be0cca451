"""Alerts: one for each subject, whatever number of conditions stands behind it.

Priorities and states follow IMO MSC.302(87): a warning or alarm wants to be acknowledged, a caution does not; one
that clears before it was acknowledged stays as rectified until it is.
"""

from dataclasses import dataclass, field

from middlewatch.navigator.timescale import Timescale
from middlewatch.reports.alert import AlertName, AlertReport, AlertState, Priority

SILENCE_MS = 30_000
_WEIGHT: dict[Priority, int] = {"caution": 1, "warning": 2, "alarm": 3}


@dataclass(frozen=True, slots=True)
class Condition:
    """One thing that is wrong: how much it matters, and in words."""

    priority: Priority
    text: str


@dataclass(slots=True)
class Standing:
    """How one subject stands: its conditions by key, and what was last said of it."""

    conditions: dict[str, Condition] = field(default_factory=dict)
    priority: Priority = "caution"
    state: AlertState = "normal"
    text: str = ""
    since_ms: int = 0
    revision: int = 0
    silent_until_ms: int | None = None


@dataclass(slots=True)
class Alerts:
    """All subjects that ever had a condition; `changed` are those to be said again."""

    standing: dict[AlertName, Standing] = field(default_factory=dict)
    changed: list[AlertName] = field(default_factory=list)

    def raise_(self, name: AlertName, key: str, priority: Priority, text: str, at_ms: int) -> None:
        """Raise a condition; one that stands already is not said again unless its priority changes."""
        standing = self.standing.setdefault(name, Standing())
        had = standing.conditions.get(key)
        if had is not None and had.priority == priority:
            return
        standing.conditions[key] = Condition(priority, text)
        self._restate(name, at_ms, anew=had is None or _WEIGHT[priority] > _WEIGHT[had.priority])

    def clear(self, name: AlertName, key: str, at_ms: int) -> None:
        """Take a condition away."""
        standing = self.standing.get(name)
        if standing is not None and standing.conditions.pop(key, None) is not None:
            self._restate(name, at_ms, anew=False)

    def acknowledge(self, name: AlertName, at_ms: int) -> str:
        """Acknowledge; return what came of it, in words."""
        standing = self.standing[name]
        if standing.state in ("active-unacknowledged", "active-silenced"):
            self._say(name, "active-acknowledged", at_ms)
            return f"{name} {standing.priority} acknowledged; it still stands"
        if standing.state == "rectified-unacknowledged":
            self._say(name, "normal", at_ms)
            return f"{name} acknowledged; it had cleared"
        return f"{name} is {standing.state}: nothing to acknowledge"

    def silence(self, name: AlertName, at_ms: int) -> str:
        """Silence for 30 s; return what came of it, in words."""
        standing = self.standing[name]
        if standing.state != "active-unacknowledged":
            return f"{name} is {standing.state}: nothing sounds"
        standing.silent_until_ms = at_ms + SILENCE_MS
        self._say(name, "active-silenced", at_ms)
        return f"{name} silent for 30 s"

    def tick(self, at_ms: int) -> None:
        """End silences whose 30 s are over."""
        for name, standing in self.standing.items():
            over = standing.silent_until_ms is not None and at_ms >= standing.silent_until_ms
            if over and standing.state == "active-silenced":
                self._say(name, "active-unacknowledged", at_ms)

    def say_again(self) -> None:
        """Let every alert that stands be said again: after a restart nobody may have kept it."""
        self.changed = [name for name, standing in self.standing.items() if standing.state != "normal"]

    def said(self, now_ms: int, scale: Timescale) -> tuple[AlertReport, ...]:
        """Return the alerts that changed since last asked, and forget that they did."""
        reports = tuple(
            AlertReport(name, scale.utc(now_ms), s.priority, s.state, s.text, scale.utc(s.since_ms), s.revision)
            for name in self.changed
            for s in (self.standing[name],)
        )
        self.changed.clear()
        return reports

    def _restate(self, name: AlertName, at_ms: int, *, anew: bool) -> None:
        standing = self.standing[name]
        if not standing.conditions:
            unheard = standing.state in ("active-unacknowledged", "active-silenced")
            self._say(name, "rectified-unacknowledged" if unheard else "normal", at_ms)
            return
        worst = sorted(standing.conditions.values(), key=lambda c: -_WEIGHT[c.priority])
        standing.priority = worst[0].priority
        standing.text = "; ".join(condition.text for condition in worst)
        if standing.state in ("normal", "rectified-unacknowledged"):
            standing.since_ms = at_ms
        if standing.priority == "caution":
            state: AlertState = "active"
        elif anew or standing.state in ("normal", "active", "rectified-unacknowledged"):
            state = "active-unacknowledged"
        else:
            state = standing.state
        self._say(name, state, at_ms)

    def _say(self, name: AlertName, state: AlertState, at_ms: int) -> None:
        standing = self.standing[name]
        if state == "normal":
            standing.since_ms = at_ms
        standing.state = state
        standing.revision = standing.revision % 99 + 1
        if name not in self.changed:
            self.changed.append(name)
