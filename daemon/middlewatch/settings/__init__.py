"""Settings: a TOML file, checked whole before anything starts, and what the other rooms take from it."""

from middlewatch.settings.compass import CompassSettings, VariationSettings
from middlewatch.settings.inputs import InputSettings
from middlewatch.settings.outputs import OutputSettings
from middlewatch.settings.page import PageSettings
from middlewatch.settings.refusal import SettingsError
from middlewatch.settings.settings import Settings, defaults, load
from middlewatch.settings.tables import (
    AreaSettings,
    BoatSettings,
    ClockSettings,
    DoubtsSettings,
    FixSettings,
    JournalSettings,
    MqttSettings,
    RandomSettings,
    SatelliteWatchSettings,
    WatersSettings,
)

__all__ = [
    "AreaSettings",
    "BoatSettings",
    "ClockSettings",
    "CompassSettings",
    "DoubtsSettings",
    "FixSettings",
    "InputSettings",
    "JournalSettings",
    "MqttSettings",
    "OutputSettings",
    "PageSettings",
    "RandomSettings",
    "SatelliteWatchSettings",
    "Settings",
    "SettingsError",
    "VariationSettings",
    "WatersSettings",
    "defaults",
    "load",
]
