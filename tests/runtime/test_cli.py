"""The command line: what it says of itself, and that what is unusable is told in one line, with exit 2."""

import gzip
import shlex
import socket
import sys
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from middlewatch import __version__
from middlewatch.cli import app

COMMANDS = ("run", "demo", "replay", "check", "sight", "order")
STAMPED = b"\\c:1777773300*5F\\$HCHDG,261.0,,,,*47\r\n"


def typed(line: str) -> Result:
    """Run the command line as a shell would."""
    return CliRunner().invoke(app, shlex.split(line), prog_name="middlewatch")


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Work in a folder with one of each thing that is no good."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "binary.toml").write_bytes(b"\xff\xfe\x00")
    (tmp_path / "syntax.toml").write_text("a = = b\n")
    (tmp_path / "misspelt.toml").write_text('[boat]\nnaem = "kittiwake"\n')
    (tmp_path / "type.toml").write_text('[mqtt]\nport = "1883"\n')
    (tmp_path / "nomarks.toml").write_text('[marks]\nfile = "none.geojson"\n')
    (tmp_path / "nojournal.toml").write_text('[journal]\nfile = "no/such/folder/boat.db"\n')
    (tmp_path / "textjournal.toml").write_text('[journal]\nfile = "text.nmea"\n')
    (tmp_path / "text.nmea").write_text("no sentence at all\n" * 50)
    (tmp_path / "random.gz").write_bytes(bytes(range(256)))
    (tmp_path / "bus.nmea").write_bytes(STAMPED)
    (tmp_path / "notjson.jsonl").write_text("departure\n")
    (tmp_path / "timeless.jsonl").write_text('{"kind": "remark", "text": "when?"}\n')
    (tmp_path / "cut.gz").write_bytes(gzip.compress(b"$HCHDG,1,,,,*00\n")[:15])
    return tmp_path


UNUSABLE = [
    ("check --settings none.toml", "none.toml"),
    ("check --settings .", "TOML"),
    ("check --settings binary.toml", "UTF-8"),
    ("check --settings syntax.toml", "line 1"),
    ("check --settings misspelt.toml", "boat.naem"),
    ("check --settings type.toml", "mqtt.port"),
    ("check --settings nomarks.toml", "none.geojson"),
    ("check", "--settings"),
    ("run --settings none.toml", "none.toml"),
    ("run --settings misspelt.toml", "wanted name"),
    ("run --settings nojournal.toml", "no/such/folder/boat.db"),
    ("run --settings textjournal.toml", "text.nmea"),
    ("run", "--settings"),
    ("replay none.nmea", "none.nmea"),
    ("replay text.nmea", "no TAG block"),
    ("replay random.gz", "gzip"),
    ("replay cut.gz", "cut short"),
    ("replay .", "directory"),
    ("--ahoy", "--ahoy"),
    ("replay bus.nmea --sightings none.jsonl", "none.jsonl"),
    ("replay bus.nmea --sightings notjson.jsonl", "line 1"),
    ("replay bus.nmea --sightings timeless.jsonl", "line 1"),
    ("replay bus.nmea --settings misspelt.toml", "boat.naem"),
    ("replay bus.nmea --reports no/such/folder/out.jsonl", "no/such/folder"),
    ("replay bus.nmea --journal text.nmea", "text.nmea"),
    ("replay", "recording"),
    ("demo --speed 0", "--speed"),
    ("demo --speed nan", "--speed"),
    ("demo --speed fast", "--speed"),
    ("demo --picture no/such/folder/demo.svg", "no/such/folder"),
    ("demo --sped 5", "--sped"),
    ("ahoy", "ahoy"),
]


@pytest.mark.parametrize(("line", "names"), UNUSABLE)
@pytest.mark.usefixtures("folder")
def test_what_is_unusable_is_told_in_one_line(line: str, names: str) -> None:
    """Exit 2, one line on standard error that names the trouble, nothing of the program's inside."""
    result = typed(line)

    assert result.exit_code == 2
    assert names in result.stderr
    assert len(result.stderr.splitlines()) == 1
    assert "Traceback" not in result.output


def test_without_the_extra_the_demo_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    """An installation without the embedded broker is told the extra's name, in one line."""
    monkeypatch.setitem(sys.modules, "amqtt.broker", None)
    result = typed("demo --speed 1000")

    assert result.exit_code == 2
    assert result.stderr.splitlines() == [
        "the embedded broker is in the extra `demo`: pip install 'middlewatch[demo]'"
    ]


def test_version() -> None:
    """The version and nothing else."""
    result = typed("--version")

    assert (result.exit_code, result.stdout) == (0, f"{__version__}\n")


def test_the_help_names_every_command_and_the_caution() -> None:
    """Each command with its sentence, and what comes before any program."""
    result = typed("--help")
    words = " ".join(result.stdout.split())

    assert result.exit_code == 0
    for command in COMMANDS:
        assert f"│ {command} " in words
    assert "An aid only; chart, lookout, local rules and licensed practice come first." in words


@pytest.mark.parametrize("command", COMMANDS)
def test_each_command_has_its_help(command: str) -> None:
    """It begins with what the command is typed like, and says what it does."""
    result = typed(f"{command} --help")

    assert result.exit_code == 0
    assert f"Usage: middlewatch {command}" in result.stdout
    assert result.stderr == ""


def test_check_ends_with_1_when_something_is_missing(folder: Path) -> None:
    """No input: heading and speed are not heard, and that is no fault of the settings."""
    (folder / "nothing.toml").write_text("[mqtt]\nembedded = true\n")
    result = typed("check --settings nothing.toml")

    assert result.exit_code == 1
    assert "Missing for the job: heading and speed through the water." in result.stdout
    assert result.stderr == ""


def test_check_ends_with_0_when_all_is_there(folder: Path) -> None:
    """A stamped file with heading and log: every sentence on standard output."""
    (folder / "bus.nmea").write_bytes(
        STAMPED + STAMPED.replace(b"$HCHDG,261.0,,,,*47", b"$VWVHW,,T,,M,5.2,N,,K*7D")
    )
    (folder / "boat.toml").write_text(
        '[[inputs]]\nname = "bow"\nlink = "file"\npath = "bus.nmea"\nstamp = "tag"\n[mqtt]\nembedded = true\n'
    )
    result = typed("check --settings boat.toml")

    assert result.exit_code == 0, result.output
    assert "Heading would be steered by HCHDG@bow" in result.stdout
    assert result.stderr == ""


def test_a_port_that_is_taken_is_told_in_words(folder: Path) -> None:
    """Where the embedded broker cannot have its port: exit 2 and one line that names the key."""
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        (folder / "taken.toml").write_text(f"[mqtt]\nembedded = true\nport = {port}\n")
        done = typed("run --settings taken.toml")

    assert done.exit_code == 2
    expected = f"the embedded broker cannot have port {port} ([mqtt] port): Address already in use\n"
    assert done.stderr == expected
