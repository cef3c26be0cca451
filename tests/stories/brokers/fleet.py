"""Ten boats on one broker, each with name, place, mark, bus and daemon of her own; and who hears them all."""

import asyncio
import json
import os
import secrets
from collections.abc import AsyncIterator, Iterable, Iterator, Mapping
from contextlib import asynccontextmanager
from dataclasses import dataclass, field
from pathlib import Path

import aiomqtt

from middlewatch.links.broker_connection import connection
from middlewatch.links.sender import Skipper
from middlewatch.quantities.instants import Instant
from middlewatch.readings.entries import Channel
from middlewatch.settings import MqttSettings
from stories.brokers.everything_said import Heard
from stories.story import PATIENCE_S, START_MS, Bus, Json, sealed, sentences, stamped

NAMES = (
    "kittiwake", "fulmar", "gannet", "puffin", "curlew",
    "avocet", "petrel", "whimbrel", "sanderling", "dunlin",
)  # fmt: skip
"""No name is part of another, or of a word that the daemon says of itself."""

SAMPLES = 1000
APART_DEG = 2.0
"""How far one boat is from the next, in latitude."""

NEAR_DEG = 0.5
"""How far from her own place anything is that a boat speaks of."""


@dataclass(frozen=True, slots=True)
class Boat:
    """A boat by her name, and the place from which she departs."""

    name: str
    latitude_deg: float
    longitude_deg: float

    @property
    def light(self) -> str:
        """The name of her mark, a third of a mile to the north-west of where she departs."""
        return f"the light of {self.name}"

    def settings(self, folder: Path, broker: MqttSettings, bus: Bus) -> Path:
        """Write her settings and her marks into a folder of her own; return the settings' path."""
        home = folder / self.name
        home.mkdir()
        mark = {
            "type": "Feature",
            "geometry": {
                "type": "Point",
                "coordinates": [self.longitude_deg - 0.2 / 60, self.latitude_deg + 0.35 / 60],
            },
            "properties": {"name": self.light, "height_m": 20.0, "range_nm": 10.0, "character": "Fl 5s"},
        }
        (home / "marks.geojson").write_text(json.dumps({"type": "FeatureCollection", "features": [mark]}))
        file = home / "boat.toml"
        file.write_text(
            f'[boat]\nname = "{self.name}"\n[[inputs]]\nname = "bow"\nstamp = "tag"\n{bus.link}\n'
            f"[area]\nsamples = {SAMPLES}\n[mqtt]\nport = {broker.port}\n"
        )
        return file

    def departure(self) -> Json:
        """Return the order with which she departs."""
        place = {"latitude_deg": self.latitude_deg, "longitude_deg": self.longitude_deg}
        return {"id": "d1", "kind": "departure", **place}

    def bearing(self, name: str, bearing_deg: float) -> Json:
        """Return a bearing of her mark."""
        seen = {"mark": self.light, "bearing_deg": bearing_deg, "reference": "true"}
        return {"id": name, "kind": "bearing", **seen}

    def second(self, number: int) -> bytes:
        """Return a second of her bus: that of all stories, her receiver at her own place."""
        heading, log, _ = sentences(number)
        clock = str(Instant(START_MS + 1000 * number))[11:19].replace(":", "")
        north, west = self.latitude_deg + 0.08 * number / 3600, -self.longitude_deg
        place = f"{_degrees(north, 2)},N,{_degrees(west, 3)},W"
        receiver = sealed(f"GPRMC,{clock},A,{place},5.2,040.0,030526,,,A")
        return b"".join(
            stamped(START_MS + 1000 * number + 200 * place_in_it, each)
            for place_in_it, each in enumerate((heading, log, receiver))
        )


def _degrees(value: float, digits: int) -> str:
    return f"{int(value):0{digits}d}{60 * (value % 1):07.4f}"


FLEET = tuple(
    Boat(name, 35.0 + APART_DEG * number, -(10.0 + 1.5 * number)) for number, name in enumerate(NAMES)
)


# --- who hears all -----------------------------------------------------------------------------------------


@dataclass(slots=True)
class Harbour:
    """Everything that is said on the broker, by the boat's name in the topic."""

    heard: dict[str, Heard] = field(default_factory=lambda: {name: Heard() for name in NAMES})
    strange: list[str] = field(default_factory=list)

    def hear(self, topic: str, payload: str, *, retained: bool) -> None:
        """Note a message under its boat; what is below no boat's name is strange."""
        root, _, below = topic.partition("/")
        boat, _, told = below.partition("/")
        if root != "middlewatch" or boat not in self.heard or not told:
            self.strange.append(topic)
            return
        self.heard[boat].messages.append((told, payload, retained))
        self.heard[boat].newer.set()

    def said(self, boat: Boat, *topics: str) -> Iterator[tuple[str, Json]]:
        """Yield topic and report of what a boat has said on these topics, on all where none is named."""
        for topic, payload, _ in self.heard[boat.name].messages:
            if topic not in {"sighting", "order"} and (not topics or topic in topics):
                yield topic, json.loads(payload)


@asynccontextmanager
async def harbour(broker: MqttSettings) -> AsyncIterator[Harbour]:
    """Listen to everything on a broker, from now on."""
    all_of_it = Harbour()

    async def listen(client: aiomqtt.Client) -> None:
        async for message in client.messages:
            text = bytes(message.payload).decode()
            all_of_it.hear(message.topic.value, text, retained=bool(message.retain))

    async with connection(broker, f"harbour-{secrets.token_hex(4)}") as client:
        await client.subscribe("#", qos=1)
        listening = asyncio.create_task(listen(client))
        try:
            yield all_of_it
        finally:
            listening.cancel()


# --- all at once -------------------------------------------------------------------------------------------


async def sail(buses: Mapping[Boat, Bus], heard: Harbour, seconds: range) -> None:
    """Let every bus speak, and wait until each boat has told the last second."""

    async def one(boat: Boat, bus: Bus) -> None:
        await bus.send(b"".join(map(boat.second, seconds)))
        await heard.heard[boat.name].position_from(START_MS + 1000 * seconds[-1])

    await asyncio.gather(*(one(boat, bus) for boat, bus in buses.items()))


async def enter(broker: MqttSettings, entries: Iterable[tuple[Boat, Channel, Json]]) -> dict[Boat, Json]:
    """Make an entry on each boat, all at once, each by a skipper of her own; return the answers."""

    async def one(boat: Boat, channel: Channel, body: Json) -> tuple[Boat, Json]:
        async with Skipper(broker, boat.name) as skipper:
            answer = await skipper.send(channel, body, wait_s=PATIENCE_S)
        assert answer is not None, f"{boat.name}: {body}"
        return boat, answer

    return dict(await asyncio.gather(*(one(*entry) for entry in entries)))


# --- what is told ------------------------------------------------------------------------------------------


def places(told: object) -> Iterator[tuple[float, float]]:
    """Yield every place in a report: latitude and longitude, of points and of an outline's corners."""
    if isinstance(told, dict):
        if told.get("latitude_deg") is not None:
            yield told["latitude_deg"], told["longitude_deg"]
        for key, inner in told.items():
            if key == "outline":
                yield from ((latitude, longitude) for corners in inner for latitude, longitude in corners)
            else:
                yield from places(inner)
    elif isinstance(told, list):
        for inner in told:
            yield from places(inner)


@dataclass(frozen=True, slots=True)
class Cost:
    """What a process has cost so far: the most memory it held, and processor time."""

    most_mb: float
    processor_s: float


def cost_of(process: int) -> Cost:
    """Read it from Linux: VmHWM, shared pages in it, and user and system time."""
    status = Path(f"/proc/{process}/status").read_text()
    (most_kb,) = (line.split()[1] for line in status.splitlines() if line.startswith("VmHWM:"))
    # Past the command's name, which stands in brackets and may hold anything; see proc(5), stat.
    user, system = Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()[11:13]
    return Cost(int(most_kb) / 1024, (int(user) + int(system)) / os.sysconf("SC_CLK_TCK"))
