"""The hook: a real command, run for each sound; what fails, hangs or floods harms nobody."""

import asyncio
import os
import stat
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from middlewatch.links.hook import Hook
from middlewatch.quantities.instants import Instant
from middlewatch.reports.alert import AlertName, Pattern, SoundReport

AT = Instant.parse("2026-05-03T01:42:07Z")
PATIENCE_S = 60.0


@dataclass
class Notes:
    """What the hook told of itself."""

    told: list[tuple[bool, str]] = field(default_factory=list)

    def __call__(self, failed: bool, text: str) -> None:
        """Note it."""
        self.told.append((failed, text))


def sound(
    alert: AlertName = "heading", pattern: Pattern = "warning", text: str = "heading silent"
) -> SoundReport:
    """Return a sound."""
    return SoundReport(AT, alert, 3, pattern, text)


def script(folder: Path, body: str) -> str:
    """Write an executable shell script, the skipper's command."""
    path = folder / "bell"
    path.write_text(f"#!/bin/sh\n{body}\n")
    path.chmod(path.stat().st_mode | stat.S_IXUSR)
    return str(path)


@asynccontextmanager
async def running(hook: Hook) -> AsyncIterator[asyncio.Task[None]]:
    """Let a hook run, and end it."""
    task = asyncio.create_task(hook.run())
    try:
        yield task
    finally:
        task.cancel()
        with suppress(asyncio.CancelledError):
            await task


async def until(holds: Callable[[], bool]) -> None:
    """Wait until something holds; a test that waits in vain fails."""
    async with asyncio.timeout(PATIENCE_S):
        while not holds():  # noqa: ASYNC110 -- what a script has written tells nobody that it has changed
            await asyncio.sleep(0.01)


def lines(path: Path) -> list[str]:
    """Return what a script has written so far."""
    return path.read_text(encoding="utf-8").splitlines() if path.exists() else []


def is_there(pid: int) -> bool:
    """Return whether a process lives (or waits, dead, for its parent)."""
    state = Path(f"/proc/{pid}/stat")
    with suppress(OSError):
        return state.read_text().rpartition(")")[2].split()[0] != "Z"
    return False


async def test_run_with_the_alert_s_fields(tmp_path: Path) -> None:
    """As arguments behind its own and in the environment, word for word: no shell reads the text."""
    out = tmp_path / "out"
    fields = '"$@" "$MIDDLEWATCH_ALERT $MIDDLEWATCH_PATTERN" "$MIDDLEWATCH_REVISION $MIDDLEWATCH_AT"'
    command = script(tmp_path, f'printf "%s\\n" {fields} "$MIDDLEWATCH_TEXT" > {out}')
    text = "rock $(touch /tmp/x); `id` 'a' \"b\" | ü"
    notes = Notes()

    hook = Hook([command, "loud"], notes)
    async with running(hook):
        hook.sound(sound("danger", "alarm", text))
        await until(lambda: len(lines(out)) == 7 and not hook.busy)

    assert lines(out) == [
        "loud", "danger", "alarm", text, "danger alarm", "3 2026-05-03T01:42:07.000Z", text,
    ]  # fmt: skip
    assert notes.told == []


async def test_a_failure_is_said_once_and_that_it_is_over(tmp_path: Path) -> None:
    """Fails, fails, works, fails: three notes, each at a change."""
    seen, broken = tmp_path / "seen", tmp_path / "broken"
    command = script(tmp_path, f"echo x >> {seen}; test ! -e {broken} || exit 3")
    broken.touch()
    notes = Notes()

    hook = Hook([command], notes)
    async with running(hook):
        for number, fails in enumerate([True, True, False, True], start=1):
            broken.touch() if fails else broken.unlink()
            hook.sound(sound())
            await until(lambda: not hook.busy)
            assert len(lines(seen)) == number

    assert notes.told == [
        (True, f"the hook command {command} ended with 3"),
        (False, f"the hook command {command} works again"),
        (True, f"the hook command {command} ended with 3"),
    ]


@pytest.mark.parametrize(
    ("make", "why"),
    [
        (lambda folder: str(folder / "none"), "cannot be run: No such file or directory"),
        (str, "cannot be run: Permission denied"),
        (lambda folder: script(folder, "kill -TERM $$"), "was ended by signal 15"),
    ],
)
async def test_what_cannot_be_run_is_said(tmp_path: Path, make: Callable[[Path], str], why: str) -> None:
    """In the system's own words."""
    command, notes = make(tmp_path), Notes()

    hook = Hook([command], notes)
    async with running(hook):
        hook.sound(sound())
        await until(lambda: notes.told != [])

    assert notes.told == [(True, f"the hook command {command} {why}")]


async def test_a_command_that_hangs_is_ended_with_its_children(tmp_path: Path) -> None:
    """It takes no more than its time (here half a second, by default ten); the next one runs."""
    pids = tmp_path / "pids"
    command = script(tmp_path, f"sleep 600 & echo $! $$ >> {pids}; wait")
    notes = Notes()

    hook = Hook([command], notes, longest_s=0.5)
    async with running(hook):
        async with asyncio.timeout(PATIENCE_S):
            # On a busy machine its time may be over before it has said anything: then it is run again.
            while len(lines(pids)) < 2:
                hook.sound(sound())
                hook.sound(sound("log"))
                await until(lambda: not hook.busy)

    assert notes.told == [(True, f"the hook command {command} took longer than 0.5 s and was ended")]
    await until(lambda: not any(is_there(int(pid)) for line in lines(pids) for pid in line.split()))


async def test_a_command_that_floods_is_not_read(tmp_path: Path) -> None:
    """Endless lines on one output and fifty megabytes on the other stop nothing and fill nothing."""
    done, notes = tmp_path / "done", Notes()
    flood = script(tmp_path, f"yes noise & head -c 50000000 /dev/zero >&2; kill $!; echo x >> {done}")

    hook = Hook([flood], notes)
    async with running(hook):
        hook.sound(sound())
        await until(lambda: lines(done) == ["x"] and not hook.busy)

    assert notes.told == []


async def test_one_at_a_time_the_newest_of_each_and_an_alarm_first(tmp_path: Path) -> None:
    """While one runs three warnings of one subject, a note and an alarm come: alarm, newest warning, note."""
    out, gate = tmp_path / "out", tmp_path / "gate"
    command = script(tmp_path, f'echo "$3" >> {out}; while test ! -e {gate}; do sleep 0.02; done')

    hook = Hook([command], Notes())
    async with running(hook):
        hook.sound(sound(text="first"))
        await until(lambda: lines(out) == ["first"])
        for number in range(2, 5):
            hook.sound(sound(text=f"heading {number}"))
        hook.sound(sound("clock", "note", "clock"))
        hook.sound(sound("danger", "alarm", "rock"))
        gate.touch()
        await until(lambda: len(lines(out)) == 4 and not hook.busy)

    assert lines(out) == ["first", "rock", "heading 4", "clock"]


async def test_ending_the_watch_ends_the_command(tmp_path: Path) -> None:
    """Nothing of it is left running behind the daemon."""
    pids = tmp_path / "pids"
    command = script(tmp_path, f"sleep 600 & echo $! $$ > {pids}; wait")

    hook = Hook([command], Notes())
    async with running(hook):
        hook.sound(sound())
        await until(lambda: len(lines(pids)) == 1)

    # A killed process is gone when the system has come to it, a moment after the signal.
    await until(lambda: not any(is_there(int(pid)) for pid in lines(pids)[0].split()))
    assert os.getpgrp() != int(lines(pids)[0].split()[1])
