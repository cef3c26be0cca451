"""What the tests of the page share: a real broker, a boat with a page, Debian's Chromium."""

from collections.abc import AsyncIterator, Iterator
from pathlib import Path

import pytest
from playwright.async_api import Browser

from broker.mosquitto import PROGRAM as MOSQUITTO
from broker.mosquitto import Mosquitto
from page.helm import CHROMIUM, Helm, chromium, helm
from stories.story import PROGRAM


@pytest.fixture
def mosquitto(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Mosquitto]:
    """Serve a broker open to everybody."""
    if MOSQUITTO is None:
        pytest.skip("mosquitto is missing: apt install mosquitto")
    broker = Mosquitto(tmp_path_factory.mktemp("mosquitto"), "allow_anonymous true")
    broker.start()
    yield broker
    broker.kill()


@pytest.fixture
async def boat(tmp_path: Path, mosquitto: Mosquitto) -> AsyncIterator[Helm]:
    """Lay out a boat with a page, open on loopback."""
    if not PROGRAM.exists():
        pytest.skip(f"the command is not installed beside {PROGRAM.parent}: pip install -e .")
    async with helm(tmp_path, mosquitto) as laid_out:
        yield laid_out


@pytest.fixture
async def browser() -> AsyncIterator[Browser]:
    """Start a browser."""
    if CHROMIUM is None:
        pytest.skip("chromium is missing: apt install chromium")
    async with chromium() as started:
        yield started
