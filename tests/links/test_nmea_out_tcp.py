"""The TCP server: several listeners, one that does not listen, and a port that is taken."""

import asyncio
import errno
import os
import socket
import struct
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from itertools import repeat

import pytest

from broker.mosquitto import free_port
from links.listening import PATIENCE_S, Log, fault_of, open_descriptors, running
from middlewatch.links import nmea_out, nmea_out_tcp
from middlewatch.links.nmea_out import Waiting, keep_open
from middlewatch.links.nmea_out_tcp import LISTENERS_AT_MOST, TcpServer

SECOND = (b"$INGLL,5008.4300,N,00518.2600,W,142536.00,V,E*7D\r\n", b"$INVDR,110.0,T,112.1,M,0.7,N*3A\r\n")
WHOLE = b"".join(SECOND)


@pytest.fixture(autouse=True)
def _fast(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let seconds pass a hundred times faster; what is tested is their order."""
    monkeypatch.setattr(nmea_out_tcp, "PACE_S", nmea_out.PACE_S / 100)


@pytest.fixture
def port() -> int:
    """Give a port that was free a moment ago."""
    return free_port()


@asynccontextmanager
async def serving(port: int) -> AsyncIterator[tuple[TcpServer, Waiting]]:
    """Run a server that is there."""
    server, waiting, up = TcpServer("127.0.0.1", port), Waiting(), asyncio.Event()
    async with running(server.run(waiting, up.set)):
        async with asyncio.timeout(PATIENCE_S):
            await up.wait()
        yield server, waiting


@asynccontextmanager
async def listener(server: TcpServer, port: int) -> AsyncIterator[asyncio.StreamReader]:
    """Listen, once the server knows of it."""
    before = server.listeners
    reader, writer = await asyncio.open_connection("127.0.0.1", port)
    await until(lambda: server.listeners > before)
    try:
        yield reader
    finally:
        writer.transport.abort()


async def until(reached: Callable[[], bool]) -> None:
    """Wait, turn after turn of the loop, for what must come."""
    async with asyncio.timeout(PATIENCE_S):
        while not reached():  # noqa: ASYNC110 -- a count of listeners tells nobody that it has changed
            await asyncio.sleep(0.001)


async def hear(reader: asyncio.StreamReader, count: int) -> bytes:
    """Hear so many bytes."""
    async with asyncio.timeout(PATIENCE_S):
        return await reader.readexactly(count)


async def test_every_listener_hears_every_second_whole(port: int) -> None:
    """Five listen; each hears the same lines in the same order."""
    async with serving(port) as (server, waiting):
        async with _crowd(server, port, 5) as crowd:
            for number in range(3):
                waiting.put((b"$%d\r\n" % number, *SECOND))
                await until(lambda: not waiting._second)
            heard = await asyncio.gather(*(hear(each, 3 * (4 + len(WHOLE))) for each in crowd))
        assert waiting.left_out == 0

    wanted = b"".join(b"$%d\r\n" % number + WHOLE for number in range(3))
    assert heard == [wanted] * 5


@asynccontextmanager
async def _crowd(server: TcpServer, port: int, count: int) -> AsyncIterator[list[asyncio.StreamReader]]:
    if count == 0:
        yield []
        return
    async with listener(server, port) as one, _crowd(server, port, count - 1) as others:
        yield [one, *others]


async def test_one_that_does_not_listen_is_dropped_and_the_others_hear_on(port: int) -> None:
    """A display that hangs takes nothing: it is dropped once half a minute piles up, nobody else waits."""
    async with serving(port) as (server, waiting):
        with socket.socket() as deaf:
            deaf.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 1)
            deaf.connect(("127.0.0.1", port))
            await until(lambda: server.listeners == 1)
            async with listener(server, port) as awake:
                told = 0
                while server.dropped == 0:
                    waiting.put(SECOND * 10)
                    told += 1
                    # It hears each second as it is told, whatever the other one does.
                    assert await hear(awake, 10 * len(WHOLE)) == WHOLE * 10
                assert server.listeners == 1
                waiting.put(SECOND)
                assert await hear(awake, len(WHOLE)) == WHOLE
    # What piled up: the server's bound, and what the kernel holds at both ends, doubled as it does.
    assert told * 10 * len(WHOLE) < 100_000


async def test_a_listener_that_leaves_is_forgotten_by_the_next_second(port: int) -> None:
    """One that closes and one that is torn off: neither is an error, both places are free again."""
    async with serving(port) as (server, waiting):
        async with listener(server, port):
            pass
        before = server.listeners
        torn = socket.create_connection(("127.0.0.1", port))
        await until(lambda: server.listeners > before)
        torn.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))
        torn.close()

        async def told_until_empty() -> None:
            while server.listeners:
                waiting.put(SECOND)
                await asyncio.sleep(0.002)

        await asyncio.wait_for(told_until_empty(), PATIENCE_S)
        async with listener(server, port) as again:
            waiting.put((b"$1\r\n",))
            assert await hear(again, 4) == b"$1\r\n"
    assert server.dropped == 0


async def test_nothing_is_read_from_a_listener(port: int) -> None:
    """Whatever it sends stays in the network, however much: it cannot even keep us busy."""
    async with serving(port) as (server, waiting):
        reader, writer = await asyncio.open_connection("127.0.0.1", port)
        await until(lambda: server.listeners == 1)
        writer.transport.set_write_buffer_limits(high=1)
        writer.write(b"$GPRMC,142536,A,5008.43,N,00518.26,W,4.8,78.5,250626,,,A*00\r\n" * 200_000)
        with pytest.raises(TimeoutError):
            async with asyncio.timeout(0.3):
                await writer.drain()
        waiting.put(SECOND)
        assert await hear(reader, len(WHOLE)) == WHOLE
        writer.transport.abort()


async def test_a_listener_that_only_shuts_its_own_side_hears_on(port: int) -> None:
    """A program that has nothing to say closes its way to us: it still listens."""
    async with serving(port) as (server, waiting):
        reader, writer = await asyncio.open_connection("127.0.0.1", port)
        await until(lambda: server.listeners == 1)
        writer.write_eof()
        for _ in range(3):
            waiting.put(SECOND)
            assert await hear(reader, len(WHOLE)) == WHOLE
        writer.transport.abort()


async def test_a_crowd_is_turned_away_at_the_door(port: int) -> None:
    """Beyond the bound a connection is ended at once; those that are in hear on."""
    async with serving(port) as (server, waiting), _crowd(server, port, LISTENERS_AT_MOST) as crowd:
        late, writer = await asyncio.open_connection("127.0.0.1", port)
        with pytest.raises((asyncio.IncompleteReadError, ConnectionResetError)):
            await hear(late, 1)
        writer.transport.abort()
        waiting.put(SECOND)
        assert await hear(crowd[0], len(WHOLE)) == WHOLE
        assert server.listeners == LISTENERS_AT_MOST


async def test_a_taken_port_is_a_fault_said_once_and_got_over(port: int) -> None:
    """While another program holds the port it is tried again and said once; then we serve."""
    taken = socket.socket()
    taken.bind(("127.0.0.1", port))
    taken.listen()
    log, server, waiting = Log(), TcpServer("127.0.0.1", port), Waiting()

    assert (await fault_of(server.run(waiting, lambda: None))).errno == errno.EADDRINUSE
    async with running(keep_open(server, waiting, note=log, delays=repeat(0.005))):
        await log.until(1)
        await asyncio.sleep(0.05)
        assert len(log.notes) == 1
        taken.close()
        await log.until(2)
        async with listener(server, port) as reader:
            waiting.put(SECOND)
            assert await hear(reader, len(WHOLE)) == WHOLE

    assert log.notes == [
        (True, f"TCP server 127.0.0.1 port {port}: {os.strerror(errno.EADDRINUSE)}"),
        (False, f"TCP server 127.0.0.1 port {port}: there again"),
    ]


async def test_cancelling_closes_port_and_connections(port: int) -> None:
    """A server stopped by the daemon leaves nothing open, and the port is free at once."""
    before = open_descriptors()
    async with serving(port) as (server, _waiting):
        reader, writer = await asyncio.open_connection("127.0.0.1", port)
        await until(lambda: server.listeners == 1)
    with pytest.raises((asyncio.IncompleteReadError, ConnectionResetError)):
        await hear(reader, 1)
    writer.transport.abort()
    await until(lambda: open_descriptors() == before)

    async with serving(port):
        pass


async def test_of_two_seconds_that_wait_the_newer_goes_out() -> None:
    """A position that comes late is worth less than none; an alert waits its turn, up to a bound."""
    waiting = Waiting()
    waiting.put((b"old",), (b"first alert",))
    waiting.put((b"new",), (b"second alert",))
    waiting.put((), tuple(b"%d" % number for number in range(nmea_out.MOST_ALERTS - 1)))

    lines = await waiting.next()

    assert lines[-1] == b"new"
    assert lines[0] == b"second alert"
    assert len(lines) == nmea_out.MOST_ALERTS + 1
    assert (waiting.sent, waiting.left_out) == (1, 1)
