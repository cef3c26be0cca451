"""From a host's name to the addresses a socket takes."""

import asyncio
import socket
from typing import Any, NamedTuple


class Address(NamedTuple):
    """An address family, and the address as a socket of that family takes it."""

    family: socket.AddressFamily
    place: tuple[Any, ...]


async def addresses_of(host: str, port: int, kind: socket.SocketKind) -> list[Address]:
    """Return the addresses of a host, best first; an empty host means any of our own. OSError if unknown."""
    look_up = asyncio.get_running_loop().getaddrinfo
    try:
        found = await look_up(host or None, port, type=kind, flags=socket.AI_PASSIVE)
    except UnicodeError as fault:
        raise OSError(f"{host!r} is no host name") from fault
    return [Address(family, place) for family, _, _, _, place in found]
