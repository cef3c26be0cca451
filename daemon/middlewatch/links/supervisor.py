"""The supervisor of one input: brings a failed link back, and says each outage once."""

import asyncio
import os
import socket
from collections.abc import Callable, Iterable

from middlewatch.links.bytelink import ByteLink, Heard

Note = Callable[[bool, str], None]
"""Takes what is said of a link: whether it has failed, and the words."""

# CAN, "cancel": what came before it is to be disregarded (ISO/IEC 646; from memory). A control character, it
# also has the gate refuse the line it stands in.
_CANCELLED_LINE = b"\x18\n"


class HearerError(RuntimeError):
    """Whoever was handed the bytes failed with an OSError: no fault of the link, not to be retried as one."""


async def keep(
    link: ByteLink, heard: Heard, *, note: Note, delays: Iterable[float], steady_s: float = 60.0
) -> None:
    """Run a link for as long as it has anything to say, through every outage of network or device.

    An OSError is noted once, in the system's words, when the outage begins, and once more when bytes flow
    again; between tries it waits, in seconds, for the next of the endless `delays`, which begin anew after a
    life that brought bytes for `steady_s`. Returns at end of file, noted as a failure, for there the
    listening ends. Any other exception is a bug, and propagates.

    A line torn by an outage is never finished by what comes after: it is ended with a cancel character, 0x18.
    """
    outage = _Outage(str(link), note)
    waits = iter(delays)
    while True:
        passage = _Passage(heard, outage)
        try:
            await link.run(passage)
        except OSError as fault:
            passage.end()
            outage.begin(system_words(fault))
        else:
            passage.end()
            outage.for_good("came to its end")
            return
        if passage.lasted_s() >= steady_s:
            waits = iter(delays)
        await asyncio.sleep(next(waits))


class _Outage:
    """Whether the link is out, said at each change and not at each try."""

    def __init__(self, link: str, note: Note) -> None:
        self._link = link
        self._note = note
        self._on = False

    def begin(self, words: str) -> None:
        self._change(to=True, words=words)

    def end(self) -> None:
        self._change(to=False, words="heard again")

    def for_good(self, words: str) -> None:
        """Say that nothing more will come, also where it was out already."""
        self._on = False
        self.begin(words)

    def _change(self, *, to: bool, words: str) -> None:
        if self._on != to:
            self._on = to
            self._note(to, f"{self._link}: {words}")


class _Passage:
    """The bytes of one connection on their way to the hearer."""

    def __init__(self, heard: Heard, outage: _Outage) -> None:
        self._heard = heard
        self._outage = outage
        self._clock = asyncio.get_running_loop().time
        self._since_s: float | None = None
        self._within_line = False

    def __call__(self, chunk: bytes) -> None:
        if self._since_s is None:
            self._since_s = self._clock()
            self._outage.end()
        self._within_line = not chunk.endswith(b"\n")
        try:
            self._heard(chunk)
        except OSError as fault:
            raise HearerError(f"could not take the bytes: {fault}") from fault

    def end(self) -> None:
        """Cancel a line the connection left unfinished: half a heading may read like a whole one."""
        if self._within_line:
            self(_CANCELLED_LINE)

    def lasted_s(self) -> float:
        """Return the seconds since the first bytes came; 0 if none did."""
        return 0.0 if self._since_s is None else self._clock() - self._since_s


def system_words(fault: OSError) -> str:
    """Say a fault as the operating system words it, without its number and a library's wrapping."""
    if fault.errno is None or isinstance(fault, socket.gaierror):
        return fault.strerror or str(fault) or type(fault).__name__
    return os.strerror(fault.errno)
