"""A boat for the stories: the daemon as a child process, the bus it listens to, and what it publishes."""

import asyncio
import json
import signal
import subprocess
import sys
from asyncio.subprocess import PIPE, Process
from collections import defaultdict, deque
from collections.abc import AsyncIterator, Callable, Iterable
from contextlib import asynccontextmanager, suppress
from pathlib import Path
from typing import Any, Self

from broker.aboard import BOAT, Onlooker, onlooker
from middlewatch.quantities.instants import Instant
from middlewatch.settings import MqttSettings
from middlewatch.wire.lines import checksum
from wire.as_described import check_reports_file

PROGRAM = Path(sys.executable).with_name("middlewatch")
"""The command as it is installed, beside the interpreter that runs the tests."""

PATIENCE_S = 60.0
"""How long a test waits for what must come; nothing waits this long unless it fails."""

START_MS = Instant.parse("2026-05-03T01:55:00Z").ms
"""When the stamped passages begin."""

DEPARTURE = {"kind": "departure", "latitude_deg": 50.0, "longitude_deg": -4.2}
LIGHT = {"latitude_deg": 50.05, "longitude_deg": -4.25}

Json = dict[str, Any]


# --- what is on the bus ------------------------------------------------------------------------------------


def sealed(body: str) -> bytes:
    """Return a sentence with its checksum, CR LF not added."""
    return f"${body}*{checksum(body.encode())}".encode()


def stamped(at_ms: int, sentence: bytes) -> bytes:
    r"""Return a sentence behind a TAG block `\c:...*hh\`, with CR LF."""
    block = f"c:{at_ms}"
    return f"\\{block}*{checksum(block.encode())}\\".encode() + sentence + b"\r\n"


def sentences(second: int) -> tuple[bytes, ...]:
    """Return what the instruments say in a second: the boat wanders about 040 M at some 5 kn.

    The receiver is set to the north by a stream of half a knot.
    """
    heading = 40.0 + second % 17 - 0.5 * (second % 5)
    speed = 5.0 + 0.1 * (second % 7)
    minutes = 0.05 * second / 60 + 0.5 * second / 3600
    clock = str(Instant(START_MS + 1000 * second))[11:19].replace(":", "")
    return (
        sealed(f"HCHDG,{heading:.1f},,,,"),
        sealed(f"VWVHW,,T,{heading:.1f},M,{speed:.1f},N,,K"),
        sealed(f"GPRMC,{clock},A,50{minutes:07.4f},N,00412.0000,W,5.2,040.0,030526,,,A"),
    )


def stamped_second(second: int) -> bytes:
    """Return a second of the bus with stamps; the first line stands on the whole second."""
    return b"".join(
        stamped(START_MS + 1000 * second + 200 * place, each) for place, each in enumerate(sentences(second))
    )


def whole_second(second: int) -> bytes:
    """Return a line that brings the tick of a second and nothing else."""
    return stamped(START_MS + 1000 * second, sealed("GPTXT,01,01,02,the time"))


def after(second: float) -> str:
    """Return the time so many seconds after the start of a stamped passage."""
    return str(Instant(START_MS + round(1000 * second)))


# --- the boat ----------------------------------------------------------------------------------------------


def settings_file(
    folder: Path, broker: MqttSettings, link: str, *, stamp: str = "tag", more: str = ""
) -> Path:
    """Write a settings file with one input, `bow`, on a link, and more if wanted; return its path."""
    file = folder / "boat.toml"
    file.write_text(
        f'[[inputs]]\nname = "bow"\nstamp = "{stamp}"\n{link}\n'
        f'{mqtt_table(broker)}[journal]\nfile = "boat.db"\n{more}\n'
    )
    return file


def mqtt_table(broker: MqttSettings) -> str:
    """Return the table of a settings file that leads to a broker on this board."""
    return (
        f'[mqtt]\nport = {broker.port}\nprotocol = "{broker.protocol}"\nuser = "{broker.user}"\n'
        f'password_file = "{broker.password_file or ""}"\nca_file = "{broker.ca_file or ""}"\n'
        f"embedded = {str(broker.embedded).lower()}\n"
    )


class Bus:
    """A gateway: serves the bus over TCP to one daemon at a time, the last that came."""

    def __init__(self) -> None:
        self._here = asyncio.Event()
        self._listener: asyncio.StreamWriter | None = None

    async def __aenter__(self) -> Self:
        self._server = await asyncio.start_server(self._admit, "127.0.0.1", 0)
        self.port: int = self._server.sockets[0].getsockname()[1]
        return self

    async def __aexit__(self, *_: object) -> None:
        self.drop()
        self._server.close()
        await self._server.wait_closed()

    @property
    def link(self) -> str:
        """The lines of a settings file that lead to this bus."""
        return f'link = "tcp"\nhost = "127.0.0.1"\nport = {self.port}'

    async def _admit(self, _: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        self.drop()
        self._listener = writer
        self._here.set()

    async def listener(self) -> None:
        """Wait for a daemon to listen."""
        async with asyncio.timeout(PATIENCE_S):
            await self._here.wait()

    async def send(self, chunk: bytes) -> None:
        """Send bytes to whoever listens."""
        assert self._listener is not None
        self._listener.write(chunk)
        await self._listener.drain()

    def drop(self) -> None:
        """Close the connection, if there is one; the next listener is a new one."""
        self._here.clear()
        if self._listener is not None:
            self._listener.close()
            self._listener = None


class Run:
    """A daemon that runs as a process of its own."""

    def __init__(self, process: Process) -> None:
        self.process = process

    async def terminate(self) -> str:
        """Ask it to end, check that it ends in order, and return what it said on the terminal."""
        self.process.send_signal(signal.SIGTERM)
        async with asyncio.timeout(PATIENCE_S):
            said, complaints = await self.process.communicate()
        assert complaints == b""
        assert self.process.returncode == 0
        return said.decode()

    async def kill(self) -> None:
        """End it at once, as a power cut does."""
        self.process.kill()
        await self.process.communicate()


@asynccontextmanager
async def running(settings: Path, *options: str | Path) -> AsyncIterator[Run]:
    """Start `middlewatch run`; killed at the end, if it runs still."""
    command = [str(PROGRAM), "run", "--settings", str(settings), *map(str, options)]
    process = await asyncio.create_subprocess_exec(*command, stdout=PIPE, stderr=PIPE)
    try:
        yield Run(process)
    finally:
        if process.returncode is None:
            process.kill()
            await process.communicate()


class Watcher:
    """Somebody on the broker who follows what the daemon publishes, each topic by itself.

    Which of two topics speaks first nobody promises: what one says is kept while another is waited for.
    """

    def __init__(self, one: Onlooker) -> None:
        self.onlooker = one
        self._told: defaultdict[str, deque[bytes]] = defaultdict(deque)
        self._more = asyncio.Event()

    async def follow(self) -> None:
        """Keep all that is said, until cancelled."""
        async for message in self.onlooker.client.messages:
            topic = message.topic.value.removeprefix(f"middlewatch/{BOAT}/")
            self._told[topic].append(bytes(message.payload))
            self._more.set()

    async def position_at(self, at: str) -> Json:
        """Return the first position published of a moment or later."""
        return await self._report("position", lambda position: str(position["at"]) >= at)

    async def position_after(self, at: str) -> Json:
        """Return the first position published later than a moment."""
        return await self._report("position", lambda position: str(position["at"]) > at)

    async def report(self, topic: str, **wanted: object) -> Json:
        """Return the next report on a topic that says what is wanted, passing over those before it there."""
        return await self._report(
            topic, lambda said: all(said[key] == value for key, value in wanted.items())
        )

    async def _report(self, topic: str, is_it: Callable[[Json], bool]) -> Json:
        told = self._told[topic]
        async with asyncio.timeout(PATIENCE_S):
            while True:
                while told:
                    report: Json = json.loads(told.popleft())
                    if is_it(report):
                        return report
                self._more.clear()
                await self._more.wait()


@asynccontextmanager
async def watcher(broker: MqttSettings) -> AsyncIterator[Watcher]:
    """Connect a watcher."""
    async with onlooker(broker) as one:
        watching = Watcher(one)
        following = asyncio.create_task(watching.follow())
        try:
            yield watching
        finally:
            following.cancel()


async def connected(port: int) -> tuple[asyncio.StreamReader, asyncio.StreamWriter]:
    """Connect to an output as soon as it serves."""
    async with asyncio.timeout(PATIENCE_S):
        while True:
            with suppress(OSError):
                return await asyncio.open_connection("127.0.0.1", port)
            await asyncio.sleep(0.05)


def replayed(recording: Path | str, reports: Path, *options: str | Path, stdin: bytes = b"") -> str:
    """Replay a recording, check that it ends well and says what is described; return the closing summary."""
    done = replay(recording, "--reports", reports, *options, stdin=stdin)
    assert done.returncode == 0, done.stderr
    assert done.stdout == ""
    check_reports_file(reports)
    return done.stderr


def replay(
    recording: Path | str, *options: str | Path, stdin: bytes = b""
) -> "subprocess.CompletedProcess[str]":
    """Run `middlewatch replay`, and return how it ended."""
    command = [str(PROGRAM), "replay", str(recording), *map(str, options)]
    done = subprocess.run(command, capture_output=True, input=stdin, check=False, timeout=60)
    return subprocess.CompletedProcess(command, done.returncode, done.stdout.decode(), done.stderr.decode())


def sightings_file(folder: Path, *entries: Json) -> Path:
    """Write a file for `--sightings`."""
    file = folder / "sightings.jsonl"
    file.write_text("".join(f"{json.dumps(entry)}\n" for entry in entries))
    return file


def reports_of(file: Path, topic: str) -> list[Json]:
    """Return the reports on a topic in a REPORTS file, in order."""
    lines = map(json.loads, file.read_text().splitlines())
    return [line["report"] for line in lines if line["topic"] == topic]


def answers_of(file: Path) -> dict[str, Json]:
    """Return the answers in a REPORTS file by their ids, the newest of each."""
    both = [*reports_of(file, "order/answer"), *reports_of(file, "sighting/answer")]
    return {str(answer["id"]): answer for answer in both}


def in_chunks(data: bytes, sizes: Iterable[int]) -> Iterable[bytes]:
    """Cut data into chunks of these sizes, the last one holding the rest."""
    place = 0
    for size in sizes:
        yield data[place : place + size]
        place += size
    yield data[place:]
