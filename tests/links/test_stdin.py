"""Standard input of a real child process: a pipe, a file, a terminal, and nothing."""

import os
import pty
import subprocess
import sys
from pathlib import Path

from links.listening import PATIENCE_S

HEADING = b"$HCHDM,238.0,M*20\r\n"

# Hears its standard input to the end and says it all again, each chunk as it comes; then whether it left
# standard input as it found it.
REPEATER = """
import asyncio, os, sys
from middlewatch.links.stdin import StdinLink
before = os.get_blocking(0)
asyncio.run(StdinLink().run(lambda chunk: os.write(1, chunk)))
sys.exit(0 if os.get_blocking(0) == before else "standard input is left non-blocking")
"""


def start(stdin: int) -> subprocess.Popen[bytes]:
    """Start a process that repeats what it hears."""
    return subprocess.Popen([sys.executable, "-c", REPEATER], stdin=stdin, stdout=subprocess.PIPE, bufsize=0)


def test_a_pipe_is_heard_as_it_is_written_and_ends_with_its_writer() -> None:
    """A line comes through while the pipe is still open; closing the pipe ends the link, as it was found."""
    with start(subprocess.PIPE) as repeater:
        assert repeater.stdin is not None
        assert repeater.stdout is not None
        repeater.stdin.write(HEADING)
        assert repeater.stdout.readline() == HEADING
        repeater.stdin.close()
        assert repeater.wait(PATIENCE_S) == 0


def test_a_file_given_as_standard_input_is_read_to_its_end(tmp_path: Path) -> None:
    """`< passage.nmea` gives every byte of the file and ends."""
    recording = tmp_path / "passage.nmea"
    recording.write_bytes(HEADING * 10_000)

    with recording.open("rb") as standard_input, start(standard_input.fileno()) as repeater:
        heard, _ = repeater.communicate(timeout=PATIENCE_S)

    assert heard == HEADING * 10_000
    assert repeater.returncode == 0


def test_no_standard_input_ends_at_once() -> None:
    """A service has /dev/null there: the end, and no fault."""
    with start(subprocess.DEVNULL) as repeater:
        heard, _ = repeater.communicate(timeout=PATIENCE_S)

    assert (heard, repeater.returncode) == (b"", 0)


def test_a_terminal_is_heard_and_left_as_it_was() -> None:
    """What is typed comes through; the terminal, shared with the shell, is blocking again afterwards."""
    keyboard, terminal = pty.openpty()

    with start(terminal) as repeater:
        os.write(keyboard, b"$HCHDM,238.0,M*20\n")
        assert repeater.stdout is not None
        assert repeater.stdout.readline() == b"$HCHDM,238.0,M*20\n"
        os.write(keyboard, b"\x04")
        assert repeater.wait(PATIENCE_S) == 0
    os.close(keyboard)
    os.close(terminal)
