"""How fast a recording is replayed through the whole deck, and pynmea2 alone on the same lines; a script.

    python tests/benchmarks/replay_rate.py RECORDING

Each is the best of five. pynmea2 alone: each sentence parsed with its checksum, and every named field of it
read, as converted; TAG blocks are taken off beforehand.
"""

import sys
import timeit
from collections.abc import Callable
from pathlib import Path

import pynmea2

from middlewatch.navigator.navigator import Navigator
from middlewatch.quantities.instants import Instant
from middlewatch.reports import Report
from middlewatch.runtime.replay import Replay, read_lines
from middlewatch.settings import defaults
from middlewatch.wire import entries as entry_reader
from middlewatch.wire.recording import Recording
from middlewatch.wire.topics import reports_line

TIMES = 5


def replay(recording: Path) -> int:
    """Play a recording, its reports written out as lines; return how many lines it has."""
    settings = defaults()
    said: list[str] = []

    def say(at: Instant, reports: tuple[Report, ...]) -> None:
        said.extend(reports_line(at, report) for report in reports)

    playing = Replay(settings, Navigator(settings.tuning(), settings.marks, entry_reader))
    playing.run(Recording(read_lines(str(recording))), say)
    return playing.lines


def parse(sentences: list[str]) -> int:
    """Let pynmea2 parse sentences and convert every field it has a name for; return how many it could."""
    parsed = 0
    for sentence in sentences:
        try:
            message = pynmea2.parse(sentence, check=True)
        except pynmea2.ParseError:
            continue
        for name in message.name_to_idx:
            getattr(message, name)
        parsed += 1
    return parsed


def best_s(work: Callable[[], int]) -> float:
    """Return the seconds of the fastest time."""
    return min(timeit.repeat(work, number=1, repeat=TIMES))


def main(recording: Path) -> None:
    """Print both rates and their ratio."""
    lines = replay(recording)
    texts = [
        line.rpartition(b"\\")[2].decode("ascii", "replace").strip() for line in read_lines(str(recording))
    ]
    ours = lines / best_s(lambda: replay(recording))
    theirs = lines / best_s(lambda: parse(texts))
    sys.stdout.write(
        f"{recording.name}: {lines} lines\n"
        f"replay, the whole deck   {ours:9.0f} lines/s\n"
        f"pynmea2 alone            {theirs:9.0f} lines/s\n"
        f"the deck takes {theirs / ours:.2f} times as long\n"
    )


if __name__ == "__main__":
    main(Path(sys.argv[1]))
