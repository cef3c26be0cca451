"""The real recordings: where the reckoning ends, that a berth does not creep, that satellites change nothing.

Figures of the recordings: their own SOURCES, measured there by a plain integration.
"""

import json
import re
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from middlewatch.navigator.advice.advising import UNADVISED
from middlewatch.quantities.instants import Instant
from middlewatch.wire.lines import checksum
from middlewatch.wire.nmea import SATELLITE_TALKERS
from middlewatch.wire.recording import Recording
from stories.story import Json, answers_of, replayed, reports_of, sightings_file

ADRIATIC = "adriatic_yacht_2022-10-16.nmea"
STUCK_LOG = "bay_stucklog_2020-05-10.nmea"
BERTHS = ("berth_2017-04-25.nmea", "berth_2020-02-08.nmea")
EVERY = (ADRIATIC, STUCK_LOG, "bay_underway_2019-12-29.nmea", *BERTHS)

FIRST_PLACE = {"latitude_deg": 45 + 29.9912 / 60, "longitude_deg": 13 + 34.6180 / 60}
"""The Adriatic yacht's first satellite position, as the file's first line has it."""


def departure(at: str, place: Json) -> Json:
    """Return a departure ordered as a plain position, heard then."""
    return {"id": "d1", "kind": "departure", **place, "heard_at": at}


def test_the_yacht_ends_where_a_plain_integration_ends(recordings: Path, tmp_path: Path) -> None:
    """After 9.8 min the Adriatic yacht's DR is 0.06 nm from the satellite position (by SOURCES: 0.063)."""
    reports = tmp_path / "reports.jsonl"
    sightings = sightings_file(tmp_path, departure("2022-10-16T11:40:55Z", FIRST_PLACE))
    replayed(recordings / ADRIATIC, reports, "--sightings", sightings)

    last = reports_of(reports, "satellite")[-1]
    assert 0.05 < last["gap_nm"] < 0.08
    # SOURCES: the satellite position lies about 035 from the reckoning.
    assert 0 < last["bearing_deg"] < 70
    position = reports_of(reports, "position")[-1]
    assert position["basis"]["heading"]["source"] == "HCHDG@bus"
    assert position["basis"]["speed"]["source"] == "VWVHW@bus"


@pytest.mark.parametrize("berth", BERTHS)
def test_a_berth_does_not_creep(recordings: Path, tmp_path: Path, berth: str) -> None:
    """Alongside, the DR runs less than 0.02 nm, with the log heard at rest."""
    reports = tmp_path / "reports.jsonl"
    first = str(next(_times(recordings / berth)))
    sightings = sightings_file(tmp_path, departure(first, {"latitude_deg": 38.0, "longitude_deg": -122.0}))
    replayed(recordings / berth, reports, "--sightings", sightings)

    last = reports_of(reports, "position")[-1]
    assert last["dr"]["run_nm"] < 0.02
    assert (last["speed_kn"], last["basis"]["speed"]["source"]) == (0.0, "VWVHW@bus")


def test_a_stuck_log_is_not_made_up_for(recordings: Path, tmp_path: Path) -> None:
    """The stuck log's 0.00 kn stand to the end, from its own source, and the DR goes nowhere."""
    reports = tmp_path / "reports.jsonl"
    first = str(next(_times(recordings / STUCK_LOG)))
    sightings = sightings_file(tmp_path, departure(first, {"latitude_deg": 37.8, "longitude_deg": -122.3}))
    replayed(recordings / STUCK_LOG, reports, "--sightings", sightings)

    positions = reports_of(reports, "position")
    assert (positions[-1]["speed_kn"], positions[-1]["basis"]["speed"]["source"]) == (0.0, "VWVHW@bus")
    assert {each["speed_kn"] for each in positions} <= {0.0, None}
    assert {each["basis"]["speed"]["source"] for each in positions} <= {
        "VWVHW@bus",
        "bridged",
        "held",
        "none",
    }
    # The departure is worked at the first tick, after what that tick reports.
    assert {each["dr"]["run_nm"] for each in positions[1:]} == {0.0}


# --- independence ------------------------------------------------------------------------------------------

_SENTENCE = re.compile(rb"(.*[$])([A-Z]{2})([A-Z]{3})(,[^*]*)(\*..)?([\r\n]*)", re.DOTALL)
_RECEIVERS_WORD = (b"RMC", b"VTG", b"GGA", b"GLL", b"GNS", b"ZDA", b"GST", b"GBS")
_GROUND = {b"VLW": range(4, 8), b"VBW": range(3, 6)}
"""Fields of water sentences that are made over ground, counted from 0 behind the address."""
_TIME_FIELDS = {b"RMC": (0, 8), b"ZDA": range(6), b"GGA": (0,), b"GLL": (4,), b"GNS": (0,), b"VTG": ()}


def _from_satellites(talker: bytes, formatter: bytes) -> bool:
    return formatter in _RECEIVERS_WORD or talker.decode() in SATELLITE_TALKERS


def without(line: bytes) -> bytes:
    """Leave a line out if it is from satellites."""
    found = _SENTENCE.fullmatch(line)
    return b"" if found is not None and _from_satellites(found[2], found[3]) else line


def blanked(line: bytes) -> bytes:
    """Empty what is from satellites in a line, its time excepted, and seal it anew."""
    found = _SENTENCE.fullmatch(line)
    if found is None:
        return line
    before, talker, formatter, rest, sealed, end = found.groups()
    fields = rest[1:].split(b",")
    if _from_satellites(talker, formatter):
        kept = _TIME_FIELDS.get(formatter, ())
        fields = [each if place in kept else b"" for place, each in enumerate(fields)]
    elif formatter in _GROUND:
        fields = [b"" if place in _GROUND[formatter] else each for place, each in enumerate(fields)]
    else:
        return line
    if sealed is None or checksum(talker + formatter + rest).encode() != sealed[1:].upper():
        return line  # broken, and so not heard: not to be mended by the way
    body = talker + formatter + b"," + b",".join(fields)
    return before + body + b"*" + checksum(body).encode() + end


@pytest.mark.parametrize("name", EVERY)
def test_satellites_blanked_change_nothing(recordings: Path, tmp_path: Path, name: str) -> None:
    """With the satellite fields emptied, positions, fixes and answers are the same to the last byte.

    Of the unstamped recordings the times stay in, for they are all that tells when anything was heard.
    """
    whole, other = _both(recordings / name, tmp_path, blanked)

    assert whole == other
    assert len(whole) > 40


def test_satellites_taken_away_change_nothing(recordings: Path, tmp_path: Path) -> None:
    """With the satellite lines taken out of a stamped recording, the seconds that both cover are the same."""
    whole, other = _both(recordings / ADRIATIC, tmp_path, without)

    common = set(_seconds(whole)) & set(_seconds(other))
    assert len(common) > 580
    assert [line for line in whole if _second(line) in common] == [
        line for line in other if _second(line) in common
    ]


def _both(recording: Path, folder: Path, change: Callable[[bytes], bytes]) -> tuple[list[str], list[str]]:
    """Replay a recording as it is and changed, with entries; return positions, fixes and answers of both."""
    times = list(_times(recording))
    first, middle, late = times[0], times[len(times) // 3], times[len(times) // 2]
    light = {"latitude_deg": 45.52, "longitude_deg": 13.6}
    sightings = sightings_file(
        folder,
        departure(first, FIRST_PLACE),
        {"id": "b1", "kind": "bearing", "mark": light, "bearing_deg": 30, "heard_at": middle},
        {"id": "b2", "kind": "bearing", "mark": light, "bearing_deg": 90, "heard_at": late},
    )
    altered = folder / "changed.nmea"
    raw = recording.read_bytes().splitlines(keepends=True)
    altered.write_bytes(b"".join(map(change, raw)))
    assert altered.read_bytes() != recording.read_bytes()
    found = []
    for file in (recording, altered):
        reports = folder / "reports.jsonl"
        replayed(file, reports, "--sightings", sightings)
        assert answers_of(reports)["d1"]["accepted"] is True
        found.append(list(_of_the_reckoning(reports)))
    return found[0], found[1]


def _of_the_reckoning(reports: Path) -> Iterator[str]:
    """Yield the lines that satellites must not touch; of advice what is advised, when that is another."""
    advised: tuple[object, object] | None = None
    for line in reports.read_text().splitlines():
        if line.startswith(('{"topic":"satellite"', '{"topic":"alert', '{"topic":"sound"')):
            continue
        if not line.startswith('{"topic":"advice"'):
            yield line
            continue
        report = json.loads(line)["report"]
        now = report["text"], report.get("sight")
        if now not in (advised, (UNADVISED, None)):
            yield json.dumps({"topic": "advice", "at": report["at"], "advised": now}, separators=(",", ":"))
            advised = now


def _seconds(lines: list[str]) -> Iterator[str]:
    return (_second(line) for line in lines if line.startswith('{"topic":"position"'))


def _second(line: str) -> str:
    found = re.search(r'"at":"([^"]*)"', line)
    assert found is not None
    return found[1]


def _times(recording: Path) -> Iterator[str]:
    with recording.open("rb") as lines:
        for line in Recording(lines):
            yield str(Instant(line.at_ms))
