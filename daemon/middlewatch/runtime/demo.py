"""The demo: a night passage of our own invention, through a real broker, faster than life.

The daemon that runs here is the one that runs on a boat: it hears the simulated bus on a TCP port, and the simulated
skipper's entries, published by a client of their own, over the broker.
"""

import asyncio
import socket
import tempfile
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from pathlib import Path

from middlewatch.links.sender import Skipper
from middlewatch.practice.demo_passage import DEMO_MARKS, DEMO_SENSOR_CARD, DEMO_STORY, demo
from middlewatch.practice.passage import Passage
from middlewatch.practice.skipper import SkipperEntry
from middlewatch.quantities.instants import MS_PER_SECOND, Instant
from middlewatch.quantities.positions import Position
from middlewatch.reports import Report
from middlewatch.reports.alert import AlertReport
from middlewatch.reports.answer import Answer
from middlewatch.reports.fix import FixReport
from middlewatch.reports.position import PositionReport
from middlewatch.reports.satellite import SatelliteReport
from middlewatch.runtime.narration import Narrator
from middlewatch.runtime.run import Daemon, Files
from middlewatch.settings import CompassSettings, InputSettings, JournalSettings, MqttSettings, Settings, defaults

LASTS_S = 120.0
"""How long the demo takes unless told otherwise."""

_CATCH_UP_S = 60.0
_PACE_S = 0.02
_INPUT = "bow"

Say = Callable[[str], None]


@dataclass(slots=True)
class DemoTable:
    """What the demo came to; a row is (when, what, how it stood to the simulated truth)."""

    rows: list[tuple[str, str, str]] = field(default_factory=list)
    missing: list[str] = field(default_factory=list)


@dataclass(slots=True)
class Seen:
    """What was heard from the daemon on the way."""

    fixes: dict[str, FixReport] = field(default_factory=dict)
    answers: dict[str, Answer] = field(default_factory=dict)
    alerts: list[AlertReport] = field(default_factory=list)
    states: list[SatelliteReport] = field(default_factory=list)
    last: PositionReport | None = None

    def take(self, report: Report) -> None:
        """Note a report."""
        match report:
            case FixReport():
                self.fixes[report.id] = report
            case Answer():
                self.answers[report.id or ""] = report
            case AlertReport():
                self.alerts.append(report)
            case PositionReport():
                self.last = report
            case SatelliteReport():
                if not self.states or self.states[-1].state != report.state:
                    self.states.append(report)


async def run_demo(say: Say, *, speed: float | None) -> DemoTable:
    """Sail the passage and return what it came to; `speed` is passage time over real time, and changes only the waiting."""
    passage = demo()
    factor = speed or (passage.ends_ms - passage.starts_ms) / MS_PER_SECOND / LASTS_S
    _introduce(say, passage, factor)
    seen, narrator = Seen(), Narrator()

    def listen(_: Instant, report: Report) -> None:
        seen.take(report)
        for sentence in narrator.says(report):
            say(sentence)

    with tempfile.TemporaryDirectory(prefix="middlewatch-demo-") as folder:
        async with Bus() as bus:
            settings = demo_settings(Path(folder), bus.port)
            daemon = Daemon(settings, Files(), listen)
            running = asyncio.create_task(daemon.run())
            try:
                await _until(daemon.connected, running)
                async with Skipper(settings.mqtt, settings.boat.name) as skipper:
                    await _play(passage, bus, daemon, skipper, factor)
            finally:
                daemon.stop()
                await running
    return _table(passage, seen)


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

    async def __aenter__(self) -> "Bus":
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


# --- playing -------------------------------------------------------------------------------------------------------


async def _play(passage: Passage, bus: Bus, daemon: Daemon, skipper: Skipper, factor: float) -> None:
    """Send lines and entries in order of time; an entry waits until the first line of its moment or later is heard.

    The daemon's only clock here is the stamps of the lines, so an entry of 2200 needs a line of 2200 before it.
    """
    loop = asyncio.get_running_loop()
    began_s, sent = loop.time(), 0
    held: list[bytes] = []
    waiting: list[SkipperEntry] = []
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
            await skipper.send(waiting[0].channel, waiting.pop(0).body)
    await bus.send(b"".join(held))
    await _heard(daemon, sent)


async def _heard(daemon: Daemon, lines: int) -> None:
    async with asyncio.timeout(_CATCH_UP_S):
        while daemon.lines_heard < lines:
            await asyncio.sleep(0.002)


async def _until(event: asyncio.Event, running: "asyncio.Task[None]") -> None:
    """Wait for an event, or for the run to fail before it."""
    waiting = asyncio.create_task(event.wait())
    done, _ = await asyncio.wait((waiting, running), return_when=asyncio.FIRST_COMPLETED)
    if running in done:
        waiting.cancel()
        running.result()


# --- telling -------------------------------------------------------------------------------------------------------


def _introduce(say: Say, passage: Passage, factor: float) -> None:
    light = DEMO_MARKS[0]
    say("A night passage along a coast of our own invention: there is no such land, no such light, no such boat.")
    say(f"{light.name}, {light.character}, is the only light. Times are UTC of {str(Instant(passage.starts_ms))[:10]}; {factor:.0f} times faster than life.")
    say("An aid only: chart, lookout, local rules and licensed practice come first.")
    say("")


def _table(passage: Passage, seen: Seen) -> DemoTable:
    table = DemoTable()
    _departure(table, passage, seen)
    _sightings(table, seen)
    _fixes(table, passage, seen)
    _end_of_reckoning(table, passage, seen)
    _satellites(table, seen)
    return table


def _departure(table: DemoTable, passage: Passage, seen: Seen) -> None:
    answer = next((a for a in seen.answers.values() if a.kind == "departure" and a.accepted), None)
    if answer is None or answer.at is None:
        table.missing.append("departure")
        return
    table.rows.append((answer.at.clock, "departure", answer.effect or ""))


def _sightings(table: DemoTable, seen: Seen) -> None:
    sights = [a for a in seen.answers.values() if a.channel == "sighting"]
    for answer in sights:
        if answer.sighting is None or answer.at is None or answer.sighting.chain is None:
            continue
        magnetic = answer.sighting.chain.magnetic_deg or 0.0
        late = (answer.heard_at.ms - answer.at.ms) // MS_PER_SECOND
        heard = f", entered {late // 60} min late" if late >= 120 else ""
        table.rows.append((answer.at.clock, "bearing", f"{magnetic:03.0f} M, {answer.id}{heard}"))
    refused = [a for a in sights if not a.accepted]
    for answer in refused:
        found = "" if answer.refusal is None else f"{answer.refusal.field} {answer.refusal.found}"
        table.rows.append((answer.heard_at.clock, "refused", found))


def _fixes(table: DemoTable, passage: Passage, seen: Seen) -> None:
    running = 0
    for fix in seen.fixes.values():
        if fix.withdrawn:
            continue
        running += fix.label == "R Fix"
        error = passage.error_nm(fix.at.ms, Position(fix.latitude_deg, fix.longitude_deg))
        words = f"{fix.id}: {error:.2f} nm from the simulated truth"
        if fix.set_deg is not None and fix.drift_kn is not None:
            words += f"; set {fix.set_deg:03.0f} T, drift {fix.drift_kn:.1f} kn"
        table.rows.append((fix.at.clock, fix.label, words))
    if running == 0:
        table.missing.append("a running fix")
    elif not any(fix.set_deg is not None for fix in seen.fixes.values()):
        table.missing.append("set and drift")


def _end_of_reckoning(table: DemoTable, passage: Passage, seen: Seen) -> None:
    last = seen.last
    if last is None or last.ep is None:
        table.missing.append("the reckoning to the end")
        return
    error = passage.error_nm(last.at.ms, Position(last.ep.latitude_deg, last.ep.longitude_deg))
    allowed = "" if last.allowance_nm is None else f", allowance {last.allowance_nm:.1f} nm (rough)"
    table.rows.append((last.at.clock, "EP at the end", f"{error:.2f} nm from the simulated truth{allowed}"))


def _satellites(table: DemoTable, seen: Seen) -> None:
    alerts = [alert for alert in seen.alerts if alert.name == "satellite"]
    lost = [alert for alert in alerts if "no satellite position" in alert.text]
    warned = [alert for alert in alerts if alert.priority == "warning"]
    _noticed(table, "lost", DEMO_STORY.lost_ms, lost)
    _noticed(table, "pulled away", DEMO_STORY.pulled_ms, warned)


def _noticed(table: DemoTable, what: str, when_ms: int, alerts: list[AlertReport]) -> None:
    first = next((alert for alert in alerts if alert.at.ms >= when_ms), None)
    if first is None:
        table.missing.append(f"satellites {what}")
        return
    after_min = (first.at.ms - when_ms) / MS_PER_SECOND / 60
    words = f"{first.priority} at {first.at.clock_with_seconds}, {after_min:.1f} min after"
    table.rows.append((Instant(when_ms).clock, f"satellites {what}", words))
