"""Fixtures for the links: a real pty pair."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from links.pty_pair import PtyPair


@pytest.fixture
def pty_pair(tmp_path: Path) -> Iterator[PtyPair]:
    """Give a plugged pty pair, closed at the end."""
    pair = PtyPair(tmp_path / "bow")
    yield pair
    pair.close()
