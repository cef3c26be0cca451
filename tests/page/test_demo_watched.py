"""The demo passage, watched through the page from the departure to the end."""

import asyncio
import os
import re
from asyncio.subprocess import PIPE, STDOUT
from pathlib import Path

import httpx
import pytest
from playwright.async_api import Browser, expect

from page.helm import TABLET, opened
from stories.story import PATIENCE_S, PROGRAM

SPEED = 120
PASSAGE_MS = 240_000.0
"""The passage of 155 minutes takes 78 s of this; nothing waits so long unless it fails."""


async def served(url: str) -> None:
    """Wait until the page is served."""
    async with asyncio.timeout(PATIENCE_S), httpx.AsyncClient() as client:
        while True:
            try:
                await client.get(url)
            except httpx.TransportError:
                await asyncio.sleep(0.02)
            else:
                return


@pytest.mark.slow
async def test_the_demo_is_watched_through_the_page(browser: Browser) -> None:
    """Area, running fix, the sheet, the alert at the pull, and the end are seen as they come."""
    command = [str(PROGRAM), "demo", "--page", "--speed", str(SPEED)]
    demo = await asyncio.create_subprocess_exec(*command, stdout=PIPE, stderr=STDOUT)
    assert demo.stdout is not None
    said = b""
    while (address := re.search(rb"http://127\.0\.0\.1:\d+/", said)) is None:
        said += await demo.stdout.readline()
    ending = asyncio.create_task(demo.stdout.read())
    url = address[0].decode()
    await served(url)
    page = await opened(browser, url, TABLET)
    scripts: list[str] = []
    page.on("pageerror", lambda error: scripts.append(str(error)))
    page.set_default_timeout(PASSAGE_MS)
    first, log = page.locator(".first"), page.locator("ol.log")

    await expect(first).to_contain_text("She is within", timeout=PASSAGE_MS)
    await expect(page.get_by_text("Last line Carrow Head")).to_be_visible(timeout=PASSAGE_MS)
    await page.keyboard.press("l")
    await expect(log).to_contain_text("R Fix f-carrow-2200", timeout=PASSAGE_MS)
    await page.keyboard.press("p")
    # By then it has been drawn anew by itself; which minute the page comes to look at, the machine decides.
    later = page.get_by_text(re.compile(r"Drawn of 2(2[3-5]|3[0-5])\d"))
    await expect(later).to_be_visible(timeout=PASSAGE_MS)
    if kept := os.environ.get("MIDDLEWATCH_SCREENSHOTS"):
        await page.screenshot(path=Path(kept) / "sheet-of-the-demo.png")
    await page.keyboard.press("w")
    warning = page.get_by_text(re.compile("WARNING: .*two lines exclude"))
    await expect(warning).to_be_visible(timeout=PASSAGE_MS)
    await page.keyboard.press("n")
    if kept:
        await page.screenshot(path=Path(kept) / "now-of-the-demo.png")
    await expect(page.locator("#stale")).to_contain_text("The daemon was stopped", timeout=PASSAGE_MS)
    told = (await ending).decode()

    assert await demo.wait() == 0, told
    assert scripts == []
