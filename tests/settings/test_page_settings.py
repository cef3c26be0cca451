"""The page's settings: off by default, closed to the net without a token, refused in one line."""

from collections.abc import Callable
from pathlib import Path

import pytest

from middlewatch.settings import PageSettings, SettingsError, defaults, load

TOKENS = {"skipper": "long enough to open", "crew": "long enough to look", "short": "too short"}


@pytest.fixture
def file_of(settings_file: Callable[[str], Path]) -> Callable[[str], Path]:
    """Write a settings file, with files of tokens beside it."""

    def written(text: str) -> Path:
        file = settings_file(f"[page]\n{text}")
        for name, token in TOKENS.items():
            (file.parent / name).write_text(f"{token}\n")
        return file

    return written


def test_no_page_by_default() -> None:
    """A port that nobody asked for is not opened."""
    assert defaults().page == PageSettings(port=0, host="127.0.0.1")


def test_tokens_are_read_from_their_files(file_of: Callable[[str], Path]) -> None:
    """Each token is what stands in its file, without the line's end."""
    page = load(
        file_of('host = "0.0.0.0"\nport = 8080\ntoken_file = "skipper"\ncrew_token_file = "crew"')
    ).page

    assert page.tokens() == (TOKENS["skipper"], TOKENS["crew"])
    assert not page.on_loopback


@pytest.mark.parametrize(
    ("text", "key", "wanted"),
    [
        ('host = "0.0.0.0"\nport = 8080', "page.token_file", "the file of a token, for 0.0.0.0 is open"),
        ('host = "helm.local"', "page.host", "an address of ours"),
        ('crew_token_file = "crew"', "page.token_file", "to go with crew_token_file"),
        ('token_file = "short"', "page.token_file", "12 characters or more"),
        ('token_file = "skipper"\ncrew_token_file = "skipper"', "page.crew_token_file", "of its own"),
        ('token_file = "nowhere"', "page.token_file", "a file that is there"),
        ('zone = "CET"', "page.zone", "as +01:00"),
        ('zone = "+15:00"', "page.zone", "up to 14 hours"),
        ('names = ["helm local"]', "page.names.#1", "a host's name"),
        ('sight_key = "a"', "page.repeat_key", "keys that differ"),
        ('sight_key = ""', "page.sight_key", "as browsers name it"),
        ("port = 70000", "page.port", "65535"),
    ],
)
def test_what_cannot_be_is_refused(file_of: Callable[[str], Path], text: str, key: str, wanted: str) -> None:
    """Each names its key and what was wanted, and no token is ever printed."""
    with pytest.raises(SettingsError) as refused:
        load(file_of(text))

    assert refused.value.key == key
    assert wanted in refused.value.wanted
    assert not any(token in str(refused.value) for token in TOKENS.values())


@pytest.mark.parametrize("host", ["127.0.0.1", "localhost", "::1", "127.4.5.6"])
def test_loopback_needs_no_token(file_of: Callable[[str], Path], host: str) -> None:
    """Who sits at the board itself is on board."""
    page = load(file_of(f'host = "{host}"\nport = 8080')).page

    assert page.on_loopback
    assert page.tokens() == (None, None)
