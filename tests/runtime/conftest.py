"""Debian's mosquitto, and a settings file that leads to it."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from broker.mosquitto import PROGRAM, Mosquitto


@pytest.fixture
def mosquitto(tmp_path: Path) -> Iterator[Mosquitto]:
    """Serve a broker open to everybody."""
    if PROGRAM is None:
        pytest.skip("mosquitto is missing: apt install mosquitto")
    folder = tmp_path / "mosquitto"
    folder.mkdir()
    broker = Mosquitto(folder, "allow_anonymous true")
    broker.start()
    yield broker
    broker.kill()


@pytest.fixture
def settings_file(tmp_path: Path, mosquitto: Mosquitto) -> Path:
    """Write settings with that broker and nothing else."""
    file = tmp_path / "middlewatch.toml"
    file.write_text(f"[mqtt]\nport = {mosquitto.port}\n")
    return file
