"""How a run ends: told to, or because it cannot begin; and what it does while the disk takes no more."""

import asyncio
import errno
import json
import resource
import subprocess
from pathlib import Path

from broker.aboard import BOAT
from middlewatch.journal import Journal
from middlewatch.links.sender import Skipper
from middlewatch.quantities.instants import Instant
from middlewatch.runtime.clock import Stamp
from middlewatch.runtime.tape import End, Tape
from middlewatch.settings import MqttSettings
from stories.story import (
    DEPARTURE,
    LIGHT,
    PATIENCE_S,
    PROGRAM,
    Bus,
    after,
    replayed,
    reports_of,
    running,
    settings_file,
    stamped_second,
    watcher,
    whole_second,
)


async def test_told_to_end_it_keeps_all_and_says_offline(tmp_path: Path, plain: MqttSettings) -> None:
    """SIGTERM: the journal holds the last second told, the retained status is offline, the exit is 0."""
    async with Bus() as bus, watcher(plain) as watching:
        settings = settings_file(tmp_path, plain, bus.link)
        async with running(settings, "--reports", tmp_path / "reports.jsonl") as run:
            await bus.listener()
            await watching.report("status", state="online")
            await bus.send(b"".join(map(stamped_second, range(3))) + whole_second(3))
            await watching.position_at(after(3))
            await run.terminate()
            await watching.report("status", state="offline")

    async with watcher(plain) as latecomer:
        assert (await latecomer.report("status"))["state"] == "offline"
    with Journal.open(tmp_path / "boat.db") as journal:
        loaded = journal.load()
    assert loaded.snapshot is not None
    assert str(Instant(loaded.snapshot.at_ms)) == after(3)
    assert str(Instant(1000 * loaded.rows[-1][0])) == after(3)
    assert reports_of(tmp_path / "reports.jsonl", "position")[-1]["at"] == after(3)


async def test_a_journal_in_other_hands(tmp_path: Path, plain: MqttSettings) -> None:
    """A second run on the same journal ends at once, with exit 2 and one line; the first goes on."""
    async with Bus() as bus, watcher(plain) as watching:
        settings = settings_file(tmp_path, plain, bus.link)
        async with running(settings) as run:
            await bus.listener()
            second = await asyncio.to_thread(_run_to_its_end, settings)
            await bus.send(stamped_second(0) + whole_second(1))
            await watching.position_at(after(1))
            await run.terminate()

    assert second.returncode == 2
    (line,) = second.stderr.splitlines()
    assert "has this journal open" in line
    assert "boat.db" in line


def test_settings_that_cannot_be_used(tmp_path: Path) -> None:
    """Unusable settings end a run with exit 2 and one line that names file, key and what was found."""
    file = tmp_path / "boat.toml"
    file.write_text('[satellite_watch]\nlimit_nm = "half a mile"\n')

    ended = _run_to_its_end(file)

    assert ended.returncode == 2
    (line,) = ended.stderr.splitlines()
    for word in ("boat.toml", "limit_nm", "half a mile"):
        assert word in line


def test_settings_that_are_not_there(tmp_path: Path) -> None:
    """A settings file that does not exist ends a run with exit 2 and one line that names it."""
    ended = _run_to_its_end(tmp_path / "nowhere.toml")

    assert ended.returncode == 2
    (line,) = ended.stderr.splitlines()
    assert "nowhere.toml" in line


def _run_to_its_end(settings: Path) -> "subprocess.CompletedProcess[str]":
    command = [str(PROGRAM), "run", "--settings", str(settings)]
    return subprocess.run(command, capture_output=True, text=True, check=False, timeout=PATIENCE_S)


async def test_while_the_disk_refuses_no_entry_is_answered(tmp_path: Path, plain: MqttSettings) -> None:
    """A disk that takes no more raises the journal's alert, and an entry is answered only once it does again.

    A limit on the size of files is what refuses. The run replays byte for byte, where nothing refuses.
    """
    recording, reports = tmp_path / "bus.nmea", tmp_path / "reports.jsonl"
    async with Bus() as bus, watcher(plain) as watching, Skipper(plain, BOAT) as skipper:
        settings = settings_file(tmp_path, plain, bus.link)
        async with running(settings, "--record", recording, "--reports", reports) as run:
            await bus.listener()
            await bus.send(b"".join(map(stamped_second, range(12))) + whole_second(12))
            await watching.position_at(after(12))
            assert await skipper.send("order", {"id": "d1", **DEPARTURE})
            _limit(run.process.pid, (tmp_path / "boat.db-wal").stat().st_size)
            bearing = {"id": "b1", "kind": "bearing", "mark": LIGHT, "bearing_deg": 330}
            sent = asyncio.create_task(skipper.send("sighting", bearing, wait_s=PATIENCE_S))
            await watching.report("alert/journal", state="active")
            await bus.send(b"".join(map(stamped_second, range(12, 20))) + whole_second(20))
            await watching.position_at(after(20))
            assert not sent.done()
            _limit(run.process.pid, resource.RLIM_INFINITY)
            await bus.send(b"".join(map(stamped_second, range(20, 22))) + whole_second(22))
            answer = await sent
            await watching.report("alert/journal", state="normal")
            await run.terminate()

    assert answer is not None
    assert (answer["accepted"], answer["repeat"]) == (True, False)
    with Journal.open(tmp_path / "boat.db") as journal:
        loaded = journal.load()
    assert [json.loads(entry.text)["id"] for entry in loaded.entries] == ["d1", "b1"]
    assert [row[0] - loaded.rows[0][0] for row in loaded.rows] == list(range(23))
    replayed(recording, tmp_path / "again.jsonl", "--settings", settings)
    assert (tmp_path / "again.jsonl").read_bytes() == reports.read_bytes()


def _limit(process: int, size: int) -> None:
    """Let a process write no file beyond a size."""
    _, hardest = resource.prlimit(process, resource.RLIMIT_FSIZE)
    resource.prlimit(process, resource.RLIMIT_FSIZE, (size, hardest))


async def test_a_full_disk_under_the_reports_does_not_end_the_watch(
    tmp_path: Path, plain: MqttSettings
) -> None:
    """Where the file of `--reports` takes no more, that is said once and the reckoning goes on."""
    async with Bus() as bus, watcher(plain) as watching:
        settings = settings_file(tmp_path, plain, bus.link)
        async with running(settings, "--reports", "/dev/full") as run:
            await bus.listener()
            await bus.send(b"".join(map(stamped_second, range(3))) + whole_second(3))
            alert = await watching.report("alert/journal", priority="caution")
            await bus.send(b"".join(map(stamped_second, range(4, 8))) + whole_second(8))
            await watching.position_at(after(8))
            await run.terminate()

    assert alert["text"].startswith(
        "the file of the reports takes no more (No space left on device): it ends here, the watch goes on"
    )


def test_a_tape_on_a_full_disk_ends_and_says_so_once(tmp_path: Path) -> None:
    """Where the file of `--record` takes no more, the tape ends, says why, and takes no harm by more."""
    (tmp_path / "recording").symlink_to("/dev/full")
    lost: list[OSError] = []
    tape = Tape(tmp_path / "recording", Instant, lost.append)

    for second in range(3):
        tape.line("bow", b"$HCHDG,101.1,,,,*71", Stamp(1000 * second, 1000 * second))
    tape.rare(End(3000), Stamp(3000, 3000))
    tape.close()

    assert [fault.errno for fault in lost] == [errno.ENOSPC]
    assert (tmp_path / "recording.entries.jsonl").read_bytes() == b""


async def test_a_fault_of_the_run_before_is_over_at_a_start(tmp_path: Path, plain: MqttSettings) -> None:
    """An input that was away when a run ended, and is there when the next begins, is no alert any more."""
    async with watcher(plain) as watching, Bus() as bus:
        nobody = 'link = "file"\npath = "missing.nmea"'
        async with running(settings_file(tmp_path, plain, nobody, stamp="arrival")) as run:
            assert (await watching.report("alert/input"))["state"] == "active"
            await run.terminate()
        async with running(settings_file(tmp_path, plain, bus.link, stamp="arrival")) as run:
            await bus.listener()
            await watching.report("alert/input", state="normal")
            await run.terminate()
