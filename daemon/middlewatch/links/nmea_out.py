"""Sentences out: what every link that carries them has in common, and who brings a failed one back.

Nothing here ever waits for a listener. Of the seconds that are told only the newest waits to go out: a
position that comes late is worth less than none. Alerts are kept in their order, up to a bound.
"""

import asyncio
from collections import deque
from collections.abc import Callable, Iterable
from typing import Protocol

from middlewatch.links.supervisor import Note, system_words

PACE_S = 0.5
"""At most one second of the reckoning goes out in this time: after a restart the gap is worked in a burst."""

MOST_ALERTS = 50
"""So many lines of alerts wait for a link that is down; then the oldest is dropped."""


class Waiting:
    """What waits to go out on one link: the newest second, whole, and the alerts; one asyncio reader.

    Counted: `sent` seconds, and seconds `left_out` because a newer one came before they could go.
    """

    def __init__(self) -> None:
        self.sent = 0
        self.left_out = 0
        self._second: tuple[bytes, ...] = ()
        self._alerts: deque[bytes] = deque(maxlen=MOST_ALERTS)
        self._something = asyncio.Event()

    def put(self, second: tuple[bytes, ...], alerts: tuple[bytes, ...] = ()) -> None:
        """Let lines wait, each whole and with its line end; a second not yet gone makes room for a newer."""
        if second:
            self.left_out += bool(self._second)
            self._second = second
        self._alerts.extend(alerts)
        if second or alerts:
            self._something.set()

    async def next(self) -> tuple[bytes, ...]:
        """Wait for lines, and take them all."""
        await self._something.wait()
        self._something.clear()
        lines = (*self._alerts, *self._second)
        self.sent += bool(self._second)
        self._second = ()
        self._alerts.clear()
        return lines


class OutLink(Protocol):
    """A way out for bytes; `str(link)` names it as a skipper would: `serial line /dev/ttyUSB0`."""

    async def run(self, waiting: Waiting, up: Callable[[], None]) -> None:
        """Open, send what waits as it comes, and close whatever was opened, also when cancelled.

        Calls `up` once it is there, which may be more than once. Never returns; raises OSError when the
        network or a device fails.
        """

    @property
    def listeners(self) -> int | None:
        """How many are connected; None where a link cannot know."""


async def keep_open(
    link: OutLink, waiting: Waiting, *, note: Note, delays: Iterable[float], steady_s: float = 60.0
) -> None:
    """Run a link through every outage, said once as it begins and once as it is over; never returns.

    Between tries it waits, in seconds, for the next of the endless `delays`, which begin anew after a life
    of `steady_s`. Anything but an OSError is a bug, and propagates.
    """
    clock = asyncio.get_running_loop().time
    out = False

    def up() -> None:
        nonlocal out
        if out:
            out = False
            note(False, f"{link}: there again")  # noqa: FBT003 -- a callable's arguments have no names

    waits = iter(delays)
    while True:
        since_s = clock()
        try:
            await link.run(waiting, up)
        except OSError as fault:
            if not out:
                out = True
                note(True, f"{link}: {system_words(fault)}")  # noqa: FBT003 -- as above
        if clock() - since_s >= steady_s:
            waits = iter(delays)
        await asyncio.sleep(next(waits))
