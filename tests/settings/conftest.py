"""Settings files written for a test."""

from collections.abc import Callable
from pathlib import Path

import pytest

from middlewatch.settings import SettingsError, load


@pytest.fixture
def settings_file(tmp_path: Path) -> Callable[[str], Path]:
    """Write a settings file in a folder of its own and return its path."""

    def write(text: str) -> Path:
        file = tmp_path / "settings.toml"
        file.write_text(text, encoding="utf-8")
        return file

    return write


@pytest.fixture
def refusal(settings_file: Callable[[str], Path]) -> Callable[[str], str]:
    """Load settings that have to be refused; return what is said after the file's name."""

    def refuse(text: str) -> str:
        file = settings_file(text)
        with pytest.raises(SettingsError) as caught:
            load(file)
        said = str(caught.value)
        assert len(said.splitlines()) == 1
        return said.removeprefix(f"{file}: ")

    return refuse
