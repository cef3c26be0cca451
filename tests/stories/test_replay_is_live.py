"""One stamped file through a serial line, TCP and `replay`; and what `run --record` wrote, replayed."""

import asyncio
from contextlib import suppress
from itertools import cycle, islice
from pathlib import Path

from links.pty_pair import PtyPair
from middlewatch.links.sender import Skipper
from middlewatch.quantities.instants import Instant
from middlewatch.readings.entries import Channel
from middlewatch.settings import MqttSettings
from stories.story import (
    DEPARTURE,
    LIGHT,
    PATIENCE_S,
    Bus,
    Json,
    Watcher,
    after,
    answers_of,
    in_chunks,
    replayed,
    reports_of,
    running,
    sentences,
    settings_file,
    sightings_file,
    stamped_second,
    watcher,
    whole_second,
)

BOAT = "kittiwake"
OTHER_LIGHT = {"latitude_deg": 49.97, "longitude_deg": -4.3}
LASTS_S = 90
END_LINE = whole_second(LASTS_S)

STAMPED = b"".join(
    (
        b"\x00\x00$HCHDG,12" + bytes(40) + b"\r\n",  # power-up noise before the first stamp
        whole_second(0),
        *(stamped_second(second) for second in range(30)),
        b"$HCHDG,355.0,,,,*00\r\n" + b"\\c:1*00\\$HCHDG,355.0,,,,*46\r\n",  # wrong checksums
        b"!AIVDM,1,1,,A,13aDCB0P00POARHNUK,0*00\r\n\xff\xfe\r\n",
        *(stamped_second(second) for second in range(30, LASTS_S)),
        END_LINE,
    )
)


async def test_a_stamped_file_over_tcp_is_its_replay(tmp_path: Path, plain: MqttSettings) -> None:
    """Heard over TCP in odd chunks, a stamped file gives the reports that its replay gives, byte for byte."""
    live = tmp_path / "live.jsonl"
    async with Bus() as bus, watcher(plain) as watching:
        settings = settings_file(tmp_path, plain, bus.link)
        async with running(settings, "--reports", live) as run:
            await bus.listener()
            for chunk in in_chunks(STAMPED, islice(cycle((1, 7, 64, 500, 3)), 120)):
                await bus.send(chunk)
            await watching.position_at(after(LASTS_S))
            await run.terminate()

    assert live.read_bytes() == _replay_of(tmp_path)
    assert len(reports_of(live, "position")) == LASTS_S + 1


async def test_a_stamped_file_over_a_serial_line_is_its_replay(tmp_path: Path, plain: MqttSettings) -> None:
    """Heard over a serial line, a stamped file gives the reports that its replay gives, byte for byte."""
    live, line = tmp_path / "live.jsonl", PtyPair(tmp_path / "line")
    async with watcher(plain) as watching:
        settings = settings_file(tmp_path, plain, f'link = "serial"\nport = "{line.path}"')
        async with running(settings, "--reports", live) as run:
            await _hail(line, watching)
            for start in range(0, len(STAMPED), 400):
                await asyncio.to_thread(line.send, STAMPED[start : start + 400])
            await watching.position_at(after(LASTS_S))
            await run.terminate()
    line.close()

    assert live.read_bytes() == _replay_of(tmp_path)


async def _hail(line: PtyPair, watching: Watcher) -> None:
    """Say the time of the first second until the daemon listens: opening a line drops what came before."""
    async with asyncio.timeout(PATIENCE_S):
        while True:
            line.send(whole_second(0))
            with suppress(TimeoutError):
                async with asyncio.timeout(0.2):
                    await watching.position_at(after(0))
                    return


def _replay_of(folder: Path) -> bytes:
    recording, replay = folder / "stamped.nmea", folder / "replay.jsonl"
    recording.write_bytes(STAMPED)
    replayed(recording, replay, "--settings", folder / "boat.toml")
    return replay.read_bytes()


ENTRIES: tuple[tuple[int, Channel, Json], ...] = (
    (5, "order", {"id": "d1", **DEPARTURE}),
    (12, "sighting", {"id": "b1", "kind": "bearing", "mark": LIGHT, "bearing_deg": 330, "at": after(10)}),
    (20, "sighting", {"id": "b2", "kind": "bearing", "mark": LIGHT, "bearing_deg": 400, "at": after(20)}),
    (
        40,
        "sighting",
        {"id": "b3", "kind": "bearing", "mark": OTHER_LIGHT, "bearing_deg": 250, "at": after(31)},
    ),
    (50, "order", {"id": "w1", "kind": "withdraw", "entry": "b1"}),
)
"""When it is heard, on which channel, and what: one is refused, two are late, one is taken back."""


async def test_entries_heard_live_are_the_same_sightings_replayed(
    tmp_path: Path, plain: MqttSettings
) -> None:
    """Entries sent at known points of a stamped bus give the reports of a replay with the same sightings."""
    live, recording, replay = tmp_path / "live.jsonl", tmp_path / "bus.nmea", tmp_path / "replay.jsonl"
    async with Bus() as bus, watcher(plain) as watching, Skipper(plain, BOAT) as skipper:
        settings = settings_file(tmp_path, plain, bus.link)
        async with running(settings, "--reports", live) as run:
            await bus.listener()
            told = 0
            for second, channel, entry in ENTRIES:
                await _sail(bus, watching, told, second)
                assert await skipper.send(channel, entry)
                told = second
            await _sail(bus, watching, told, LASTS_S)
            await run.terminate()

    recording.write_bytes(b"".join((*map(stamped_second, range(LASTS_S)), END_LINE)))
    sightings = sightings_file(tmp_path, *({**entry, "heard_at": after(when)} for when, _, entry in ENTRIES))
    replayed(recording, replay, "--settings", settings, "--sightings", sightings)
    assert live.read_bytes() == replay.read_bytes()
    refused = {id_ for id_, answer in answers_of(live).items() if not answer["accepted"]}
    assert refused == {"b2"}
    assert reports_of(live, "fix")


async def _sail(bus: Bus, watching: Watcher, since: int, until: int) -> None:
    """Say the seconds of the stamped passage, until the tick of the last is told."""
    await bus.send(b"".join(map(stamped_second, range(since, until))) + whole_second(until))
    await watching.position_at(after(until))


async def test_a_recorded_run_replays_to_what_it_wrote(tmp_path: Path, plain: MqttSettings) -> None:
    """What `run --record` wrote replays to what `run --reports` wrote, byte for byte; so does a second run.

    On the board's own clock, with entries, one of them for a second that is still to come, and with the bus
    dropped and back; the second run goes on from the journal of the first, its replay from the copy of it.
    """
    departure: Json = {"id": "d1", **DEPARTURE}
    bearing: Json = {"kind": "bearing", "mark": LIGHT, "bearing_deg": 330}
    await _watch(tmp_path, plain, "first", [departure, {"id": "b1", **bearing}])
    await _watch(tmp_path, plain, "second", [departure, {"id": "b2", **bearing}])

    journal = ("--journal", tmp_path / "second.nmea.journal")
    for name, options in (("first", ()), ("second", journal)):
        again = tmp_path / f"{name}.again.jsonl"
        replayed(tmp_path / f"{name}.nmea", again, "--settings", tmp_path / "boat.toml", *options)
        assert again.read_bytes() == (tmp_path / f"{name}.jsonl").read_bytes()
    assert answers_of(tmp_path / "second.jsonl")["d1"]["repeat"] is True


async def _watch(folder: Path, broker: MqttSettings, name: str, entries: list[Json]) -> None:
    """Run a few seconds on the board's clock, recorded, with entries; the bus drops out on the way."""
    files = ("--record", folder / f"{name}.nmea", "--reports", folder / f"{name}.jsonl")
    async with Bus() as bus, watcher(broker) as watching, Skipper(broker, BOAT) as skipper:
        settings = settings_file(folder, broker, bus.link, stamp="arrival")
        async with running(settings, *files) as run:
            await bus.listener()
            newest = await _seconds(bus, watching, 1, "")
            assert await skipper.send("order", entries[0])
            bus.drop()
            await watching.report("alert/input", state="active")
            await bus.listener()
            newest = await _seconds(bus, watching, 2, newest)
            ahead = str(Instant(Instant.parse(newest).ms + 2000))
            sent = asyncio.create_task(skipper.send("sighting", {**entries[1], "at": ahead}))
            await _seconds(bus, watching, 3, newest)
            assert await sent
            await run.terminate()


async def _seconds(bus: Bus, watching: Watcher, count: int, newest: str) -> str:
    """Say what the instruments say, once for each second that the daemon tells; return the newest."""
    for second in range(count):
        await bus.send(b"".join(each + b"\r\n" for each in sentences(second)))
        newest = str((await watching.position_after(newest))["at"])
    return newest
