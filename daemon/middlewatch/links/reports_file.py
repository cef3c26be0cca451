"""A file that lines are added to, for `run --record` and `--reports`."""

from pathlib import Path
from types import TracebackType
from typing import Self


class LineFile:
    """A text file begun empty and added to a line at a time, each with the system before `write` returns.

    UTF-8 with line feeds; bytes that are no text pass unchanged if they were decoded with `surrogateescape`.
    Opening raises OSError where the folder is missing or may not be written.
    """

    def __init__(self, path: Path) -> None:
        self._file = path.open("wb", buffering=0)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, raised: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def write(self, text: str) -> None:
        """Add one line; OSError if the system will not take it, ValueError if it is several or too late."""
        if "\n" in text:
            raise ValueError(f"{text!r} is more than one line")
        rest = memoryview(text.encode("utf-8", "surrogateescape") + b"\n")
        while rest:
            rest = rest[self._file.write(rest) :]

    def close(self) -> None:
        """Close the file; closing again does nothing."""
        self._file.close()
