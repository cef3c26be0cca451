"""The deck log in the terminal: the time in front, what is noted beside it, wrapped under its first word."""

from collections.abc import Sequence
from textwrap import wrap

from rich.console import Console
from rich.text import Text

from middlewatch.quantities.instants import Instant
from middlewatch.runtime.narration import Note, Voice

WIDTH = 100
"""Columns of a wrapped log."""

_MARGIN = " " * 10
_STYLES: dict[Voice, str] = {"skipper": "cyan", "watch": "", "alert": "bold yellow", "practice": "dim italic"}
"""How a voice looks where the terminal has looks; the words alone say who speaks."""


class DeckLog:
    """Writes notes: wrapped to a width, the time only where it has changed; without one each note on a line.

    `lines` are those of a wrapped log, for a picture to be made of them.
    """

    def __init__(self, console: Console, width: int | None) -> None:
        self._console = console
        self._width = width
        self._last: Instant | None = None
        self.lines: list[Text] = []

    def note(self, note: Note) -> None:
        """Write a note."""
        time = note.at.clock_with_seconds
        if self._width is None:
            self._print(f"{time}  {' '.join(note.sentences)}", note.voice)
            return
        in_front = (
            _MARGIN if self._last is not None and self._last.clock_with_seconds == time else f"{time}  "
        )
        self._last = note.at
        for line in _wrapped(note.sentences, in_front, self._width):
            self._print(line, note.voice)

    def say(self, *sentences: str) -> None:
        """Write sentences that belong to no moment, an empty one as an empty line."""
        for sentence in sentences:
            for line in [sentence] if self._width is None else wrap(sentence, self._width) or [""]:
                self._print(line, "watch")

    def _print(self, line: str, voice: Voice) -> None:
        text = Text(line, _STYLES[voice])
        if self._width is not None:
            self.lines.append(text)
        self._console.print(text, soft_wrap=True)


def width_of(console: Console) -> int:
    """Return the columns to wrap to: those of a narrow terminal, else `WIDTH`."""
    return min(console.width, WIDTH) if console.is_terminal else WIDTH


def _wrapped(sentences: Sequence[str], in_front: str, width: int) -> list[str]:
    lines = [
        each
        for sentence in sentences
        for each in wrap(sentence, width - len(_MARGIN), break_on_hyphens=False)
    ]
    return [f"{in_front if number == 0 else _MARGIN}{line}" for number, line in enumerate(lines)]
