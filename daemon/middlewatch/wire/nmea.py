r"""The gate: a line of the bus in, readings out, everything else counted with its reason. It never raises.

What starts a sentence is the last `$` or `!` of a line; a TAG block may stand right before it. Other bytes
before are noise and dropped: NULs at power-up, the beginning of a sentence that broke off. Then, in this
order: the TAG block's checksum, the length, the characters, the sentence's checksum, who sends it and whether
we read it at all. Only then are its fields looked at.

Two kinds of sender get no further than the gate. A satellite talker is heard on position, course, speed and
time, and on nothing else: its heading may be made from its own track. Talker IN, our own TAG source, and what
we said ourselves a while ago, under whatever talker, are a reckoning's output come back to us: heard again
they would agree with us for ever.
"""

from collections import Counter
from collections.abc import Container
from dataclasses import dataclass
from functools import lru_cache

from middlewatch.readings.sentences import SentenceReading
from middlewatch.wire.lines import checksum
from middlewatch.wire.nmea_fields import UnreadableError
from middlewatch.wire.sentences import (
    READERS,
    SATELLITE_READERS,
    PassedOver,
    Read,
    Reader,
    fields_of,
)
from middlewatch.wire.tag import TagError, checked_body

SATELLITE_TALKERS = frozenset({"GP", "GN", "GA", "GB", "GI", "GL", "GQ", "BD", "QZ"})
"""GPS, several systems at once, Galileo, BeiDou, NavIC, GLONASS, QZSS; BD and QZ are older letters."""

LONGEST_SENTENCE = 120
"""Characters from `$` to the end, CR LF left out. The standard allows 80; some instruments pass it."""

_RECKONING_TALKER = "IN"
_MOST_ROUTES = 500  # a bus has some dozens; noise without checksums could make any number
_TALKER_LETTERS = 2
_BACKSLASH = ord("\\")

NOT_READ = PassedOver("not a sentence we read")
PROPRIETARY = PassedOver("a maker's own sentence")
ENCAPSULATED = PassedOver("encapsulated, such as AIS")
TAG_ALONE = PassedOver("TAG block alone")
FROM_SATELLITES = PassedOver("satellite talker")
RECKONED = PassedOver("our own or another reckoning's output")


@dataclass(frozen=True, slots=True)
class _Route:
    """Where a sentence of one talker goes: the name of its source, and its reader."""

    source: str
    reader: Reader


class Decoder:
    """Decode the lines of the input `name`; one decoder an input.

    `satellite_talkers` are talkers on this input that are satellite-derived whatever they say; `own_source`
    is the `s:` of TAG blocks we send ourselves, empty if none; `own_sentences` are what we said lately, each
    without its talker: they are ours whoever sends them. Counted: `sentences` taken, `rejected` and
    `passed_over` by reason.
    """

    def __init__(
        self,
        name: str,
        *,
        checksum_required: bool,
        satellite_talkers: frozenset[str],
        own_source: str = "",
        own_sentences: Container[str] = frozenset(),
    ) -> None:
        self.sentences = 0
        self.rejected: Counter[str] = Counter()
        self.passed_over: Counter[str] = Counter()
        self._name = name
        self._checksum_required = checksum_required
        self._satellite_talkers = SATELLITE_TALKERS | satellite_talkers
        self._own_sentences = own_sentences
        self._own_signature = f"s:{own_source}" if own_source else None
        self._routes: dict[str, _Route | PassedOver] = {}

    def read(self, line: bytes, at_ms: int) -> tuple[SentenceReading, ...]:
        """Return the readings of a line (without line feed) that arrived at `at_ms`, none if it has none."""
        try:
            read = self._read(line, at_ms)
        except UnreadableError as fault:
            self.rejected[fault.reason] += 1
            return ()
        if isinstance(read, PassedOver):
            self.passed_over[read.reason] += 1
            return ()
        self.sentences += 1
        return read

    def _read(self, line: bytes, at_ms: int) -> Read:
        start = line.rfind(b"$")
        start = max(start, line.rfind(b"!", start + 1))
        if start < 0:
            return _without_sentence(line)
        ours = line[start - 1 : start] == b"\\" and self._is_own(line, start - 1)
        address, body, checked = _sentence(line[start:])
        if ours:
            return RECKONED
        route = self._routes.get(address) or self._new_route(address)
        if isinstance(route, PassedOver):
            return route
        if self._checksum_required and not checked:
            raise UnreadableError("no checksum")
        if body[_TALKER_LETTERS:] in self._own_sentences:
            return RECKONED
        return route.reader(at_ms, route.source, fields_of(body))

    def _is_own(self, line: bytes, end: int) -> bool:
        """Check the TAG block that ends at `end`, and say whether it is signed as ours."""
        opening = line.rfind(b"\\", 0, end)
        if opening < 0:
            raise TagError("TAG block cut short")
        items = checked_body(line[opening + 1 : end]).split(",")
        return self._own_signature in items

    def _new_route(self, address: str) -> _Route | PassedOver:
        if len(self._routes) >= _MOST_ROUTES:
            self._routes.clear()
        route = self._routes[address] = self._find_route(address)
        return route

    def _find_route(self, address: str) -> _Route | PassedOver:
        if address[0] == "!":
            return ENCAPSULATED
        if address[1:2] == "P":
            return PROPRIETARY
        talker, formatter = address[1:3], address[3:]
        if formatter not in READERS:
            return NOT_READ
        # In small letters a satellite talker would pass for another.
        if not (talker.isalnum() and talker == talker.upper()):
            raise UnreadableError("talker")
        if talker == _RECKONING_TALKER:
            return RECKONED
        if talker in self._satellite_talkers and formatter not in SATELLITE_READERS:
            return FROM_SATELLITES
        return _Route(f"{talker}{formatter}@{self._name}", READERS[formatter])


def _without_sentence(line: bytes) -> PassedOver:
    """Let a TAG block stand alone, to group the lines that follow; anything else without a start is noise."""
    block = line.strip()
    if len(block) < 2 or block[0] != _BACKSLASH or block[-1] != _BACKSLASH:
        raise UnreadableError("no start of a sentence")
    checked_body(block[1:-1])
    return TAG_ALONE


# As often as a sentence comes again word for word it has the same checksum; see `fields_of`.
@lru_cache(maxsize=256)
def _sentence(sentence: bytes) -> tuple[str, str, bool]:
    """Return its address with `$`, what stands between `$` and `*`, and whether a checksum stands behind."""
    if len(sentence) > LONGEST_SENTENCE:
        raise UnreadableError("too long")
    if not sentence.isascii():
        raise UnreadableError("not ASCII")
    text = sentence.decode("ascii")
    if not text.isprintable():
        raise UnreadableError("control character")
    address = text.partition(",")[0]
    star = text.rfind("*")
    if star < 0:
        return address, text[1:], False
    if checksum(sentence[1:star]) != text[star + 1 :].upper():
        raise UnreadableError("checksum")
    return address, text[1:star], True
