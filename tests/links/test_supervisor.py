"""The supervisor: what it retries and what it does not, what it says, how long it waits, torn lines."""

import asyncio
import errno
import os
import socket
from collections.abc import Awaitable, Callable, Iterator
from itertools import islice, pairwise, repeat
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from links.listening import PATIENCE_S, Ear, Log, running
from middlewatch.links.bytelink import Heard
from middlewatch.links.delays import Delays
from middlewatch.links.supervisor import HearerError, keep
from middlewatch.readings.sentences import Heading
from middlewatch.wire.lines import LineSplitter
from middlewatch.wire.nmea import Decoder

Life = Callable[[Heard], Awaitable[None]]


class Scripted:
    """A link whose lives are written down; after the last it comes to its end."""

    def __init__(self, *lives: Life) -> None:
        self._lives = iter(lives)
        self.begun_s: list[float] = []

    def __str__(self) -> str:
        return "test line"

    async def run(self, heard: Heard) -> None:
        """Live the next life."""
        self.begun_s.append(asyncio.get_running_loop().time())
        life = next(self._lives, None)
        if life is not None:
            await life(heard)


def speaks(chunk: bytes, then: Exception | None = None) -> Life:
    """Return a life that brings one chunk, and then fails or ends."""

    async def life(heard: Heard) -> None:
        heard(chunk)
        if then is not None:
            raise then

    return life


def fails(fault: Exception) -> Life:
    """Return a life that fails before it brings anything."""

    async def life(_: Heard) -> None:
        raise fault

    return life


def gone() -> OSError:
    """Return the system's fault of a device that is not there."""
    return OSError(errno.ENODEV, os.strerror(errno.ENODEV))


async def lived(link: Scripted, heard: Heard, log: Log, **options: float) -> None:
    """Keep a scripted link until its end, without waiting between tries."""
    async with asyncio.timeout(PATIENCE_S):
        await keep(link, heard, note=log, delays=repeat(0.0), **options)


async def test_an_outage_is_noted_once_and_once_when_bytes_flow_again() -> None:
    """Three failed tries are one outage: one note with the system's words, one when it is over."""
    log = Log()

    await lived(Scripted(*[fails(gone())] * 3, speaks(b"a\n", gone()), speaks(b"b\n")), Ear(), log)

    assert log.notes == [
        (True, "test line: No such device"),
        (False, "test line: heard again"),
        (True, "test line: No such device"),
        (False, "test line: heard again"),
        (True, "test line: came to its end"),
    ]


async def test_a_link_that_works_says_nothing() -> None:
    """Before anything has failed there is nothing to note: the first bytes are no news."""
    log = Log()
    notes_at_each_chunk: list[int] = []

    await lived(Scripted(speaks(b"a\n")), lambda _: notes_at_each_chunk.append(len(log.notes)), log)

    assert notes_at_each_chunk == [0]


async def test_the_return_is_noted_before_the_bytes_are_handed_over() -> None:
    """Whoever hears the first line after an outage has been told that it is over."""
    log = Log()
    notes_at_each_chunk: list[int] = []

    await lived(
        Scripted(fails(gone()), speaks(b"a\n")), lambda _: notes_at_each_chunk.append(len(log.notes)), log
    )

    assert notes_at_each_chunk == [2]


async def test_a_connection_that_brings_nothing_does_not_end_the_outage() -> None:
    """A server that accepts and hangs up at once is still out."""
    log = Log()

    await lived(Scripted(fails(gone()), fails(ConnectionResetError("closed"))), Ear(), log)

    assert log.notes == [(True, "test line: No such device"), (True, "test line: came to its end")]


@pytest.mark.parametrize(
    ("fault", "words"),
    [
        (OSError(errno.ECONNREFUSED, "Connect call failed ('10.0.0.1', 10110)"), "Connection refused"),
        (TimeoutError("no answer within 10 s"), "no answer within 10 s"),
        (socket.gaierror(socket.EAI_NONAME, "Name or service not known"), "Name or service not known"),
        (TimeoutError(), "TimeoutError"),
    ],
)
async def test_a_fault_is_noted_in_the_systems_words(fault: OSError, words: str) -> None:
    """The words are the operating system's, without its number and a library's wrapping; never none."""
    log = Log()

    await lived(Scripted(fails(fault)), Ear(), log)

    assert log.notes[0] == (True, f"test line: {words}")


async def test_a_bug_leaves_and_is_not_retried() -> None:
    """Any exception but an OSError is our own mistake: it stops the daemon, unnoted."""
    log = Log()
    link = Scripted(fails(ZeroDivisionError("a bug")))

    with pytest.raises(ZeroDivisionError):
        await lived(link, Ear(), log)

    assert len(link.begun_s) == 1
    assert log.notes == []


async def test_a_hearers_fault_is_not_the_links() -> None:
    """A full disk while recording what was heard is not said of the serial line, nor tried again."""
    log = Log()
    link = Scripted(speaks(b"a\n"))

    def full(_: bytes) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    with pytest.raises(HearerError, match="No space left on device"):
        await lived(link, full, log)

    assert len(link.begun_s) == 1
    assert log.notes == []


@pytest.mark.parametrize(
    ("chunk", "heard"),
    [(b"$HCHDM,2", b"$HCHDM,2\x18\n"), (b"$HCHDM,238.0,M*20\r\n", b"$HCHDM,238.0,M*20\r\n")],
)
async def test_a_torn_line_is_cancelled_and_a_whole_one_is_not(chunk: bytes, heard: bytes) -> None:
    """What an outage cut off is ended by CAN; where it cut nothing, nothing is added."""
    ear = Ear()

    await lived(Scripted(speaks(chunk, gone()), speaks(b"8.0,M\r\n")), ear, Log())

    assert ear.heard == heard + b"8.0,M\r\n"


SENT = [7.0, 28.0, 159.0, 238.0, 341.0]
HEADINGS = b"".join(b"$HCHDM,%.1f,M\r\n" % heading for heading in SENT)


@given(torn_at=st.integers(0, len(HEADINGS)), back_at=st.integers(0, len(HEADINGS)))
def test_no_outage_makes_a_heading_that_was_never_sent(torn_at: int, back_at: int) -> None:
    """Wherever a stream without checksums breaks off and wherever it sets in again, nothing is invented."""
    splitter, decoder = LineSplitter(), Decoder("bow", checksum_required=False, satellite_talkers=frozenset())
    headings: list[float] = []

    def heard(chunk: bytes) -> None:
        for line in splitter.feed(chunk):
            readings = decoder.read(line, 0)
            headings.extend(reading.heading_deg for reading in readings if isinstance(reading, Heading))

    link = Scripted(speaks(HEADINGS[:torn_at], gone()), speaks(HEADINGS[back_at:]))
    asyncio.run(lived(link, heard, Log()))

    whole_before = HEADINGS[:torn_at].count(b"\n")
    whole_after = HEADINGS[back_at:].count(b"$")
    assert headings == SENT[:whole_before] + SENT[len(SENT) - whole_after :]


class CountedDelays:
    """Delays of nothing that count how often they were begun."""

    def __init__(self) -> None:
        self.begun = 0

    def __iter__(self) -> Iterator[float]:
        self.begun += 1
        return repeat(0.0)


@pytest.mark.parametrize(
    ("life", "steady_s", "begun"),
    [
        (speaks(b"a\n", gone()), 1e-9, 3),  # brought bytes for longer than that
        (speaks(b"a\n", gone()), 3600.0, 1),  # brought bytes, but not for an hour
        (fails(gone()), 1e-9, 1),  # brought none
    ],
)
async def test_delays_begin_anew_after_a_steady_life(life: Life, steady_s: float, begun: int) -> None:
    """Waits grow from try to try, and start short again once a link has brought bytes for a while."""
    delays = CountedDelays()

    async with asyncio.timeout(PATIENCE_S):
        await keep(Scripted(life, life), Ear(), note=Log(), delays=delays, steady_s=steady_s)

    assert delays.begun == begun


async def test_each_delay_is_waited_out() -> None:
    """Between two tries lies the wait that was asked for, and no less."""
    link = Scripted(fails(gone()), fails(gone()))

    async with asyncio.timeout(PATIENCE_S):
        await keep(link, Ear(), note=Log(), delays=[0.02, 0.03])

    # The event loop calls what is due within its clock's resolution, a nanosecond.
    waited_s = [later - earlier for earlier, later in pairwise(link.begun_s)]
    assert len(waited_s) == 2
    assert waited_s[0] >= 0.02 - 1e-9
    assert waited_s[1] >= 0.03 - 1e-9


async def test_cancelling_stops_the_waiting() -> None:
    """A daemon that stops does not wait for the next try."""
    log = Log()

    async with running(keep(Scripted(fails(gone())), Ear(), note=log, delays=repeat(3600.0))) as kept:
        await log.until(1)

    assert kept.cancelled()


@given(chance=st.randoms(use_true_random=False))
def test_delays_grow_from_half_a_second_to_thirty(chance: Random) -> None:
    """Each wait lies between half its limit and the limit, which is 1 s at first and doubles up to 30 s."""
    waits = list(islice(Delays(chance), 9))

    for wait, limit in zip(waits, [1, 2, 4, 8, 16, 30, 30, 30, 30], strict=True):
        assert limit / 2 <= wait <= limit


@given(chance=st.randoms(use_true_random=True))
def test_delays_begin_at_the_shortest_each_time(chance: Random) -> None:
    """However long the waits have grown, a new beginning waits a second at most."""
    delays = Delays(chance)
    assert max(islice(delays, 8)) > 1.0

    assert next(iter(delays)) <= 1.0


@given(chance=st.randoms(use_true_random=True))
def test_delays_differ_from_one_beginning_to_the_next(chance: Random) -> None:
    """Links lost together do not all knock in the same instant."""
    delays = Delays(chance)

    assert len({next(iter(delays)) for _ in range(4)}) > 1
