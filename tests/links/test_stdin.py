"""Standard input of a real child process: a pipe, a file, a terminal, and nothing."""

import os
import pty
import select
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

# Says so when the event loop has gone round twenty times after something was heard.
WATCHMAN = """
import asyncio, os
from middlewatch.links.stdin import StdinLink
def go_round(turns):
    if turns:
        asyncio.get_running_loop().call_soon(go_round, turns - 1)
    else:
        os.write(1, b"the loop goes round\\n")
asyncio.run(StdinLink().run(lambda _: go_round(20)))
"""


def start(stdin: int, program: str = REPEATER) -> subprocess.Popen[bytes]:
    """Start a process that listens to its standard input."""
    return subprocess.Popen([sys.executable, "-c", program], stdin=stdin, stdout=subprocess.PIPE, bufsize=0)


def line_of(child: subprocess.Popen[bytes]) -> bytes:
    """Return the next line the process says; it has some seconds to begin it."""
    assert child.stdout is not None
    spoken, _, _ = select.select([child.stdout], [], [], PATIENCE_S)
    return child.stdout.readline() if spoken else b""


def test_a_pipe_is_heard_as_it_is_written_and_ends_with_its_writer() -> None:
    """A line comes through while the pipe is still open; closing the pipe ends the link, as it was found."""
    with start(subprocess.PIPE) as repeater:
        assert repeater.stdin is not None
        repeater.stdin.write(HEADING)
        assert line_of(repeater) == HEADING
        repeater.stdin.close()
        assert repeater.wait(PATIENCE_S) == 0


def test_a_silent_pipe_holds_up_nobody() -> None:
    """While standard input has nothing to say, the event loop goes round for all the others."""
    with start(subprocess.PIPE, WATCHMAN) as watchman:
        assert watchman.stdin is not None
        watchman.stdin.write(HEADING)
        assert line_of(watchman) == b"the loop goes round\n"
        watchman.stdin.close()


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
        assert line_of(repeater) == b"$HCHDM,238.0,M*20\n"
        os.write(keyboard, b"\x04")
        assert repeater.wait(PATIENCE_S) == 0
    os.close(keyboard)
    os.close(terminal)
