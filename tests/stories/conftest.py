"""What the stories share: a real broker, and where the recordings are."""

import os
from collections.abc import Iterator
from pathlib import Path

import pytest

from broker.mosquitto import PROGRAM as MOSQUITTO
from broker.mosquitto import Mosquitto
from middlewatch.settings import MqttSettings
from stories.story import PROGRAM


@pytest.fixture
def mosquitto(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Mosquitto]:
    """Serve a broker open to everybody; nothing it retains is older than the test."""
    if MOSQUITTO is None:
        pytest.skip("mosquitto is missing: apt install mosquitto")
    broker = Mosquitto(tmp_path_factory.mktemp("mosquitto"), "allow_anonymous true")
    broker.start()
    yield broker
    broker.kill()


@pytest.fixture
def plain(mosquitto: Mosquitto) -> MqttSettings:
    """Return how to reach the broker."""
    return MqttSettings(port=mosquitto.port)


@pytest.fixture(autouse=True)
def _program() -> None:
    if not PROGRAM.exists():
        pytest.skip(f"the command is not installed beside {PROGRAM.parent}: pip install -e .")


@pytest.fixture(scope="session")
def recordings() -> Path:
    """Return the folder of real recordings."""
    folder = os.environ.get("MIDDLEWATCH_RECORDINGS")
    if not folder:
        pytest.skip("MIDDLEWATCH_RECORDINGS is not set: it names the folder of real recordings")
    return Path(folder)
