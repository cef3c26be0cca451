"""Alerts on the page: acknowledged, silenced, quieted; heard once the sound is on, and read out."""

from playwright.async_api import Browser, Page, expect

from page.helm import Helm, opened
from stories.story import Json

LOG_SOUNDS = """async () => {
  window.tones = 0;
  const start = OscillatorNode.prototype.start;
  OscillatorNode.prototype.start = function (...when) { window.tones += 1; return start.apply(this, when); };
}"""
"""Count the tones that are begun: nothing else tells a test what a loudspeaker would sound."""


async def silent_log(boat: Helm, page: Page) -> None:
    """Depart, let the log fall silent, and wait for its alert."""
    await boat.depart()
    boat.instruments.log = False
    await expect(page.locator(".act")).to_contain_text("WARNING")


async def standing(page: Page, name: str) -> Json:
    """Return how an alert stands, as the page has it."""
    alert: Json = await page.evaluate(
        "async (name) => (await import('/boat.js')).boat.alerts[name] ?? {}", name
    )
    return alert


async def test_acknowledged_with_one_key(boat: Helm, browser: Browser) -> None:
    """The gravest alert is the next act; a key acknowledges it as it is worded; it stands, said smaller."""
    async with boat.watch():
        page = await opened(browser, boat.url)
        await silent_log(boat, page)
        before = await standing(page, "log")
        await page.keyboard.press("a")
        await expect(page.get_by_text("Besides, warning")).to_be_visible()
        await page.keyboard.press("w")
        await expect(page.get_by_text("It stands; acknowledged.")).to_be_visible()
        after = await standing(page, "log")

    assert before["state"] == "active-unacknowledged"
    assert (after["state"], after["by"]) == ("active-acknowledged", "order")


async def test_silenced_and_quieted_by_a_press(boat: Helm, browser: Browser) -> None:
    """An alert is silenced for half a minute; quiet is one press away from the alerts, or one key."""
    async with boat.watch():
        page = await opened(browser, boat.url)
        await silent_log(boat, page)
        await page.get_by_role("button", name="Alerts").click()
        await page.get_by_role("button", name="Silence log for 30 s").click()
        await expect(page.get_by_text("silenced for half a minute")).to_be_visible()
        await page.get_by_role("button", name="Quiet for 10 min").click()
        await page.keyboard.press("l")
        await expect(page.locator("ol.log")).to_contain_text("Quiet p")


async def test_sound_begins_with_a_press_and_says_when_it_is_off(boat: Helm, browser: Browser) -> None:
    """Until somebody presses, the page says that its sound is off; then a warning is heard, and read out."""
    async with boat.watch():
        page = await opened(browser, boat.url)
        await page.evaluate(LOG_SOUNDS)
        await expect(page.locator("#sound-state")).to_have_text("Sound is off here.")
        await page.get_by_text("Light, sound and keys of this page").click()
        await page.get_by_role("button", name="Sound on").click()
        await expect(page.locator("#sound-state")).to_be_empty()
        first = await page.evaluate("tones")
        await silent_log(boat, page)
        await expect(page.locator("#called")).to_contain_text("speed")
        heard = await page.evaluate("tones") - first
        await page.get_by_role("button", name="Sound off").click()
        await expect(page.locator("#sound-state")).to_have_text("Sound is off here.")

    assert first == 1  # the note that shows that it is on
    assert heard >= 3
