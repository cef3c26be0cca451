"""UDP through real sockets: datagrams whole in themselves, from several senders and to a group."""

import errno
import socket
from collections.abc import Iterator
from ipaddress import ip_address

import pytest

from broker.mosquitto import free_port
from links.listening import HAIL, Ear, fault_of, hail, open_descriptors, running
from middlewatch.links.udp import UdpLink


@pytest.fixture
def port() -> int:
    """Give a port that was free a moment ago."""
    return free_port(socket.SOCK_DGRAM)


class Sender:
    """A gateway that throws datagrams at one place."""

    def __init__(self, family: socket.AddressFamily, place: tuple[str, int]) -> None:
        self.socket = socket.socket(family, socket.SOCK_DGRAM)
        self._place = place

    def send(self, datagram: bytes) -> None:
        """Send one datagram."""
        self.socket.sendto(datagram, self._place)


@pytest.fixture
def senders(port: int) -> Iterator[tuple[Sender, Sender]]:
    """Give two senders to the same port of this machine."""
    pair = (Sender(socket.AF_INET, ("127.0.0.1", port)), Sender(socket.AF_INET, ("127.0.0.1", port)))
    yield pair
    for sender in pair:
        sender.socket.close()


def without_hails(ear: Ear) -> list[bytes]:
    """Return the chunks heard, without the hails that found the link listening."""
    return [chunk for chunk in ear.chunks if chunk != HAIL]


async def test_a_datagram_of_several_lines_is_handed_over_whole(
    port: int, senders: tuple[Sender, Sender]
) -> None:
    """One datagram is one chunk, so that all its lines bear one stamp."""
    ear = Ear()

    async with running(UdpLink("127.0.0.1", port).run(ear)):
        await hail(senders[0].send, ear)
        senders[0].send(b"$HCHDM,238.0,M*20\r\n$VWVHW,,,,,5.1,N,,*2C\r\n")
        await ear.until(b"*2C\r\n")

    assert without_hails(ear) == [b"$HCHDM,238.0,M*20\r\n$VWVHW,,,,,5.1,N,,*2C\r\n"]


async def test_a_last_line_without_its_end_is_ended(port: int, senders: tuple[Sender, Sender]) -> None:
    """A sender that leaves out the line end is heard all the same, and at once."""
    ear = Ear()

    async with running(UdpLink("127.0.0.1", port).run(ear)):
        await hail(senders[0].send, ear)
        senders[0].send(b"$HCHDM,238.0,M*20")
        await ear.until(b"*20\n")

    assert without_hails(ear) == [b"$HCHDM,238.0,M*20\n"]


async def test_senders_are_never_spliced_into_each_other(port: int, senders: tuple[Sender, Sender]) -> None:
    """Half a line of one sender and the line of another stay two lines."""
    ear = Ear()
    one, other = senders

    async with running(UdpLink("127.0.0.1", port).run(ear)):
        await hail(one.send, ear)
        one.send(b"$HCHDM,2")
        other.send(b"8.0,M\r\n")
        one.send(b"38.0,M*20\r\n")
        await ear.until(b"38.0,M*20\r\n")

    assert without_hails(ear) == [b"$HCHDM,2\n", b"8.0,M\r\n", b"38.0,M*20\r\n"]


async def test_an_empty_datagram_is_neither_an_end_nor_a_line(
    port: int, senders: tuple[Sender, Sender]
) -> None:
    """A datagram of no bytes does not end the link, as it would a stream."""
    ear = Ear()

    async with running(UdpLink("127.0.0.1", port).run(ear)):
        await hail(senders[0].send, ear)
        senders[0].send(b"")
        senders[0].send(b"$HCHDM,238.0,M*20\r\n")
        await ear.until(b"*20\r\n")

    assert without_hails(ear) == [b"$HCHDM,238.0,M*20\r\n"]


async def test_the_largest_datagram_is_not_cut(port: int, senders: tuple[Sender, Sender]) -> None:
    """65,507 bytes, the most IPv4 carries (RFC 768 and 791: 65,535 less 20 and 8), come in one chunk."""
    ear = Ear()
    largest = b"x" * 65_506 + b"\n"

    async with running(UdpLink("127.0.0.1", port).run(ear)):
        await hail(senders[0].send, ear)
        senders[0].send(largest)
        await ear.until(b"x\n")

    assert without_hails(ear) == [largest]


async def test_an_empty_host_hears_every_address(port: int, senders: tuple[Sender, Sender]) -> None:
    """Without a host the link listens at all of the machine's addresses, for broadcasts too."""
    ear = Ear()

    async with running(UdpLink("", port).run(ear)):
        await hail(senders[0].send, ear)

    assert HAIL in ear.chunks


async def test_a_port_in_use_is_a_fault(port: int) -> None:
    """Of two listeners to one address one would be deaf: the second is refused."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as taken:
        taken.bind(("127.0.0.1", port))

        fault = await fault_of(UdpLink("127.0.0.1", port).run(Ear()))

    assert fault.errno == errno.EADDRINUSE


@pytest.mark.parametrize("group", ["239.192.0.1", "ff15::4d57"])
async def test_a_multicast_group_is_joined(port: int, group: str) -> None:
    """A host that is a group is joined and heard; where no route leads to it the system's fault is given."""
    ear = Ear()
    family = socket.AF_INET if ip_address(group).version == 4 else socket.AF_INET6
    unreachable = _fault_of_plain_join(family, group)

    if unreachable is not None:
        fault = await fault_of(UdpLink(group, port).run(ear))
        assert fault.errno == unreachable.errno
        return
    sender = Sender(family, (group, port))
    with sender.socket:
        async with running(UdpLink(group, port).run(ear)):
            await hail(sender.send, ear)
    assert HAIL in ear.chunks


def _fault_of_plain_join(family: socket.AddressFamily, group: str) -> OSError | None:
    packed = ip_address(group).packed + bytes(4)
    try:
        with socket.socket(family, socket.SOCK_DGRAM) as probe:
            if family == socket.AF_INET:
                probe.setsockopt(socket.IPPROTO_IP, socket.IP_ADD_MEMBERSHIP, packed)
            else:
                probe.setsockopt(socket.IPPROTO_IPV6, socket.IPV6_JOIN_GROUP, packed)
    except OSError as fault:
        return fault
    return None


async def test_two_programs_may_listen_to_one_group(port: int) -> None:
    """A group is shared: a second listener on this machine hears every datagram too."""
    unreachable = _fault_of_plain_join(socket.AF_INET, "239.192.0.1")
    first, second = Ear(), Ear()

    if unreachable is not None:
        fault = await fault_of(UdpLink("239.192.0.1", port).run(first))
        assert fault.errno == unreachable.errno
        return
    sender = Sender(socket.AF_INET, ("239.192.0.1", port))
    link = UdpLink("239.192.0.1", port)
    with sender.socket:
        async with running(link.run(first)), running(link.run(second)):
            await hail(sender.send, first)
            await hail(sender.send, second)


async def test_cancelling_closes_the_socket(port: int, senders: tuple[Sender, Sender]) -> None:
    """A link stopped by the daemon gives its port back."""
    ear = Ear()

    async with running(UdpLink("127.0.0.1", port).run(ear)):
        await hail(senders[0].send, ear)
        while_listening = open_descriptors()

    assert len(open_descriptors()) == len(while_listening) - 1
