"""A boat with a page: the daemon as a child process, instruments that speak each second, and a browser."""

import asyncio
import json
import os
import shutil
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

import httpx
from playwright.async_api import Browser, Page, async_playwright, expect

from broker.mosquitto import Mosquitto, free_port
from stories.story import DEPARTURE, LIGHT, PATIENCE_S, Bus, Json, Run, running, sealed

CHROMIUM = shutil.which("chromium")
PHONE, TABLET, E_INK = (390, 844), (1024, 768), (758, 1024)
"""Screens in CSS pixels: a phone upright, a tablet lengthwise, an e-ink reader upright."""

SOON_MS = 60_000.0
"""How long a test waits for what must come on the page; nothing waits this long unless it fails."""

expect.set_options(timeout=SOON_MS)

SHORT_OF = {"latitude_deg": 50.02, "longitude_deg": -4.1}
MARKS: dict[str, Json] = {
    "Thrane Light": {**LIGHT, "height_m": 30.0, "range_nm": 15.0, "character": "Fl 5s 30m 15M"},
    "Corran Mill": SHORT_OF,
}
"""Marks of our own invention, at the lights of the stories."""


def write_marks(folder: Path) -> None:
    """Write the marks file that stands beside the settings by default."""
    features = [
        {
            "type": "Feature",
            "geometry": {"type": "Point", "coordinates": [told["longitude_deg"], told["latitude_deg"]]},
            "properties": {
                "name": name,
                **{key: value for key, value in told.items() if not key.endswith("itude_deg")},
            },
        }
        for name, told in MARKS.items()
    ]
    (folder / "marks.geojson").write_text(json.dumps({"type": "FeatureCollection", "features": features}))


class Instruments:
    """Compass and log of a boat that makes some five knots; `heading` and `log` may fall silent."""

    def __init__(self, bus: Bus) -> None:
        self._bus = bus
        self.heading = True
        self.log = True
        self.second = 0

    async def speak(self) -> None:
        """Speak each half second, to whoever listens, until cancelled."""
        while True:
            await self._bus.listener()
            heading = 40.0 + self.second % 7
            said = [sealed(f"HCHDG,{heading:.1f},,,,")] if self.heading else []
            said += [sealed("VWVHW,,T,,M,5.2,N,,K")] if self.log else []
            try:
                await self._bus.send(b"".join(line + b"\r\n" for line in said))
            except ConnectionError:
                self._bus.drop()
            self.second += 1
            await asyncio.sleep(0.5)


class Helm:
    """The boat: its settings file, its page's address, its broker, its instruments."""

    def __init__(self, settings: Path, port: int, broker: Mosquitto, instruments: Instruments) -> None:
        self.settings = settings
        self.port = port
        self.broker = broker
        self.instruments = instruments

    @property
    def url(self) -> str:
        """The page's address."""
        return f"http://127.0.0.1:{self.port}/"

    @asynccontextmanager
    async def watch(self) -> AsyncIterator[Run]:
        """Run the daemon, once its page is served."""
        async with running(self.settings) as run:
            await self.served()
            yield run

    async def served(self) -> None:
        """Wait until the page is served."""
        async with asyncio.timeout(PATIENCE_S), httpx.AsyncClient() as client:
            while True:
                try:
                    await client.get(f"{self.url}hello")
                except httpx.TransportError:
                    await asyncio.sleep(0.02)
                else:
                    return

    async def enter(self, channel: str, **body: object) -> Json:
        """Enter something as the page does, and return the answer."""
        origin = self.url.removesuffix("/")
        async with httpx.AsyncClient(headers={"origin": origin}, timeout=PATIENCE_S) as client:
            answer: Json = (await client.post(f"{self.url}entry/{channel}", json=body)).json()
            return answer

    async def depart(self) -> None:
        """Order a departure, once the track has begun, and let a few seconds be reckoned."""
        async with asyncio.timeout(PATIENCE_S):
            while not (await self.enter("order", **DEPARTURE)).get("accepted"):  # noqa: ASYNC110 - only an answer tells
                await asyncio.sleep(0.2)


@asynccontextmanager
async def helm(
    folder: Path, broker: Mosquitto, page: str = "", *, samples: int = 2000
) -> AsyncIterator[Helm]:
    """Lay out a boat whose instruments speak; nothing runs on her yet."""
    write_marks(folder)
    port = free_port()
    async with Bus() as bus:
        file = folder / "boat.toml"
        file.write_text(
            f'[[inputs]]\nname = "bow"\n{bus.link}\n[mqtt]\nport = {broker.port}\n'
            f'[journal]\nfile = "boat.db"\n[area]\nsamples = {samples}\n[page]\nport = {port}\n{page}\n'
        )
        instruments = Instruments(bus)
        speaking = asyncio.create_task(instruments.speak())
        try:
            yield Helm(file, port, broker, instruments)
        finally:
            speaking.cancel()


@asynccontextmanager
async def chromium() -> AsyncIterator[Browser]:
    """Start Debian's Chromium, unseen."""
    # It refuses to run for root with its sandbox; it opens nothing but our page.
    args = ["--no-sandbox"] if os.geteuid() == 0 else []
    async with async_playwright() as playwright:
        browser = await playwright.chromium.launch(executable_path=CHROMIUM, args=args)
        try:
            yield browser
        finally:
            await browser.close()


async def opened(browser: Browser, url: str, size: tuple[int, int] = PHONE) -> Page:
    """Open the page in a profile of its own."""
    context = await browser.new_context(viewport={"width": size[0], "height": size[1]})
    page = await context.new_page()
    page.set_default_timeout(SOON_MS)
    await page.goto(url)
    return page
