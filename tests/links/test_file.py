"""Files and FIFOs: the one has an end, the other waits for its next writer."""

import asyncio
import os
from itertools import repeat
from pathlib import Path

import pytest

from links.listening import PATIENCE_S, Ear, Log, fault_of, open_descriptors, running
from middlewatch.links.file import FileLink
from middlewatch.links.supervisor import keep

HEADING = b"$HCHDM,238.0,M*20\r\n"


@pytest.fixture
def fifo(tmp_path: Path) -> Path:
    """Give a FIFO that nobody has opened."""
    path = tmp_path / "gateway"
    os.mkfifo(path)
    return path


async def test_a_file_is_read_to_its_end_and_no_further(tmp_path: Path) -> None:
    """The link hands over every byte, in chunks of 64 KiB at most, and returns."""
    recording = tmp_path / "passage.nmea"
    content = HEADING * 20_000
    recording.write_bytes(content)
    ear = Ear()

    async with asyncio.timeout(PATIENCE_S):
        await FileLink(recording).run(ear)

    assert ear.heard == content
    assert max(len(chunk) for chunk in ear.chunks) <= 65_536


async def test_an_empty_file_ends_at_once(tmp_path: Path) -> None:
    """A file of nothing hands over nothing and is no fault."""
    recording = tmp_path / "passage.nmea"
    recording.touch()
    ear = Ear()

    async with asyncio.timeout(PATIENCE_S):
        await FileLink(recording).run(ear)

    assert ear.chunks == []


async def test_a_file_leaves_everybody_else_their_turn(tmp_path: Path) -> None:
    """Between two chunks of a file, however fast the disk, the event loop goes round."""
    recording = tmp_path / "passage.nmea"
    recording.write_bytes(bytes(65_536 * 8))
    loop = asyncio.get_running_loop()
    turns = 0
    turns_at_each_chunk = []

    def go_round() -> None:
        nonlocal turns
        turns += 1
        loop.call_soon(go_round)

    go_round()
    await FileLink(recording).run(lambda _: turns_at_each_chunk.append(turns))

    assert len(turns_at_each_chunk) == 8
    assert turns_at_each_chunk == sorted(set(turns_at_each_chunk))


async def test_the_end_of_a_file_is_noted_and_the_supervisor_returns(tmp_path: Path) -> None:
    """A file that is through is said once, as what it is: nothing more will be heard."""
    recording = tmp_path / "passage.nmea"
    recording.write_bytes(HEADING)
    ear, log = Ear(), Log()

    async with asyncio.timeout(PATIENCE_S):
        await keep(FileLink(recording), ear, note=log, delays=repeat(0.0))

    assert ear.heard == HEADING
    assert log.notes == [(True, f"file {recording}: came to its end")]


async def test_a_file_cut_short_gives_no_last_line(tmp_path: Path) -> None:
    """A heading cut off by the end of the file is cancelled: it may read like a whole one."""
    recording = tmp_path / "passage.nmea"
    recording.write_bytes(HEADING + b"$HCHDM,23")
    ear = Ear()

    async with asyncio.timeout(PATIENCE_S):
        await keep(FileLink(recording), ear, note=Log(), delays=repeat(0.0))

    assert ear.heard == HEADING + b"$HCHDM,23\x18\n"


async def test_a_missing_file_is_a_fault_and_heard_once_it_is_there(tmp_path: Path) -> None:
    """A path that appears later is taken up then."""
    recording = tmp_path / "passage.nmea"
    ear, log = Ear(), Log()

    async with running(keep(FileLink(recording), ear, note=log, delays=repeat(0.002))):
        await log.until(1)
        recording.write_bytes(HEADING)
        await log.until(3)

    assert ear.heard == HEADING
    assert log.notes == [
        (True, f"file {recording}: No such file or directory"),
        (False, f"file {recording}: heard again"),
        (True, f"file {recording}: came to its end"),
    ]


async def test_a_folder_is_a_fault(tmp_path: Path) -> None:
    """A folder given for a file cannot be read, and says so."""
    assert isinstance(await fault_of(FileLink(tmp_path).run(Ear())), IsADirectoryError)


async def test_a_fifo_waits_for_its_writer_and_is_heard(fifo: Path) -> None:
    """Opening a FIFO waits for nobody; its writer is heard as it writes."""
    ear = Ear()

    async with running(FileLink(fifo).run(ear)) as life:
        assert not life.done()
        with fifo.open("wb", buffering=0) as writer:
            writer.write(HEADING)
            assert await ear.until(b"\n") == HEADING


async def test_a_fifo_outlives_its_writer(fifo: Path) -> None:
    """A writer that goes is an outage, said once; the next writer is heard without a word of ours."""
    ear, log = Ear(), Log()

    async with running(keep(FileLink(fifo), ear, note=log, delays=repeat(0.002))):
        _write(fifo, HEADING + b"$HCHDM,2")
        assert await log.until(1) == [(True, f"file {fifo}: its writer has gone")]
        await asyncio.to_thread(_write, fifo, b"8.0,M\r\n")
        assert (await log.until(2))[1] == (False, f"file {fifo}: heard again")

    assert ear.heard == HEADING + b"$HCHDM,2\x18\n8.0,M\r\n"


def _write(fifo: Path, sentences: bytes) -> None:
    with fifo.open("wb", buffering=0) as writer:
        writer.write(sentences)


async def test_cancelling_closes_the_fifo(fifo: Path) -> None:
    """A link stopped by the daemon leaves no descriptor open."""
    before = open_descriptors()

    async with running(FileLink(fifo).run(Ear())):
        assert str(fifo) in open_descriptors().values()

    assert open_descriptors() == before
