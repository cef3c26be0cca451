"""How soon the page shows what happens: first paint, a tick, an answer, an alert; over loopback."""

from collections.abc import AsyncIterator
from pathlib import Path
from statistics import median

import pytest
from playwright.async_api import Browser

from broker.mosquitto import Mosquitto
from page.helm import Helm, helm, opened
from page.timing import (
    alert_to_pixel_ms,
    entries_to_answers_ms,
    first_paint_ms,
    ticks_to_pixels_ms,
    under_way,
)

TICKS, ANSWERS = 30, 8


@pytest.fixture
async def boat(tmp_path: Path, mosquitto: Mosquitto) -> AsyncIterator[Helm]:
    """Lay out a boat whose area is as fine as it is by default."""
    async with helm(tmp_path, mosquitto, samples=20_000) as laid_out:
        yield laid_out


async def test_first_paint(boat: Helm, browser: Browser) -> None:
    """The first words are painted within a second of asking for the page."""
    async with boat.watch():
        page = await opened(browser, boat.url)

        assert await first_paint_ms(page) < 1000


@pytest.mark.slow
async def test_tick_to_pixel(boat: Helm, browser: Browser) -> None:
    """A second's heading is painted within 300 ms of the second, 95 times in 100."""
    async with boat.watch():
        page = await opened(browser, boat.url)
        await under_way(page, boat)
        ages = await ticks_to_pixels_ms(page, TICKS)

    assert len(ages) > 0.6 * TICKS
    assert ages[int(0.95 * len(ages))] < 300, ages


@pytest.mark.slow
async def test_entry_to_answer(boat: Helm, browser: Browser) -> None:
    """From the press that enters a bearing to its painted answer: half of them within half a second."""
    async with boat.watch():
        page = await opened(browser, boat.url)
        await under_way(page, boat)
        took = await entries_to_answers_ms(page, ANSWERS)

    assert median(took) < 500, took


@pytest.mark.slow
async def test_alert_to_pixel(boat: Helm, browser: Browser) -> None:
    """An alert is painted within 300 ms of the second it is raised in."""
    async with boat.watch():
        page = await opened(browser, boat.url)
        await under_way(page, boat)

        assert await alert_to_pixel_ms(page, boat) < 300
