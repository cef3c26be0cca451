"""What lies ahead, on the page: in sentences below heading and speed, its places only under pencil this."""

import re

from playwright.async_api import Browser, expect

from page.helm import Helm, opened


async def test_what_lies_ahead_is_said_in_sentences(boat: Helm, browser: Browser) -> None:
    """In 15, 30 and 60 minutes on the present course: when, which course, how large the area is then."""
    async with boat.watch():
        page = await opened(browser, boat.url)
        await boat.depart()
        lines = page.get_by_role("group", name="Ahead").locator("p")
        await expect(lines).to_have_count(3)
        said = await lines.all_text_contents()
        await page.get_by_text("Pencil this").click()
        await expect(page.get_by_text(re.compile(r"^EP of \d{4} on the present course: "))).to_have_count(3)

    for line in said:
        assert re.match(
            r"By \d{4}, on the present course, \d{3} T: an area of [\d.]+ by [\d.]+ nm\.", line
        ), line
