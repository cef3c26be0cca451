"""Overboard through a killed daemon, and in a replay: it stands, from the same second, and reads the same."""

from pathlib import Path

import pytest

from broker.aboard import BOAT
from middlewatch.links.sender import Skipper
from middlewatch.settings import MqttSettings
from stories.story import (
    Bus,
    Json,
    Watcher,
    after,
    replayed,
    reports_of,
    running,
    settings_file,
    sightings_file,
    stamped_second,
    watcher,
    whole_second,
)

_LASTS_S = 24
_ENTRIES: list[tuple[float, Json]] = [
    (4, {"id": "o1", "kind": "overboard"}),
    (9, {"id": "o2", "kind": "overboard", "ago_s": 3}),
    (12, {"id": "r0", "kind": "recovered"}),
    (14, {"id": "w1", "kind": "withdraw", "entry": "o2"}),
    (16, {"id": "d1", "kind": "departure", "latitude_deg": 50.0, "longitude_deg": -4.2}),
    (19, {"id": "r1", "kind": "recovered"}),
]


async def _sail(bus: Bus, watching: Watcher, since: int, until: int) -> None:
    """Say the seconds of the stamped passage, until the tick of the last is told."""
    await bus.send(b"".join(map(stamped_second, range(since, until))) + whole_second(until))
    await watching.position_at(after(until))


async def test_killed_in_between_it_still_stands(tmp_path: Path, plain: MqttSettings) -> None:
    """Killed with SIGKILL after the answer, the next run tells of the same second, led back as before."""
    async with Bus() as bus, watcher(plain) as watching, Skipper(plain, BOAT) as skipper:
        settings = settings_file(tmp_path, plain, bus.link)
        async with running(settings) as run:
            await bus.listener()
            await _sail(bus, watching, 0, 5)
            answer = await skipper.send("order", {"id": "o1", "kind": "overboard", "at": after(4)})
            assert answer
            await _sail(bus, watching, 5, 10)
            told = await watching.report("overboard", at=after(10))
            await run.kill()
        bus.drop()
        async with running(settings):
            await bus.listener()
            await _sail(bus, watching, 10, 20)
            again = await watching.report("overboard", at=after(20))

    (one,), (other,) = told["casualties"], again["casualties"]
    assert (one["id"], one["since"], one["adrift_s"]) == ("o1", after(4), 6.0)
    assert (other["id"], other["since"], other["adrift_s"]) == ("o1", after(4), 16.0)
    # Some five knots for sixteen seconds: 0.023 nm.
    assert other["distance_nm"] == pytest.approx(0.0233, abs=0.002)
    assert other["state"] == "standing"


async def test_live_is_the_same_as_replayed(tmp_path: Path, plain: MqttSettings) -> None:
    """Two overboard, one withdrawn, one recovered, a refusal: the reports of run and replay are one."""
    live, recording, replay = tmp_path / "live.jsonl", tmp_path / "bus.nmea", tmp_path / "replay.jsonl"
    async with Bus() as bus, watcher(plain) as watching, Skipper(plain, BOAT) as skipper:
        settings = settings_file(tmp_path, plain, bus.link)
        async with running(settings, "--reports", live) as run:
            await bus.listener()
            told = 0
            for second, entry in _ENTRIES:
                await _sail(bus, watching, told, int(second))
                assert await skipper.send("order", entry)
                told = int(second)
            await _sail(bus, watching, told, _LASTS_S)
            await run.terminate()

    recording.write_bytes(b"".join((*map(stamped_second, range(_LASTS_S)), whole_second(_LASTS_S))))
    sightings = sightings_file(tmp_path, *({**entry, "heard_at": after(when)} for when, entry in _ENTRIES))
    replayed(recording, replay, "--settings", settings, "--sightings", sightings)
    assert live.read_bytes() == replay.read_bytes()
    states = [[each["state"] for each in report["casualties"]] for report in reports_of(live, "overboard")]
    assert ["standing", "standing"] in states
    assert ["standing", "withdrawn"] in states
    assert states[-1] == ["recovered"]
