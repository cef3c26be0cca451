"""What README promises: every `mosquitto_pub` line as it stands there, the settings, the words of caution."""

import asyncio
import json
import re
import shlex
import shutil
from asyncio.subprocess import PIPE, STDOUT
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from middlewatch.settings import MqttSettings
from middlewatch.settings.tables import Tables
from stories.story import PATIENCE_S, running, watcher

ROOT = Path(__file__).parents[3]
README = (ROOT / "README.md").read_text(encoding="utf-8")
CONFIGS = ROOT / "configs"


@dataclass(frozen=True, slots=True)
class Line:
    """A `mosquitto_pub` line of README, and whether the text before its block says that it is refused."""

    words: tuple[str, ...]
    refused: bool

    @property
    def channel(self) -> str:
        """`sighting` or `order`."""
        return self.words[self.words.index("-t") + 1].rpartition("/")[2]

    @property
    def id(self) -> str:
        """The entry's id."""
        return str(json.loads(self.words[self.words.index("-m") + 1])["id"])


def published_lines() -> Iterator[Line]:
    """Yield the lines of fenced blocks in the order in which they stand."""
    for before, block in re.findall(r"([^\n]+)\n+```sh\n(.*?)```", README, re.DOTALL):
        for line in block.splitlines():
            if line.startswith("mosquitto_pub"):
                yield Line(tuple(shlex.split(line)), "refused" in before)


def boat_file(folder: Path, port: int) -> Path:
    """Write the settings of `configs/` with what they name, with the port of a broker and no other change."""
    text = (CONFIGS / "middlewatch.toml").read_text(encoding="utf-8")
    changed, times = re.subn(r"^port = 1883$", f"port = {port}", text, flags=re.MULTILINE)
    assert times == 1
    file = folder / "middlewatch.toml"
    file.write_text(changed, encoding="utf-8")
    for name in ("marks.geojson", "dangers.geojson"):
        shutil.copy(CONFIGS / name, folder)
    return file


async def test_every_line_to_publish_does_what_it_says(tmp_path: Path, plain: MqttSettings) -> None:
    """Each is accepted, or refused where README says so, one after the other on one boat."""
    lines = list(published_lines())
    answers = []
    async with watcher(plain) as watching, running(boat_file(tmp_path, plain.port)) as run:
        await watching.report("status", state="online")
        for line in lines:
            command = [*line.words, "-p", str(plain.port)]
            process = await asyncio.create_subprocess_exec(*command, stdout=PIPE, stderr=STDOUT)
            async with asyncio.timeout(PATIENCE_S):
                await process.communicate()
            answers.append(await watching.report(f"{line.channel}/answer", id=line.id))
        await run.terminate()

    said = [answer.get("reason", "accepted") for answer in answers]
    wrong = [
        f"{' '.join(line.words)}: {words}"
        for line, words in zip(lines, said, strict=True)
        if (words != "accepted") != line.refused
    ]
    assert wrong == []
    assert sum(line.refused for line in lines) >= 1
    assert {line.channel for line in lines} == {"sighting", "order"}


def test_each_table_of_settings_is_there() -> None:
    """README names every table of the settings and no other, and only keys that a mark may have."""
    marks = json.loads((CONFIGS / "marks.geojson").read_text(encoding="utf-8"))
    _, section = README.split("## Settings\n")
    rows = [row for row in section.split("\n## ")[0].splitlines() if row.startswith("| `[")]
    named = [name for row in rows for name in re.findall(r"`\[+(\w+)\]+`", row)]
    mark_row = next(row for row in rows if row.startswith("| `[marks]`"))
    properties = set(re.findall(r"`(\w+)`", mark_row))

    assert sorted(named) == sorted(Tables.model_fields)
    assert properties == {key for mark in marks["features"] for key in mark["properties"]}


def test_the_two_commands_stand_near_the_top() -> None:
    """Seeing it work and testing it are a line each, to be copied, within the first forty lines."""
    top = README.splitlines()[:40]
    commands = [line for line in top if line.startswith("    python3 -m venv .venv")]

    assert len(commands) == 2
    assert commands[0].endswith(".venv/bin/middlewatch demo")
    assert ".venv/bin/pytest" in commands[1]
    for command in commands:
        assert all((ROOT / file).is_file() for file in re.findall(r"-r (\S+)", command))


def test_every_file_it_shows_is_in_the_repository() -> None:
    """Pictures and files that README names are there."""
    named = re.findall(r"!\[[^]]*\]\(([^)]+)\)", README)
    named += re.findall(r"`((?:configs|tests|replay_data|daemon)/[\w./]+)`", README)

    assert named
    assert [name for name in named if not (ROOT / name).exists()] == []


def test_the_caution_stands_there_in_full() -> None:
    """An aid: what comes first, and what it does not see, in so many words; never the word that promises."""
    words = " ".join(README.split())
    for caution in (
        "It is an aid.",
        "Chart, lookout, local rules and licensed practice come first.",
        "It sees no other vessel, no floating thing, nothing that was not entered, and no chart.",
    ):
        assert caution in words
    assert re.search(r"\bsafe\b", README, re.IGNORECASE) is None
