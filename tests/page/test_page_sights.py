"""Sight now, in a browser on a running daemon: five presses, the keyboard, a remote, the link down."""

import asyncio
import json
import math
import os
import signal

from playwright.async_api import Browser, Page, expect

from middlewatch.journal import Journal
from middlewatch.settings import load
from page.helm import Helm, opened
from page.timing import hears, in_time, silence_told_ms, watch_silence
from stories.story import Json


def kept(boat: Helm) -> list[Json]:
    """Return what stands in the journal, as it was heard; the daemon must be gone."""
    with Journal.open(load(boat.settings).journal.file) as journal:
        return [json.loads(entry.text) for entry in journal.load().entries]


async def under_way(page: Page, boat: Helm) -> None:
    """Depart, and wait until the page shows the area."""
    await boat.depart()
    await expect(page.locator(".first")).to_contain_text("She is within")


async def frozen(page: Page) -> str:
    """Return the time that the sight is frozen at, as `22:14:05`."""
    words = await page.locator("main > p").first.inner_text()
    return words.removeprefix("Frozen at ")[:8]


async def test_a_bearing_in_five_presses(boat: Helm, browser: Browser) -> None:
    """Sight now, a mark, three digits: the third enters; read back, answered, and undone in one press."""
    async with boat.watch():
        page = await opened(browser, boat.url)
        await under_way(page, boat)

        await page.get_by_role("button", name="Sight now").click()
        await expect(page.locator(".digits")).to_have_text("___")
        assert await page.locator("[aria-pressed=true][data-mark]").count() == 0
        # The nearer of two, each held against how far it is seen; no word of where it should bear.
        marks = [await each.inner_text() for each in await page.locator(".marks button").all()]
        assert marks == ["Thrane Light\nFl 5s 30m 15M", "Corran Mill", "Not known yet"]
        at = await frozen(page)
        await page.get_by_role("button", name="Thrane Light").click()
        for digit in "340":
            await page.get_by_role("button", name=digit, exact=True).click()

        await expect(page.locator("p.act")).to_have_text("Three four zero magnetic, Thrane Light.")
        await expect(page.locator(".answer")).to_contain_text("Pencil:")
        await expect(page.locator(".answer")).to_contain_text("Expected")
        await page.get_by_role("button", name="Undo").click()
        await expect(page.locator(".answer")).to_contain_text("withdrawn", ignore_case=True)

    _, sighting, withdrawal = kept(boat)
    assert sighting["at"][11:19] == at
    assert {key: sighting[key] for key in ("kind", "mark", "bearing_deg", "reference")} == {
        "kind": "bearing",
        "mark": "Thrane Light",
        "bearing_deg": 340,
        "reference": "magnetic",
    }
    assert (withdrawal["kind"], withdrawal["entry"]) == ("withdraw", sighting["id"])


async def test_a_bearing_by_the_keyboard_alone(boat: Helm, browser: Browser) -> None:
    """A key freezes, three digits, tab to the mark, enter; a key undoes it; each view has a key."""
    async with boat.watch():
        page = await opened(browser, boat.url)
        await under_way(page, boat)

        await page.keyboard.press("s")
        await page.keyboard.type("070")
        await expect(page.get_by_role("status").filter(has_text="of which mark?")).to_be_visible()
        await page.keyboard.press("Tab")
        while await page.evaluate("document.activeElement.dataset.mark") != "Corran Mill":
            await page.keyboard.press("Tab")
        await page.keyboard.press("Enter")
        await expect(page.locator("p.act")).to_have_text("Zero seven zero magnetic, Corran Mill.")
        await expect(page.locator(".answer")).to_contain_text("Pencil:")
        await page.keyboard.press("u")
        await expect(page.locator(".answer")).to_contain_text("withdrawn", ignore_case=True)
        for key, view in (("n", "Now"), ("p", "Sheet"), ("w", "Alerts"), ("l", "Log")):
            await page.keyboard.press(key)
            await expect(page.locator("nav [aria-current=page]")).to_have_text(view)

    assert [entry["kind"] for entry in kept(boat)] == ["departure", "bearing", "withdraw"]


async def test_a_bearing_by_three_keys(boat: Helm, browser: Browser) -> None:
    """A remote's *sight* freezes; *repeat* steps, *sight* presses what it stepped to."""
    async with boat.watch():
        page = await opened(browser, boat.url)
        await under_way(page, boat)

        await page.keyboard.press("s")
        for wanted in ("2", "4", "8", "Corran Mill"):
            while not (await page.evaluate("document.activeElement.textContent")).startswith(wanted):
                await page.keyboard.press("r")
            await page.keyboard.press("s")

        await expect(page.locator("p.act")).to_have_text("Two four eight magnetic, Corran Mill.")
        await expect(page.locator(".answer")).to_contain_text("Pencil:")

    assert kept(boat)[1]["bearing_deg"] == 248


async def test_no_bearing_over_360_is_made(boat: Helm, browser: Browser) -> None:
    """Three digits that are no bearing are named and asked for again, and nothing is entered."""
    async with boat.watch():
        page = await opened(browser, boat.url)
        await under_way(page, boat)

        await page.get_by_role("button", name="Sight now").click()
        await page.keyboard.type("361")
        await expect(page.get_by_text("361 is no bearing")).to_be_visible()
        await expect(page.locator(".digits")).to_have_text("___")

    assert [entry["kind"] for entry in kept(boat)] == ["departure"]


async def test_killed_under_it(boat: Helm, browser: Browser) -> None:
    """The daemon gone, the page says so in 3 s; a sight taken meanwhile is entered once, at its own time."""
    async with boat.watch():
        page = await opened(browser, boat.url)
        await under_way(page, boat)
        await watch_silence(page)

    async def told_ms() -> float:
        async with boat.watch():
            await hears(page)
            await expect(page.locator("#stale")).to_be_empty()
        return await silence_told_ms(page)

    await in_time(told_ms, lambda ms: ms < 3000)
    await expect(page.locator("body")).to_have_class("stale")
    await page.keyboard.press("s")
    at = await frozen(page)
    await page.keyboard.type("340")
    await page.get_by_role("button", name="Thrane Light").click()
    await expect(page.locator(".answer")).to_contain_text("Kept on this device")
    await expect(page.locator("#queue")).to_contain_text("1 entered here")
    await page.keyboard.press("l")
    await expect(page.locator("ol.log li").first).to_contain_text("not answered yet: bearing")

    async with boat.watch():
        await expect(page.locator("#stale")).to_be_empty()
        await expect(page.locator("#queue")).to_be_empty()
        await expect(page.locator("ol.log")).to_contain_text("Bearing p")

    departure, sighting = kept(boat)
    assert departure["kind"] == "departure"
    assert (sighting["bearing_deg"], sighting["at"][11:19]) == (340, at)


async def test_two_tabs_deliver_once(boat: Helm, browser: Browser) -> None:
    """What waits on a device is sent by every tab open there, and is one entry."""
    async with boat.watch() as run:
        page = await opened(browser, boat.url)
        await under_way(page, boat)
        other = await page.context.new_page()
        await other.goto(boat.url)
        await expect(other.locator(".first")).to_contain_text("She is within")
        await run.kill()
    await expect(page.locator("#stale")).to_contain_text("not heard")
    await page.bring_to_front()
    await page.keyboard.press("s")
    await page.keyboard.type("341")
    await page.get_by_role("button", name="Thrane Light").click()
    await expect(page.locator("#queue")).to_contain_text("1 entered here")

    async with boat.watch():
        for each in (page, other):
            await expect(each.locator("#queue")).to_be_empty()

    assert [entry["kind"] for entry in kept(boat)] == ["departure", "bearing"]


async def test_a_clock_in_doubt_is_told_how_long_ago(boat: Helm, browser: Browser) -> None:
    """While no time of day is taken, a sight says how long ago it was by the device's own clock."""
    async with boat.watch():
        page = await opened(browser, boat.url)
        await under_way(page, boat)
        doubt = "async () => { (await import('/boat.js')).boat.alerts.clock = { state: 'active' }; }"
        await page.evaluate(doubt)
        began = asyncio.get_running_loop().time()
        await page.keyboard.press("s")
        await page.keyboard.type("340")
        await asyncio.sleep(2)
        await page.get_by_role("button", name="Thrane Light").click()
        await expect(page.locator(".answer")).to_contain_text("Pencil:")
        took = asyncio.get_running_loop().time() - began

    sighting = kept(boat)[1]
    assert "at" not in sighting
    assert 2.0 <= sighting["ago_s"] <= math.ceil(took * 10) / 10  # tenths are sent


async def test_a_daemon_that_hangs_is_stale(boat: Helm, browser: Browser) -> None:
    """A daemon that stands still with its connections open is told within 3 s, and that it goes on again."""
    async with boat.watch() as run:
        page = await opened(browser, boat.url)
        await under_way(page, boat)
        await watch_silence(page)

        async def told_ms() -> float:
            os.kill(run.process.pid, signal.SIGSTOP)
            try:
                silent_ms = await silence_told_ms(page)
            finally:
                os.kill(run.process.pid, signal.SIGCONT)
            await expect(page.locator("#stale")).to_be_empty()
            return silent_ms

        await in_time(told_ms, lambda ms: ms < 3000)


async def test_a_silent_sensor_and_a_lost_broker_are_named(boat: Helm, browser: Browser) -> None:
    """A heading that is stale says so 4 s after its last sentence; the broker gone is told within 3 s."""
    async with boat.watch():
        page = await opened(browser, boat.url)
        await under_way(page, boat)

        async def silent_told_s() -> float:
            boat.instruments.heading = False
            took_s = await _said_after_s(page, "main", "Heading carried on from the last one heard")
            await expect(page.locator(".run")).to_have_class("run value old")
            boat.instruments.heading = True
            await expect(page.locator(".run")).to_have_class("run value")
            return took_s

        async def broker_told_s() -> float:
            boat.broker.kill()
            took_s = await _said_after_s(page, "#stale", "The broker is away")
            await expect(page.locator("body")).not_to_have_class("stale")
            boat.broker.start()
            await expect(page.locator("#stale")).to_be_empty()
            return took_s

        # Stale after 3 s (three of its usual intervals, at least 3 s), seen within 1 s more, and at a tick.
        await in_time(silent_told_s, lambda s: s < 5.5)
        await in_time(broker_told_s, lambda s: s < 3.0)


async def _said_after_s(page: Page, where: str, words: str) -> float:
    """Wait until a place of the page says something; return how long that took, seconds."""
    began_s = asyncio.get_running_loop().time()
    says = "([where, words]) => document.querySelector(where).textContent.includes(words)"
    await page.wait_for_function(says, arg=[where, words])
    return asyncio.get_running_loop().time() - began_s
