"""A serial line out: a display, or a pilot, that hears the old bus."""

import asyncio
import os
from collections.abc import Callable
from dataclasses import dataclass

from serial import Serial

from middlewatch.links.nmea_out import PACE_S, Waiting
from middlewatch.links.serial_line import opened

_LOOK_AGAIN_S = 0.05


@dataclass(frozen=True, slots=True)
class SerialSender:
    """A serial port by its path, at `baud` bits a second; a slow line is told fewer seconds, each whole."""

    port: str
    baud: int = 4800

    def __str__(self) -> str:
        return f"serial line {self.port}"

    @property
    def listeners(self) -> None:
        """Who hears a serial line, nobody knows."""
        return

    async def run(self, waiting: Waiting, up: Callable[[], None]) -> None:
        """Send; OSError when the line cannot be opened, is taken, hangs up, is unplugged."""
        with opened(self.port, self.baud) as line:
            while True:
                await _gone_out(line)
                await _write(line.fileno(), b"".join(await waiting.next()))
                up()
                await asyncio.sleep(PACE_S)


async def _gone_out(line: Serial) -> None:
    """Wait until the line has sent what it holds: what lies behind that would go out as old."""
    while line.out_waiting:  # noqa: ASYNC110 -- no serial line tells that it has sent its last byte
        await asyncio.sleep(_LOOK_AGAIN_S)


async def _write(descriptor: int, lines: bytes) -> None:
    """Write all of it, waiting for room without keeping the loop."""
    rest = memoryview(lines)
    while rest:
        try:
            rest = rest[os.write(descriptor, rest) :]
        except BlockingIOError:
            await _room(descriptor)


async def _room(descriptor: int) -> None:
    loop, ready = asyncio.get_running_loop(), asyncio.Event()
    loop.add_writer(descriptor, ready.set)
    try:
        await ready.wait()
    finally:
        loop.remove_writer(descriptor)
