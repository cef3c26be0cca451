"""UDP out: sentences thrown at one address, at all of a network, or at a multicast group."""

import asyncio
import socket
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from ipaddress import ip_address

from middlewatch.links.addresses import Address, addresses_of
from middlewatch.links.nmea_out import PACE_S, Waiting


@dataclass(frozen=True, slots=True)
class UdpSender:
    """The address, broadcast address or multicast group to send to, and its port; a datagram a sentence."""

    host: str
    port: int

    def __str__(self) -> str:
        return f"UDP to {self.host} port {self.port}"

    @property
    def listeners(self) -> None:
        """Who hears a datagram, nobody knows."""
        return

    async def run(self, waiting: Waiting, up: Callable[[], None]) -> None:
        """Send; OSError where the name is unknown or no way leads there."""
        address, *_ = await addresses_of(self.host, self.port, socket.SOCK_DGRAM)
        with socket.socket(address.family, socket.SOCK_DGRAM | socket.SOCK_NONBLOCK) as out:
            _set_reach(out, address)
            while True:
                for line in await waiting.next():
                    # A network that takes no more just now loses this one: none is sent late.
                    with suppress(BlockingIOError):
                        out.sendto(line, address.place)
                up()
                await asyncio.sleep(PACE_S)


def _set_reach(out: socket.socket, address: Address) -> None:
    """Let it be broadcast; a multicast goes no farther than the boat's own network, on this machine too."""
    out.setsockopt(socket.SOL_SOCKET, socket.SO_BROADCAST, 1)
    if not ip_address(address.place[0].partition("%")[0]).is_multicast:
        return
    if address.family == socket.AF_INET6:
        out.setsockopt(socket.IPPROTO_IPV6, socket.IPV6_MULTICAST_HOPS, 1)
        out.setsockopt(socket.IPPROTO_IPV6, socket.IPV6_MULTICAST_LOOP, 1)
    else:
        out.setsockopt(socket.IPPROTO_IP, socket.IP_MULTICAST_TTL, 1)
        out.setsockopt(socket.IPPROTO_IP, socket.IP_MULTICAST_LOOP, 1)
