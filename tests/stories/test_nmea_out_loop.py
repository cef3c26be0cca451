"""What we say comes back to us, through real sockets and gateways that disguise it, and changes nothing."""

import asyncio
import socket
from collections.abc import AsyncIterator, Callable
from contextlib import AsyncExitStack, asynccontextmanager, suppress
from itertools import pairwise
from pathlib import Path

from broker.aboard import BOAT
from broker.mosquitto import free_port
from middlewatch.links.sender import Skipper
from middlewatch.settings import MqttSettings
from middlewatch.wire.recording import record_line
from middlewatch.wire.tag import split_tag
from stories.story import (
    DEPARTURE,
    LIGHT,
    PATIENCE_S,
    Bus,
    Watcher,
    connected,
    replayed,
    reports_of,
    running,
    sealed,
    settings_file,
    watcher,
)

STEADY = (sealed("HCHDG,040.0,,,,"), sealed("VWVHW,,T,,M,6.0,N,,K"))
"""A steady boat, and no receiver of satellites."""

Disguise = Callable[[bytes], bytes]


def stripped(line: bytes) -> bytes:
    """Take the TAG block off, as a gateway does that does not know of them."""
    return line[line.rindex(b"$") :]


def disguised(talker: str) -> Disguise:
    """Take the TAG block off and put another talker in front, the checksum made good."""

    def disguise(line: bytes) -> bytes:
        body = stripped(line).partition(b"*")[0][3:].decode()
        return sealed(talker + body)

    return disguise


GATEWAYS: dict[str, Disguise] = {
    "stripped": stripped,
    "as_gps": disguised("GP"),
    "as_instruments": disguised("II"),
    "as_gyro": disguised("HE"),
}
COMES_BACK = frozenset({"looped", "air", *GATEWAYS})
LINES_AT_LEAST = 30
"""So many lines come back by each way before the watch ends."""


@asynccontextmanager
async def gateway(out_port: int, disguise: Disguise) -> AsyncIterator[int]:
    """Listen to our output, and serve what it says, disguised, at the port that is given."""
    hearing: list[asyncio.StreamWriter] = []

    async def admit(_: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        hearing.append(writer)

    async def relay() -> None:
        while True:
            with suppress(OSError):
                reader, writer = await asyncio.open_connection("127.0.0.1", out_port)
                while line := await reader.readline():
                    for each in hearing:
                        each.write(disguise(line.rstrip()) + b"\r\n")
                writer.close()
            await asyncio.sleep(0.1)

    server = await asyncio.start_server(admit, "127.0.0.1", 0)
    task = asyncio.create_task(relay())
    try:
        yield server.sockets[0].getsockname()[1]
    finally:
        task.cancel()
        for each in hearing:
            each.close()
        server.close()


def ways_round(tcp: int, udp: int, gateways: dict[str, int]) -> str:
    """Return the settings of the outputs, and of the inputs that hear them again."""
    every = '["RMC", "GLL", "VTG", "VDR", "HDT", "THS", "NSR", "TXT", "ALERTS"]'
    by_tcp = {"looped": tcp, **gateways}
    return "\n".join(
        (
            f'[[outputs]]\nname = "out"\nlink = "tcp"\nport = {tcp}\nsentences = {every}',
            f'[[outputs]]\nname = "dr"\nlink = "udp"\nhost = "127.0.0.1"\nport = {udp}',
            f'position = "dr"\nsentences = {every}',
            f'[[inputs]]\nname = "air"\nlink = "udp"\nhost = "127.0.0.1"\nport = {udp}',
            *(
                f'[[inputs]]\nname = "{name}"\nlink = "tcp"\nhost = "127.0.0.1"\nport = {port}'
                for name, port in by_tcp.items()
            ),
        )
    )


async def sail(bus: Bus, watching: Watcher, seconds: int, since: str) -> str:
    """Say a steady boat's sentences once for each second that is told; return the newest second."""
    for _ in range(seconds):
        await bus.send(b"".join(each + b"\r\n" for each in STEADY))
        since = str((await watching.position_after(since))["at"])
    return since


async def test_our_output_heard_again_changes_nothing(tmp_path: Path, plain: MqttSettings) -> None:
    """Looped by TCP and UDP, stripped of TAG blocks, under a receiver's, an instrument's, a gyro's talker.

    With what came back blanked out of the recording, the same run gives the same reports, byte for byte; no
    satellite position is ever seen. Played without our outputs, so that nothing is known as our own, the
    same recording shows what would have been believed.
    """
    recording, live = tmp_path / "run.nmea", tmp_path / "run.jsonl"
    tcp, udp = free_port(), free_port(socket.SOCK_DGRAM)
    async with AsyncExitStack() as stack:
        ports = {
            name: await stack.enter_async_context(gateway(tcp, disguise))
            for name, disguise in GATEWAYS.items()
        }
        bus = await stack.enter_async_context(Bus())
        watching = await stack.enter_async_context(watcher(plain))
        skipper = await stack.enter_async_context(Skipper(plain, BOAT))
        settings = settings_file(tmp_path, plain, bus.link, stamp="arrival", more=ways_round(tcp, udp, ports))
        async with running(settings, "--record", recording, "--reports", live) as run:
            await bus.listener()
            newest = await sail(bus, watching, 2, "")
            assert await skipper.send("order", {"id": "d1", **DEPARTURE})
            stream = {"id": "s1", "kind": "stream", "set_deg": 110, "drift_kn": 1.5}
            assert await skipper.send("order", stream)
            newest = await sail(bus, watching, 4, newest)
            bearing = {"id": "b1", "kind": "bearing", "mark": LIGHT, "bearing_deg": 330}
            assert await skipper.send("sighting", bearing)
            newest = await sail(bus, watching, 4, newest)
            async with asyncio.timeout(PATIENCE_S):
                # How soon each way round is there, and how many seconds go round, the machine decides.
                while any(len(lines_of(recording, name)) < LINES_AT_LEAST for name in COMES_BACK):
                    newest = await sail(bus, watching, 1, newest)
            await run.terminate()

    came_back = {name: lines_of(recording, name) for name in COMES_BACK}
    assert any(b"$GPRMC" in line for line in came_back["as_gps"])
    assert any(b"$HEHDT" in line for line in came_back["as_gyro"])
    assert {each["state"] for each in reports_of(live, "satellite")} == {"none"}
    assert {each["reason"] for each in reports_of(live, "satellite")} == {"no receiver"}

    as_heard, without = tmp_path / "as_heard.jsonl", tmp_path / "without.jsonl"
    replayed(recording, as_heard, "--settings", settings)
    blank(recording)
    replayed(recording, without, "--settings", settings)
    assert as_heard.read_bytes() == live.read_bytes()
    assert without.read_bytes() == live.read_bytes()


async def test_without_the_filter_the_loop_would_be_believed(tmp_path: Path, plain: MqttSettings) -> None:
    """The same way round with our outputs unknown to the ear: a receiver is seen, where there is none."""
    recording, believed = tmp_path / "run.nmea", tmp_path / "believed.jsonl"
    tcp, udp = free_port(), free_port(socket.SOCK_DGRAM)
    async with AsyncExitStack() as stack:
        port = await stack.enter_async_context(gateway(tcp, GATEWAYS["as_gps"]))
        bus = await stack.enter_async_context(Bus())
        watching = await stack.enter_async_context(watcher(plain))
        skipper = await stack.enter_async_context(Skipper(plain, BOAT))
        more = ways_round(tcp, udp, {"as_gps": port})
        settings = settings_file(tmp_path, plain, bus.link, stamp="arrival", more=more)
        async with running(settings, "--record", recording) as run:
            await bus.listener()
            newest = await sail(bus, watching, 1, "")
            assert await skipper.send("order", {"id": "d1", **DEPARTURE})
            newest = await sail(bus, watching, 3, newest)
            async with asyncio.timeout(PATIENCE_S):
                while not any(b"$GPRMC" in line for line in lines_of(recording, "as_gps")):
                    newest = await sail(bus, watching, 1, newest)
            await sail(bus, watching, 2, newest)
            await run.terminate()

    replayed(recording, believed, "--settings", settings_file(tmp_path, plain, bus.link, stamp="arrival"))

    assert {each["state"] for each in reports_of(believed, "satellite")} > {"none"}


def lines_of(recording: Path, name: str) -> list[bytes]:
    """Return the lines of a recording that came on an input."""
    return [
        line for line in recording.read_bytes().splitlines() if line.startswith(b"\\s:%b," % name.encode())
    ]


def blank(recording: Path) -> None:
    """Leave of what came back only when it came: nothing is in it any more."""
    blanked = []
    for line in recording.read_bytes().splitlines(keepends=True):
        tag, _ = split_tag(line)
        if tag is not None and tag.source in COMES_BACK:
            assert tag.utc_ms is not None
            assert tag.monotonic_ms is not None
            line = record_line(str(tag.source), tag.utc_ms, tag.monotonic_ms, b"-")  # noqa: PLW2901 -- a line for a line
        blanked.append(line)
    recording.write_bytes(b"".join(blanked))


async def test_a_taken_port_is_one_alert_and_the_watch_goes_on(tmp_path: Path, plain: MqttSettings) -> None:
    """While another program holds our port a caution says so, once; it is over when we have it."""
    port = free_port()
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", port))
        taken.listen()
        async with Bus() as bus, watcher(plain) as watching:
            more = f'[[outputs]]\nname = "displays"\nlink = "tcp"\nport = {port}'
            settings = settings_file(tmp_path, plain, bus.link, stamp="arrival", more=more)
            live = tmp_path / "live.jsonl"
            async with running(settings, "--reports", live) as run:
                await bus.listener()
                alert = await watching.report("alert/output", state="active")
                newest = await sail(bus, watching, 3, "")
                taken.close()
                await watching.report("alert/output", state="normal")
                status = await watching.report("status", state="online")
                await sail(bus, watching, 1, newest)
                await run.terminate()

    assert alert["priority"] == "caution"
    assert alert["text"].endswith(f"TCP server 127.0.0.1 port {port}: Address already in use")
    assert status["outputs"][0]["name"] == "displays"
    assert [each["state"] for each in reports_of(live, "alert/output")] == ["active", "normal"]


async def test_deaf_listeners_and_a_torn_one_delay_no_tick(tmp_path: Path, plain: MqttSettings) -> None:
    """Five connect and never read, one is torn off, one reads: each tick is told, and the reader hears it."""
    port = free_port()
    async with Bus() as bus, watcher(plain) as watching, AsyncExitStack() as stack:
        more = (
            f'[[outputs]]\nname = "displays"\nlink = "tcp"\nport = {port}\nsentences = ["THS"]\ntag = false'
        )
        settings = settings_file(tmp_path, plain, bus.link, stamp="arrival", more=more)
        live = tmp_path / "live.jsonl"
        async with running(settings, "--reports", live) as run:
            await bus.listener()
            newest = await sail(bus, watching, 1, "")
            reader, writer = await connected(port)
            for _ in range(5):
                stack.enter_context(socket.create_connection(("127.0.0.1", port)))
            socket.create_connection(("127.0.0.1", port)).close()
            await sail(bus, watching, 4, newest)
            async with asyncio.timeout(PATIENCE_S):
                heard = [await reader.readline() for _ in range(3)]
            writer.close()
            await run.terminate()

    assert all(line.startswith(b"$INTHS,") for line in heard)
    times = [each["at"] for each in reports_of(live, "position")]
    assert len(times) == len(set(times))
    seconds = [int(at[17:19]) for at in times]
    assert all((later - earlier) % 60 == 1 for earlier, later in pairwise(seconds))
