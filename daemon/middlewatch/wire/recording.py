r"""Recordings: a sentence a line, with or without a TAG block that says when it was heard.

Stamped: one of the first 200 sentences has a TAG block with `c:`. A line without one takes the stamp
before it, lines before the first stamp take the first. Where `r:` stands too the recording is our own:
UTC is handed on as it was written, for `r:` drives the ticks, and the block is taken off, so that the
text is what the input heard. Another recorder's block stays: it came with the line, and the gate has to
see it.

Unstamped: the times come out of the sentences. The one (sentence, talker) whose time advances most often
among the first 200 sentences is the time source; on a tie ZDA, RMC, GNS, GGA, GLL in this order, then the
first heard. RMC and ZDA bring the date; a time of day alone is put on the day that brings it nearest to
the last time told, and tells nothing before the first. Where no time is told among the first 200, the
first that is told later decides.

Time never goes back, and a step of more than 6 h is the setting of a clock, not time to be ticked
through: in unstamped recordings, and in stamped ones without `r:`.
"""

import re
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import chain
from typing import NamedTuple

from middlewatch.quantities.instants import MS_PER_DAY, MS_PER_HOUR, MS_PER_SECOND
from middlewatch.readings.sentences import Satellite
from middlewatch.wire.nmea import Decoder
from middlewatch.wire.tag import Tag, TagError, split_tag, write_tag

FIRST_SENTENCES = 200
"""How many sentences are looked at to find out where the time comes from."""

SPREAD_BELOW_MS = 15 * MS_PER_SECOND
"""Steps shorter than this are spread evenly over the lines between."""

JUMP_MS = 6 * MS_PER_HOUR
"""A longer step is a clock reading."""

_TELLS_TIME = re.compile(rb"(?:ZDA|RMC|GNS|GGA|GLL),")
_RANK = {"ZDA": 0, "RMC": 1, "GNS": 2, "GGA": 3, "GLL": 4}


class NoTime(ValueError):  # noqa: N818 - what a recording can lack, told to its owner; no mistake of code
    """A recording in which neither a TAG block nor a sentence says when anything was heard."""


class RecordedLine(NamedTuple):
    """A line and when it was heard: UTC and monotonic ms (None if not recorded), and on which input.

    `jump`: the clock was set between the line before and this one, the time between did not pass.
    """

    at_ms: int
    monotonic_ms: int | None
    input: str | None
    text: bytes
    jump: bool = False


@dataclass(frozen=True, slots=True)
class RecordingSummary:
    """What is known of a recording so far.

    `time_source` is talker and sentence (`GPZDA`) of an unstamped one, else None. `went_back` counts the
    times told that were earlier than one before, and so were not followed.
    """

    stamped: bool
    time_source: str | None
    lines: int
    went_back: int


class Recording:
    """A recording, to be read once and in order; raises NoTime when it is opened, not later.

    `lines` are raw, with or without their ends; blank ones are left out.
    """

    def __init__(self, lines: Iterable[bytes]) -> None:
        texts = (text for line in lines if (text := line.rstrip(b"\r\n")))
        head: list[bytes] = []
        self._time_source = _find_time_source(texts, head)
        self._texts = chain(head, texts)
        self._lines = 0
        self._went_back = 0

    def __iter__(self) -> Iterator[RecordedLine]:
        """Yield the lines with their times."""
        timed = self._by_stamps() if self._time_source is None else self._by_sentences(self._time_source)
        for line in timed:
            self._lines += 1
            yield line

    @property
    def summary(self) -> RecordingSummary:
        """What is known so far; complete once the last line has been read."""
        return RecordingSummary(self._time_source is None, self._time_source, self._lines, self._went_back)

    def _by_stamps(self) -> Iterator[RecordedLine]:
        early: list[bytes] = []
        last: RecordedLine | None = None
        for text in self._texts:
            stamp = _stamp(text)
            if stamp is not None:
                line = self._stamped(*stamp, text, last)
                if last is None:
                    yield from (line._replace(input=None, text=before) for before in early)
            elif last is not None:
                line = last._replace(input=None, text=text, jump=False)
            else:
                early.append(text)
                continue
            yield line
            last = line

    def _stamped(
        self, tag: Tag, utc_ms: int, rest: bytes, text: bytes, last: RecordedLine | None
    ) -> RecordedLine:
        if tag.monotonic_ms is not None:
            return RecordedLine(utc_ms, tag.monotonic_ms, tag.source, rest)
        before_ms = utc_ms if last is None else last.at_ms
        if utc_ms < before_ms:
            self._went_back += 1
            utc_ms = before_ms
        return RecordedLine(utc_ms, None, tag.source, text, utc_ms - before_ms > JUMP_MS)

    def _by_sentences(self, source: str) -> Iterator[RecordedLine]:
        times = _SentenceTimes()
        now_ms: int | None = None
        jump = False
        waiting: list[bytes] = []
        for text in self._texts:
            told = times.told_by(text)
            if told is not None and told.source == source:
                if now_ms is None:
                    # What came before the first time takes it.
                    yield from _spread(waiting, told.utc_ms, told.utc_ms, jump=False)
                    now_ms, waiting = told.utc_ms, []
                elif told.utc_ms > now_ms:
                    yield from _spread(waiting, now_ms, told.utc_ms, jump=jump)
                    jump = told.utc_ms - now_ms > JUMP_MS
                    now_ms, waiting = told.utc_ms, []
                else:
                    self._went_back += told.utc_ms < now_ms
            waiting.append(text)
        if now_ms is not None:
            yield from _spread(waiting, now_ms, now_ms, jump=jump)


def record_line(source: str, utc_ms: int, monotonic_ms: int, text: bytes) -> bytes:
    """Return a line of a recording, with its line feed: what input `source` heard then.

    `text` is a line as `LineSplitter` gives it. Raises ValueError as `write_tag` does.
    """
    return write_tag(source, utc_ms, monotonic_ms) + text + b"\n"


def _spread(texts: list[bytes], from_ms: int, to_ms: int, *, jump: bool) -> Iterator[RecordedLine]:
    """Spread lines over a short step; in a long one nobody knows when they came: they keep its beginning."""
    step_ms = to_ms - from_ms
    if step_ms >= SPREAD_BELOW_MS:
        step_ms = 0
    for place, text in enumerate(texts):
        at_ms = from_ms + step_ms * place // len(texts)
        yield RecordedLine(at_ms, None, None, text, jump=jump and place == 0)


# --- where the time comes from --------------------


def _stamp(text: bytes) -> tuple[Tag, int, bytes] | None:
    """Return a TAG block with a time, that time (UTC in ms), and what stands behind it.

    A broken block is none (the gate will count the line as rejected).
    """
    try:
        tag, rest = split_tag(text)
    except TagError:
        return None
    if tag is None or tag.utc_ms is None:
        return None
    return tag, tag.utc_ms, rest


@dataclass(frozen=True, slots=True)
class _Told:
    """The time a sentence tells: talker and sentence, and full UTC in ms."""

    source: str
    utc_ms: int


class _SentenceTimes:
    """Reads the times that sentences tell, in order, for a time of day needs the date told before."""

    def __init__(self) -> None:
        self._decoder = Decoder("", checksum_required=False, satellite_talkers=frozenset())
        self._latest_ms: int | None = None

    def told_by(self, text: bytes) -> _Told | None:
        if not _TELLS_TIME.search(text):
            return None
        for reading in self._decoder.read(text, 0):
            utc_ms = self._utc_of(reading) if isinstance(reading, Satellite) else None
            if utc_ms is not None:
                self._latest_ms = utc_ms
                return _Told(reading.source.partition("@")[0], utc_ms)
        return None

    def _utc_of(self, reading: Satellite) -> int | None:
        if reading.utc_ms is not None or reading.time_of_day_ms is None or self._latest_ms is None:
            return reading.utc_ms
        # On which day?  The one that puts it within twelve hours of the last time told.
        later_ms = (reading.time_of_day_ms - self._latest_ms) % MS_PER_DAY
        return self._latest_ms + (later_ms if later_ms <= MS_PER_DAY // 2 else later_ms - MS_PER_DAY)


def _find_time_source(texts: Iterator[bytes], head: list[bytes]) -> str | None:
    """Read on, into `head`, until the time source is known; None: the recording is stamped. Raises NoTime."""
    times = _SentenceTimes()
    latest: dict[str, int] = {}
    advances: Counter[str] = Counter()
    sentences = 0
    for text in texts:
        head.append(text)
        if _stamp(text) is not None:
            return None
        told = times.told_by(text)
        if told is not None:
            before_ms = latest.setdefault(told.source, told.utc_ms)
            advances[told.source] += told.utc_ms > before_ms
            latest[told.source] = max(told.utc_ms, before_ms)
        sentences += b"$" in text or b"!" in text
        if sentences >= FIRST_SENTENCES and latest:
            break
    if not latest:
        raise NoTime("no TAG block and no sentence with a date says when anything was heard")
    return min(latest, key=lambda source: (-advances[source], _RANK[source[2:]]))
