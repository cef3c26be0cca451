"""What lies ahead, on the page: in sentences below heading and speed, its places only under pencil this."""

import json
import re
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest
from playwright.async_api import Browser, Locator, expect

from broker.mosquitto import Mosquitto, free_port
from middlewatch.settings import MqttSettings
from page.helm import Helm, Instruments, opened
from stories.story import Bus, running, settings_file, stamped_second

DEPARTS_S, SHOWN_S = 5, 130
TOLD = ("0212", "0227", "0257")
"""A quarter, a half and a whole hour after the whole minute before the end; the stories begin at 0155."""

ROCK = {"latitude_deg": 50.0166, "longitude_deg": -4.18}
"""Garvel Rock, where the boat of the stories is a quarter of an hour after she departs."""

SENTENCE = re.compile(
    r"By (?P<at>\d{4}), on the (?P<course>present|ordered) course, (?P<heading>\d{3}) T: "
    r"an area of [\d.]+ by [\d.]+ nm"
    r"(; chance of being too near Garvel Rock then (?P<chance>less than 1|\d+) in 100)?\."
)


@dataclass(frozen=True, slots=True)
class Stamped:
    """A boat with a page whose bus bears stamps, so that its minutes need not be waited for."""

    helm: Helm
    bus: Bus

    @asynccontextmanager
    async def watch(self) -> AsyncIterator[None]:
        """Run the daemon, departed."""
        async with running(self.helm.settings):
            await self.helm.served()
            await self.bus.listener()
            await self.sail(0, DEPARTS_S)
            await self.helm.depart()
            yield

    async def sail(self, from_s: int, to_s: int) -> None:
        """Let the bus speak."""
        await self.bus.send(b"".join(map(stamped_second, range(from_s, to_s))))


@pytest.fixture
async def stamped(tmp_path: Path, mosquitto: Mosquitto) -> AsyncIterator[Stamped]:
    """Lay out a boat near a danger of our own invention."""
    point = {"type": "Point", "coordinates": [ROCK["longitude_deg"], ROCK["latitude_deg"]]}
    about = {"name": "Garvel Rock", "clearance_m": 400}
    rock = {"type": "Feature", "geometry": point, "properties": about}
    features = {"type": "FeatureCollection", "features": [rock]}
    (tmp_path / "dangers.geojson").write_text(json.dumps(features))
    port = free_port()
    async with Bus() as bus:
        more = f"[area]\nsamples = 2000\n[page]\nport = {port}"
        file = settings_file(tmp_path, MqttSettings(port=mosquitto.port), bus.link, more=more)
        yield Stamped(Helm(file, port, mosquitto, Instruments(bus)), bus)


async def _told(lines: Locator, count: int) -> list[dict[str, str]]:
    """Wait for so many sentences, and take each apart."""
    await expect(lines).to_have_count(count)
    await expect(lines.first).to_contain_text(f"By {TOLD[0]}, ")
    said = await lines.all_text_contents()
    found = [SENTENCE.fullmatch(line) for line in said]
    assert all(found), said
    return [each.groupdict() for each in found if each]


async def test_what_lies_ahead_is_said_in_sentences(stamped: Stamped, browser: Browser) -> None:
    """In 15, 30 and 60 minutes on the present course: when, which course, how large the area is then.

    A danger whose clearance the area then reaches is named with its chance.
    """
    async with stamped.watch():
        page = await opened(browser, stamped.helm.url)
        await stamped.sail(DEPARTS_S, SHOWN_S)
        told = await _told(page.get_by_role("group", name="Ahead").locator("p"), 3)
        await page.get_by_text("Pencil this").click()
        await expect(
            page.get_by_text(re.compile(rf"^EP of ({'|'.join(TOLD)}) on the present course: "))
        ).to_have_count(3)

    assert [(each["at"], each["course"]) for each in told] == [(at, "present") for at in TOLD]
    assert 10 <= int(told[0]["chance"]) <= 60


async def test_the_ordered_course_is_told_beside_the_present(stamped: Stamped, browser: Browser) -> None:
    """Once another course is ordered, each moment is told on both; it leads away from the danger."""
    async with stamped.watch():
        page = await opened(browser, stamped.helm.url)
        ordered = await stamped.helm.enter("order", kind="course", heading_deg=270, reference="true")
        await stamped.sail(DEPARTS_S, SHOWN_S)
        told = await _told(page.get_by_role("group", name="Ahead").locator("p"), 6)
        await page.get_by_text("Pencil this").click()
        await expect(
            page.get_by_text(re.compile(rf"^EP of ({'|'.join(TOLD)}) on the ordered course: "))
        ).to_have_count(3)

    assert ordered["accepted"]
    present, by_order = (
        [each for each in told if each["course"] == course] for course in ("present", "ordered")
    )
    assert tuple(each["at"] for each in present) == tuple(each["at"] for each in by_order) == TOLD
    assert {each["heading"] for each in by_order} == {"270"}
    assert int(present[0]["chance"]) >= 10
    assert by_order[0]["chance"] in {None, "less than 1"}
