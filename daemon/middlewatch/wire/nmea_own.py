"""Our own sentences as they come back: known by what they say, whoever claims to have sent them.

A gateway may strip our TAG block and put another talker in front; then nothing is left of talker and source,
but the rest of the sentence is still word for word what we said. (A gateway that makes a new sentence out of
our figures, through another bus, is not known by this: no line of ours comes back.)
"""

from collections import deque
from collections.abc import Iterable

from middlewatch.wire.nmea_out import body_of

REMEMBERED_S = 300
"""So long a sentence is known again; a gateway that holds one longer has lost it (judgement)."""


class OwnSentences:
    """What we said in the last seconds; a sentence's text without its talker is `in` it while remembered."""

    def __init__(self, remembered_s: int = REMEMBERED_S) -> None:
        self._remembered_s = remembered_s
        self._said: deque[tuple[str, ...]] = deque()
        self._last_said: dict[str, int] = {}
        self._second = 0

    def __contains__(self, body: object) -> bool:
        return body in self._last_said

    def say(self, lines: Iterable[bytes]) -> None:
        """Remember the lines of one more second, with or without TAG blocks; forget the oldest."""
        self._second += 1
        bodies = tuple({body_of(line) for line in lines})
        for body in bodies:
            self._last_said[body] = self._second
        self._said.append(bodies)
        if len(self._said) > self._remembered_s:
            gone = self._second - self._remembered_s
            for body in self._said.popleft():
                if self._last_said[body] <= gone:
                    del self._last_said[body]
