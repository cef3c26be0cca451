"""UDP: a gateway that throws sentences at the network, to us, to all, or to a multicast group."""

import socket
from dataclasses import dataclass
from ipaddress import ip_address

from middlewatch.links.addresses import Address, addresses_of
from middlewatch.links.bytelink import Heard
from middlewatch.links.descriptor import Watched


@dataclass(frozen=True, slots=True)
class UdpLink:
    """The address (empty: any of ours) or multicast group to listen at, and its port."""

    host: str
    port: int

    def __str__(self) -> str:
        return f"UDP {self.host or 'any address'} port {self.port}"

    async def run(self, heard: Heard) -> None:
        """Hand over datagrams, each ending with a line end, as long as the socket lives; OSError if it fails.

        A datagram is whole in itself: its last line is ended here where the sender did not, so that no two
        datagrams, of one sender or of several, can ever make one line together.
        """
        address, *_ = await addresses_of(self.host, self.port, socket.SOCK_DGRAM)
        with socket.socket(address.family, socket.SOCK_DGRAM | socket.SOCK_NONBLOCK) as ear:
            _bind(ear, address)
            with Watched(ear.fileno()) as watched:
                while True:
                    datagram = await watched.read()
                    if datagram:
                        heard(datagram if datagram.endswith(b"\n") else datagram + b"\n")


def _bind(ear: socket.socket, address: Address) -> None:
    group = ip_address(address.place[0])
    if not group.is_multicast:
        # An address is not shared: of two listeners to it one would be deaf, and not know it.
        ear.bind(address.place)
        return
    ear.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    ear.bind(address.place)
    # On whichever interface the system's routes lead to the group.
    any_interface = bytes(4)
    if address.family == socket.AF_INET6:
        ear.setsockopt(socket.IPPROTO_IPV6, socket.IPV6_JOIN_GROUP, group.packed + any_interface)
    else:
        ear.setsockopt(socket.IPPROTO_IP, socket.IP_ADD_MEMBERSHIP, group.packed + any_interface)
