"""Overboard, in a browser on a running daemon: one press on any view, led back, link up or down."""

import asyncio

import pytest
from playwright.async_api import Browser, Page, expect

from page.helm import E_INK, PHONE, TABLET, Helm, opened
from page.test_page_sights import kept
from stories.story import PATIENCE_S


async def seen(page: Page) -> None:
    """Wait until the page tells the reckoning."""
    await expect(page.locator(".run")).to_contain_text("Heading")


async def track_begun(boat: Helm) -> None:
    """Wait until the water track has begun: something is answered."""
    async with asyncio.timeout(PATIENCE_S):
        while not (await boat.enter("order", kind="remark", text="on watch")).get("accepted"):  # noqa: ASYNC110 - only an answer tells
            await asyncio.sleep(0.2)


async def test_one_press_on_any_view_leads_back_before_a_departure(boat: Helm, browser: Browser) -> None:
    """Pressed on the log: bearing M and distance, big, on every view; manoeuvring; it calls no one."""
    async with boat.watch():
        page = await opened(browser, boat.url)
        await track_begun(boat)
        await page.keyboard.press("l")
        await page.get_by_role("button", name="Overboard", exact=True).click()

        lead = page.locator("#overboard .lead")
        await expect(lead).to_contain_text("Overboard: bears 2")
        await expect(lead).to_contain_text(" M, ")
        await expect(page.locator("#overboard")).to_contain_text("This page calls no one")
        await expect(page.locator("#overboard")).to_contain_text("95 times in 100")
        await expect(page.locator("#overboard")).to_contain_text("No satellite mark")
        before = await lead.inner_text()
        await expect(lead).not_to_have_text(before)
        for key in "npwl":
            await page.keyboard.press(key)
            await expect(lead).to_be_visible()
        await page.keyboard.press("n")
        await expect(page.locator(".run")).to_contain_text("Manoeuvring")
        size = await lead.evaluate("each => parseFloat(getComputedStyle(each).fontSize)")
        assert size > 30

    assert [entry["kind"] for entry in kept(boat)][-1] == "overboard"


async def test_by_the_keyboard_pressed_in_error_and_recovered(boat: Helm, browser: Browser) -> None:
    """A key of its own; pressed again it adds nobody; ended by two presses of what ends it."""
    async with boat.watch():
        page = await opened(browser, boat.url)
        await track_begun(boat)
        await seen(page)
        lead = page.locator("#overboard .lead")

        await page.keyboard.press("o")
        await expect(lead).to_contain_text("bears")
        await page.keyboard.press("o")
        await page.get_by_role("button", name="Pressed in error").click()
        await expect(lead).to_be_visible()
        await page.get_by_role("button", name="Press again: pressed in error").click()
        await expect(page.locator("#overboard")).to_be_empty()
        await page.keyboard.press("o")
        await expect(lead).to_contain_text("bears")
        await page.get_by_role("button", name="Recovered").click()
        await page.get_by_role("button", name="Press again: recovered").click()
        await expect(page.locator("#overboard")).to_be_empty()

    kinds = [entry["kind"] for entry in kept(boat) if entry["kind"] != "remark"]
    assert kinds == ["overboard", "withdraw", "overboard", "recovered"]


async def test_the_link_down_it_waits_with_its_own_time(boat: Helm, browser: Browser) -> None:
    """Pressed while the daemon is gone: shown at once, kept, entered once at its own time, then led back."""
    async with boat.watch() as run:
        page = await opened(browser, boat.url)
        await track_begun(boat)
        await seen(page)
        await run.kill()
        await expect(page.locator("#stale")).to_contain_text("not heard")
    await page.keyboard.press("o")
    panel = page.locator("#overboard")
    await expect(panel).to_contain_text("Kept on this device")
    since = (await panel.locator(".small").first.inner_text()).removeprefix("Pressed at ")[:8]

    async with boat.watch():
        await expect(panel).to_contain_text(f"Since {since} UT")
        await expect(page.locator("#overboard .lead")).to_contain_text("Overboard: ")

    presses = [entry for entry in kept(boat) if entry["kind"] == "overboard"]
    assert [entry["at"][11:19] for entry in presses] == [since]


@pytest.mark.parametrize("size", [PHONE, TABLET, E_INK])
async def test_the_way_back_and_the_views_key_fit_the_screen(
    boat: Helm, browser: Browser, size: tuple[int, int]
) -> None:
    """At phone, tablet and e-ink size the lead stands whole on the screen, and so does the key."""
    async with boat.watch():
        page = await opened(browser, boat.url, size)
        await track_begun(boat)
        await seen(page)
        await page.keyboard.press("o")
        await expect(page.locator("#overboard .lead")).to_contain_text("bears")

        for place in (page.locator("#overboard .lead"), page.locator("#overboard-key")):
            box = await place.bounding_box()
            assert box is not None
            assert box["x"] >= 0
            assert box["y"] >= 0
            assert box["x"] + box["width"] <= size[0]
            assert box["y"] + box["height"] <= size[1]
