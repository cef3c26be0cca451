"""A watch on a real broker in which as much as may be is entered and said; run as a program: its examples.

python -m stories.brokers.everything_said > daemon/middlewatch/runtime/mqtt_examples.jsonl
"""

import asyncio
import json
import secrets
from collections.abc import AsyncIterator, Callable, Iterable, Iterator
from contextlib import asynccontextmanager
from dataclasses import dataclass, field
from pathlib import Path
from tempfile import TemporaryDirectory

import aiomqtt

from broker.mosquitto import Mosquitto
from middlewatch.links.broker_connection import connection
from middlewatch.links.sender import Skipper
from middlewatch.quantities.instants import Instant
from middlewatch.readings.entries import Channel
from middlewatch.settings import MqttSettings
from middlewatch.wire.asyncapi import message_of
from stories.story import (
    DEPARTURE,
    LIGHT,
    PATIENCE_S,
    START_MS,
    Bus,
    Json,
    running,
    sealed,
    sentences,
    settings_file,
    stamped,
    stamped_second,
)

BOAT = "kittiwake"
BEGUN_S, FIX_S, LASTS_S = 60, 660, 960
"""The departure; the second bearing; the end, with the satellite position drawn off since the fix."""

PERCH = {"latitude_deg": 50.02, "longitude_deg": -4.1}

_RAISED: Json = {"mark": "Thrane Light", "visibility_nm": 12}
EARLY: tuple[tuple[Channel, Json], ...] = (
    ("order", {"id": "d1", **DEPARTURE, "sd_nm": 0.1}),
    ("order", {"id": "w1", "kind": "way", "way": "under_way"}),
    ("order", {"id": "c1", "kind": "course", "heading_deg": 47, "reference": "magnetic"}),
    ("order", {"id": "l1", "kind": "leeway", "leeway_deg": 3, "pushed_to": "port"}),
    (
        "order",
        {"id": "s1", "kind": "stream", "set_deg": 90, "drift_kn": 0.5, "until": "2026-05-03T04:00:00Z"},
    ),
    ("order", {"id": "v1", "kind": "visibility", "visibility_nm": 12}),
    ("order", {"id": "h1", "kind": "by_hand", "heading_deg": 45, "reference": "magnetic"}),
    ("order", {"id": "h2", "kind": "by_hand", "heading_deg": None}),
    ("order", {"id": "lf1", "kind": "log_factor", "factor": 1.02}),
    ("order", {"id": "dv1", "kind": "deviation", "deviation_deg": 0.5}),
    ("order", {"id": "r1", "kind": "remark", "text": "log streamed off the perch"}),
    ("sighting", {"id": "b1", "kind": "bearing", "mark": "Thrane Light", "bearing_deg": 323}),
)
LATE: tuple[tuple[Channel, Json], ...] = (
    ("sighting", {"id": "b2", "kind": "bearing", "mark": "Corran Mill", "bearing_deg": 86, "ago_s": 20}),
    ("sighting", {"id": "b3", "kind": "bearing", "mark": "Thrane Light", "bearing_deg": 299}),
    ("order", {"id": "o1", "kind": "overboard", "ago_s": 5}),
    ("sighting", {"id": "g1", "kind": "range", "mark": "Corran Mill", "distance_nm": 3.2, "sd_nm": 0.2}),
    ("sighting", {"id": "t1", "kind": "transit", "mark": "Corran Mill", "rear_mark": "Thrane Light"}),
    ("sighting", {"id": "z1", "kind": "vertical_angle", "mark": "Thrane Light", "angle_min": 14}),
    (
        "sighting",
        {"id": "x1", "kind": "horizontal_angle", "mark": "Thrane Light", "second_mark": "Corran Mill",
         "angle_deg": 118},
    ),
    ("sighting", {"id": "a1", "kind": "raised", **_RAISED, "bobbed": True}),
    ("sighting", {"id": "a2", "kind": "dipped", **_RAISED}),
    ("sighting", {"id": "k1", "kind": "sector", "mark": "Thrane Light", "colour": "white"}),
    ("sighting", {"id": "m1", "kind": "depth", "depth_m": 12.5, "below": "transducer", "tide_m": 1.2}),
    ("sighting", {"id": "p1", "kind": "passing", "mark": PERCH, "side": "starboard", "distance_m": 150}),
    (
        "sighting",
        {"id": "q1", "kind": "position", "latitude_deg": 50.01, "longitude_deg": -4.19, "sd_nm": 0.2,
         "source": "radar"},
    ),
    ("order", {"id": "am1", "kind": "amend", "entry": "b3", "change": {"bearing_deg": 298}}),
    ("order", {"id": "wi1", "kind": "withdraw", "entry": "p1"}),
    ("order", {"id": "co1", "kind": "confirm", "entry": "b2"}),
    ("order", {"id": "f1", "kind": "fix", "using": ["b2", "b3"]}),
    ("order", {"id": "ad1", "kind": "adopt", "fix": "f-b3"}),
    ("order", {"id": "ts1", "kind": "trust_satellites", "anyway": True}),
    ("order", {"id": "si1", "kind": "silence", "alert": "satellite"}),
    ("order", {"id": "ac1", "kind": "acknowledge", "alert": "satellite"}),
    ("order", {"id": "qu1", "kind": "quiet"}),
    ("order", {"id": "cl1", "kind": "clock", "utc": "2026-05-03T02:12:00Z"}),
    ("order", {"id": "re1", "kind": "recovered", "entry": "o1"}),
    ("sighting", {"id": "bad1", "kind": "bearing", "mark": "Nowhere", "bearing_deg": 90}),
)  # fmt: skip
"""Every kind of entry, those before the fix apart; the last one is refused."""


@dataclass(slots=True)
class Heard:
    """Everything a bystander has heard below the boat, in order: topic, payload, retained."""

    messages: list[tuple[str, str, bool]] = field(default_factory=list)
    newer: asyncio.Event = field(default_factory=asyncio.Event)

    async def until(self, topic: str, *words: str) -> str:
        """Return the first payload on a topic that holds all these words, waiting for it."""
        return await self._first(
            lambda told, payload: told == topic and all(word in payload for word in words)
        )

    async def position_from(self, at_ms: int) -> str:
        """Return the first position of a moment or later: of each second's only the newest may go out."""
        return await self._first(
            lambda told, payload: told == "position" and Instant.parse(json.loads(payload)["at"]).ms >= at_ms
        )

    async def _first(self, is_it: Callable[[str, str], bool]) -> str:
        seen = 0
        async with asyncio.timeout(PATIENCE_S):
            while True:
                while seen < len(self.messages):
                    topic, payload, _ = self.messages[seen]
                    seen += 1
                    if is_it(topic, payload):
                        return payload
                self.newer.clear()
                await self.newer.wait()


@asynccontextmanager
async def bystander(broker: MqttSettings, boat: str = BOAT) -> AsyncIterator[Heard]:
    """Listen to everything below a boat's name, from now on."""
    heard, below = Heard(), f"middlewatch/{boat}/"

    async def listen(client: aiomqtt.Client) -> None:
        async for message in client.messages:
            topic = message.topic.value.removeprefix(below)
            heard.messages.append((topic, bytes(message.payload).decode(), bool(message.retain)))
            heard.newer.set()

    async with connection(broker, f"bystander-{secrets.token_hex(4)}") as client:
        await client.subscribe(f"{below}#", qos=1)
        listening = asyncio.create_task(listen(client))
        yield heard
        listening.cancel()


def marks_and_dangers(folder: Path) -> None:
    """Write the two files of the sea, of our own invention, that stand beside the settings."""
    light = {"name": "Thrane Light", "height_m": 30.0, "range_nm": 15.0, "character": "Fl WR 5s"}
    light["sectors"] = [{"colour": "white", "from_true_deg": 60, "to_true_deg": 200}]
    mill = {"name": "Corran Mill", "range_nm": 5.0, "character": "Q"}
    _write(folder / "marks.geojson", ((light, LIGHT), (mill, PERCH)))
    rock = {"latitude_deg": 50.03, "longitude_deg": -4.15}
    _write(folder / "dangers.geojson", (({"name": "Garvel Rock", "clearance_m": 400}, rock),))


def _write(file: Path, told: Iterable[tuple[Json, Json]]) -> None:
    features = [
        {
            "type": "Feature",
            "geometry": {"type": "Point", "coordinates": [place["longitude_deg"], place["latitude_deg"]]},
            "properties": properties,
        }
        for properties, place in told
    ]
    file.write_text(json.dumps({"type": "FeatureCollection", "features": features}))


def second_of(number: int) -> bytes:
    """Return a second of the bus; from the fix on the receiver is drawn off to the north at 12 kn."""
    if number <= FIX_S:
        return stamped_second(number)
    heading, log, _ = sentences(number)
    minutes = 0.05 * FIX_S / 60 + 12.0 * (number - FIX_S) / 3600
    clock = str(Instant(START_MS + 1000 * number))[11:19].replace(":", "")
    drawn = sealed(f"GPRMC,{clock},A,50{minutes:07.4f},N,00412.0000,W,12.0,000.0,030526,,,A")
    return b"".join(
        stamped(START_MS + 1000 * number + 200 * place, each)
        for place, each in enumerate((heading, log, drawn))
    )


@asynccontextmanager
async def everything_said(
    folder: Path, broker: MqttSettings, *, ashore: MqttSettings | None = None
) -> AsyncIterator[Heard]:
    """Keep the watch; while the context is open the daemon is still there, and nothing more comes in.

    `ashore` is how skipper and bystander reach the broker, where not as the daemon does.
    """
    marks_and_dangers(folder)
    async with Bus() as bus, bystander(ashore or broker) as heard:
        settings = settings_file(folder, broker, bus.link, more='[dangers]\nfile = "dangers.geojson"')
        async with running(settings) as run, Skipper(ashore or broker, BOAT) as skipper:
            await bus.listener()
            await heard.until("status", '"online"')
            await _sail(bus, heard, range(BEGUN_S))
            await _enter(skipper, EARLY)
            await _sail(bus, heard, range(BEGUN_S, FIX_S + 1))
            await _enter(skipper, LATE[:3])
            await _sail(bus, heard, range(FIX_S + 1, LASTS_S))
            await heard.until("alert/satellite", '"active')
            await _enter(skipper, LATE[3:])
            await bus.send(stamped(START_MS + 1000 * LASTS_S, sealed("CAACN,,,10241,9,A,C")))
            await bus.send(stamped_second(LASTS_S + 1))
            await heard.until("alert-command/answer")
            yield heard
            await run.terminate()
        await heard.until("status", '"offline"')


async def _sail(bus: Bus, heard: Heard, seconds: Iterable[int]) -> None:
    """Let the bus speak, and wait until its last second is told."""
    seconds = list(seconds)
    await bus.send(b"".join(map(second_of, seconds)))
    await heard.position_from(START_MS + 1000 * seconds[-1])


async def _enter(skipper: Skipper, entries: Iterable[tuple[Channel, Json]]) -> None:
    for channel, body in entries:
        assert await skipper.send(channel, body, wait_s=PATIENCE_S) is not None, body


def examples(heard: Heard) -> Iterator[Json]:
    """Yield an example for each message: every kind of entry, the fullest of each report, both answers."""
    for channel, body in (*EARLY, *LATE[:-1]):
        yield {"message": message_of(f"{channel}/{body['kind']}"), "payload": body}
    fullest: dict[tuple[str, bool], str] = {}
    for topic, payload, _ in heard.messages:
        if topic not in {"sighting", "order"}:
            key = message_of(topic), '"accepted":false' in payload
            if len(payload) > len(fullest.get(key, "")):
                fullest[key] = payload
    for (message, _), payload in sorted(fullest.items()):
        yield {"message": message, "payload": _shortened(json.loads(payload))}


def _shortened(value: object) -> object:
    """Return a payload with three corners of each outline: sixty tell a reader no more."""
    if isinstance(value, dict):
        return {
            key: [corners[:3] for corners in inner] if key == "outline" else _shortened(inner)
            for key, inner in value.items()
        }
    return [_shortened(each) for each in value] if isinstance(value, list) else value


async def _main() -> None:
    with TemporaryDirectory() as folder:
        (place := Path(folder) / "mosquitto").mkdir()
        broker = Mosquitto(place, "allow_anonymous true")
        broker.start()
        try:
            async with everything_said(Path(folder), MqttSettings(port=broker.port)) as heard:
                pass
        finally:
            broker.kill()
    for example in examples(heard):
        print(json.dumps(example, ensure_ascii=False))  # noqa: T201 -- as a program


if __name__ == "__main__":
    asyncio.run(_main())
