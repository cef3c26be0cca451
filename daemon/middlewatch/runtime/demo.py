"""The demo: a night passage of our own invention, through a real broker, faster than life.

The daemon that runs here is the one that runs on a boat: it hears the simulated bus on a TCP port, and the
simulated skipper's entries, published by a client of their own, over the broker.
"""

import asyncio
import socket
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Self

from middlewatch.links.sender import Skipper
from middlewatch.practice.demo_passage import DEMO_MARKS, DEMO_SENSOR_CARD, DEMO_STORY, demo
from middlewatch.practice.passage import Passage
from middlewatch.practice.skipper import SkipperEntry
from middlewatch.quantities.angles import three_figures
from middlewatch.quantities.instants import MS_PER_SECOND, Instant
from middlewatch.reports import Report
from middlewatch.runtime.deck_log import DeckLog
from middlewatch.runtime.demo_table import DemoTable, Seen, demo_table
from middlewatch.runtime.narration import Narrator, Note
from middlewatch.runtime.run import Daemon, Files
from middlewatch.runtime.skipper_words import in_words
from middlewatch.runtime.terms import Terms
from middlewatch.settings import (
    CompassSettings,
    InputSettings,
    JournalSettings,
    MqttSettings,
    PageSettings,
    Settings,
    defaults,
)

LASTS_S = 120.0
"""How long the demo takes unless told otherwise."""

_CATCH_UP_S = 60.0
_PACE_S = 0.02
_INPUT = "bow"


async def run_demo(log: DeckLog, *, speed: float | None, page: bool = False) -> DemoTable:
    """Sail the passage and return what it came to.

    `speed` is passage time over real time, and changes only the waiting. `page`: serve the page, on loopback.
    """
    passage = demo()
    factor = speed or (passage.ends_ms - passage.starts_ms) / MS_PER_SECOND / LASTS_S
    log.say(*_introduction(passage, factor))
    telling = Telling(log, {str(entry.body["id"]): in_words(entry) for entry in passage.entries})
    with tempfile.TemporaryDirectory(prefix="middlewatch-demo-") as folder:
        async with Bus() as bus:
            settings = demo_settings(Path(folder), bus.port)
            if page:
                settings = replace(settings, page=PageSettings(port=free_port()))
                log.say(f"The page, until the end of the passage: http://127.0.0.1:{settings.page.port}/", "")
            daemon = Daemon(settings, Files(), telling.hear)
            running = asyncio.create_task(daemon.run())
            try:
                await _until(daemon.connected, running)
                async with Skipper(settings.mqtt, settings.boat.name) as skipper:
                    unanswered = await _play(passage, bus, daemon, skipper, factor)
            finally:
                daemon.stop()
                await running
    telling.end()
    return demo_table(passage, telling.seen, unanswered)


def demo_settings(folder: Path, bus_port: int) -> Settings:
    """Return the demo's settings: our own broker on a free port, the simulated bus as the only input."""
    return replace(
        defaults(),
        inputs=(InputSettings(name=_INPUT, link="tcp", host="127.0.0.1", port=bus_port, stamp="tag"),),
        marks={mark.name: mark for mark in DEMO_MARKS},
        compass=CompassSettings(sensor_card=DEMO_SENSOR_CARD),
        mqtt=MqttSettings(port=free_port(), embedded=True),
        journal=JournalSettings(file=folder / "demo.db"),
    )


class Bus:
    """The simulated bus: a TCP server that hands its one listener the lines."""

    def __init__(self) -> None:
        self._listener: asyncio.Future[asyncio.StreamWriter] = asyncio.get_running_loop().create_future()

    async def __aenter__(self) -> Self:
        self._server = await asyncio.start_server(self._admit, "127.0.0.1", 0)
        self.port: int = self._server.sockets[0].getsockname()[1]
        return self

    async def __aexit__(self, *_: object) -> None:
        if self._listener.done():
            self._listener.result().close()
        self._server.close()
        await self._server.wait_closed()

    async def _admit(self, _: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        if not self._listener.done():
            self._listener.set_result(writer)

    async def send(self, text: bytes) -> None:
        """Send bytes once somebody listens."""
        writer = await self._listener
        writer.write(text)
        await writer.drain()


def free_port() -> int:
    """Return a TCP port of loopback that nobody uses at this moment."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


# --- playing ----------------------------------------------------------------------------------------


async def _play(passage: Passage, bus: Bus, daemon: Daemon, skipper: Skipper, factor: float) -> list[str]:
    """Send lines and entries in order of time, and return the ids of the entries that nobody answered.

    The daemon's only clock here is the stamps of the lines, so an entry waits until the first line of its
    moment or later is heard.
    """
    loop = asyncio.get_running_loop()
    began_s, sent = loop.time(), 0
    held: list[bytes] = []
    waiting: list[SkipperEntry] = []
    unanswered: list[str] = []
    for event in passage.events():
        if isinstance(event, SkipperEntry):
            waiting.append(event)
            continue
        ahead_s = (event.at_ms - passage.starts_ms) / MS_PER_SECOND / factor - (loop.time() - began_s)
        if ahead_s > _PACE_S:
            await bus.send(b"".join(held))
            held.clear()
            await asyncio.sleep(ahead_s)
        held.append(event.text)
        sent += 1
        while waiting and waiting[0].at_ms <= event.at_ms:
            await bus.send(b"".join(held))
            held.clear()
            await _heard(daemon, sent)
            entry = waiting.pop(0)
            # Long enough for a slow board to work off its lines: what is sent again is told again.
            if await skipper.send(entry.channel, entry.body, wait_s=_CATCH_UP_S) is None:
                unanswered.append(str(entry.body["id"]))
    await bus.send(b"".join(held))
    await _heard(daemon, sent)
    return unanswered


async def _heard(daemon: Daemon, lines: int) -> None:
    async with asyncio.timeout(_CATCH_UP_S):
        while daemon.lines_heard < lines:  # noqa: ASYNC110 - the daemon need not know of its listener here
            await asyncio.sleep(0.002)


async def _until(event: asyncio.Event, running: "asyncio.Task[None]") -> None:
    """Wait for an event, or for the run to fail before it."""
    waiting = asyncio.create_task(event.wait())
    done, _ = await asyncio.wait((waiting, running), return_when=asyncio.FIRST_COMPLETED)
    if running in done:
        waiting.cancel()
        running.result()


# --- telling ----------------------------------------------------------------------------------------


def _introduction(passage: Passage, factor: float) -> Iterator[str]:
    light, perch, ledge = DEMO_MARKS
    yield "A night passage off a coast of our own invention: no such land, light or boat exists."
    yield "An aid only: chart, lookout, local rules and licensed practice come first."
    yield ""
    yield (
        f"She leaves {perch.name} at 2100 for the westward, with {light.name}, {light.character}, on the"
        f" starboard bow, the only light until {ledge.name}, {ledge.character}, comes up late in the evening."
        " A stream that nobody on board knows sets her towards the land. Bus, skipper and satellites are"
        " simulated; the daemon is the one for a real boat."
    )
    date = str(Instant(passage.starts_ms))[:10]
    yield f"Times are UTC of {date}. M is magnetic, T true; a stream sets towards."
    yield f"Played {factor:.0f} times faster than life."
    yield ""


@dataclass(slots=True)
class Telling:
    """Tells what the daemon says, before it what the skipper said, and what the practice does meanwhile."""

    log: DeckLog
    words: dict[str, str]
    seen: Seen = field(default_factory=Seen)
    terms: Terms = field(default_factory=Terms)
    staged: list[Note] = field(default_factory=lambda: list(_staged()))
    narrator: Narrator = field(init=False)

    def __post_init__(self) -> None:
        self.narrator = Narrator(self._skipper)

    def hear(self, at: Instant, report: Report) -> None:
        """Take a report."""
        self.seen.take(report)
        for note in self.narrator.notes(at, report):
            self.log.note(self.terms.explained(note))
        while self.staged and self.staged[0].at <= at:
            self.log.note(self.staged.pop(0))

    def end(self) -> None:
        """Tell what was still to be told."""
        for note in self.narrator.last():
            self.log.note(self.terms.explained(note))

    def _skipper(self, entry_id: str) -> str | None:
        words = self.words.get(entry_id)
        return None if words is None else f"Skipper: {words}."


def _staged() -> Iterator[Note]:
    """Yield what the practice does to the satellite position, which nobody on board is told."""
    story = DEMO_STORY
    towards = three_figures(story.pulled_towards_deg)
    drawn = f"the satellite position is drawn off towards {towards} T at {story.pulled_kn:.0f} kn"
    for at_ms, words in (
        (story.lost_ms, "no satellite position reaches the boat"),
        (story.back_ms, "the satellite position is there again, and true"),
        (story.pulled_ms, f"{drawn}, and the receiver says that all is well"),
        (story.let_go_ms, "the satellite position is drawn no more, and true at a bound"),
    ):
        yield Note(Instant(at_ms), "practice", (f"(From here {words}.)",))
