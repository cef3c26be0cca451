"""The navigator's own thread: a queue in, a queue out. The event loop never waits for it, nor it for that.

What comes in is stamped in the loop's thread, one stamp after another; the thread takes it in that order,
hands it to the deck (which journals, too) and gives back what is said.
"""

import threading
from collections import Counter, deque
from collections.abc import Callable
from dataclasses import dataclass
from queue import SimpleQueue

from middlewatch.runtime.clock import Stamp
from middlewatch.runtime.deck import Deck, Rare
from middlewatch.runtime.tape import End, Tape


@dataclass(frozen=True, slots=True)
class Heard:
    """A line, on which input and when."""

    input: str
    text: bytes
    stamp: Stamp


@dataclass(frozen=True, slots=True)
class Came:
    """Something rare, and when."""

    reading: Rare
    stamp: Stamp


@dataclass(frozen=True, slots=True)
class TimeIs:
    """Nothing came, but time has passed."""

    stamp: Stamp


@dataclass(frozen=True, slots=True)
class Stop:
    """The end of the run."""

    stamp: Stamp


Item = Heard | Came | TimeIs | Stop


class WatchThread:
    """Runs the deck until it is stopped; `failed` is called with a bug's exception, which ends the run."""

    def __init__(self, deck: Deck, tape: Tape | None, failed: Callable[[BaseException], None]) -> None:
        self._deck = deck
        self._tape = tape
        self._failed = failed
        self._queue: SimpleQueue[Item] = SimpleQueue()
        # Two counts of lines by input, for each is written by one thread only.
        self._handed_over: Counter[str] = Counter()
        self._worked: Counter[str] = Counter()
        self._rare: deque[Came] = deque()
        self._thread = threading.Thread(target=self._run, name="navigator", daemon=True)

    def start(self) -> None:
        """Begin."""
        self._thread.start()

    def put(self, item: Item) -> None:
        """Hand something over; never waits."""
        if isinstance(item, Heard):
            self._handed_over[item.input] += 1
        elif isinstance(item, Came):
            self._rare.append(item)
        self._queue.put(item)

    def waiting(self, input_name: str) -> int:
        """Return how many lines of an input are handed over and not yet worked."""
        return self._handed_over[input_name] - self._worked[input_name]

    @property
    def rare_waiting(self) -> tuple[Came, ...]:
        """Entries and other rare things that are handed over and not yet worked, the oldest first."""
        return tuple(self._rare)

    def stop(self, stamp: Stamp) -> None:
        """Let everything before the stamp be worked, commit, and end; waits for it. Again: nothing."""
        if self._thread.is_alive():
            self._queue.put(Stop(stamp))
            self._thread.join()

    def _run(self) -> None:
        try:
            while not isinstance(item := self._queue.get(), Stop):
                self._take(item)
            self._end(item.stamp)
        except BaseException as bug:
            self._failed(bug)

    def _take(self, item: Heard | Came | TimeIs) -> None:
        match item:
            case Heard(name, text, stamp):
                if self._tape is not None:
                    self._tape.line(name, text, stamp)
                self._deck.line(name, text, stamp.at_ms)
                self._worked[name] += 1
            case Came(reading, stamp):
                if self._tape is not None:
                    self._tape.rare(reading, stamp)
                self._deck.rare(reading)
                self._rare.popleft()
            case TimeIs(stamp):
                self._deck.time(stamp.at_ms)

    def _end(self, stamp: Stamp) -> None:
        self._deck.time(stamp.at_ms)
        if self._tape is not None:
            self._tape.rare(End(stamp.at_ms), stamp)
        # A disk that refuses the last commit goes on the tape as well.
        self._deck.close(stamp.at_ms)
        if self._tape is not None:
            self._tape.close()
