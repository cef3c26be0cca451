"""The command `replay`: what it takes, what it refuses, and what it says at the end."""

import gzip
import json
from pathlib import Path

import pytest

from stories.story import (
    DEPARTURE,
    LIGHT,
    Json,
    after,
    answers_of,
    replay,
    replayed,
    reports_of,
    sealed,
    sentences,
    sightings_file,
    stamped_second,
    whole_second,
)

LASTS_S = 60
STAMPED = b"".join((*map(stamped_second, range(LASTS_S)), whole_second(LASTS_S)))
UNSTAMPED = b"".join(each + b"\r\n" for second in range(LASTS_S + 1) for each in sentences(second))
SPEAKS_FIRST = {"id": "d1", **DEPARTURE, "heard_at": after(0)}


@pytest.fixture
def recording(tmp_path: Path) -> Path:
    """Write a stamped recording of a minute."""
    file = tmp_path / "bus.nmea"
    file.write_bytes(STAMPED)
    return file


def test_a_packed_recording_and_standard_input_are_the_same(recording: Path, tmp_path: Path) -> None:
    """A recording, the same packed, and the same on standard input give the same reports."""
    packed = tmp_path / "bus.nmea.gz"
    packed.write_bytes(gzip.compress(STAMPED))
    plain, unpacked, read = (tmp_path / name for name in ("plain", "unpacked", "read"))
    replayed(recording, plain)
    replayed(packed, unpacked)
    replayed("-", read, stdin=STAMPED)

    assert plain.read_bytes() == unpacked.read_bytes() == read.read_bytes()
    assert len(reports_of(plain, "position")) == LASTS_S + 1


def test_an_unstamped_recording_takes_its_time_from_a_sentence(tmp_path: Path) -> None:
    """Without stamps the time comes from RMC, and the summary names it and says what that means."""
    file, reports = tmp_path / "bus.nmea", tmp_path / "reports.jsonl"
    file.write_bytes(UNSTAMPED)

    summary = replayed(file, reports)

    assert "time by GPRMC (unstamped" in summary
    positions = reports_of(reports, "position")
    assert (positions[0]["at"], positions[-1]["at"]) == (after(0), after(LASTS_S))


def test_the_summary_closes_on_standard_error(recording: Path, tmp_path: Path) -> None:
    """The summary says how much was heard, what steered, and what became of entries and reckoning."""
    sightings = sightings_file(
        tmp_path, SPEAKS_FIRST, {"kind": "bearing", "bearing_deg": 999, "at": after(9)}
    )

    summary = replayed(recording, tmp_path / "reports.jsonl", "--sightings", sightings)

    assert "181 lines over 1.0 min from 2026-05-03T01:55:00.000Z, time by its TAG stamps" in summary
    assert "heading by HCHDG@bus, speed by VWVHW@bus" in summary
    assert "1 accepted, 1 refused" in summary
    assert "DR ran" in summary


def test_without_reports_it_says_only_the_summary(recording: Path) -> None:
    """Without `--reports` it writes nothing but the summary, and ends well."""
    done = replay(recording)

    assert (done.returncode, done.stdout) == (0, "")
    assert "no departure: no reckoned position" in done.stderr


# --- sightings ---------------------------------------------------------------------------------------------

BEARING: Json = {"id": "b1", "kind": "bearing", "mark": LIGHT, "bearing_deg": 330, "at": after(20)}


def test_a_sighting_heard_late_is_worked_at_its_own_time(recording: Path, tmp_path: Path) -> None:
    """`heard_at` is when it is answered; line and residual are those of the same sighting heard in time."""
    in_time, late = tmp_path / "in_time.jsonl", tmp_path / "late.jsonl"
    replayed(recording, in_time, "--sightings", sightings_file(tmp_path, SPEAKS_FIRST, BEARING))
    heard_late = {**BEARING, "heard_at": after(50)}
    replayed(recording, late, "--sightings", sightings_file(tmp_path, heard_late, SPEAKS_FIRST))

    one, other = answers_of(in_time)["b1"], answers_of(late)["b1"]
    assert (one["heard_at"], other["heard_at"]) == (after(20), after(50))
    assert {**one, "heard_at": None} == {**other, "heard_at": None}


def test_sightings_outside_the_recording_are_heard_at_its_ends(recording: Path, tmp_path: Path) -> None:
    """What is heard before the first stamp is worked at the first tick, what is after all at the last."""
    early = {"id": "d1", **DEPARTURE, "heard_at": after(-600)}
    late = {"id": "r1", "kind": "remark", "text": "alongside", "heard_at": after(LASTS_S + 600)}
    reports = tmp_path / "reports.jsonl"
    replayed(recording, reports, "--sightings", sightings_file(tmp_path, late, early))

    answers = answers_of(reports)
    assert (answers["d1"]["accepted"], answers["d1"]["at"]) == (True, after(0))
    assert (answers["r1"]["accepted"], answers["r1"]["heard_at"]) == (True, after(LASTS_S))


def test_a_refused_sighting_is_answered_and_the_replay_goes_on(recording: Path, tmp_path: Path) -> None:
    """A sighting that cannot be, and one that is misspelt, are refused by field; what follows is taken."""
    wrong = {**BEARING, "id": "b0", "bearing_deg": 361}
    misspelt = {**BEARING, "id": "b2", "bearing_degrees": 12}
    reports = tmp_path / "reports.jsonl"
    replayed(
        recording, reports, "--sightings", sightings_file(tmp_path, SPEAKS_FIRST, wrong, misspelt, BEARING)
    )

    answers = answers_of(reports)
    assert (answers["b0"]["accepted"], answers["b0"]["field"]) == (False, "bearing_deg")
    assert (answers["b2"]["accepted"], answers["b2"]["field"]) == (False, "bearing_degrees")
    assert answers["b1"]["accepted"] is True


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ('{"kind": "remark", "text": "no time"}', "found neither at nor heard_at"),
        ("not JSON at all", "wanted a JSON object"),
        ("[1, 2]", "wanted a JSON object"),
        ('{"kind": "remark", "text": "x", "at": "yesterday"}', "yesterday"),
        ('{"kind": "remark", "text": "x", "at": 17}', "found 17"),
        ('{"kind": "remark", "text": "x", "text": "y", "heard_at": "2026-05-03T01:55:00Z"}', "text twice"),
    ],
)
def test_a_sightings_file_that_cannot_be_played(
    recording: Path, tmp_path: Path, line: str, words: str
) -> None:
    """A line that says no time, or is no JSON object, ends it with exit 2 and one line with its number."""
    file = tmp_path / "sightings.jsonl"
    file.write_text(f"{json.dumps(SPEAKS_FIRST)}\n\n{line}\n")

    done = replay(recording, "--sightings", file)

    assert done.returncode == 2
    (complaint,) = done.stderr.splitlines()
    assert "line 3" in complaint
    assert words in complaint


def test_sightings_follow_a_jump_of_the_clock(tmp_path: Path) -> None:
    """A jump of eight hours is not ticked through, and what is heard by the new time comes after it."""
    eight_hours = 8 * 3600
    file, reports = tmp_path / "bus.nmea", tmp_path / "reports.jsonl"
    later = range(eight_hours, eight_hours + 20)
    file.write_bytes(b"".join(map(stamped_second, [*range(20), *later])))
    remark = {"id": "r1", "kind": "remark", "text": "awake", "heard_at": after(eight_hours + 10)}
    replayed(file, reports, "--sightings", sightings_file(tmp_path, SPEAKS_FIRST, remark))

    assert 39 <= len(reports_of(reports, "position")) <= 41
    assert answers_of(reports)["r1"]["heard_at"] == after(eight_hours + 10)


# --- what cannot be replayed -------------------------------------------------------------------------------


def test_a_recording_without_any_time(tmp_path: Path) -> None:
    """A recording in which nothing tells the time ends it with exit 2 and one line."""
    file = tmp_path / "bus.nmea"
    file.write_bytes(sealed("HCHDG,040.0,,,,") + b"\r\n" + sealed("VWVHW,,T,,M,6.0,N,,K") + b"\r\n")

    done = replay(file)

    assert (done.returncode, len(done.stderr.splitlines())) == (2, 1)
    assert "no TAG block and no sentence with a date" in done.stderr


@pytest.mark.parametrize("options", [(), ("--sightings", "missing.jsonl"), ("--settings", "missing.toml")])
def test_files_that_are_not_there(tmp_path: Path, options: tuple[str, ...]) -> None:
    """A missing file ends it with exit 2 and one line that names the file."""
    file = tmp_path / "missing.nmea"
    if options:
        file.write_bytes(STAMPED)

    done = replay(file, *(str(tmp_path / each) if each.startswith("missing") else each for each in options))

    assert (done.returncode, len(done.stderr.splitlines())) == (2, 1)
    assert "missing" in done.stderr


@pytest.mark.parametrize("line", ["{}", "[]", "rubbish", '{"after_lines": 1}'])
def test_what_stands_beside_a_recording_and_is_not_ours(recording: Path, line: str) -> None:
    """A file beside a recording that `run --record` did not write ends it with exit 2 and names the line."""
    recording.with_name("bus.nmea.entries.jsonl").write_text(f"{line}\n")

    done = replay(recording)

    assert (done.returncode, len(done.stderr.splitlines())) == (2, 1)
    assert "line 1" in done.stderr


def test_a_packed_file_that_is_none(tmp_path: Path) -> None:
    """A `.gz` that is no packed file ends it with exit 2 and one line."""
    file = tmp_path / "bus.nmea.gz"
    file.write_bytes(STAMPED)

    done = replay(file)

    assert (done.returncode, len(done.stderr.splitlines())) == (2, 1)
