"""A TCP client: a gateway on board that serves the bus as a stream of bytes."""

import asyncio
import socket
from dataclasses import dataclass

from middlewatch.links.addresses import Address, addresses_of
from middlewatch.links.bytelink import Heard
from middlewatch.links.descriptor import Watched

# A gateway that lost its power sends no farewell: ask after 30 s of silence, then each 10 s, and believe it
# gone after three askings, a minute in all. Silence itself is no fault: a bus at rest has nothing to say.
_KEEPALIVE = (
    (socket.SOL_SOCKET, socket.SO_KEEPALIVE, 1),
    (socket.IPPROTO_TCP, socket.TCP_KEEPIDLE, 30),
    (socket.IPPROTO_TCP, socket.TCP_KEEPINTVL, 10),
    (socket.IPPROTO_TCP, socket.TCP_KEEPCNT, 3),
)


@dataclass(frozen=True, slots=True)
class TcpLink:
    """A server's host and port; all addresses of a name are tried, in the resolver's order."""

    host: str
    port: int
    connect_within_s: float = 10.0

    def __str__(self) -> str:
        return f"TCP {self.host} port {self.port}"

    async def run(self, heard: Heard) -> None:
        """Listen until the connection ends; OSError when it is not made, breaks, or the server closes it."""
        with await self._connected() as connection, Watched(connection.fileno()) as watched:
            while chunk := await watched.read():
                heard(chunk)
        raise ConnectionResetError("the server closed the connection")

    async def _connected(self) -> socket.socket:
        refusal = OSError("the name has no address")
        for address in await addresses_of(self.host, self.port, socket.SOCK_STREAM):
            try:
                async with asyncio.timeout(self.connect_within_s):
                    return await _connect(address)
            except OSError as fault:
                refusal = fault
        if isinstance(refusal, TimeoutError) and refusal.errno is None:
            raise TimeoutError(f"no answer within {self.connect_within_s:g} s")
        raise refusal


async def _connect(address: Address) -> socket.socket:
    connection = socket.socket(address.family, socket.SOCK_STREAM | socket.SOCK_NONBLOCK)
    try:
        for level, option, value in _KEEPALIVE:
            connection.setsockopt(level, option, value)
        await asyncio.get_running_loop().sock_connect(connection, address.place)
    except BaseException:
        # Refused, or cancelled: a half-open socket is not left behind.
        connection.close()
        raise
    return connection
