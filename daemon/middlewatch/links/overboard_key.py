"""The overboard key: a key of any input device that the kernel knows (a keypad, a waterproof button).

An event is `struct input_event` of the kernel on 64-bit systems (linux/input.h, from memory): two longs of
time, type, code, value; type 1 is a key, value 1 its press, 0 its release, 2 that it is held.
"""

import os
from dataclasses import dataclass
from struct import Struct

from middlewatch.links.bytelink import Heard
from middlewatch.links.descriptor import Watched

EVENT = Struct("llHHi")
KEY, PRESS = 1, 1

PRESSED = b"overboard\n"
THERE = b"\n"
"""What the hearer is handed at a press, and once the device is open: a key is silent until then."""

SAME_HAND_S = 10.0
"""A hand hammers on such a key: what follows a press so soon is the same one (judgement)."""


@dataclass(frozen=True, slots=True)
class OverboardKey:
    """A device by its path, as `/dev/input/by-id/...`, and the code of the key on it."""

    device: str
    key: int

    def __str__(self) -> str:
        return f"overboard key {self.device}"

    async def run(self, heard: Heard) -> None:
        """Hand over a line at each press; OSError when the device cannot be opened, or is unplugged."""
        presses = Presses(self.key)
        descriptor = os.open(self.device, os.O_RDONLY | os.O_NONBLOCK)
        try:
            with Watched(descriptor) as watched:
                heard(THERE)
                while chunk := await watched.read():
                    for _ in range(presses.in_(chunk)):
                        heard(PRESSED)
        finally:
            os.close(descriptor)
        raise BrokenPipeError("the device has gone")


class Presses:
    """Counts the presses of one key in the events of a device, however they are cut."""

    def __init__(self, key: int) -> None:
        self._key = key
        self._rest = b""
        self._taken_s: float | None = None

    def in_(self, chunk: bytes) -> int:
        """Return how many presses come with these bytes; a hand that hammers presses once."""
        events = self._rest + chunk
        whole = len(events) - len(events) % EVENT.size
        self._rest = events[whole:]
        return sum(self._is_press(*event) for event in EVENT.iter_unpack(events[:whole]))

    def _is_press(self, seconds: int, microseconds: int, kind: int, code: int, value: int) -> bool:
        if (kind, code, value) != (KEY, self._key, PRESS):
            return False
        at_s = seconds + microseconds / 1e6
        # A clock set back is no reason to miss a press.
        again = self._taken_s is not None and 0.0 <= at_s - self._taken_s < SAME_HAND_S
        if not again:
            self._taken_s = at_s
        return not again
