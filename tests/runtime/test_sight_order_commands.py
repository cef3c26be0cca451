"""`middlewatch sight` and `order`: what is made of the words typed, sent and answered."""

import asyncio
import json
import re
import shlex
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Any

import pytest
import typer
from typer.testing import CliRunner, Result

from broker.aboard import at_work, soon
from broker.mosquitto import Mosquitto, free_port
from middlewatch.quantities.instants import Instant
from middlewatch.readings.entries import Channel, Said
from middlewatch.runtime import order_commands, sending, sight_commands
from middlewatch.runtime.run import Daemon, Files
from middlewatch.settings import MqttSettings, Settings, defaults, load
from middlewatch.wire.entries import decode
from middlewatch.wire.orders import ORDERS
from middlewatch.wire.sightings import SIGHTINGS

NOW_MS = Instant.parse("2026-05-03T01:42:30Z").ms

app = typer.Typer()
app.add_typer(sight_commands.sight, name="sight")
app.add_typer(order_commands.order, name="order")


def typed(line: str) -> Result:
    """Run the command line as a shell would."""
    return CliRunner().invoke(app, shlex.split(line), prog_name="middlewatch")


# --- what is made of the words ---------------------------------------------------------------------------

PLACE = {"latitude_deg": 50.1, "longitude_deg": -4.2}

TYPED: list[tuple[str, dict[str, Any]]] = [
    ("sight bearing 'Start Point' 248", {"mark": "Start Point", "bearing_deg": 248}),
    (
        "sight bearing Start 065.5 --reference compass --sd 3 --ago 40 --id X",
        {"mark": "Start", "bearing_deg": 65.5, "reference": "compass", "sd_deg": 3, "ago_s": 40, "id": "X"},
    ),
    ("sight bearing - 248 --note 'fl white'", {"bearing_deg": 248, "note": "fl white"}),
    ("sight bearing 50.1N,4.2W 248", {"mark": PLACE, "bearing_deg": 248}),
    (
        "sight bearing -33.5,-70.25 10",
        {"mark": {"latitude_deg": -33.5, "longitude_deg": -70.25}, "bearing_deg": 10},
    ),
    ("sight bearing Start 361", {"mark": "Start", "bearing_deg": 361}),  # it is the daemon that refuses this
    (
        "sight bearing Start 248 --at 01:42:07Z",
        {"mark": "Start", "bearing_deg": 248, "at": "2026-05-03T01:42:07.000Z"},
    ),
    (
        "sight bearing --at 0342+0200 Start 248",
        {"mark": "Start", "bearing_deg": 248, "at": "2026-05-03T01:42:00.000Z"},
    ),
    ("sight range Start 3.2 --sd 0.1", {"mark": "Start", "distance_nm": 3.2, "sd_nm": 0.1}),
    ("sight transit Front Rear --sd 2", {"mark": "Front", "rear_mark": "Rear", "sd_min": 2}),
    ("sight passing 'No 4' port 30", {"mark": "No 4", "side": "port", "distance_m": 30}),
    ("sight position 50.1 -4.2 --sd 0.2 --source radar", {**PLACE, "sd_nm": 0.2, "source": "radar"}),
    (
        "sight vertical-angle Tower 33.5 --index-error -0.5 --eye 3 --height 40 --tide 1.2",
        {
            "mark": "Tower",
            "angle_min": 33.5,
            "index_error_min": -0.5,
            "eye_m": 3,
            "height_m": 40,
            "tide_m": 1.2,
        },
    ),
    (
        "sight horizontal-angle Perch Tower 61.5",
        {"mark": "Perch", "second_mark": "Tower", "angle_deg": 61.5},
    ),
    ("sight raised Tower --visibility 8", {"mark": "Tower", "visibility_nm": 8}),
    ("sight dipped Tower --bobbed", {"mark": "Tower", "bobbed": True}),
    ("sight sector Tower red", {"mark": "Tower", "colour": "red"}),
    (
        "sight depth 11.5 keel --contour 'ten metres' --tide 3",
        {"depth_m": 11.5, "below": "keel", "contour": "ten metres", "tide_m": 3},
    ),
    ("order departure 50.1N 4.2W", PLACE),
    ("order departure 50 06.0N 004 12.0W --sd 0.1", {**PLACE, "sd_nm": 0.1}),
    ("order departure -33.5 -70.25", {"latitude_deg": -33.5, "longitude_deg": -70.25}),
    (
        "order departure Start Point --bearing 248 --distance 1.2 --reference true",
        {"mark": "Start Point", "bearing_deg": 248, "distance_nm": 1.2, "reference": "true"},
    ),
    (
        "order departure 50.1N,4.2W --bearing 248 --distance 1.2",
        {"mark": PLACE, "bearing_deg": 248, "distance_nm": 1.2},
    ),
    ("order departure --from satellite", {"from": "satellite"}),
    ("order way made-fast", {"way": "made_fast"}),
    ("order way anchored --radius 40", {"way": "anchored", "radius_m": 40}),
    (
        "order way hove_to --drift-towards 120 --drift 1.5 --until 0300Z",
        {"way": "hove_to", "drift_towards_deg": 120, "drift_kn": 1.5, "until": "2026-05-03T03:00:00.000Z"},
    ),
    ("order course 245", {"heading_deg": 245}),
    ("order course 245 --reference true", {"heading_deg": 245, "reference": "true"}),
    ("order by-hand --heading 245 --reference magnetic", {"heading_deg": 245, "reference": "magnetic"}),
    ("order by-hand --speed -1.5", {"speed_kn": -1.5}),
    ("order by-hand --speed=-1.5 --log 1234.5", {"speed_kn": -1.5, "log_nm": 1234.5}),
    (
        "order by-hand --heading back --speed back --log back",
        {"heading_deg": None, "speed_kn": None, "log_nm": None},
    ),
    ("order leeway 5 port", {"leeway_deg": 5, "pushed_to": "port"}),
    ("order leeway none", {"leeway_deg": None}),
    ("order log-factor 0.97 --sd 0.02", {"factor": 0.97, "sd": 0.02}),
    ("order log-factor none", {"factor": None}),
    ("order log-factor --from satellite", {"from": "satellite"}),
    ("order deviation -3.5", {"deviation_deg": -3.5}),
    ("order deviation none", {"deviation_deg": None}),
    ("order deviation --card 0:-2,90:1.5 --sd 0.5", {"card": ["0:-2", "90:1.5"], "sd_deg": 0.5}),
    ("order deviation --from satellite", {"from": "satellite"}),
    ("order stream 090 1.2", {"set_deg": 90, "drift_kn": 1.2}),
    (
        "order stream 090 1.2 --sd 0.3 --until 0100Z --at 0030Z",
        {
            "set_deg": 90,
            "drift_kn": 1.2,
            "sd_kn": 0.3,
            "at": "2026-05-03T00:30:00.000Z",
            "until": "2026-05-03T01:00:00.000Z",  # the first after 0030, past as it is
        },
    ),
    (
        "order stream 090 1.2 --until 0140Z --ago 600",
        {"set_deg": 90, "drift_kn": 1.2, "ago_s": 600, "until": "2026-05-03T01:40:00.000Z"},
    ),
    ("order adopt f-e12", {"fix": "f-e12"}),
    ("order fix e1 e2 e3", {"using": ["e1", "e2", "e3"]}),
    ("order withdraw last", {"entry": "last"}),
    (
        "order amend e1 bearing_deg=065 mark='Start Point' reference=true at=0142Z sd_deg=null",
        {
            "entry": "e1",
            "change": {
                "bearing_deg": 65,
                "mark": "Start Point",
                "reference": "true",
                "at": "2026-05-03T01:42:00.000Z",
                "sd_deg": None,
            },
        },
    ),
    ("order confirm e1", {"entry": "e1"}),
    ("order overboard --ago 40", {"ago_s": 40}),
    ("order recovered", {}),
    ("order recovered e7", {"entry": "e7"}),
    ("order trust-satellites", {}),
    ("order trust-satellites --anyway", {"anyway": True}),
    ("order acknowledge clearing-bearing --revision 3", {"alert": "clearing-bearing", "revision": 3}),
    ("order silence heading", {"alert": "heading"}),
    ("order quiet --note 'all asleep'", {"note": "all asleep"}),
    ("order visibility 5", {"visibility_nm": 5}),
    ("order clock 2026-05-03T01:42:07+01:00", {"utc": "2026-05-03T01:42:07+01:00"}),
    ("order clock --from satellite", {"from": "satellite"}),
    ("order remark wind backing SW -5 C", {"text": "wind backing SW -5 C"}),
    ("order remark 'wind backing, -3 hPa'", {"text": "wind backing, -3 hPa"}),
]

Made = tuple[Settings, Channel, dict[str, object]]


@pytest.fixture
def made(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> list[Made]:
    """Keep what would be sent, at 01:42:30Z, in a folder without settings."""
    entries: list[Made] = []

    def make(settings: Settings, channel: Channel, entry: dict[str, object], *, as_json: bool) -> None:
        assert not as_json
        entries.append((settings, channel, entry))

    monkeypatch.setattr(sending, "make", make)
    monkeypatch.setattr(sending, "utc_ms", lambda: NOW_MS)
    monkeypatch.setattr(order_commands, "utc_ms", lambda: NOW_MS)
    monkeypatch.chdir(tmp_path)
    return entries


@pytest.mark.parametrize(("line", "fields"), TYPED, ids=[line for line, _ in TYPED])
def test_words_make_an_entry(made: list[Made], line: str, fields: dict[str, Any]) -> None:
    """Each kind goes out on its channel with the fields typed and no others."""
    group, command = line.split()[:2]
    channel = {"sight": "sighting", "order": "order"}[group]

    result = typed(line)

    assert (result.exit_code, result.output) == (0, "")
    assert [made_of[1:] for made_of in made] == [(channel, {"kind": command.replace("-", "_"), **fields})]


@pytest.mark.parametrize("line", [line for line, _ in TYPED if "361" not in line])
def test_what_is_made_is_understood(made: list[Made], line: str) -> None:
    """The daemon's own reader takes every entry made."""
    typed(line)
    [(_, channel, entry)] = made

    assert isinstance(decode(channel, json.dumps(entry)), Said)


@pytest.mark.parametrize(("channel", "kinds"), [("sight", SIGHTINGS), ("order", ORDERS)])
def test_every_kind_has_its_command(channel: str, kinds: dict[str, object]) -> None:
    """Every kind of entry that can be taken can be typed, and nothing else."""
    groups = {"sight": sight_commands.sight, "order": order_commands.order}
    commands = {each.name for each in groups[channel].registered_commands}

    assert commands == {kind.replace("_", "-") for kind in kinds}
    assert commands == {line.split()[1] for line, _ in TYPED if line.startswith(channel)}


# --- what cannot be used ---------------------------------------------------------------------------------


TIME_WANTED = "a time with Z or an offset, as 01:42:07Z, 0142Z or 2026-05-03T01:42:07Z"
POSITION_WANTED = "a position, as 50 06.0N 004 12.0W, 50.1N 4.2W or 50.1 -4.2"


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("sight bearing Start 24x", "bearing: found 24x, wanted a number, as 248 or -1.5"),
        ("sight bearing Start", "Missing argument 'degrees'."),
        ("sight berings Start 248", "No such command 'berings'. Did you mean 'bearing'?"),
        ("sight", "Missing command."),
        (
            "sight bearing Start 248 --refernce compass",
            "--refernce: found an unknown option, wanted --reference (did you mean that?)",
        ),
        (
            "sight bearing --refernce true Start",
            "--refernce: found an unknown option, wanted --reference (did you mean that?)",
        ),
        (
            "sight bearing Start Point 248",
            "bearing: found 248, wanted no more words (quotes keep a name together)",
        ),
        ("sight bearing Start 248 T", "bearing: found T, wanted no more words (quotes keep a name together)"),
        (
            "sight bearing Start 248 --at 01:42:07",
            f"at: found 01:42:07, wanted {TIME_WANTED}",
        ),
        ("sight bearing Start 248 --at", "Option '--at' requires an argument."),
        ("sight bearing Start 248 --ago 1m", "ago: found 1m, wanted a number, as 248 or -1.5"),
        (
            "sight bearing Start 248 --id 'my id'",
            "id: found my id, wanted 1 to 64 of letters, digits, dot, underscore, dash",
        ),
        (
            "order departure 50 06.0",
            f"position: found 50 06.0, wanted {POSITION_WANTED}",
        ),
        (
            "order departure",
            f"position: found nothing, wanted {POSITION_WANTED}",
        ),
        ("order by-hand --speed away", "speed_kn: found away, wanted a number, or back"),
        ("order leeway some", "leeway: found some, wanted a number, or none"),
        ("order amend e1 bearing_deg", "change: found bearing_deg, wanted key=value, as bearing_deg=248"),
        ("order remark --nota x y", "--nota: found an unknown option, wanted --note (did you mean that?)"),
        ("order remark 'F\udcf8hn'", r"the words typed: found 'F\udcf8hn', wanted text in UTF-8"),
        ("order quiet --note 'F\udcf8hn'", r"the words typed: found 'F\udcf8hn', wanted text in UTF-8"),
        (
            "order quiet --settings missing.toml",
            "missing.toml: the whole file: found nothing (No such file or directory), wanted TOML",
        ),
    ],
)
def test_unusable_words(made: list[Made], line: str, said: str) -> None:
    """What cannot be read is said in one line on standard error, nothing is sent, and the exit code is 2."""
    result = typed(line)

    assert (result.exit_code, result.stdout, result.stderr) == (2, "", f"{said}\n")
    assert made == []


def test_settings_of_the_working_folder(made: list[Made], tmp_path: Path) -> None:
    """Without --settings: the defaults, middlewatch.toml where there is one; a fault in it is one line."""
    typed("order quiet")
    (tmp_path / "middlewatch.toml").write_text('[boat]\nname = "dunlin"\n')
    typed("order quiet")
    (tmp_path / "other.toml").write_text('[boat]\nname = "knot"\n')
    typed("order quiet --settings other.toml")
    (tmp_path / "middlewatch.toml").write_text('[boat]\nnmae = "dunlin"\n')
    fault = typed("order quiet")

    assert [settings.boat.name for settings, *_ in made] == [defaults().boat.name, "dunlin", "knot"]
    assert fault.exit_code == 2
    assert re.fullmatch(r"middlewatch\.toml: boat\.nmae: found .*\n", fault.stderr)


# --- sent and answered -----------------------------------------------------------------------------------

HEAD = {
    "id": "X",
    "kind": "bearing",
    "at": "2026-05-03T01:42:07.000Z",
    "heard_at": "2026-05-03T01:42:30.000Z",
    "accepted": True,
    "used": True,
    "open": False,
    "repeat": False,
}
BEARING = HEAD | {
    "line": {"shape": "ray", "latitude_deg": 50.2, "longitude_deg": -3.6, "bearing_deg": 244.0},
    "chain": {
        "compass_deg": 250.0,
        "deviation_deg": -2.0,
        "magnetic_deg": 248.0,
        "variation_deg": -4.0,
        "variation_source": "chart 2020",
        "true_deg": 244.0,
    },
    "expected_deg": 246.2,
    "residual_deg": -2.2,
    "unusual_sigma": 1.04,
    "slips": [{"slip": "digits swapped", "value": 284.0, "fits": 0.4}],
    "fix": "f-X",
    "pencil": "0142: from Start draw 064 T (bearing 244 T, 248 M, 250 C); label 0142",
}
TAKEN = "bearing X taken for 01:42:07Z"
REFUSED = {
    **HEAD,
    "at": None,
    "accepted": False,
    "used": False,
    "field": "bearing_deg",
    "found": "361",
    "wanted": "degrees clockwise, 0 to 360",
    "reason": "361 is no bearing",
}


def test_a_sighting_answered_is_said_in_sentences() -> None:
    """Chain with T, M and C, residual, slip, pencil line and fix, a line each."""
    assert list(sending.sentences(BEARING)) == [
        "bearing X taken for 01:42:07Z",
        "  250 C, deviation 2 W, 248 M, variation 4 W (chart 2020), 244 T",
        "  expected 246 T: residual -2.2 degrees, 1.0 sigma",
        "  a slip? digits swapped: 284 would stand 0.4 sigma off",
        "  pencil 0142: from Start draw 064 T (bearing 244 T, 248 M, 250 C); label 0142",
        "  fix f-X",
    ]


def test_what_may_have_been_meant_is_said_in_three_figures() -> None:
    """A bearing of 47 is spoken 047; a distance is no bearing."""
    slip = {"slip": "reciprocal", "value": 47.0, "fits": 0.5}
    (bearing,) = (each for each in sending.sentences({**BEARING, "slips": [slip]}) if "slip?" in each)
    (distance,) = (
        each for each in sending.sentences({**BEARING, "chain": None, "slips": [slip]}) if "slip?" in each
    )

    assert bearing == "  a slip? reciprocal: 047 would stand 0.5 sigma off"
    assert distance == "  a slip? reciprocal: 47 would stand 0.5 sigma off"


@pytest.mark.parametrize(
    ("answer", "lines"),
    [
        ({"effect": "stream 090 T 1.2 kn until 0242"}, [TAKEN, "  stream 090 T 1.2 kn until 0242"]),
        (
            {"expected_nm": 3.21, "residual_nm": 0.1, "unusual_sigma": None},
            [TAKEN, "  expected 3.21 nm: residual +0.10 nm"],
        ),
        (
            {"expected_nm": None, "residual_nm": 0.1, "unusual_sigma": 0.5},
            [TAKEN, "  from the middle of the area: residual +0.10 nm, 0.5 sigma"],
        ),
        (
            {"open": True, "used": False, "line": None, "pencil": "no mark yet"},
            [f"{TAKEN}; open until it is amended or confirmed; not used", "  no mark yet"],
        ),
        (
            {"at": "2026-05-02T01:43:00.000Z"},
            ["bearing X taken for 2026-05-02 01:43:00Z, 24.0 h before it was heard"],
        ),
        ({"repeat": True}, [f"{TAKEN}; it was entered before, this is its first answer again"]),
    ],
)
def test_answers_of_other_kinds(answer: dict[str, Any], lines: list[str]) -> None:
    """Effects, ranges, points; the first line says what is open, unused, repeated, or of another day."""
    assert list(sending.sentences(HEAD | answer)) == lines


async def shell(line: str, settings_file: Path) -> Result:
    """Type a command beside the running loop."""
    return await asyncio.to_thread(typed, f"{line} --settings {settings_file}")


def broker_of(settings_file: Path) -> MqttSettings:
    """Return how that broker is reached."""
    return load(settings_file).mqtt


async def test_a_lost_answer_is_asked_for_again(settings_file: Path) -> None:
    """The first copy is not answered: the same comes again two seconds later, and its answer is printed."""
    async with at_work(broker_of(settings_file)) as daemon:
        command = asyncio.create_task(
            shell("sight bearing Start 250 --reference compass --id X", settings_file)
        )
        first = await soon(daemon.heard.get())
        second = await soon(daemon.heard.get())
        daemon.broker.publish("sighting/answer", json.dumps(BEARING), retain=False)
        result = await soon(command)

    assert first == second
    assert json.loads(first[1]) == {
        "id": "X", "kind": "bearing", "mark": "Start", "bearing_deg": 250, "reference": "compass"
    }  # fmt: skip
    assert (result.exit_code, result.stderr) == (0, "")
    assert result.stdout.splitlines() == list(sending.sentences(BEARING))


async def test_an_entry_without_an_id_is_given_one(settings_file: Path) -> None:
    """The entry sent has an id, and the raw answer is printed on one line where that is asked for."""
    async with at_work(broker_of(settings_file)) as daemon:
        answering = asyncio.create_task(daemon.answer_entries())
        result = await soon(shell("order remark 'Føhn from N' --json", settings_file))
        answering.cancel()

    assert (result.exit_code, result.stderr) == (0, "")
    assert re.fullmatch(r'\{"id": "[0-9a-f]{8}", "accepted": true\}\n', result.stdout)


@pytest.mark.parametrize("flag", ["", " --json"])
async def test_a_refusal_is_one_line_and_exit_1(settings_file: Path, flag: str) -> None:
    """Field, found, wanted and reason on standard error; the raw answer still comes where asked for."""
    async with at_work(broker_of(settings_file)) as daemon:
        command = asyncio.create_task(shell(f"sight bearing Start 361 --id X{flag}", settings_file))
        await soon(daemon.heard.get())
        daemon.broker.publish("sighting/answer", json.dumps(REFUSED), retain=False)
        result = await soon(command)

    wanted = "wanted degrees clockwise, 0 to 360"
    assert result.exit_code == 1
    assert result.stderr == f"bearing X refused: 361 is no bearing; bearing_deg: found 361, {wanted}\n"
    assert result.stdout == (json.dumps(REFUSED) + "\n" if flag else "")


@pytest.mark.parametrize(("id_typed", "id_said"), [("", "[0-9a-f]{8}"), (" --id X", "X")])
async def test_nobody_answers(
    mosquitto: Mosquitto, settings_file: Path, monkeypatch: pytest.MonkeyPatch, id_typed: str, id_said: str
) -> None:
    """Without a daemon: one line that says so and what to do about the entry, and exit 1."""
    monkeypatch.setattr(sending, "PATIENCE", sending.Patience(tries=2, wait_s=0.05))

    result = await soon(shell(f"order quiet{id_typed}", settings_file))

    where = f"kittiwake over the broker at 127.0.0.1:{mosquitto.port} after 2 tries"
    said = f"quiet is not answered by {where}: is the daemon running? It may have been taken: "
    said += "repeat it with --id "
    assert (result.exit_code, result.stdout) == (1, "")
    assert re.fullmatch(f"{re.escape(said)}{id_said}\n", result.stderr)


def test_usual_patience() -> None:
    """Five tries, two seconds apart, as the interface has it."""
    assert sending.Patience(tries=5, wait_s=2.0) == sending.PATIENCE


async def test_a_broker_that_is_away(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """No broker: one line that says where it was looked for, and exit 1."""
    monkeypatch.setattr(sending, "PATIENCE", sending.Patience(tries=2, wait_s=0.05))
    port = free_port()
    file = tmp_path / "away.toml"
    file.write_text(f"[mqtt]\nport = {port}\n")

    result = await soon(shell("order quiet", file))

    assert (result.exit_code, result.stdout) == (1, "")
    assert re.fullmatch(rf"the broker at 127\.0\.0\.1:{port} cannot be reached: .*\n", result.stderr)


async def test_a_broker_that_refuses(tmp_path: Path) -> None:
    """A broker that wants a password and is given none: one line, at once, and exit 1."""
    folder = tmp_path / "locked"
    folder.mkdir()
    locked = Mosquitto(folder, "allow_anonymous false")
    locked.start()
    file = tmp_path / "locked.toml"
    file.write_text(f"[mqtt]\nport = {locked.port}\n")
    try:
        result = await soon(shell("order quiet", file))
    finally:
        locked.kill()

    said = f"the broker at 127.0.0.1:{locked.port} refuses anybody without a user name: .*\n"
    assert (result.exit_code, result.stdout) == (1, "")
    assert re.fullmatch(said, result.stderr)


# --- with the daemon itself ------------------------------------------------------------------------------

MARKS = {
    "type": "FeatureCollection",
    "features": [
        {
            "type": "Feature",
            "geometry": {"type": "Point", "coordinates": [-4.2, 50.2]},
            "properties": {"name": "North Light"},
        }
    ],
}


@asynccontextmanager
async def at_sea(settings_file: Path) -> AsyncIterator[None]:
    """Run the daemon of these settings; what it dies of is raised here."""
    daemon = Daemon(load(settings_file), Files(), lambda _at, _report: None)
    async with asyncio.TaskGroup() as group:
        group.create_task(daemon.run())
        await soon(daemon.connected.wait())
        try:
            yield
        finally:
            daemon.stop()


async def test_a_departure_and_a_bearing_with_the_daemon_itself(settings_file: Path, tmp_path: Path) -> None:
    """Six miles south of a light 000 T is right; 361 and an unknown mark are refused in words."""
    (tmp_path / "marks.geojson").write_text(json.dumps(MARKS))
    lines = (
        "order departure 50.1N 4.2W --id D",
        "sight bearing 'North Light' 0 --reference true --id B",
        "sight bearing 'North Light' 361 --id C",
        "sight bearing 'Noth Light' 1 --id U",
        "order withdraw B",
    )
    async with at_sea(settings_file):
        results = [await soon(shell(line, settings_file)) for line in lines]
    departure, bearing, too_far, unknown, withdrawn = results

    assert [result.exit_code for result in results] == [0, 0, 1, 1, 0], [each.output for each in results]
    assert "50 06.00 N 004 12.00 W" in departure.stdout
    assert bearing.stdout.startswith("bearing B taken for ")
    assert "\n  expected 000 T: residual +0.0 degrees" in bearing.stdout
    assert re.search(r"\n  pencil \d{4}: from North Light draw 180 T", bearing.stdout)
    assert re.fullmatch(r"bearing C refused: .*; bearing_deg: found 361, wanted degrees .*\n", too_far.stderr)
    assert re.fullmatch(
        r"bearing U refused: .*; mark: found Noth Light, wanted .*North Light.*\n", unknown.stderr
    )
    assert "bearing B withdrawn" in withdrawn.stdout
