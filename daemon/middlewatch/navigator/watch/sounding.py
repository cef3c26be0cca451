"""Sounding: when an alert is to be heard, and how.

A caution sounds one soft note, once, and the same one not again within the hour, but for a danger: an area
that grows too wide between sights would be heard after every sight. A warning sounds as it is raised, again
after a minute, then each five minutes; an alarm each ten seconds, so that nothing has to be told to stop;
both until they are acknowledged. (The design's section 9; the hour and the ten seconds are judgement: the
standard that orders the sounds was not seen.) Quiet holds back all but alarms and danger, and what still
stands at its end is heard then.
"""

from dataclasses import dataclass, field

from middlewatch.quantities.instants import MS_PER_HOUR, MS_PER_MINUTE, MS_PER_SECOND
from middlewatch.reports.alert import Pattern

ALARM_EVERY_MS = 10 * MS_PER_SECOND
NOTED_AGAIN_AFTER_MS = MS_PER_HOUR
AGAIN_AFTER_MS = MS_PER_MINUTE
AGAIN_EVERY_MS = 5 * MS_PER_MINUTE


@dataclass(slots=True)
class Sounding:
    """How one subject sounds.

    `due_ms`: when what wants acknowledging is to be heard next, None where nothing does; `times`: how often
    it has been; `reworded_ms`: when its words were last the newest; `notes_due`: cautions that have come and
    have not been heard; `noted_ms`: when each of the last hour was.
    """

    due_ms: int | None = None
    times: int = 0
    reworded_ms: int = 0
    notes_due: list[str] = field(default_factory=list)
    noted_ms: dict[str, int] = field(default_factory=dict)

    def begin(self, at_ms: int) -> None:
        """Let a new warning or alarm be heard; what sounds already sounds anew."""
        self.due_ms, self.times = at_ms, 0

    def note(self, caution: str, at_ms: int) -> None:
        """Let a new caution's note be heard, where it was not within the hour."""
        self.noted_ms = {each: ms for each, ms in self.noted_ms.items() if at_ms - ms < NOTED_AGAIN_AFTER_MS}
        if caution not in self.noted_ms and caution not in self.notes_due:
            self.notes_due.append(caution)

    @property
    def repeats(self) -> bool:
        """Whether what wants acknowledging has been heard more than once."""
        return self.times > 1

    def resume(self, at_ms: int) -> None:
        """Let what was silenced be heard again."""
        self.due_ms = at_ms

    def hush(self) -> None:
        """Let nothing that wants acknowledging be heard any more; a caution's note still may."""
        self.due_ms, self.times = None, 0

    def is_due(self, now_ms: int) -> bool:
        """Return whether anything might be heard now, in whatever pattern."""
        return bool(self.notes_due) or (self.due_ms is not None and now_ms >= self.due_ms)

    def wants(self, pattern: Pattern, now_ms: int) -> bool:
        """Return whether this would be heard now, were it allowed: no note beside what sounds by itself."""
        if pattern == "note":
            return bool(self.notes_due)
        return self.due_ms is not None and now_ms >= self.due_ms

    def heard(self, pattern: Pattern, now_ms: int) -> bool:
        """Take note that it is heard now; return whether its words are to be the newest for it."""
        # Whatever sounds tells of the cautions too.
        self.noted_ms |= dict.fromkeys(self.notes_due, now_ms)
        self.notes_due.clear()
        if pattern == "note":
            return False
        first, self.times = self.times == 0, self.times + 1
        if pattern == "alarm":
            self.due_ms = now_ms + ALARM_EVERY_MS
            renewed = not first and now_ms - self.reworded_ms >= AGAIN_AFTER_MS
        else:
            self.due_ms = now_ms + (AGAIN_AFTER_MS if first else AGAIN_EVERY_MS)
            renewed = not first
        if first or renewed:
            self.reworded_ms = now_ms
        return renewed


def held_back(name: str, pattern: Pattern, now_ms: int, quiet_until_ms: int | None) -> bool:
    """Return whether quiet holds a sound back: all but alarms and danger."""
    quiet = quiet_until_ms is not None and now_ms < quiet_until_ms
    return quiet and pattern != "alarm" and name != "danger"
