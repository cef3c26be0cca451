"""What the page costs: how soon it shows what happens, and the daemon's work with ten pages open.

    PYTHONPATH=daemon:tests python -m benchmarks.page

Figures of one machine, to be compared with themselves. Times to a pixel are by the wall clock, the daemon's
work is its CPU time (user and system) as the kernel counts it. It needs mosquitto and chromium.
"""

import asyncio
import sys
import tempfile
from contextlib import AsyncExitStack
from os import sysconf
from pathlib import Path
from statistics import median

import httpx

from broker.mosquitto import Mosquitto
from page.helm import Helm, chromium, helm, opened
from page.timing import (
    alert_to_pixel_ms,
    entries_to_answers_ms,
    first_paint_ms,
    ticks_to_pixels_ms,
    under_way,
)
from stories.story import Run

TICKS, ANSWERS, PAGES, SECONDS, SHEETS = 60, 20, 10, 60, 50


async def shown(boat: Helm) -> None:
    """Time the page in a browser."""
    async with chromium() as browser, boat.watch() as run:
        page = await opened(browser, boat.url)
        await under_way(page, boat)
        _say(f"first paint {await first_paint_ms(page):.0f} ms")
        _say(f"tick to pixel {_spread(await ticks_to_pixels_ms(page, TICKS))}")
        _say(f"entry to answer {_spread(await entries_to_answers_ms(page, ANSWERS))}")
        await page.keyboard.press("n")
        _say(f"alert to pixel {await alert_to_pixel_ms(page, boat):.0f} ms")
        boat.instruments.log = True
        await run.terminate()


async def open_pages(boat: Helm) -> None:
    """Hold the daemon's work with no page open against that with ten."""
    async with boat.watch() as run:
        await boat.depart()
        await asyncio.sleep(5)
        alone = await _work_ms(run)
        async with AsyncExitStack() as stack:
            client = await stack.enter_async_context(httpx.AsyncClient(timeout=20))
            for _ in range(PAGES):
                feed = await stack.enter_async_context(client.stream("GET", f"{boat.url}feed"))
                reading = asyncio.create_task(_take_all(feed))
                stack.callback(reading.cancel)
            together = await _work_ms(run)
        sheet = await _sheet_ms(boat, run)
        await run.terminate()
    _say(f"no page open: {alone:.1f} ms of CPU a second")
    _say(f"{PAGES} pages open: {together:.1f} ms; {(together - alone) / PAGES:.2f} ms a page and second")
    _say(f"a sheet drawn for a tablet: {sheet:.0f} ms of CPU")


async def _take_all(feed: httpx.Response) -> None:
    async for _ in feed.aiter_bytes():
        pass


async def _work_ms(run: Run) -> float:
    """Return the CPU time of the daemon, ms a second, over the next minute."""
    before = _cpu_ms(run.process.pid)
    await asyncio.sleep(SECONDS)
    return (_cpu_ms(run.process.pid) - before) / SECONDS


async def _sheet_ms(boat: Helm, run: Run) -> float:
    """Return the CPU time of the daemon for one sheet."""
    before = _cpu_ms(run.process.pid)
    async with httpx.AsyncClient(timeout=20) as client:
        for _ in range(SHEETS):
            await client.get(f"{boat.url}sheet.svg?look=night&width_mm=210&height_mm=100")
    return (_cpu_ms(run.process.pid) - before) / SHEETS


def _cpu_ms(process: int) -> float:
    # proc(5): after the name in brackets, fields 14 and 15 are user and system time in clock ticks.
    fields = Path(f"/proc/{process}/stat").read_text(encoding="ascii").rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) * 1000 / sysconf("SC_CLK_TCK")


def _spread(ms: list[float]) -> str:
    late, longest = ms[int(0.95 * len(ms))], ms[-1]
    return f"median {median(ms):.0f} ms, p95 {late:.0f} ms, longest {longest:.0f} ms of {len(ms)}"


async def _main() -> None:
    for measured in (shown, open_pages):
        with tempfile.TemporaryDirectory() as folder:
            broker = Mosquitto(Path(folder), "allow_anonymous true")
            broker.start()
            try:
                async with helm(Path(folder), broker, samples=20_000) as boat:
                    await measured(boat)
            finally:
                broker.kill()


def _say(words: str) -> None:
    sys.stdout.write(f"{words}\n")
    sys.stdout.flush()


if __name__ == "__main__":
    asyncio.run(_main())
