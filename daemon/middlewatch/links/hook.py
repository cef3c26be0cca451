"""The hook: a command of the skipper's own that runs each time an alert is to be heard, for a bell or a lamp.

It is run as it stands in the settings, never through a shell: `command... <alert> <pattern> <text>`, the same
and more in its environment. One runs at a time. What comes meanwhile waits, of each alert the newest, an
alarm before everything else. A command that takes longer than ten seconds is ended with all it started.
"""

import asyncio
import os
import signal
from collections.abc import Callable, Sequence
from contextlib import suppress

from middlewatch.reports.alert import AlertName, SoundReport

LONGEST_S = 10.0

Note = Callable[[bool, str], None]
"""Takes whether the command has failed, and the words."""


class Hook:
    """Runs the command for sounds that are put to it; every method belongs to the event loop's thread.

    `note` is told once when it begins to fail, and once when it works again. Nothing of what it prints is
    read. `busy`: a command runs, or a sound waits for one.
    """

    def __init__(self, command: Sequence[str], note: Note, longest_s: float = LONGEST_S) -> None:
        self._command = tuple(command)
        self._note = note
        self._longest_s = longest_s
        self._waiting: dict[AlertName, SoundReport] = {}
        self._come = asyncio.Event()
        self._failing = False
        self.busy = False

    def sound(self, report: SoundReport) -> None:
        """Let the command run for a sound as soon as none runs; never waits."""
        self._waiting.pop(report.alert, None)
        self._waiting[report.alert] = report
        self.busy = True
        self._come.set()

    async def run(self) -> None:
        """Run the command for what comes, until cancelled; a command that runs then is ended."""
        while True:
            await self._come.wait()
            while self._waiting:
                self._told(await self._once(self._next()))
            self.busy = False
            self._come.clear()

    def _next(self) -> SoundReport:
        """Take out what is to be heard first: an alarm, else what has waited longest."""
        alarms = (name for name, each in self._waiting.items() if each.pattern == "alarm")
        return self._waiting.pop(next(alarms, next(iter(self._waiting))))

    async def _once(self, report: SoundReport) -> str | None:
        """Run the command once; return what was wrong, None where nothing was."""
        try:
            process = await asyncio.create_subprocess_exec(
                *self._command, report.alert, report.pattern, report.text,
                stdin=asyncio.subprocess.DEVNULL,
                stdout=asyncio.subprocess.DEVNULL,
                stderr=asyncio.subprocess.DEVNULL,
                env={**os.environ, **_environment(report)},
                start_new_session=True,
            )  # fmt: skip
        except (OSError, ValueError) as fault:
            return _words(fault)
        try:
            async with asyncio.timeout(self._longest_s):
                status = await process.wait()
        except TimeoutError:
            return f"took longer than {self._longest_s:g} s and was ended"
        finally:
            if process.returncode is None:
                await _end(process)
        if status < 0:
            return f"was ended by signal {-status}"
        return f"ended with {status}" if status else None

    def _told(self, fault: str | None) -> None:
        """Say that it fails, or that it works again: at the change, and not each time."""
        if (fault is not None) == self._failing:
            return
        self._failing = fault is not None
        self._note(self._failing, f"the hook command {self._command[0]} {fault or 'works again'}")


async def _end(process: asyncio.subprocess.Process) -> None:
    """End a command with all that it started: it leads a group of its own."""
    with suppress(ProcessLookupError):
        os.killpg(process.pid, signal.SIGKILL)
    await process.wait()


def _environment(report: SoundReport) -> dict[str, str]:
    return {
        "MIDDLEWATCH_ALERT": report.alert,
        "MIDDLEWATCH_PATTERN": report.pattern,
        "MIDDLEWATCH_TEXT": report.text,
        "MIDDLEWATCH_REVISION": str(report.revision),
        "MIDDLEWATCH_AT": str(report.at),
    }


def _words(fault: OSError | ValueError) -> str:
    if isinstance(fault, OSError) and fault.errno is not None:
        return f"cannot be run: {os.strerror(fault.errno)}"
    return f"cannot be run: {fault}"
