"""A setting that has no effect yet is told, so that nobody leans on it."""

from dataclasses import replace
from pathlib import Path

from middlewatch.runtime.not_yet import not_yet
from middlewatch.settings import ClockSettings, WatersSettings, defaults


def test_the_defaults_leave_nothing_to_tell() -> None:
    """Whoever sets nothing is told nothing."""
    assert list(not_yet(defaults())) == []


def test_each_setting_without_effect_is_told() -> None:
    """Zones, a clock from satellites: one sentence each, with what holds meanwhile."""
    settings = replace(
        defaults(),
        waters=WatersSettings(zones=Path("zones.geojson"), strongest_stream_kn=2.5),
        clock=ClockSettings(from_satellites=True),
    )

    zones, clock = not_yet(settings)

    assert "2.5 kn holds everywhere" in zones
    assert "order clock --from satellite" in clock
