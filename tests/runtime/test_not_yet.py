"""A setting that has no effect yet is told, so that nobody leans on it."""

from dataclasses import replace

from middlewatch.runtime.not_yet import not_yet
from middlewatch.settings import ClockSettings, defaults


def test_the_defaults_leave_nothing_to_tell() -> None:
    """Whoever sets nothing is told nothing."""
    assert list(not_yet(defaults())) == []


def test_each_setting_without_effect_is_told() -> None:
    """A clock from satellites: a sentence, with what holds meanwhile."""
    settings = replace(defaults(), clock=ClockSettings(from_satellites=True))

    (clock,) = not_yet(settings)

    assert "order clock --from satellite" in clock
