"""The TCP client against a real server on this machine: one that speaks, drops, vanishes, or says nothing."""

import asyncio
import errno
import socket
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from itertools import pairwise, repeat

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from broker.mosquitto import free_port
from links.listening import PATIENCE_S, Ear, Log, fault_of, open_descriptors, running
from middlewatch.links.addresses import Address
from middlewatch.links.supervisor import keep
from middlewatch.links.tcp import TcpLink

HEADINGS = b"$HCHDM,238.0,M*20\r\n$HCHDM,239.0,M*21\r\n$HCHDM,240.0,M*2F\r\n"


class Gateway:
    """A server of sentences at one port, for one client at a time."""

    def __init__(self, listener: socket.socket) -> None:
        self._listener = listener
        self.port: int = listener.getsockname()[1]

    async def client(self) -> socket.socket:
        """Wait for a client; the socket returned sends each piece at once."""
        async with asyncio.timeout(PATIENCE_S):
            client, _ = await asyncio.get_running_loop().sock_accept(self._listener)
        client.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        return client


@asynccontextmanager
async def gateway(port: int = 0) -> AsyncIterator[Gateway]:
    """Serve at a free port, or at one used before."""
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM | socket.SOCK_NONBLOCK)
    with listener:
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listener.bind(("127.0.0.1", port))
        listener.listen()
        yield Gateway(listener)


async def test_what_the_server_sends_is_heard() -> None:
    """Bytes are handed over as they come, in order."""
    ear = Ear()

    async with gateway() as server, running(TcpLink("127.0.0.1", server.port).run(ear)):
        with await server.client() as client:
            client.sendall(HEADINGS)
            assert await ear.until(b"*2F\r\n") == HEADINGS


@given(cuts=st.lists(st.integers(0, len(HEADINGS)), max_size=8))
@settings(max_examples=25, deadline=None)
def test_no_cutting_into_segments_loses_a_byte(cuts: list[int]) -> None:
    """However the stream is cut, what is heard is what was sent."""

    async def heard() -> bytes:
        ear = Ear()
        async with gateway() as server, running(TcpLink("127.0.0.1", server.port).run(ear)):
            with await server.client() as client:
                for start, end in pairwise(sorted({0, *cuts, len(HEADINGS)})):
                    client.sendall(HEADINGS[start:end])
                    await ear.until(HEADINGS[start:end])
                return await ear.until(HEADINGS)

    assert asyncio.run(heard()) == HEADINGS


async def test_a_large_burst_comes_whole_in_chunks_of_64_kib_at_most() -> None:
    """A megabyte at once arrives whole, in pieces a reader can take."""
    ear = Ear()
    burst = b"".join(b"%07d\n" % number for number in range(131_072))

    async with gateway() as server, running(TcpLink("127.0.0.1", server.port).run(ear)):
        with await server.client() as client:
            client.setblocking(False)
            await asyncio.get_running_loop().sock_sendall(client, burst)
            assert await ear.until(b"0131071\n") == burst

    assert max(len(chunk) for chunk in ear.chunks) <= 65_536


async def test_a_server_that_closes_is_a_fault() -> None:
    """The end of a TCP stream is an outage: the bus has not come to an end, the gateway has."""
    async with gateway() as server:
        life = asyncio.create_task(fault_of(TcpLink("127.0.0.1", server.port).run(Ear())))
        (await server.client()).close()
        fault = await life

    assert str(fault) == "the server closed the connection"


async def test_a_server_that_drops_and_comes_back_is_heard_again() -> None:
    """Late, there, dropped and back: each outage noted once whatever the tries, and no line is spliced."""
    ear, log = Ear(), Log()
    port = free_port()

    async with running(keep(TcpLink("127.0.0.1", port), ear, note=log, delays=repeat(0.002))):
        await log.until(1)
        async with gateway(port) as first:
            with await first.client() as client:
                client.sendall(b"$HCHDM,238.0,M*20\r\n$HCHDM,2")
                await ear.until(b"$HCHDM,2")
        await log.until(3)
        async with gateway(port) as second:
            with await second.client() as client:
                client.sendall(b"8.0,M\r\n$HCHDM,239.0,M*21\r\n")
                await ear.until(b"*21\r\n")
            notes = log.notes[:4]

    assert ear.heard == b"$HCHDM,238.0,M*20\r\n$HCHDM,2\x18\n8.0,M\r\n$HCHDM,239.0,M*21\r\n"
    assert notes == [
        (True, f"TCP 127.0.0.1 port {port}: Connection refused"),
        (False, f"TCP 127.0.0.1 port {port}: heard again"),
        (True, f"TCP 127.0.0.1 port {port}: the server closed the connection"),
        (False, f"TCP 127.0.0.1 port {port}: heard again"),
    ]


async def test_a_refused_connection_is_a_fault_in_the_systems_words() -> None:
    """A port where nobody listens is noted as the operating system words it."""
    log = Log()

    with socket.socket() as deaf:
        deaf.bind(("127.0.0.1", 0))
        port = deaf.getsockname()[1]
        async with running(keep(TcpLink("127.0.0.1", port), Ear(), note=log, delays=repeat(60.0))):
            notes = await log.until(1)

    assert notes == [(True, f"TCP 127.0.0.1 port {port}: Connection refused")]


async def test_a_server_that_does_not_answer_is_given_up() -> None:
    """A connection that is neither made nor refused ends after its time, and says how long that was."""
    full = socket.socket()
    waiting = [socket.socket(socket.AF_INET, socket.SOCK_STREAM | socket.SOCK_NONBLOCK) for _ in range(4)]
    with full:
        full.bind(("127.0.0.1", 0))
        full.listen(0)
        # Linux drops the calls to a full queue: the next caller hears nothing at all.
        for caller in waiting:
            caller.connect_ex(full.getsockname())
        fault = await fault_of(TcpLink("127.0.0.1", full.getsockname()[1], connect_within_s=0.2).run(Ear()))
    for caller in waiting:
        caller.close()

    assert isinstance(fault, TimeoutError)
    assert str(fault) == "no answer within 0.2 s"


async def test_the_next_address_of_a_name_is_tried(monkeypatch: pytest.MonkeyPatch) -> None:
    """A name with several addresses is reached by the one that answers."""
    ear = Ear()
    with socket.socket() as deaf:
        deaf.bind(("127.0.0.1", 0))
        async with gateway() as server:

            async def two_addresses(*_: object) -> list[Address]:
                return [
                    Address(socket.AF_INET, deaf.getsockname()),
                    Address(socket.AF_INET, ("127.0.0.1", server.port)),
                ]

            monkeypatch.setattr("middlewatch.links.tcp.addresses_of", two_addresses)
            async with running(TcpLink("gateway", server.port).run(ear)):
                with await server.client() as client:
                    client.sendall(HEADINGS)
                    assert await ear.until(b"*2F\r\n") == HEADINGS


async def test_a_host_that_cannot_be_a_name_is_a_fault() -> None:
    """A misspelt host does not stop the daemon: it is said like any other fault."""
    fault = await fault_of(TcpLink("gateway..local", 10110).run(Ear()))

    assert str(fault) == "'gateway..local' is no host name"


async def test_a_dead_server_is_asked_for_within_a_minute() -> None:
    """Keepalive is on and short: the system's own two hours would be a watch and more in silence."""
    async with gateway() as server:
        with await TcpLink("127.0.0.1", server.port)._connected() as connection:
            options = [
                connection.getsockopt(socket.SOL_SOCKET, socket.SO_KEEPALIVE),
                connection.getsockopt(socket.IPPROTO_TCP, socket.TCP_KEEPIDLE),
                connection.getsockopt(socket.IPPROTO_TCP, socket.TCP_KEEPINTVL),
                connection.getsockopt(socket.IPPROTO_TCP, socket.TCP_KEEPCNT),
            ]

    assert options == [1, 30, 10, 3]


async def test_a_connection_broken_by_the_server_is_a_fault() -> None:
    """A reset in the middle of the stream is the system's ECONNRESET."""
    async with gateway() as server:
        life = asyncio.create_task(fault_of(TcpLink("127.0.0.1", server.port).run(Ear())))
        client = await server.client()
        # Linger of nil: close with a reset, as a gateway does that was restarted.
        client.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, b"\x01\0\0\0\0\0\0\0")
        client.close()
        fault = await life

    assert fault.errno == errno.ECONNRESET


async def test_cancelling_closes_the_connection() -> None:
    """A link stopped while it listens leaves no descriptor open, and the server sees it go."""
    ear = Ear()
    async with gateway() as server:
        async with running(TcpLink("127.0.0.1", server.port).run(ear)):
            client = await server.client()
            client.sendall(HEADINGS)
            await ear.until(HEADINGS)
            while_listening = open_descriptors()
        with client:
            async with asyncio.timeout(PATIENCE_S):
                assert await asyncio.get_running_loop().sock_recv(client, 1) == b""
            assert len(open_descriptors()) == len(while_listening) - 1
