"""What was advised last: kept, so that advice is given rarely, and anew only when it changes."""

from dataclasses import dataclass, replace

from middlewatch.navigator.watch.conditions import alike
from middlewatch.quantities.instants import MS_PER_MINUTE
from middlewatch.reports.advice import AdvisedSight, SettlesReport, SightKind

RARELY_MS = 10 * MS_PER_MINUTE
LOOKED_EVERY_MS = 5 * MS_PER_MINUTE
ANOTHER_AREA = 1.2


@dataclass(frozen=True, slots=True)
class Act:
    """What is to be done: sight which mark how, at once or later, and the area to hope for (nm)."""

    kind: SightKind
    mark: str
    later: bool
    area_after_nm: float

    def like(self, other: "Act | None") -> bool:
        """Say whether another act is the same, and the area after it about as small."""
        if other is None or (self.kind, self.mark, self.later) != (other.kind, other.mark, other.later):
            return False
        smaller, larger = sorted((self.area_after_nm, other.area_after_nm))
        return larger < ANOTHER_AREA * smaller


@dataclass(slots=True)
class Advised:
    """The last advice: when it was given (None: never), and the act (None: no sight was worth it).

    `entered`: a sighting or an order has changed things since it was looked at last; `alerted`: an alert.
    `done`: the sight was taken, so the same once more is news; `text`, `sight`: as it was said;
    `settles`: what would settle a doubt about the satellites; `settles_by`: of a change found newest when.
    """

    said_ms: int | None = None
    act: Act | None = None
    entered: bool = False
    alerted: bool = False
    done: bool = False
    text: str = ""
    sight: AdvisedSight | None = None
    settles: SettlesReport | None = None
    settles_by: int | None = None

    def settled(self, settles: SettlesReport | None, found: int | None) -> bool:
        """Take up what would settle a doubt now; say whether that is another sight, or none any more.

        The same sight is another once it need not be waited for any more; figures make none, but where the
        change that makes the gap grow is known better: `found`, when it was found newest.
        """
        before, self.settles = self.settles, settles
        if before is None or settles is None:
            self.settles_by = found
            return before is not settles
        figures = self.settles_by != found and before.text != settles.text
        if figures:
            self.settles_by = found
        return figures or before.mark != settles.mark or not alike(before.text, settles.text)

    def hold(self, text: str, now_ms: int) -> bool:
        """Ask for nothing, and give the reason; say whether that takes anything back."""
        if self.text == text or (self.said_ms is None and self.settles is None):
            return False
        # Whatever comes after it is news, be it that no sight is worth it.
        self.said_ms, self.act, self.sight, self.settles, self.done = now_ms, None, None, None, True
        self.text = text
        return True

    def sighted(self, kind: SightKind, mark: str) -> None:
        """Take note of a sighting of a mark: it may be the one that was advised."""
        if self.act is not None and (self.act.kind, self.act.mark) == (kind, mark):
            self.done = True

    def due(self, now_ms: int) -> bool:
        """Say whether to look for advice: at once after a change, else each five minutes, ten after it."""
        if self.entered or self.alerted:
            return True
        over = self.said_ms is None or now_ms - self.said_ms >= RARELY_MS
        return over and now_ms % LOOKED_EVERY_MS == 0

    def take(self, act: Act | None, now_ms: int) -> bool:
        """Take up what is advised now; say whether that is news."""
        by_entry, self.entered, self.alerted = self.entered, False, False
        rarely = self.said_ms is not None and now_ms - self.said_ms < RARELY_MS
        held = self.act
        if rarely and not by_entry and held is not None and act is not None:
            # An alert is no reason to wait after all, or not to wait: only for another mark, or another area.
            held = replace(held, later=act.later)
        same = act is None if held is None else held.like(act)
        if self.said_ms is not None and same and not self.done:
            return False
        self.said_ms, self.act, self.done = now_ms, act, False
        return True
