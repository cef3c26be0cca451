"""UDP out through real sockets: to one, to all, to a group, and where no way leads."""

import asyncio
import errno
import os
import socket
from collections.abc import Iterator
from itertools import repeat
from typing import Any

import pytest

from broker.mosquitto import free_port
from links.listening import PATIENCE_S, Log, fault_of, running
from middlewatch.links import nmea_out, nmea_out_udp
from middlewatch.links.nmea_out import Waiting, keep_open
from middlewatch.links.nmea_out_udp import UdpSender

SECOND = (b"$INGLL,5008.4300,N,00518.2600,W,142536.00,V,E*7D\r\n", b"$INVDR,110.0,T,112.1,M,0.7,N*3A\r\n")
GROUP = "239.192.0.77"


@pytest.fixture(autouse=True)
def _fast(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let seconds pass a hundred times faster."""
    monkeypatch.setattr(nmea_out_udp, "PACE_S", nmea_out.PACE_S / 100)


@pytest.fixture
def ear() -> Iterator[socket.socket]:
    """Give a bound, non-blocking socket at every address of ours."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as bound:
        bound.bind(("", 0))
        bound.setblocking(False)
        yield bound


async def heard(ear: socket.socket) -> bytes:
    """Return the next datagram."""
    async with asyncio.timeout(PATIENCE_S):
        return await asyncio.get_running_loop().sock_recv(ear, 4096)


@pytest.mark.parametrize("host", ["127.0.0.1", "127.255.255.255", GROUP])
async def test_each_sentence_is_a_datagram(ear: socket.socket, host: str) -> None:
    """To one address, by broadcast and to a multicast group: whole sentences, in order, one in each."""
    if host == GROUP:
        member = socket.inet_aton(GROUP) + socket.inet_aton("0.0.0.0")  # noqa: S104 -- whichever way the group lies
        try:
            ear.setsockopt(socket.IPPROTO_IP, socket.IP_ADD_MEMBERSHIP, member)
        except OSError:
            pytest.skip("no route leads to a multicast group here")
    waiting = Waiting()

    async with running(UdpSender(host, ear.getsockname()[1]).run(waiting, lambda: None)):
        for _ in range(2):
            waiting.put(SECOND)
            assert [await heard(ear), await heard(ear)] == list(SECOND)


async def test_nobody_listening_is_no_fault() -> None:
    """A port where nobody listens is told on: whoever comes later hears."""
    port = free_port(socket.SOCK_DGRAM)
    waiting = Waiting()

    async with running(UdpSender("127.0.0.1", port).run(waiting, lambda: None)) as life:
        for _ in range(3):
            waiting.put(SECOND)
            await asyncio.sleep(0.01)
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as late:
            late.bind(("127.0.0.1", port))
            late.setblocking(False)
            waiting.put(SECOND)
            assert await heard(late) == SECOND[0]
        assert not life.done()


async def test_a_network_that_is_away_is_said_once_and_got_over(
    ear: socket.socket, monkeypatch: pytest.MonkeyPatch
) -> None:
    """While no way leads there it is tried again, said once, and said once when it is over."""
    away = True
    real = socket.socket.sendto

    class Cut(socket.socket):
        def sendto(self, *given: Any) -> int:
            if away:
                raise OSError(errno.ENETUNREACH, "no route")
            return real(self, *given)

    monkeypatch.setattr("middlewatch.links.nmea_out_udp.socket.socket", Cut)
    log, waiting = Log(), Waiting()
    port = ear.getsockname()[1]
    sender = UdpSender("127.0.0.1", port)

    async def telling() -> None:
        while True:
            waiting.put(SECOND)
            await asyncio.sleep(0.005)

    async with running(keep_open(sender, waiting, note=log, delays=repeat(0.002))), running(telling()):
        await log.until(1)
        await asyncio.sleep(0.05)
        assert len(log.notes) == 1
        away = False
        assert await heard(ear) == SECOND[0]
        await log.until(2)

    assert log.notes == [
        (True, f"UDP to 127.0.0.1 port {port}: {os.strerror(errno.ENETUNREACH)}"),
        (False, f"UDP to 127.0.0.1 port {port}: there again"),
    ]


async def test_an_unknown_name_is_a_fault(monkeypatch: pytest.MonkeyPatch) -> None:
    """A host nobody knows is an OSError, to be tried again; how soon a network says so is its own affair."""

    def nobody_knows(*_: object) -> None:
        raise socket.gaierror(socket.EAI_NONAME, "Name or service not known")

    monkeypatch.setattr(socket, "getaddrinfo", nobody_knows)
    fault = await fault_of(UdpSender("no.such.host.invalid", 10110).run(Waiting(), lambda: None))

    assert isinstance(fault, socket.gaierror)
