"""Alerts aboard: a silent heading is told, heard on the broker and by the hook, acknowledged from the bus."""

import asyncio
import socket
from pathlib import Path

from broker.mosquitto import free_port
from middlewatch.settings import MqttSettings
from stories.story import (
    PATIENCE_S,
    START_MS,
    Bus,
    after,
    connected,
    replayed,
    reports_of,
    running,
    sealed,
    settings_file,
    stamped,
    stamped_second,
    watcher,
    whole_second,
)

HEARD_S, LASTS_S = 20, 110
ACKNOWLEDGED_S = 100


def without_heading(second: int) -> bytes:
    """Return a second of the bus in which the log alone speaks."""
    return stamped(START_MS + 1000 * second, sealed("VWVHW,,T,,M,5.2,N,,K"))


async def test_told_heard_and_acknowledged(tmp_path: Path, plain: MqttSettings) -> None:
    """The warning sounds as it is raised and a minute later; after the ACN of a bridge's panel no more.

    What `run` wrote, sounds and acknowledgement with it, is what a replay of the bus gives, byte for byte.
    """
    rung = tmp_path / "rung"
    bell = tmp_path / "bell"
    bell.write_text(f'#!/bin/sh\necho "$1 $2 $MIDDLEWATCH_REVISION" >> {rung}\n')
    bell.chmod(0o755)
    live, again, bus_file = tmp_path / "live.jsonl", tmp_path / "again.jsonl", tmp_path / "bus.nmea"
    acknowledged = stamped(START_MS + 1000 * ACKNOWLEDGED_S + 500, sealed("CAACN,,,10242,1,A,C"))
    played = b"".join(
        (
            *map(stamped_second, range(HEARD_S)),
            *map(without_heading, range(HEARD_S, ACKNOWLEDGED_S + 1)),
            acknowledged,
            *map(without_heading, range(ACKNOWLEDGED_S + 1, LASTS_S)),
            whole_second(LASTS_S),
        )
    )
    async with Bus() as bus, watcher(plain) as watching:
        settings = settings_file(tmp_path, plain, bus.link, more=f'[alerts]\nhook = ["{bell}"]')
        async with running(settings, "--reports", live) as run:
            await bus.listener()
            await watching.report("status", state="online")  # nothing sounds into a void
            await bus.send(played)
            sound = await watching.report("sound", alert="heading")
            alert = await watching.report("alert/heading", state="active-acknowledged")
            answer = await watching.report("alert-command/answer", alert="heading")
            async with watcher(plain) as newcomer:  # the last position is kept for whoever comes later
                await newcomer.position_at(after(LASTS_S))
            async with asyncio.timeout(PATIENCE_S):
                while not (rung.exists() and "\n" in rung.read_text()):  # noqa: ASYNC110 -- a file tells nobody
                    await asyncio.sleep(0.01)
            said = await run.terminate()

    assert (sound["pattern"], alert["by"], answer["accepted"]) == ("warning", "CAACN@bow", True)
    assert "Heading warning acknowledged, and it stands" in said
    sounds = [each for each in reports_of(live, "sound") if each["alert"] == "heading"]
    assert [each["at"] for each in sounds] == [after(35), after(95)]
    assert rung.read_text().splitlines()[0] == "heading warning 1"
    bus_file.write_bytes(played)
    replayed(bus_file, again, "--settings", settings)
    assert again.read_bytes() == live.read_bytes()


async def test_the_hook_rings_without_a_broker(tmp_path: Path) -> None:
    """A broker that is away is no reason for the bell to be."""
    rung, bell = tmp_path / "rung", tmp_path / "bell"
    bell.write_text(f'#!/bin/sh\necho "$1" >> {rung}\n')
    bell.chmod(0o755)
    with socket.socket() as nobody:
        nobody.bind(("127.0.0.1", 0))
        broker = MqttSettings(port=nobody.getsockname()[1])
        async with Bus() as bus:
            settings = settings_file(tmp_path, broker, bus.link, more=f'[alerts]\nhook = ["{bell}"]')
            async with running(settings) as run:
                await bus.listener()
                await bus.send(b"".join(map(stamped_second, range(HEARD_S))))
                await bus.send(b"".join(map(without_heading, range(HEARD_S, 50))))
                async with asyncio.timeout(PATIENCE_S):
                    while not rung.exists() or "heading\n" not in rung.read_text():  # noqa: ASYNC110 -- as above
                        await asyncio.sleep(0.01)
                await run.terminate()

    assert "heading" in rung.read_text().splitlines()


class Panel:
    """An alert panel on the bus: hears what the output says, field by field."""

    def __init__(self, reader: asyncio.StreamReader) -> None:
        self._reader = reader
        self.told: list[list[str]] = []

    async def hears(self, formatter: str, state: str = "") -> None:
        """Wait for a sentence, an ALF in a state."""
        async with asyncio.timeout(PATIENCE_S):
            while True:
                line = (await self._reader.readline()).decode("ascii").strip()
                fields = line.partition("*")[0].split(",")
                self.told.append(fields)
                if fields[0] == f"$IN{formatter}" and (not state or fields[7] == state):
                    return


async def test_told_and_commanded_on_the_bus(tmp_path: Path, plain: MqttSettings) -> None:
    """A panel on the bus hears the alert, asks for the responsibility, is refused, and acknowledges."""
    port = free_port()
    output = f'[[outputs]]\nname = "panel"\nlink = "tcp"\nport = {port}\nsentences = ["ALERTS"]\ntag = false'
    async with Bus() as bus:
        settings = settings_file(tmp_path, plain, bus.link, more=output)
        async with running(settings) as run:
            await bus.listener()
            reader, writer = await connected(port)
            panel = Panel(reader)
            await bus.send(b"".join(map(stamped_second, range(HEARD_S))))
            await bus.send(b"".join(map(without_heading, range(HEARD_S, 50))))
            await panel.hears("ALF", "V")
            await bus.send(
                without_heading(50) + command(50, "O,C") + without_heading(51) + without_heading(52)
            )
            await panel.hears("ARC")
            await bus.send(
                without_heading(53) + command(53, "C,A") + without_heading(54) + without_heading(55)
            )
            await panel.hears("ALF", "A")
            await bus.send(b"".join(map(without_heading, range(56, 100))))
            await panel.hears("ALC")
            writer.close()
            await run.terminate()

    assert [each[3:] for each in panel.told if each[0] == "$INARC"] == [["10242", "1", "O"]]
    # One alert stands in the list, under the revision it was acknowledged to.
    assert panel.told[-1][4:] == ["1", "", "10242", "1", "2"]


def command(second: int, letters: str) -> bytes:
    """Return a command about the heading's alert, half a second after."""
    return stamped(START_MS + 1000 * second + 500, sealed(f"CAACN,,,10242,1,{letters}"))
