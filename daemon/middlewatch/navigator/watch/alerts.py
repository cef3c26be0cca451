"""Alerts: one for each subject, whatever number of conditions stands behind it.

Priorities and states follow IMO MSC.302(87): a warning or alarm wants to be acknowledged, a caution does not;
one that is over before it was acknowledged stays, as rectified, until it is. What came and went between two
reports is not said at all, and what has not changed is not said again, but for a warning that nobody
acknowledges. Only its own judge makes a condition graver: time does not.

The words of a condition stay as they were said while nothing changes in them but figures; each time it sounds
again they are the newest, and of several things only the gravest is said in full.
"""

from dataclasses import dataclass, field
from typing import NamedTuple

from middlewatch.navigator.timescale import Timescale
from middlewatch.navigator.watch.conditions import FIGURES, Condition, alike, named, said
from middlewatch.navigator.watch.sounding import Sounding, held_back
from middlewatch.reports.alert import (
    AlertName,
    AlertReport,
    AlertState,
    CommandReport,
    Pattern,
    Priority,
    SoundReport,
)

SILENCE_MS = 30_000
LAST_REVISION = 99
"""After it revisions begin again at 1."""
LAST_ESCALATION = 9
"""After it the count begins again at 1 (IEC 61162-1)."""

BY_ORDER = "order"
"""Who acknowledges, where it was an order."""

_WEIGHT: dict[Priority, int] = {"caution": 1, "warning": 2, "alarm": 3}


class Matter(NamedTuple):
    """Something that may be wrong: its subject, the condition's key, how much it matters."""

    subject: AlertName
    key: str
    priority: Priority


@dataclass(frozen=True, slots=True)
class Words:
    """What was last said of a subject."""

    priority: Priority
    state: AlertState
    text: str
    escalation: int = 0


@dataclass(slots=True)
class Standing:
    """How one subject stands: its conditions, since when any or none, and what was last said of it.

    `worded`: the first revision with the present words; `gone`: what cleared last; `by`: who acknowledged;
    `escalation`: how often its judges made it graver while it stood; `beside`: what is said beside them.
    """

    conditions: dict[str, Condition] = field(default_factory=dict)
    since_ms: int = 0
    silent_until_ms: int | None = None
    revision: int = 0
    said: Words | None = None
    gone: str = ""
    worded: int = 0
    escalation: int = 0
    by: str | None = None
    sounding: Sounding = field(default_factory=Sounding)
    beside: str = ""
    beside_in_short: str = ""

    @property
    def live(self) -> list[Condition]:
        """What is wrong now."""
        return [each for each in self.conditions.values() if each.over_ms is None]

    @property
    def wants_acknowledging(self) -> bool:
        """Whether somebody has yet to say that he knows of a condition, standing or over."""
        return any(each.wants_acknowledging for each in self.conditions.values())

    @property
    def state(self) -> AlertState:
        """The state that follows from the conditions."""
        grave = any(each.priority != "caution" for each in self.live)
        if self.wants_acknowledging:
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

    @property
    def pattern(self) -> Pattern | None:
        """How it sounds if it is to be heard now; None where nothing may be."""
        match self.state:
            case "active-unacknowledged":
                unheeded = [each.priority for each in self.live if each.wants_acknowledging]
                return "alarm" if "alarm" in unheeded else "warning"
            case "active" | "active-acknowledged" | "rectified-unacknowledged" if self.live:
                return "note"
            case _:
                return None

    def sound(self, name: AlertName, key: str, condition: Condition) -> None:
        """Let a new condition be heard."""
        if condition.priority != "caution":
            self.sounding.begin(condition.since_ms)
            return
        caution = f"{key}: {(condition.reason or '').translate(FIGURES)}"
        if name == "danger":
            self.sounding.noted_ms.pop(caution, None)
        self.sounding.note(caution, condition.since_ms)

    def has_said(self, revision: int) -> bool:
        """Return whether the present words and priority were said under a revision."""
        worded = self.worded or self.revision
        since = (self.revision - worded) % LAST_REVISION
        return 1 <= revision <= LAST_REVISION and (revision - worded) % LAST_REVISION <= since

    def reword(self) -> None:
        """Let every condition that stands be said in its newest words."""
        for each in self.live:
            each.text, each.newest = each.newest or each.text, ""

    def text(self, scale: Timescale) -> str:
        """Say it, what stands before what is over, the gravest first; of several each with when it began."""
        if not self.conditions:
            return f"over at {scale.utc(self.since_ms).clock}: {self.gone}"
        # Its next act is the one to be read, and all that a display has room for may be the first words.
        worst_first = sorted(
            self.conditions.values(), key=lambda each: (each.over_ms is not None, -_WEIGHT[each.priority])
        )
        several = len(worst_first) > 1
        beside = self.beside if self.live else ""
        if self.sounding.repeats and (several or beside):
            return self._again(worst_first, scale)
        words = [said(each, scale, timed=several) for each in worst_first]
        return "; ".join([*words, beside] if beside else words)

    def _again(self, worst_first: list[Condition], scale: Timescale) -> str:
        """Say it once more, in two sentences: the gravest with the next act, and what else there is."""
        worst, *others = worst_first
        also = [named(each, scale) for each in others]
        if self.beside_in_short:
            also.append(self.beside_in_short)
        words = said(worst, scale, timed=bool(others))
        return f"{words}. Also {', '.join(also)}" if also else words


@dataclass(slots=True)
class Alerts:
    """All subjects that ever had a condition; `changed` are to be looked at when alerts are next said.

    `answered`: what came of commands from the bus, to be said with them.
    """

    standing: dict[AlertName, Standing] = field(default_factory=dict)
    changed: list[AlertName] = field(default_factory=list)
    again: bool = False
    answered: list[CommandReport] = field(default_factory=list)

    def raise_(  # noqa: PLR0913 -- the reason is named where it is given
        self,
        name: AlertName,
        key: str,
        priority: Priority,
        text: str,
        at_ms: int,
        *,
        reason: str | None = None,
    ) -> None:
        """Raise a condition; one that stands is new again by another priority, or another `reason`.

        Otherwise, where more than figures has changed in its words, it has the new ones, unheard.
        """
        standing = self.standing.setdefault(name, Standing())
        had = standing.conditions.get(key)
        if had is not None and had.again(priority, reason):
            had.newest = "" if text == had.text else text
            if not alike(had.text, text):
                had.text = text
                self._look_at(name)
            return
        if not standing.live:
            standing.since_ms, standing.escalation, standing.by = at_ms, 0, None
        elif _WEIGHT[priority] > max(_WEIGHT[each.priority] for each in standing.live):
            standing.escalation = standing.escalation % LAST_ESCALATION + 1
        condition = Condition(priority, text, at_ms, reason=reason)
        standing.conditions[key] = condition
        if had is not None and had.over_ms is None and _WEIGHT[priority] < _WEIGHT[had.priority]:
            condition.acknowledged = had.acknowledged  # it only matters less: nothing new is to be heard
        else:
            standing.sound(name, key, condition)
        if condition.wants_acknowledging:
            standing.silent_until_ms = standing.by = None
        self._settle(standing)
        self._look_at(name)

    def stand(self, matter: Matter, words: str | None, at_ms: int) -> None:
        """Raise a matter in words while it holds, clear it when it does no more (None).

        It is asked of each matter at each tick, and hardly any holds: words are made only of those that do.
        """
        subject, key, priority = matter
        if words is not None:
            self.raise_(subject, key, priority, words, at_ms)
        elif (standing := self.standing.get(subject)) is not None and key in standing.conditions:
            self.clear(subject, key, at_ms)

    def correct(self, matter: Matter, words: str) -> None:
        """Have what stands said in other words at once and unheard, be they other in figures only."""
        standing = self.standing.get(matter.subject)
        had = None if standing is None else standing.conditions.get(matter.key)
        if had is not None and had.text != words:
            had.text, had.newest = words, ""
            self._look_at(matter.subject)

    def beside(self, name: AlertName, words: str, in_short: str = "") -> None:
        """Have something said beside what stands of a subject, unheard; empty: nothing more.

        `in_short`: what is said of it when the alert sounds again.
        """
        standing = self.standing.get(name)
        if standing is None:
            return
        anew = not alike(standing.beside, words)
        # Other figures alone are no reason to say it, but whenever it is said the newest are.
        standing.beside, standing.beside_in_short = words, in_short
        if anew:
            self._look_at(name)

    def speaks(self, name: AlertName, *, besides: frozenset[str] = frozenset()) -> bool:
        """Return whether anything of a subject stands, besides some conditions."""
        standing = self.standing.get(name)
        live = {} if standing is None else standing.conditions
        return any(each.over_ms is None and key not in besides for key, each in live.items())

    def stands(self, name: AlertName, key: str) -> bool:
        """Return whether one condition of a subject stands."""
        standing = self.standing.get(name)
        condition = None if standing is None else standing.conditions.get(key)
        return condition is not None and condition.over_ms is None

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
        self._settle(standing)
        self._look_at(name)

    def acknowledge(self, name: AlertName, by: str = BY_ORDER) -> str:
        """Acknowledge; return what came of it, in words."""
        standing = self.standing[name]
        state = standing.state
        if not standing.wants_acknowledging:
            return f"{name}: {_at_rest(state)}, nothing to acknowledge"
        words = f"{name} {standing.priority} acknowledged; it "
        for key, condition in list(standing.conditions.items()):
            condition.acknowledged = True
            if condition.over_ms is not None:
                standing.gone = standing.conditions.pop(key).text
        standing.silent_until_ms, standing.by = None, by
        standing.sounding.hush()
        standing.sounding.notes_due.clear()
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
        """End silences whose 30 s are over, and look at what is to be heard."""
        for name, standing in self.standing.items():
            if standing.silent_until_ms is not None and at_ms >= standing.silent_until_ms:
                standing.silent_until_ms = None
                standing.sounding.resume(at_ms)
                self._look_at(name)
            if not standing.sounding.is_due(at_ms):
                continue
            pattern = standing.pattern
            if pattern is not None and standing.sounding.wants(pattern, at_ms):
                self._look_at(name)

    def say_again(self) -> None:
        """Have every alert said once more as it stands, under the same revision: after a restart."""
        self.again = True
        for name in self.standing:
            self._look_at(name)

    def told(
        self, now_ms: int, scale: Timescale, quiet_until_ms: int | None
    ) -> tuple[AlertReport | SoundReport | CommandReport, ...]:
        """Return what is to be said and what is to be heard, and what came of commands from the bus."""
        heard = [
            (name, pattern) for name in self.changed if (pattern := self._heard(name, now_ms, quiet_until_ms))
        ]
        reports = self.said(now_ms, scale)
        sounds = [
            SoundReport(scale.utc(now_ms), name, standing.revision, pattern, standing.said.text)
            for name, pattern in heard
            if (standing := self.standing[name]).said is not None
        ]
        answered, self.answered = self.answered, []
        return (*reports, *sounds, *answered)

    def said(self, now_ms: int, scale: Timescale) -> tuple[AlertReport, ...]:
        """Return the alerts that are otherwise than last said, each one revision on."""
        reports = [
            report for name in self.changed if (report := self._report(name, now_ms, scale)) is not None
        ]
        self.changed.clear()
        self.again = False
        return tuple(reports)

    def _heard(self, name: AlertName, now_ms: int, quiet_until_ms: int | None) -> Pattern | None:
        """Let a subject sound if it is due; return how, None where it does not."""
        standing = self.standing[name]
        pattern = standing.pattern
        if pattern is None or not standing.sounding.wants(pattern, now_ms):
            return None
        if held_back(name, pattern, now_ms, quiet_until_ms):
            return None
        if standing.sounding.heard(pattern, now_ms):
            standing.reword()
        return pattern

    @staticmethod
    def _settle(standing: Standing) -> None:
        """Let nothing be heard of what does not stand, or wants no acknowledging any more."""
        if standing.state not in ("active-unacknowledged", "active-silenced"):
            standing.sounding.hush()
        if not standing.live:
            standing.sounding.notes_due.clear()

    def _report(self, name: AlertName, now_ms: int, scale: Timescale) -> AlertReport | None:
        standing = self.standing[name]
        before = standing.said
        if before is None and not standing.conditions:
            return None  # it came and went before anything was said of it
        words = Words(standing.priority, standing.state, standing.text(scale), standing.escalation)
        if before is not None and before.state == words.state == "normal":
            words = before
        if words != before:
            standing.said = words
            standing.revision = standing.revision % LAST_REVISION + 1
            if before is None or (before.priority, before.text) != (words.priority, words.text):
                standing.worded = standing.revision
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
            by=standing.by,
            escalation=words.escalation,
        )

    def _look_at(self, name: AlertName) -> None:
        if name not in self.changed:
            self.changed.append(name)


def _at_rest(state: AlertState) -> str:
    return {"active": "a caution", "active-acknowledged": "acknowledged already"}.get(state, state)
