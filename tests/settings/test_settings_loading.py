"""Settings as a whole: defaults, the example, files beside the settings file, refusals in one line."""

import re
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from middlewatch.navigator.tuning import Doubts, Tuning, VariationChoice
from middlewatch.settings import MqttSettings, SettingsError, defaults, load
from middlewatch.settings.refusal import refusal_of
from middlewatch.settings.tables import Tables

CONFIGS = Path(__file__).parents[2] / "configs"
EXAMPLE = CONFIGS / "middlewatch.toml"


def test_defaults_are_the_navigators_own() -> None:
    """Settings that nobody gave tune the navigator exactly as it would be tuned without any."""
    assert defaults().tuning() == Tuning()


def test_defaults_are_those_of_the_interface() -> None:
    """Each default outside the navigator is the one that the interface prints."""
    settings = defaults()

    assert (settings.boat.name, settings.boat.height_of_eye_m) == ("kittiwake", 2.0)
    assert (settings.inputs, dict(settings.marks), settings.waters.zones) == ((), {}, None)
    assert settings.mqtt == MqttSettings(
        host="127.0.0.1",
        port=1883,
        protocol="3.1.1",
        user="",
        password_file=None,
        ca_file=None,
        embedded=False,
    )
    assert settings.journal.file == Path("middlewatch.db")


def test_an_empty_file_gives_the_defaults(settings_file: Callable[[str], Path]) -> None:
    """Every key has a default, so a file may hold none of them; its journal stands beside it."""
    file = settings_file("")

    settings = load(file)

    assert settings.tuning() == defaults().tuning()
    assert dict(settings.marks) == {}
    assert settings.journal.file == file.parent / "middlewatch.db"


def test_every_key_reaches_the_navigator(settings_file: Callable[[str], Path]) -> None:
    """Each key that the navigator has a place for arrives there, whole numbers as floats where due."""
    file = settings_file("""
        [compass]
        variation = {source = "chart", value_deg = 4.5, year = 2020, annual_change_min = 9}
        sensor_card = [[0, -2.0], [45, -1]]
        hdm_corrected = false
        steering_card = [[10, 3.5]]
        [waters]
        strongest_stream_kn = 3
        [satellite_watch]
        limit_nm = 0.8
        limit_alone = "warning"
        [fix]
        same_time_s = 120
        oldest_line_h = 2
        adopt = "redundant"
        [clock]
        trusted = true
        from_satellites = true
        [random]
        seed = 7
        [doubts]
        bearing_deg = 4.5
        bearing_shared_deg = 2.0
        range_part = 0.1
        transit_min = 2.0
        departure_nm = 0.1
        passing_part = 0.4
    """)

    assert load(file).tuning() == Tuning(
        variation=VariationChoice("chart", 4.5, 2020.0, 9.0),
        sensor_card=((0.0, -2.0), (45.0, -1.0)),
        hdm_corrected=False,
        steering_card=((10.0, 3.5),),
        strongest_stream_kn=3.0,
        limit_nm=0.8,
        limit_alone="warning",
        same_time_s=120,
        oldest_line_h=2.0,
        adopt="redundant",
        clock_trusted=True,
        clock_from_satellites=True,
        seed=7,
        doubts=Doubts(4.5, 2.0, 0.1, 2.0, 0.1, 0.4),
    )


BY_SEA = {"bearing_deg", "vertical_angle_min", "horizontal_angle_min", "sounding_m", "eye_lift_m"}
UNKNOWN = {"transducer_depth_m", "keel_depth_m", "heights_datum_m"} | BY_SEA
"""What has no value unless it is given: in the example behind a comment sign."""


def test_the_example_holds_every_key_at_its_default() -> None:
    """The example in the configs folder shows every key there is, at its default but for what it says."""
    text = EXAMPLE.read_text(encoding="utf-8")
    shown, settings = tomllib.loads(text), load(EXAMPLE)

    lists = {"inputs", "outputs"}  # of outputs there is none unless it is set: test_output_settings.py
    tables = {name: field for name, field in Tables.model_fields.items() if name not in lists}
    assert set(shown) == {*tables, "inputs"}
    for name, table in tables.items():
        keys = set(type(table.default).model_fields)
        assert set(shown[name]) == keys - UNKNOWN, name
        assert all(f"\n# {key} = " in text for key in keys & UNKNOWN)
    assert settings.inputs[0].model_fields_set == {
        "name", "link", "port", "baud", "checksum", "stamp", "satellite",
    }  # fmt: skip
    without_cards = settings.compass.model_copy(update={"sensor_card": (), "steering_card": ()})
    assert without_cards == defaults().compass
    for name in (
        "boat",
        "waters",
        "area",
        "satellite_watch",
        "fix",
        "observer",
        "mqtt",
        "clock",
        "random",
        "doubts",
    ):
        assert getattr(settings, name) == getattr(defaults(), name), name
    assert list(settings.marks) == ["Harrack Point", "Skerran Beacon", "Pellan church tower"]
    assert [danger.name for danger in settings.dangers] == ["Garvel Rock", "Harrack shore", "Skerran bank"]


def test_the_inputs_left_out_of_the_example_would_load(tmp_path: Path) -> None:
    """The example's inputs that stand behind a comment sign are good settings once the sign is taken away."""
    text = EXAMPLE.read_text(encoding="utf-8")
    uncommented = re.sub(r"(?m)^# (?=\[\[|(name|link|host|port|path) = )", "", text)
    file = tmp_path / "middlewatch.toml"
    file.write_text(uncommented, encoding="utf-8")
    for name in ("marks.geojson", "dangers.geojson"):
        (tmp_path / name).write_bytes((CONFIGS / name).read_bytes())

    links = [one.link for one in load(file).inputs]

    assert links == ["serial", "tcp", "udp", "file", "stdin"]


def test_files_are_beside_the_settings_file(settings_file: Callable[[str], Path], tmp_path: Path) -> None:
    """A relative file is looked for where the settings are, wherever the daemon was started."""
    (tmp_path / "password").write_text("x", encoding="utf-8")
    authority = tmp_path / "ca.pem"
    authority.write_text("x", encoding="utf-8")
    file = settings_file(f"""
        inputs = [{{name = "a", link = "file", path = "deck.nmea"}}]
        [mqtt]
        user = "boat"
        password_file = "password"
        ca_file = "{authority}"
        [journal]
        file = "log/j.db"
    """)

    settings = load(file)

    assert settings.inputs[0].path == tmp_path / "deck.nmea"
    assert settings.mqtt.password_file == tmp_path / "password"
    assert settings.mqtt.ca_file == authority
    assert settings.journal.file == tmp_path / "log" / "j.db"


def test_a_missing_settings_file_is_refused(tmp_path: Path) -> None:
    """No file at all is said in the system's words."""
    with pytest.raises(SettingsError, match=r"none.toml: the whole file: found nothing \(No such file"):
        load(tmp_path / "none.toml")


def test_bytes_that_are_no_text_are_refused(tmp_path: Path) -> None:
    """A file that is not UTF-8 is refused as such."""
    file = tmp_path / "settings.toml"
    file.write_bytes(b'[boat]\nname = "\xff"\n')

    with pytest.raises(SettingsError, match="the whole file: found no text"):
        load(file)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("mqtt = 3", "mqtt: found 3, wanted a table of keys"),
        ("satelite_watch = {}",
         "satelite_watch: found an unknown key, wanted satellite_watch (did you mean that?)"),
        ("[mqtt]\nprot = 1", "mqtt.prot: found an unknown key, wanted port (did you mean that?)"),
        ("[mqtt]\nport = '1883'", 'mqtt.port: found "1883", wanted a whole number'),
        ("[mqtt]\nport = 70000", "mqtt.port: found 70000, wanted less than or equal to 65535"),
        ("[mqtt]\nprotocol = '4'", "mqtt.protocol: found \"4\", wanted '3.1.1' or '5'"),
        ("[mqtt]\npassword_file = ''\nuser = 3", "mqtt.user: found 3, wanted text in quotes"),
        ("[mqtt]\nembedded = true\nhost = 'boat.lan'",
         'mqtt.host: found "boat.lan", wanted 127.0.0.1 or localhost or ::1 for the embedded broker'),
        ("[mqtt]\nembedded = true\nprotocol = '5'",
         'mqtt.protocol: found "5", wanted "3.1.1": the embedded broker speaks no other'),
        ("[boat]\nname = 'a/b'",
         'boat.name: found "a/b", wanted a name of 1 to 64 characters without / + # or space at its ends'),
        ("[boat]\nname = ''",
         'boat.name: found "", wanted a name of 1 to 64 characters without / + # or space at its ends'),
        ("[boat]\nheight_of_eye_m = inf", "boat.height_of_eye_m: found Infinity, wanted a finite number"),
        ("[waters]\nstrongest_stream_kn = 0", "waters.strongest_stream_kn: found 0, wanted greater than 0"),
        ("[waters]\nstrongest_stream_kn = true", "waters.strongest_stream_kn: found true, wanted a number"),
        ("[fix]\nsame_time_s = 2.5", "fix.same_time_s: found 2.5, wanted a whole number"),
        ("[fix]\nadopt = 'yes'", "fix.adopt: found \"yes\", wanted 'ask' or 'redundant'"),
        ("[clock]\ntrusted = 1", "clock.trusted: found 1, wanted true or false"),
        ("[random]\nseed = -1", "random.seed: found -1, wanted greater than or equal to 0"),
        ("[doubts]\ntransit_min = 0.0", "doubts.transit_min: found 0.0, wanted greater than 0"),
        ("[journal]\nfile = ''", 'journal.file: found "", wanted the name of a file'),
    ],
)  # fmt: skip
def test_a_bad_value_is_refused_by_key_found_and_wanted(
    refusal: Callable[[str], str], text: str, said: str
) -> None:
    """What cannot be used is named with its key, what was found and what was wanted."""
    assert refusal(text) == said


def test_a_password_wants_a_user(refusal: Callable[[str], str], tmp_path: Path) -> None:
    """A password without a user is refused: MQTT 3.1.1 has no such thing (section 3.1.2.9; from memory)."""
    (tmp_path / "password").write_text("x", encoding="utf-8")

    said = refusal("[mqtt]\npassword_file = 'password'")

    assert said == 'mqtt.user: found "", wanted a user to go with password_file'


@pytest.mark.parametrize("key", ["mqtt.password_file", "mqtt.ca_file", "marks.file", "waters.zones"])
def test_a_named_file_has_to_be_there(refusal: Callable[[str], str], tmp_path: Path, key: str) -> None:
    """A file that the settings name and that is missing is said before anything starts."""
    said = refusal(f"{key} = 'none'")

    assert said == f'{key}: found "{tmp_path / "none"}", wanted a file that is there'


def test_toml_at_fault_is_refused_with_its_place(refusal: Callable[[str], str]) -> None:
    """A slip in the TOML itself is told with line and column."""
    assert "line 2, column" in refusal("[boat]\nname = kittiwake\n")


def test_a_key_given_twice_is_refused(refusal: Callable[[str], str]) -> None:
    """Of two values for one key neither is chosen in silence."""
    assert "wanted TOML" in refusal("[random]\nseed = 1\nseed = 2\n")


def test_settings_cannot_be_changed(settings_file: Callable[[str], Path]) -> None:
    """What was checked stays as it was checked."""
    settings = load(settings_file(""))

    with pytest.raises(AttributeError):
        settings.boat = defaults().boat  # type: ignore[misc]  # that it is refused is the point
    with pytest.raises(ValueError, match="frozen"):
        settings.boat.name = "other"


ANYTHING = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3),
    max_leaves=8,
)
DOCUMENTS = st.dictionaries(
    st.sampled_from(sorted(Tables.model_fields)) | st.text(max_size=8), ANYTHING, max_size=4
)


@given(DOCUMENTS)
def test_whatever_is_refused_is_refused_in_one_line(document: dict[str, Any]) -> None:
    """Any document is either taken or refused in one printable line with its four parts."""
    try:
        Tables.model_validate(document)
    except ValidationError as errors:
        said = str(refusal_of(Path("f.toml"), document, errors))
        assert said.isprintable()
        assert re.fullmatch(r"f\.toml: .+: found .+, wanted .+", said)
    else:
        assert set(document) <= set(Tables.model_fields)
