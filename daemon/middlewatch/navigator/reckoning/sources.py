"""Which source steers a quantity: the best that is heard, changed reluctantly and each change said once."""

from collections.abc import Callable
from dataclasses import dataclass, field

STALE_INTERVALS = 3
STALE_AT_LEAST_MS = 3_000
TAKE_OVER_MS = 10_000
GIVE_BACK_MS = 60_000
SETTLING_MS = 10_000
"""So long after the first source a better one takes over at once: not all speak in the first second."""
BRIDGE_MS = 15_000
_INTERVALS_KEPT = 5
MOST_SOURCES = 32
"""No boat has more of one quantity (judgement); on a bus without checksums noise makes many names."""


@dataclass(slots=True)
class Health:
    """How a source has been heard: since when without a break, when last, and its newest intervals."""

    spell_ms: int
    last_ms: int
    intervals_ms: list[int] = field(default_factory=list)

    def hear(self, at_ms: int) -> None:
        """Note a reading; a silence longer than stale starts a new spell."""
        interval_ms = at_ms - self.last_ms
        if self.stale_after(interval_ms):
            self.spell_ms = at_ms
        self.intervals_ms.append(interval_ms)
        del self.intervals_ms[:-_INTERVALS_KEPT]
        self.last_ms = at_ms

    @property
    def stale_ms(self) -> int:
        """Older than this the last reading is stale: three usual intervals, at least 3 s.

        Usual is the middle one of the newest five: a break now and then leaves it alone, a slower sender
        moves it.
        """
        if not self.intervals_ms:
            return STALE_AT_LEAST_MS
        usual_ms = sorted(self.intervals_ms)[(len(self.intervals_ms) - 1) // 2]
        return max(STALE_INTERVALS * usual_ms, STALE_AT_LEAST_MS)

    def stale_after(self, silence_ms: int) -> bool:
        """Tell whether a source that has been silent for so long is stale."""
        # Nearly always it is not, and then its intervals need no sorting.
        return silence_ms > STALE_AT_LEAST_MS and silence_ms > self.stale_ms


@dataclass(slots=True)
class Choice:
    """The sources of one quantity and the one that steers.

    `chosen` may change at ticks only, so that a second has one source. `word` is the last change in words.
    """

    quantity: str
    heard: dict[str, Health] = field(default_factory=dict)
    chosen: str | None = None
    first_ms: int | None = None
    why: str = "nothing heard yet"

    def hear(self, source: str, at_ms: int) -> bool:
        """Note a reading; return whether its source is the one that steers."""
        health = self.heard.get(source)
        if health is None:
            self._make_room()
            self.heard[source] = Health(at_ms, at_ms)
        else:
            health.hear(at_ms)
        return source == self.chosen

    def _make_room(self) -> None:
        """Forget the one that has been silent longest, where there are more than a boat has."""
        if len(self.heard) >= MOST_SOURCES:
            others = (source for source in self.heard if source != self.chosen)
            del self.heard[min(others, key=lambda source: self.heard[source].last_ms)]

    def fresh(self, source: str, now_ms: int) -> bool:
        """Tell whether a source is heard as often as usual."""
        health = self.heard[source]
        return not health.stale_after(now_ms - health.last_ms)

    def age_ms(self, now_ms: int) -> int | None:
        """Return the age of the steering source's last reading, None before any."""
        return None if self.chosen is None else now_ms - self.heard[self.chosen].last_ms

    def reconsider(self, now_ms: int, rank: Callable[[str], tuple[int, str]]) -> str | None:
        """Choose at a tick; `rank` is lower for a better source. Return the change in words, if any."""
        if not self.heard:
            return None
        alive = sorted((s for s in self.heard if self.fresh(s, now_ms)), key=rank)
        if self.chosen is None:
            self.first_ms = now_ms
            return self._take(alive[0], "the best heard at the start") if alive else None
        silent_ms = now_ms - self.heard[self.chosen].last_ms
        if silent_ms >= TAKE_OVER_MS and not self.fresh(self.chosen, now_ms) and alive:
            return self._take(alive[0], f"{self.chosen} silent for {silent_ms // 1000} s")
        settling = self.first_ms is not None and now_ms - self.first_ms <= SETTLING_MS
        for source in alive:
            if rank(source) >= rank(self.chosen):
                break
            if settling:
                return self._take(source, f"better than {self.chosen}")
            if now_ms - self.heard[source].spell_ms >= GIVE_BACK_MS:
                return self._take(source, f"better than {self.chosen} and heard for 60 s without a break")
        return None

    def _take(self, source: str, why: str) -> str:
        self.chosen, self.why = source, why
        return f"{self.quantity} by {source}: {why}"
