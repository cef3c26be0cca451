"""A real pseudo-terminal pair, at a path that stays the same through unplugging and plugging again."""

import os
from pathlib import Path


class PtyPair:
    """An instrument at its end of a serial line; the daemon opens `path`."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.instrument = -1
        self._held = -1
        self.plug()

    def plug(self) -> None:
        """Make a new pair; `path` leads to its far end."""
        self.instrument, self._held = os.openpty()
        self.path.symlink_to(os.ttyname(self._held))

    def send(self, sentences: bytes) -> None:
        """Say something; the line must be open, for opening it drops what came before."""
        assert os.write(self.instrument, sentences) == len(sentences)

    def unplug(self) -> None:
        """Take the device away while it is open: its end closes, and its path goes."""
        self.path.unlink()
        os.close(self._held)
        os.close(self.instrument)
        self.instrument = -1

    def close(self) -> None:
        """Close what is still open."""
        if self.instrument >= 0:
            self.unplug()
