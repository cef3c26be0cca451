"""The tables of the settings file, each key with its default and its bounds."""

from pathlib import Path
from typing import Annotated, Literal

from pydantic import AfterValidator, Field, model_validator

from middlewatch.navigator.tuning import Doubts
from middlewatch.plotting.conventions import Symbols
from middlewatch.settings.compass import CompassSettings
from middlewatch.settings.inputs import InputSettings, one_name_one_source
from middlewatch.settings.outputs import OutputSettings, no_line_both_ways, one_name_one_way
from middlewatch.settings.page import PageSettings
from middlewatch.settings.refusal import wrong
from middlewatch.settings.seas import BY_SEA, Sea
from middlewatch.settings.table import File, OptionalFile, OptionalFileThere, Table

_DOUBTS = Doubts()
_LOOPBACK = ("127.0.0.1", "localhost", "::1")

Positive = Annotated[float, Field(gt=0)]
Knots = Annotated[float, Field(gt=0, le=20)]
Port = Annotated[int, Field(ge=1, le=65535)]


def _topic_level(name: str) -> str:
    """Check that a name can be one level of a topic (MQTT 3.1.1, sections 4.7.1 and 4.7.3; from memory)."""
    usable = name == name.strip() and name.isprintable() and not any(sign in name for sign in "/+#")
    if not (usable and 1 <= len(name) <= 64):
        raise wrong("", name, "a name of 1 to 64 characters without / + # or space at its ends")
    return name


class BoatSettings(Table):
    """The boat: its name in every topic, the eye above the water, transducer and keel below the waterline.

    `log_calibrated`: the log's factor was found over a known distance.
    """

    name: Annotated[str, AfterValidator(_topic_level)] = "kittiwake"
    height_of_eye_m: Annotated[float, Field(gt=0, le=50)] = 2.0
    transducer_depth_m: Annotated[float, Field(ge=0, le=20)] | None = None
    keel_depth_m: Annotated[float, Field(gt=0, le=20)] | None = None
    log_calibrated: bool = True


class MarksFile(Table):
    """Which file lists the marks; empty: none."""

    file: OptionalFile = Path("marks.geojson")


class DangersFile(Table):
    """Which file lists the dangers; empty: none."""

    file: OptionalFile = Path("dangers.geojson")


class AreaSettings(Table):
    """From which long half-axis of the area on to speak (half the way to a danger where that is less).

    `samples`: of how many passages the cloud is made.
    """

    warn_nm: Annotated[float, Field(gt=0, le=60)] = 1.0
    samples: Annotated[int, Field(ge=1_000, le=200_000)] = 20_000


class WatersSettings(Table):
    """The sea here: the strongest stream, a file of zones with their own (empty: none), and its tide.

    `heights_datum_m`: how far the datum that heights are given over stands above chart datum.
    """

    strongest_stream_kn: Knots = 1.5
    zones: OptionalFile = None
    tide_range_m: Annotated[float, Field(gt=0, le=20)] = 4.0
    heights_datum_m: Annotated[float, Field(ge=0, le=20)] | None = None


class ObserverSettings(Table):
    """The sea the observer stands in: what a sight is worth where `[doubts]` does not say."""

    sea: Sea = "moderate"


class SatelliteWatchSettings(Table):
    """From which gap between satellite position and reckoning to speak, and what that alone raises.

    `false_warning_h`, `false_caution_h`: in how many hours under way one of them may be false.
    """

    limit_nm: Annotated[float, Field(gt=0, le=60)] = 0.5
    limit_alone: Literal["state", "caution", "warning"] = "caution"
    false_warning_h: Annotated[float, Field(ge=100, le=600)] = 100.0
    false_caution_h: Annotated[float, Field(ge=2.5, le=13.7)] = 8.0


def _command(words: tuple[str, ...]) -> tuple[str, ...]:
    if words and not words[0].startswith("/"):
        raise wrong("#1", words[0], "the command's whole path, from / on: no shell looks for it")
    for place, word in enumerate(words, start=1):
        if not word or "\0" in word:
            raise wrong(f"#{place}", word, "a word of the command")
    return words


class AlertsSettings(Table):
    """How alerts are heard: `hook` is run each time one sounds; `legacy`: in ALR and ACK on the bus."""

    hook: Annotated[tuple[str, ...], Field(strict=False), AfterValidator(_command)] = ()
    legacy: bool = False


class FixSettings(Table):
    """Which lines are of one time, how old a line may be, and who adopts a fix."""

    same_time_s: Annotated[int, Field(gt=0, le=3600)] = 180
    oldest_line_h: Annotated[float, Field(gt=0, le=24)] = 3.0
    adopt: Literal["ask", "redundant"] = "ask"


class MqttSettings(Table):
    """The broker: where it is, how to speak to it, who we are there. `embedded`: our own, on loopback."""

    host: Annotated[str, Field(min_length=1)] = "127.0.0.1"
    port: Port = 1883
    protocol: Literal["3.1.1", "5"] = "3.1.1"
    user: str = ""
    password_file: OptionalFileThere = None
    ca_file: OptionalFileThere = None
    embedded: bool = False

    @model_validator(mode="after")
    def _fits_together(self) -> "MqttSettings":
        """Refuse a password without a user, and an embedded broker that is asked for what it cannot do."""
        if self.password_file is not None and not self.user:
            raise wrong("user", self.user, "a user to go with password_file")
        if not self.embedded:
            return self
        if self.host not in _LOOPBACK:
            raise wrong("host", self.host, f"{' or '.join(_LOOPBACK)} for the embedded broker")
        if self.protocol != "3.1.1":
            raise wrong("protocol", self.protocol, '"3.1.1": the embedded broker speaks no other')
        if self.ca_file is not None:
            raise wrong("ca_file", self.ca_file, "no ca_file: the embedded broker has no TLS")
        return self


class OverboardSettings(Table):
    """A key on board for overboard: its input device, and the key's code there; empty: none.

    The codes are the kernel's (linux/input-event-codes.h): 28 is Enter, 57 Space, 59 F1.
    """

    device: str = ""
    key: Annotated[int, Field(ge=1, le=767)] = 28


class JournalSettings(Table):
    """The journal's file; an entry is committed before it is answered, so there is no run without one."""

    file: File = Path("middlewatch.db")


class ClockSettings(Table):
    """Whether the board's clock has a battery, and whether satellites may set it."""

    trusted: bool = False
    from_satellites: bool = False


class RandomSettings(Table):
    """The seed of every chance; Philox takes 64 bits, TOML's whole numbers have 63."""

    seed: Annotated[int, Field(ge=0, lt=2**63)] = 1


class DoubtsSettings(Table):
    """One standard deviation of what is entered without saying how good it is: the navigator's `Doubts`."""

    bearing_deg: Annotated[float, Field(gt=0, le=45)] | None = None
    bearing_shared_deg: Annotated[float, Field(gt=0, le=45)] = _DOUBTS.bearing_shared_deg
    range_part: Annotated[float, Field(gt=0, le=1)] = _DOUBTS.range_part
    transit_min: Positive = _DOUBTS.transit_min
    departure_nm: Positive = _DOUBTS.departure_nm
    passing_part: Annotated[float, Field(gt=0, le=1)] = _DOUBTS.passing_part
    vertical_angle_min: Positive | None = None
    horizontal_angle_min: Positive | None = None
    sector_deg: Annotated[float, Field(gt=0, le=45)] = _DOUBTS.sector_deg
    sounding_m: Positive | None = None
    eye_lift_m: Positive | None = None

    def doubts(self, observer: ObserverSettings) -> Doubts:
        """Return the navigator's own form of it; what is not said here is by the sea."""
        said = {name: doubt for name, doubt in self.model_dump().items() if doubt is not None}
        return Doubts(**{**BY_SEA[observer.sea], **said})


class SheetSettings(Table):
    """The plotting sheet: in which convention's signs it is drawn."""

    symbols: Symbols = "uk"


class Tables(Table):
    """The settings file as a whole."""

    boat: BoatSettings = BoatSettings()
    inputs: Annotated[
        tuple[InputSettings, ...], Field(strict=False), AfterValidator(one_name_one_source)
    ] = ()
    outputs: Annotated[tuple[OutputSettings, ...], Field(strict=False), AfterValidator(one_name_one_way)] = ()
    marks: MarksFile = MarksFile()
    dangers: DangersFile = DangersFile()
    area: AreaSettings = AreaSettings()
    compass: CompassSettings = CompassSettings()
    waters: WatersSettings = WatersSettings()
    observer: ObserverSettings = ObserverSettings()
    satellite_watch: SatelliteWatchSettings = SatelliteWatchSettings()
    alerts: AlertsSettings = AlertsSettings()
    fix: FixSettings = FixSettings()
    mqtt: MqttSettings = MqttSettings()
    overboard: OverboardSettings = OverboardSettings()
    journal: JournalSettings = JournalSettings()
    clock: ClockSettings = ClockSettings()
    random: RandomSettings = RandomSettings()
    doubts: DoubtsSettings = DoubtsSettings()
    sheet: SheetSettings = SheetSettings()
    page: PageSettings = PageSettings()

    @model_validator(mode="after")
    def _inputs_and_outputs_apart(self) -> "Tables":
        """Refuse a serial line that is an input and an output."""
        no_line_both_ways(self.inputs, self.outputs)
        return self
