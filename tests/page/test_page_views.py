"""What the views show: places to the digits they deserve, forms of any kind, the crew's view, a restart."""

import asyncio
import json
import re
from pathlib import Path
from urllib.parse import parse_qs, urlsplit

import pytest
from playwright.async_api import Browser, Page, Request, expect

from broker.mosquitto import Mosquitto
from middlewatch.journal import Journal
from middlewatch.plotting.pencil_this import in_minutes
from middlewatch.quantities.positions import Position
from middlewatch.settings import load
from page.helm import Helm, helm, opened
from stories.story import PATIENCE_S, Json, running

SKIPPER, CREW = "the skipper's own token", "the crew's own token"


def entered(boat: Helm) -> list[Json]:
    """Return what stands in the journal but for times and ids; the daemon must be gone."""
    with Journal.open(load(boat.settings).journal.file) as journal:
        texts = [json.loads(entry.text) for entry in journal.load().entries]
    return [{key: said[key] for key in said if key not in {"id", "at"}} for said in texts]


async def fill(page: Page, kind: str, **given: str) -> None:
    """Enter something by its form, and wait for the answer."""
    await page.keyboard.press("Escape")
    await page.keyboard.press("s")
    await page.get_by_role("button", name=kind, exact=True).click()
    for name, value in given.items():
        field = page.locator(f"[name={name}]")
        if await field.evaluate("(field) => field.tagName") == "SELECT":
            await field.select_option(value)
        else:
            await field.fill(value)
    await page.get_by_role("button", name="Enter").click()
    await expect(page.locator(".answer")).not_to_contain_text("waiting for the answer")


async def test_any_kind_is_entered_by_its_form(boat: Helm, browser: Browser) -> None:
    """Numbers, choices, marks by name and by place, lists, changes: each comes in as what it is."""
    async with boat.watch():
        page = await opened(browser, boat.url)
        await expect(page.locator(".first")).to_contain_text("No departure yet")
        await fill(page, "departure", mark="Thrane Light", bearing_deg="333", distance_nm="3.4")
        await fill(page, "range", mark="50.02, -4.1", distance_nm="3,9")
        await fill(page, "amend", entry="last", change="distance_nm: 3.8\nnote: By radar.")
        await fill(page, "leeway", leeway_deg="4", pushed_to="port")
        await fill(page, "raised", mark="Thrane Light", bobbed="yes")
        await fill(page, "way", way="hove_to", drift_towards_deg="120", drift_kn="0.8")
        await fill(page, "remark", text="Reefed.", note="In the dusk.")

    assert entered(boat) == [
        {"kind": "departure", "mark": "Thrane Light", "bearing_deg": 333, "distance_nm": 3.4},
        {"kind": "range", "mark": {"latitude_deg": 50.02, "longitude_deg": -4.1}, "distance_nm": 3.9},
        {"kind": "amend", "entry": "last", "change": {"distance_nm": 3.8, "note": "By radar."}},
        {"kind": "leeway", "leeway_deg": 4, "pushed_to": "port"},
        {"kind": "raised", "mark": "Thrane Light", "bobbed": True},
        {"kind": "way", "way": "hove_to", "drift_towards_deg": 120, "drift_kn": 0.8},
        {"kind": "remark", "text": "Reefed.", "note": "In the dusk."},
    ]


async def test_null_gives_a_sensor_back(boat: Helm, browser: Browser) -> None:
    """What only null can say is said by a box that is ticked."""
    async with boat.watch():
        page = await opened(browser, boat.url)
        await boat.depart()
        await fill(page, "by hand", speed_kn="4.5")
        await page.keyboard.press("s")
        await page.get_by_role("button", name="by hand").click()
        await page.get_by_label("no speed any more").check()
        await page.get_by_role("button", name="Enter").click()
        await expect(page.locator(".answer")).not_to_contain_text("waiting for the answer")

    assert entered(boat)[1:] == [{"kind": "by_hand", "speed_kn": 4.5}, {"kind": "by_hand", "speed_kn": None}]


async def test_a_field_that_is_wanted_is_asked_for(boat: Helm, browser: Browser) -> None:
    """A form without what it needs, or with words for a number, says so and enters nothing."""
    async with boat.watch():
        page = await opened(browser, boat.url)
        await boat.depart()
        await page.keyboard.press("s")
        await page.get_by_role("button", name="range").click()
        await page.get_by_role("button", name="Enter").click()
        await expect(page.get_by_role("alert").filter(has_text="mark is wanted")).to_be_visible()
        await page.locator("[name=mark]").fill("Thrane Light")
        await page.locator("[name=distance_nm]").fill("three")
        await page.get_by_role("button", name="Enter").click()
        await expect(page.get_by_role("alert").filter(has_text="found three, wanted")).to_be_visible()

    assert [said["kind"] for said in entered(boat)] == ["departure"]


async def test_a_refusal_is_told_in_its_own_words(boat: Helm, browser: Browser) -> None:
    """What the daemon refuses is shown with what it found and wanted, and there is nothing to undo."""
    async with boat.watch():
        page = await opened(browser, boat.url)
        await boat.depart()
        await fill(page, "range", mark="Thrane Ligt", distance_nm="3.4")
        await expect(page.locator(".answer")).to_contain_text("Refused: no mark is called")
        await expect(page.locator(".answer")).to_contain_text("wanted Thrane Light")
        await expect(page.get_by_role("button", name="Undo")).to_have_count(0)


@pytest.mark.parametrize("half_axis_nm", [None, 0.02, 0.1, 0.99, 1.0, 4.0])
async def test_places_are_written_as_on_the_sheet(
    boat: Helm, browser: Browser, half_axis_nm: float | None
) -> None:
    """The page writes latitude and longitude to the same digits as the words for the pencil."""
    async with boat.watch():
        page = await opened(browser, boat.url)
        for place in (Position(50.0, -4.2), Position(-0.99999, 179.99999), Position(47.0008, -34.1501)):
            written = await page.evaluate(
                "async ([north, east, half]) => (await import('/words.js')).place(north, east, half)",
                [place.latitude_deg, place.longitude_deg, half_axis_nm],
            )
            assert written == in_minutes(place, half_axis_nm)


async def test_a_satellite_position_is_never_shown(boat: Helm, browser: Browser) -> None:
    """The largest words are the area's; of satellites only a gap and a sentence, in the smallest."""
    async with boat.watch():
        page = await opened(browser, boat.url)
        await boat.depart()
        await expect(page.locator(".first")).to_contain_text("She is within")
        sizes = await page.evaluate(
            "[...document.querySelectorAll('main p:not(:empty)')].map((each) =>"
            " [parseFloat(getComputedStyle(each).fontSize), each.className])"
        )
        latitudes = await page.get_by_text("50 00").filter(visible=True).count()
        await page.get_by_text("Pencil this").click()
        await expect(page.get_by_text("EP of").first).to_contain_text("50 0")

    order = [next(size for size, name in sizes if word in name) for word in ("first", "act", "run", "small")]
    assert order == sorted(order, reverse=True)
    assert len(set(order)) == 4
    assert latitudes == 0


async def test_a_restart_forgets_nothing(boat: Helm, browser: Browser) -> None:
    """The log, the lines and what can be undone are there again for a page opened after a restart."""
    async with boat.watch() as run:
        await boat.depart()
        bearing = await boat.enter("sighting", kind="bearing", mark="Thrane Light", bearing_deg=333)
        await run.terminate()
    async with boat.watch():
        page = await opened(browser, boat.url)
        await expect(page.locator(".first")).to_contain_text("She is within")
        await expect(page.get_by_text("Last line Thrane Light")).to_be_visible()
        await page.keyboard.press("l")
        await expect(page.locator("ol.log")).to_contain_text(f"Bearing {bearing['id']}")
        await page.keyboard.press("p")
        await page.get_by_text("Pencil this, fix by fix").click()
        await expect(page.locator("pre")).to_contain_text("departure")


async def test_stopped_in_order_is_told_as_such(boat: Helm, browser: Browser) -> None:
    """A daemon that was stopped says so before it goes."""
    async with boat.watch() as run:
        page = await opened(browser, boat.url)
        await boat.depart()
        await expect(page.locator(".first")).to_contain_text("She is within")
        await run.terminate()
        await expect(page.locator("#stale")).to_contain_text("The daemon")
        await expect(page.locator("body")).to_have_class("stale")


async def test_the_sheet_is_moved_by_keys(boat: Helm, browser: Browser) -> None:
    """On her EP, smaller, larger, to the north: each asks for another part of the sheet, and shows it."""
    async with boat.watch():
        page = await opened(browser, boat.url)
        await boat.depart()
        await expect(page.locator(".first")).to_contain_text("She is within")
        await page.keyboard.press("p")
        drawn = page.get_by_text("Drawn of")
        await expect(drawn).to_contain_text("at 1 :")

        last = ""

        def is_new(request: Request) -> bool:
            """Say whether another part is asked for: each minute the same one is asked for anew."""
            return bool(re.search(r"sheet\.svg.*scale", request.url)) and request.url != last

        async def draw(key: str) -> dict[str, list[str]]:
            nonlocal last
            async with page.expect_request(is_new) as request:
                await page.keyboard.press(key)
            last = (await request.value).url
            asked = parse_qs(urlsplit(last).query)
            await expect(drawn).to_contain_text(f"1 : {int(asked['scale'][0]):,}")
            return asked

        on_her, smaller, larger, north = [await draw(key) for key in ("e", "-", "+", "ArrowUp")]

    assert int(smaller["scale"][0]) == 2 * int(larger["scale"][0]) == 2 * int(on_her["scale"][0])
    assert float(north["north"][0]) > float(larger["north"][0])
    assert north["east"] == larger["east"]


async def test_the_sheets_are_stepped_through_by_keys_and_buttons(boat: Helm, browser: Browser) -> None:
    """At a large scale the area takes several sheets: page down, page up and the buttons go through them."""
    async with boat.watch():
        page = await opened(browser, boat.url)
        await boat.depart()
        await expect(page.locator(".first")).to_contain_text("She is within")
        await page.keyboard.press("p")
        drawn = page.get_by_text("Drawn of")
        await expect(drawn).to_contain_text("at 1 :")
        for _ in range(20):
            async with page.expect_response(re.compile(r"sheet\.svg")) as response:
                await page.keyboard.press("+")
            scale = int((await (await response.value).all_headers())["sheet-scale"])
            await expect(drawn).to_contain_text(f"at 1 : {scale:,} ")
            if scale == 1_000:
                break
        await page.keyboard.press("PageDown")
        await expect(drawn).to_contain_text("Sheet 1 of ")
        await page.get_by_role("button", name="Next sheet").click()
        await expect(drawn).to_contain_text("Sheet 2 of ")
        await page.keyboard.press("PageUp")
        await expect(drawn).to_contain_text("Sheet 1 of ")
        await page.keyboard.press("0")
        await expect(drawn).not_to_contain_text("Sheet ")


async def test_the_crew_looks(tmp_path: Path, mosquitto: Mosquitto, browser: Browser) -> None:
    """A token opens the page; the crew's shows everything and enters nothing."""
    for name, token in (("skipper", SKIPPER), ("crew", CREW)):
        (tmp_path / name).write_text(token)
    tokens = 'token_file = "skipper"\ncrew_token_file = "crew"'
    async with helm(tmp_path, mosquitto, page=tokens) as boat, boat.watch():
        page = await opened(browser, boat.url)
        await page.get_by_label("The skipper's token").fill("a wrong guess")
        await page.get_by_role("button", name="Open").click()
        await expect(page.get_by_text("no token of this boat")).to_be_visible()
        await page.get_by_label("The skipper's token").fill(CREW)
        await page.get_by_role("button", name="Open").click()
        await expect(page.locator("#boat")).to_have_text("kittiwake, for looking")
        await expect(page.get_by_role("button", name="Sight now")).to_have_count(0)
        await page.keyboard.press("s")
        await expect(page.get_by_text("the skipper enters")).to_be_visible()

        skippers = await opened(browser, boat.url)
        await skippers.get_by_label("The skipper's token").fill(SKIPPER)
        await skippers.get_by_role("button", name="Open").click()
        await expect(skippers.get_by_role("button", name="Sight now")).to_be_visible()
        await skippers.reload()
        await expect(skippers.locator("#boat")).to_have_text("kittiwake")


async def test_the_same_entry_twice_is_one(boat: Helm) -> None:
    """What a page enters again, not knowing that it was answered, gets the first answer again."""
    async with boat.watch():
        await boat.depart()
        once, again = [
            await boat.enter("sighting", id="p1", kind="bearing", mark="Thrane Light", bearing_deg=333)
            for _ in range(2)
        ]

    assert again == {**once, "repeat": True}
    assert [said["kind"] for said in entered(boat)] == ["departure", "bearing"]


async def test_a_port_that_is_taken_is_said_in_one_line(boat: Helm) -> None:
    """Two daemons cannot serve one port: the second says which, and ends with 2."""
    async with boat.watch():
        text = boat.settings.read_text().replace('"boat.db"', '"other.db"')
        other = boat.settings.with_name("other.toml")
        other.write_text(text)
        async with running(other) as second, asyncio.timeout(PATIENCE_S):
            _, complaints = await second.process.communicate()

    assert second.process.returncode == 2
    assert complaints.decode() == f"[page] 127.0.0.1 port {boat.port}: Address already in use\n"
