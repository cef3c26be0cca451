"""The settings as the other rooms take them, and the two ways to come by them."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from middlewatch.navigator.tuning import Tuning
from middlewatch.readings.marks import Mark
from middlewatch.settings.compass import CompassSettings
from middlewatch.settings.inputs import InputSettings
from middlewatch.settings.marks import NO_MARKS, read_marks
from middlewatch.settings.refusal import SettingsError, in_words, refusal_of
from middlewatch.settings.tables import (
    BoatSettings,
    ClockSettings,
    DoubtsSettings,
    FixSettings,
    JournalSettings,
    MarksFile,
    MqttSettings,
    RandomSettings,
    SatelliteWatchSettings,
    Tables,
    WatersSettings,
)
from middlewatch.settings.zones import check_zones


@dataclass(frozen=True)
class Settings:
    """Everything that is set, checked; files in it are beside the settings file or absolute."""

    boat: BoatSettings
    inputs: tuple[InputSettings, ...]
    marks: Mapping[str, Mark]
    compass: CompassSettings
    waters: WatersSettings
    satellite_watch: SatelliteWatchSettings
    fix: FixSettings
    mqtt: MqttSettings
    journal: JournalSettings
    clock: ClockSettings
    random: RandomSettings
    doubts: DoubtsSettings

    def tuning(self) -> Tuning:
        """Return what the navigator needs of it."""
        return Tuning(
            variation=self.compass.variation.choice(),
            sensor_card=self.compass.sensor_card,
            hdm_corrected=self.compass.hdm_corrected,
            steering_card=self.compass.steering_card,
            strongest_stream_kn=self.waters.strongest_stream_kn,
            limit_nm=self.satellite_watch.limit_nm,
            limit_alone=self.satellite_watch.limit_alone,
            same_time_s=self.fix.same_time_s,
            oldest_line_h=self.fix.oldest_line_h,
            adopt=self.fix.adopt,
            clock_trusted=self.clock.trusted,
            clock_from_satellites=self.clock.from_satellites,
            seed=self.random.seed,
            doubts=self.doubts.doubts(),
        )


def defaults() -> Settings:
    """Return the settings where no file gives any: no inputs, no marks, the journal in the working folder."""
    return _settings(Tables(), NO_MARKS)


def load(path: Path) -> Settings:
    """Read a settings file and the files it names; SettingsError, in one line, where anything is amiss."""
    document = _read_toml(path)
    # Tables that name a file are read even where they are not written, so that the default stands beside it.
    whole = {"marks": {}, "journal": {}, **document}
    try:
        tables = Tables.model_validate(whole, context=path.parent)
    except ValidationError as errors:
        raise refusal_of(path, document, errors) from errors
    if tables.waters.zones is not None:
        _require(path, "waters.zones", tables.waters.zones)
        check_zones(tables.waters.zones)
    return _settings(tables, _marks(path, tables.marks))


def _read_toml(path: Path) -> dict[str, Any]:
    try:
        text = path.read_text(encoding="utf-8")
    except OSError as fault:
        raise SettingsError(path, "the whole file", f"nothing ({fault.strerror})", "TOML") from fault
    except UnicodeDecodeError as fault:
        raise SettingsError(path, "the whole file", f"no text ({fault})", "TOML in UTF-8") from fault
    try:
        return tomllib.loads(text)
    except (ValueError, RecursionError) as fault:
        raise SettingsError(path, "the whole file", f"a fault ({fault})", "TOML") from fault


def _marks(path: Path, table: MarksFile) -> Mapping[str, Mark]:
    """Read the marks; the default file may be missing, one that is named may not."""
    named = "file" in table.model_fields_set
    if table.file is None or not (named or table.file.exists()):
        return NO_MARKS
    _require(path, "marks.file", table.file)
    return read_marks(table.file)


def _require(path: Path, key: str, file: Path) -> None:
    if not file.is_file():
        raise SettingsError(path, key, in_words(file), "a file that is there")


def _settings(tables: Tables, marks: Mapping[str, Mark]) -> Settings:
    return Settings(
        boat=tables.boat,
        inputs=tables.inputs,
        marks=marks,
        compass=tables.compass,
        waters=tables.waters,
        satellite_watch=tables.satellite_watch,
        fix=tables.fix,
        mqtt=tables.mqtt,
        journal=tables.journal,
        clock=tables.clock,
        random=tables.random,
        doubts=tables.doubts,
    )
