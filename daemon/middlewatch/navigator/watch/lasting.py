"""What must last before it counts."""

from dataclasses import dataclass


@dataclass(slots=True)
class Since:
    """A condition that must last before it counts: when it began, and whether it counts."""

    began_ms: int | None = None
    on: bool = False

    def watch(self, now_ms: int, *, beyond: bool, below: bool, on_after_ms: int, off_after_ms: int) -> None:
        """Turn on after `beyond` has lasted, off after `below` has lasted."""
        turning = below if self.on else beyond
        if not turning:
            self.began_ms = None
            return
        if self.began_ms is None:
            self.began_ms = now_ms
        if now_ms - self.began_ms >= (off_after_ms if self.on else on_after_ms):
            self.on, self.began_ms = not self.on, None

    def end(self) -> None:
        """Let it count no more, at once."""
        self.on, self.began_ms = False, None

    def pause(self) -> None:
        """Leave it as it is while nothing can be seen; what had begun must begin again."""
        self.began_ms = None
