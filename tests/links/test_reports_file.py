"""The line file: begun empty, each line out of our hands as soon as it is written."""

from pathlib import Path

import pytest

from middlewatch.links.reports_file import LineFile


def test_each_line_can_be_read_before_the_file_is_closed(tmp_path: Path) -> None:
    """A daemon killed after a line has not lost it."""
    path = tmp_path / "reports.jsonl"

    with LineFile(path) as lines:
        lines.write('{"topic": "position"}')
        assert path.read_bytes() == b'{"topic": "position"}\n'
        lines.write("0.5° T")
        assert path.read_text(encoding="utf-8") == '{"topic": "position"}\n0.5° T\n'


def test_what_was_in_the_file_goes(tmp_path: Path) -> None:
    """A run's file holds that run and nothing before it."""
    path = tmp_path / "reports.jsonl"
    path.write_text("an older run\n")

    LineFile(path).close()

    assert path.read_bytes() == b""


def test_bytes_that_are_no_text_pass_unchanged(tmp_path: Path) -> None:
    """A garbled line is recorded as it was heard."""
    path = tmp_path / "passage.nmea"
    garbled = b"$HCHDM,\xff38.0,M"

    with LineFile(path) as lines:
        lines.write(garbled.decode("utf-8", "surrogateescape"))

    assert path.read_bytes() == garbled + b"\n"


def test_a_missing_folder_is_said_at_once(tmp_path: Path) -> None:
    """A file that cannot be begun is a fault before the run, not in the middle of it."""
    with pytest.raises(FileNotFoundError):
        LineFile(tmp_path / "nowhere" / "reports.jsonl")


def test_two_lines_are_not_written_as_one(tmp_path: Path) -> None:
    """Text with a line end inside would be read back as something else: refused, and nothing written."""
    path = tmp_path / "reports.jsonl"

    with LineFile(path) as lines, pytest.raises(ValueError, match="more than one line"):
        lines.write("one\ntwo")

    assert path.read_bytes() == b""


def test_a_full_disk_is_said_at_the_line_it_could_not_take() -> None:
    """The fault comes from the write that failed, not from a later one."""
    with LineFile(Path("/dev/full")) as lines, pytest.raises(OSError, match="No space left on device"):
        lines.write("one")
