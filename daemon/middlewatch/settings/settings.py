"""The settings as the other rooms take them, and the two ways to come by them."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from middlewatch.navigator.tuning import Tuning
from middlewatch.readings.dangers import Danger
from middlewatch.readings.marks import Contour, Mark
from middlewatch.readings.zones import Zone
from middlewatch.settings.compass import CompassSettings
from middlewatch.settings.dangers import read_dangers
from middlewatch.settings.inputs import InputSettings
from middlewatch.settings.marks import NO_MARKS, Charted, read_charted
from middlewatch.settings.outputs import OutputSettings
from middlewatch.settings.page import PageSettings
from middlewatch.settings.refusal import SettingsError, in_words, refusal_of
from middlewatch.settings.tables import (
    AlertsSettings,
    AreaSettings,
    BoatSettings,
    ClockSettings,
    DangersFile,
    DoubtsSettings,
    FixSettings,
    JournalSettings,
    MarksFile,
    MqttSettings,
    ObserverSettings,
    OverboardSettings,
    RandomSettings,
    SatelliteWatchSettings,
    SheetSettings,
    Tables,
    WatersSettings,
)
from middlewatch.settings.zones import read_zones


@dataclass(frozen=True)
class Settings:
    """Everything that is set, checked; files in it are beside the settings file or absolute."""

    boat: BoatSettings
    inputs: tuple[InputSettings, ...]
    outputs: tuple[OutputSettings, ...]
    marks: Mapping[str, Mark]
    contours: tuple[Contour, ...]
    dangers: tuple[Danger, ...]
    area: AreaSettings
    compass: CompassSettings
    waters: WatersSettings
    zones: tuple[Zone, ...]
    observer: ObserverSettings
    satellite_watch: SatelliteWatchSettings
    alerts: AlertsSettings
    fix: FixSettings
    mqtt: MqttSettings
    overboard: OverboardSettings
    journal: JournalSettings
    clock: ClockSettings
    random: RandomSettings
    doubts: DoubtsSettings
    sheet: SheetSettings
    page: PageSettings

    def tuning(self) -> Tuning:
        """Return what the navigator needs of it."""
        return Tuning(
            variation=self.compass.variation.choice(),
            sensor_card=self.compass.sensor_card,
            hdm_corrected=self.compass.hdm_corrected,
            compass_card=self.compass.deviation_known,
            log_calibrated=self.boat.log_calibrated,
            samples=self.area.samples,
            steering_card=self.compass.steering_card,
            strongest_stream_kn=self.waters.strongest_stream_kn,
            zones=self.zones,
            limit_nm=self.satellite_watch.limit_nm,
            limit_alone=self.satellite_watch.limit_alone,
            false_warning_h=self.satellite_watch.false_warning_h,
            false_caution_h=self.satellite_watch.false_caution_h,
            same_time_s=self.fix.same_time_s,
            oldest_line_h=self.fix.oldest_line_h,
            adopt=self.fix.adopt,
            clock_trusted=self.clock.trusted,
            clock_from_satellites=self.clock.from_satellites,
            seed=self.random.seed,
            doubts=self.doubts.doubts(self.observer),
            height_of_eye_m=self.boat.height_of_eye_m,
            transducer_depth_m=self.boat.transducer_depth_m,
            keel_depth_m=self.boat.keel_depth_m,
            tide_range_m=self.waters.tide_range_m,
            heights_datum_m=self.waters.heights_datum_m,
            contours=self.contours,
            dangers=self.dangers,
            area_warn_nm=self.area.warn_nm,
            legacy_alerts=self.alerts.legacy,
        )


def defaults() -> Settings:
    """Return the settings where no file gives any: no inputs, no marks, the journal in the working folder."""
    return _settings(Tables(), Charted(NO_MARKS, ()), (), ())


def load(path: Path) -> Settings:
    """Read a settings file and the files it names; SettingsError, in one line, where anything is amiss."""
    document = _read_toml(path)
    # Tables that name a file are read even where they are not written, so that the default stands beside it.
    whole = {"marks": {}, "dangers": {}, "journal": {}, **document}
    try:
        tables = Tables.model_validate(whole, context=path.parent)
    except ValidationError as errors:
        raise refusal_of(path, document, errors) from errors
    zones = _zones(path, tables.waters)
    charted = _marks(path, tables.marks)
    return _settings(tables, charted, _dangers(path, tables.dangers, charted), zones)


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


def _marks(path: Path, table: MarksFile) -> Charted:
    """Read marks and contours; the default file may be missing, one that is named may not."""
    named = "file" in table.model_fields_set
    if table.file is None or not (named or table.file.exists()):
        return Charted(NO_MARKS, ())
    _require(path, "marks.file", table.file)
    return read_charted(table.file)


def _dangers(path: Path, table: DangersFile, charted: Charted) -> tuple[Danger, ...]:
    """Read the dangers; the default file may be missing, one that is named may not."""
    named = "file" in table.model_fields_set
    if table.file is None or not (named or table.file.exists()):
        return ()
    _require(path, "dangers.file", table.file)
    return read_dangers(table.file, charted.marks)


def _zones(path: Path, table: WatersSettings) -> tuple[Zone, ...]:
    if table.zones is None:
        return ()
    _require(path, "waters.zones", table.zones)
    return read_zones(table.zones)


def _require(path: Path, key: str, file: Path) -> None:
    if not file.is_file():
        raise SettingsError(path, key, in_words(file), "a file that is there")


def _settings(
    tables: Tables, charted: Charted, dangers: tuple[Danger, ...], zones: tuple[Zone, ...]
) -> Settings:
    return Settings(
        boat=tables.boat,
        inputs=tables.inputs,
        outputs=tables.outputs,
        marks=charted.marks,
        contours=charted.contours,
        dangers=dangers,
        area=tables.area,
        compass=tables.compass,
        waters=tables.waters,
        zones=zones,
        observer=tables.observer,
        satellite_watch=tables.satellite_watch,
        alerts=tables.alerts,
        fix=tables.fix,
        mqtt=tables.mqtt,
        overboard=tables.overboard,
        journal=tables.journal,
        clock=tables.clock,
        random=tables.random,
        doubts=tables.doubts,
        sheet=tables.sheet,
        page=tables.page,
    )
