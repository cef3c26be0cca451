"""A process that has everything imported already, and starts the command in a child within milliseconds.

Each line on standard input is the arguments of a command, as a JSON array. Answered on standard output: the
child's process number, and when it has ended, its wait status.
"""

import json
import os
import sys

from middlewatch import cli


def start(arguments: list[str]) -> int:
    """Fork a child that runs the command, its terminal thrown away, and return its process number."""
    child = os.fork()
    if child == 0:
        silence = os.open(os.devnull, os.O_RDWR)
        for stream in range(3):
            os.dup2(silence, stream)
        cli.app(arguments)
        os._exit(70)  # the command always leaves by SystemExit
    return child


def main() -> None:
    """Start one child after another, until there is no more to be started."""
    for line in sys.stdin:
        child = start(json.loads(line))
        _answer(child)
        _, status = os.waitpid(child, 0)
        _answer(status)


def _answer(number: int) -> None:
    sys.stdout.write(f"{number}\n")
    sys.stdout.flush()


if __name__ == "__main__":
    main()
