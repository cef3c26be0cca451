"""A flood: an input that brings more lines than can be worked; what waits must never grow old."""

from collections.abc import Callable

WAITING_LINES = 2000
"""The most lines of one input that wait: 20 s of a busy bus at 38400 baud (judgement), a moment's work."""

CALM_MS = 10_000
"""A flood is over once nothing has been dropped for so long."""


class Flood:
    """Says of one input's lines which still find room, and that lines are dropped: once, until it is over.

    `capacity` is how many may wait. `note` is called with (failed, text), as a link's supervisor calls it.
    """

    def __init__(self, name: str, capacity: float, note: Callable[[bool, str], None]) -> None:
        self._name = name
        self._capacity = capacity
        self._note = note
        self._dropped_ms: int | None = None

    def leaves_room(self, waiting: int, at_ms: int) -> bool:
        """Return whether a line that came at `at_ms` can be taken while so many wait."""
        if waiting < self._capacity:
            return True
        began = self._dropped_ms is None
        self._dropped_ms = at_ms
        if began:
            self._note(True, f"input {self._name} brings more lines than can be worked: some are dropped")  # noqa: FBT003 -- a callable's arguments have no names
        return False

    def look(self, at_ms: int) -> None:
        """Say so where the flood is over by now."""
        if self._dropped_ms is not None and at_ms - self._dropped_ms >= CALM_MS:
            self._dropped_ms = None
            self._note(False, f"input {self._name}: every line is worked again")  # noqa: FBT003 -- as above
