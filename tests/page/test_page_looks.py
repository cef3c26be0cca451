"""How the page looks: every view at every size in every light, dim at night, open to everybody.

Screenshots go into the folder that MIDDLEWATCH_SCREENSHOTS names, where it names one.
"""

import json
import os
from collections.abc import AsyncIterator, Awaitable, Callable
from pathlib import Path

import pytest
from axe_playwright_python.async_playwright import Axe  # type: ignore[import-untyped]  # it ships no types
from playwright.async_api import Browser, Page, expect

from broker.mosquitto import Mosquitto
from page.helm import E_INK, PHONE, SHORT_OF, TABLET, Helm, helm, opened
from page.luminance import MOST_AT_NIGHT, brightest

SIZES = {"phone": PHONE, "tablet": TABLET, "e-ink": E_INK}
LIGHTS = ("Night", "Day", "Sun")
ROCK = {"latitude_deg": 50.03, "longitude_deg": -4.16}
SMALLER_SIDES = """(all) => all.map((each) => {
  const { width, height } = each.getBoundingClientRect();
  return [Math.min(width, height), each.outerHTML];
})"""


@pytest.fixture
async def in_sight_of_a_rock(tmp_path: Path, mosquitto: Mosquitto) -> AsyncIterator[Helm]:
    """Lay out a boat with a rock in her dangers."""
    rock = {
        "type": "Feature",
        "geometry": {"type": "Point", "coordinates": [ROCK["longitude_deg"], ROCK["latitude_deg"]]},
        "properties": {"name": "Skerran Rock", "clearance_m": 300},
    }
    (tmp_path / "dangers.geojson").write_text(json.dumps({"type": "FeatureCollection", "features": [rock]}))
    async with helm(tmp_path, mosquitto, page='zone = "+01:00"') as boat:
        yield boat


async def plotted(boat: Helm) -> None:
    """Depart, and take a bearing that fits and one that does not."""
    await boat.depart()
    fits, does_not = {"mark": "Thrane Light", "bearing_deg": 333}, {"mark": SHORT_OF, "bearing_deg": 250}
    for each in (fits, does_not):
        assert (await boat.enter("sighting", kind="bearing", reference="true", **each))["accepted"]


# --- the scenes -----------------------------------------------------------------------------------


async def now(page: Page) -> None:
    """Show how far to trust what."""
    await page.keyboard.press("n")
    await expect(page.locator(".first")).to_contain_text("from the area's edge")


async def pencil(page: Page) -> None:
    """Show what to pencil."""
    await now(page)
    await page.get_by_text("Pencil this").click()
    await expect(page.get_by_text("EP of").first).to_be_visible()


async def sight(page: Page) -> None:
    """Freeze a sight, its bearing half in."""
    await page.keyboard.press("s")
    await page.keyboard.type("34")


async def answered(page: Page) -> None:
    """Enter a bearing, and have it answered."""
    await page.keyboard.press("s")
    await page.keyboard.type("345")
    await page.get_by_role("button", name="Thrane Light").click()
    await expect(page.locator(".answer")).to_contain_text("Expected")


async def form(page: Page) -> None:
    """Show the form of a vertical angle."""
    await page.keyboard.press("s")
    await page.get_by_role("button", name="vertical angle").click()
    await expect(page.locator("form h2")).to_have_text("Sighting: vertical angle")


async def sheet(page: Page) -> None:
    """Show the sheet."""
    await page.keyboard.press("p")
    await expect(page.get_by_text("Drawn of")).to_be_visible()
    await expect(page.get_by_role("img")).to_have_js_property("complete", value=True)


async def alerts(page: Page) -> None:
    """Show the alerts, and what can be done about light and sound."""
    await page.keyboard.press("w")
    await page.get_by_text("Light, sound and keys of this page").click()


async def log(page: Page) -> None:
    """Show the log."""
    await page.keyboard.press("l")
    await expect(page.locator("ol.log")).to_contain_text("Departure")


Scene = Callable[[Page], Awaitable[None]]
SCENES: tuple[Scene, ...] = (now, pencil, sight, answered, form, sheet, alerts, log)


async def lit(page: Page, light: str) -> None:
    """Set the light of the page, as anybody does."""
    await page.keyboard.press("Escape")
    await page.keyboard.press("w")
    await page.get_by_text("Light, sound and keys of this page").click()
    await page.get_by_role("button", name=light, exact=True).click()


@pytest.mark.slow
async def test_every_view_in_every_light(in_sight_of_a_rock: Helm, browser: Browser) -> None:
    """No pixel at night is above a quarter of white's luminance, and nothing runs off any screen."""
    boat, dark = in_sight_of_a_rock, await browser.new_page()
    kept = os.environ.get("MIDDLEWATCH_SCREENSHOTS")
    most: dict[str, float] = {}
    too_wide: list[str] = []
    async with boat.watch():
        await plotted(boat)
        for size_name, size in SIZES.items():
            page = await opened(browser, boat.url, size)
            for light in LIGHTS:
                await lit(page, light)
                for scene in SCENES:
                    await page.keyboard.press("Escape")
                    await scene(page)
                    name = f"{scene.__name__}-{size_name}-{light.lower()}"
                    png = await page.screenshot(animations="disabled")
                    if kept:
                        (Path(kept) / f"{name}.png").write_bytes(png)
                    if light == "Night":
                        most[name] = await brightest(dark, png)
                    if await page.locator("main").evaluate("(main) => main.scrollWidth > main.clientWidth"):
                        too_wide.append(name)

    assert len(most) == len(SIZES) * len(SCENES)
    assert {name: of for name, of in most.items() if of > MOST_AT_NIGHT} == {}
    assert min(most.values()) > 0.1  # something is to be seen on each
    assert too_wide == []


@pytest.mark.slow
async def test_a_checker_of_access_finds_nothing_serious(in_sight_of_a_rock: Helm, browser: Browser) -> None:
    """Every view in every light: names, roles, contrast and order, by axe-core's own rules."""
    boat, axe = in_sight_of_a_rock, Axe()
    found: list[str] = []
    async with boat.watch():
        await plotted(boat)
        page = await opened(browser, boat.url)
        for light in LIGHTS:
            await lit(page, light)
            for scene in SCENES:
                await page.keyboard.press("Escape")
                await scene(page)
                results = await axe.run(page)
                found += [
                    f"{scene.__name__} by {light}: {each['id']}: {each['nodes'][0]['html'][:120]}"
                    for each in results.response["violations"]
                    if each["impact"] in {"serious", "critical", "moderate"}
                ]

    assert found == []


@pytest.mark.slow
async def test_every_target_is_20_mm(in_sight_of_a_rock: Helm, browser: Browser) -> None:
    """Whatever is pressed is 20 mm wide and high or more, by the browser's millimetre (96 px an inch)."""
    boat, least = in_sight_of_a_rock, 20 / 25.4 * 96
    small: list[str] = []
    async with boat.watch():
        await plotted(boat)
        page = await opened(browser, boat.url)
        for scene in SCENES:
            await page.keyboard.press("Escape")
            await scene(page)
            targets = page.locator("button:visible, summary:visible, input:visible, select:visible")
            # All in one look: what is told each second may build a part of the page anew.
            for smaller, html in await targets.evaluate_all(SMALLER_SIDES):
                if smaller < least - 0.5:
                    small.append(f"{scene.__name__}: {html}")

    assert small == []


async def test_no_request_to_anywhere_else(boat: Helm, browser: Browser) -> None:
    """Whatever view is shown, the page asks its own daemon and nobody else, and no script of it fails."""
    asked: list[str] = []
    amiss: list[str] = []
    async with boat.watch():
        page = await opened(browser, "about:blank")
        page.on("request", lambda request: asked.append(request.url))
        page.on("pageerror", lambda error: amiss.append(str(error)))
        page.on(
            "console", lambda said: amiss.append(said.text) if said.type in {"error", "warning"} else None
        )
        await page.goto(boat.url)
        await boat.depart()
        await expect(page.locator(".first")).to_contain_text("She is within")
        for scene in (sight, form, sheet, alerts, log):
            await page.keyboard.press("Escape")
            await scene(page)
        # Looked at while the daemon is there: its end cuts the feed, and the browser says so.
        assert amiss == []

    assert {url for url in asked if not url.startswith((boat.url, f"blob:{boat.url}"))} == set()
    assert f"{boat.url}feed" in asked
