"""A TCP server that tells its listeners what the reckoning says, and takes nothing from them."""

import asyncio
import socket
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import cast

from middlewatch.links.nmea_out import PACE_S, Waiting

LISTENERS_AT_MOST = 20
"""More are turned away at once: a boat has some displays, not a crowd (judgement)."""

# About half a minute of sentences. A listener that lets them pile up reads a position that was.
_PILED_UP_BYTES = 8192
_KERNEL_BYTES = 8192
# What nobody has acknowledged for so long, nobody hears: a display without power says no farewell.
_UNHEARD_MS = 20_000


@dataclass(slots=True)
class TcpServer:
    """Serves whoever connects to an address and port of ours; an empty host: every address.

    Counted: listeners `dropped` because they did not take what they were sent.
    """

    host: str
    port: int
    dropped: int = 0
    _listeners: "set[_Listener]" = field(default_factory=set)

    def __str__(self) -> str:
        return f"TCP server {self.host or 'on every address'} port {self.port}"

    @property
    def listeners(self) -> int:
        """How many are connected."""
        return len(self._listeners)

    async def run(self, waiting: Waiting, up: Callable[[], None]) -> None:
        """Serve; OSError where the port cannot be had."""
        loop = asyncio.get_running_loop()
        server = await loop.create_server(lambda: _Listener(self._listeners), self.host or None, self.port)
        try:
            up()
            while True:
                self._send(b"".join(await waiting.next()))
                await asyncio.sleep(PACE_S)
        finally:
            server.close()
            for listener in self._listeners:
                listener.transport.abort()
            self._listeners.clear()

    def _send(self, lines: bytes) -> None:
        for listener in tuple(self._listeners):
            if listener.transport.get_write_buffer_size() + len(lines) > _PILED_UP_BYTES:
                self.dropped += 1
                self._listeners.discard(listener)
                listener.transport.abort()
            else:
                listener.transport.write(lines)


class _Listener(asyncio.Protocol):
    """One connection. What it says is never read: it stays in the network, and costs us nothing."""

    transport: asyncio.Transport

    def __init__(self, listeners: "set[_Listener]") -> None:
        self._listeners = listeners

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        """Take it among the listeners, or turn it away where there are too many."""
        self.transport = cast("asyncio.Transport", transport)
        if len(self._listeners) >= LISTENERS_AT_MOST:
            self.transport.abort()
            return
        self.transport.pause_reading()
        connection: socket.socket = transport.get_extra_info("socket")
        connection.setsockopt(socket.SOL_SOCKET, socket.SO_SNDBUF, _KERNEL_BYTES)
        connection.setsockopt(socket.IPPROTO_TCP, socket.TCP_USER_TIMEOUT, _UNHEARD_MS)
        self._listeners.add(self)

    def connection_lost(self, exc: Exception | None) -> None:  # noqa: ARG002 -- asyncio's callback
        """Forget it: a display that is switched off is no fault of ours."""
        self._listeners.discard(self)
