"""Law 1: a stream replayed whole, with satellite fields blanked, and with the lines removed says the same.

Compared: `position`, `fix`, the sight advised, and the answers, but those to `acknowledge`, `silence` and
`trust_satellites`, which hang on the satellites.
"""

import gzip
import json
import os
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from entries.entering import MARKS, payloads
from middlewatch.navigator.advice.advising import UNADVISED
from middlewatch.navigator.navigator import Navigator
from middlewatch.navigator.tuning import Tuning, VariationChoice
from middlewatch.practice.demo_passage import DEMO_MARKS, DEMO_SENSOR_CARD, DEMO_STORY, demo
from middlewatch.quantities.instants import Instant
from middlewatch.readings.entries import Entry
from middlewatch.readings.marks import Mark
from middlewatch.readings.watch import Tick
from middlewatch.reports import Report
from middlewatch.reports.advice import AdviceReport
from middlewatch.reports.answer import Answer
from middlewatch.reports.fix import FixReport
from middlewatch.reports.overboard import OverboardReport
from middlewatch.reports.position import PositionReport
from middlewatch.reports.satellite import SatelliteReport
from middlewatch.wire import entries
from middlewatch.wire.nmea import SATELLITE_TALKERS, Decoder
from middlewatch.wire.recording import Recording
from wire.sealing import sealed

_SATELLITE_FORMATTERS = ("RMC", "GGA", "GLL", "GNS", "VTG", "ZDA", "GST", "GBS")
_HANG_ON_SATELLITES = ("acknowledge", "silence", "trust_satellites")


@dataclass(frozen=True)
class Line:
    """A line of the bus and when it came."""

    at_ms: int
    text: bytes


# --- the two other streams ----------------------------------------------------------------------------------


def address_of(text: bytes) -> str:
    """Return talker and formatter of a line, empty where it has no sentence."""
    start = text.rfind(b"$")
    return text[start + 1 : start + 6].decode("ascii", "replace") if start >= 0 else ""


def from_satellites(text: bytes) -> bool:
    """Say whether a line is a satellite's: by its talker, or by what only satellites can tell."""
    address = address_of(text)
    return address[:2] in SATELLITE_TALKERS or address[2:] in _SATELLITE_FORMATTERS


def blanked(text: bytes) -> bytes:
    """Return a satellite's line with all its fields empty but units and letters' places kept, sealed anew."""
    body = text[text.rfind(b"$") + 1 :].split(b"*")[0].decode("ascii", "replace")
    address, *fields = body.split(",")
    return sealed(",".join([address, *("" for _ in fields)]))


def without_satellite_fields(lines: Iterable[Line]) -> list[Line]:
    """Return the stream with satellite fields blanked."""
    return [Line(each.at_ms, blanked(each.text)) if from_satellites(each.text) else each for each in lines]


def without_satellite_lines(lines: Iterable[Line]) -> list[Line]:
    """Return the stream with satellite lines removed."""
    return [each for each in lines if not from_satellites(each.text)]


# --- playing ------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Watch:
    """A stretch of time, the entries heard in it, and the settings."""

    first_ms: int
    last_ms: int
    heard: Sequence[Entry]
    tuning: Tuning
    marks: dict[str, Mark]

    def play(self, lines: Sequence[Line]) -> list[Report]:
        """Play the lines, ticks and entries in order of time; return all that is said."""
        navigator = Navigator(self.tuning, self.marks, entries)
        decoder = Decoder("bow", checksum_required=False, satellite_talkers=frozenset())
        said: list[Report] = []
        coming, entering = iter(lines), iter(self.heard)
        line, entry = next(coming, None), next(entering, None)
        for tick_ms in range(self.first_ms, self.last_ms + 1, 1000):
            while line is not None and line.at_ms < tick_ms:
                for reading in decoder.read(line.text, line.at_ms):
                    said += navigator.step(reading)
                line = next(coming, None)
            said += navigator.step(Tick(tick_ms))
            while entry is not None and entry.heard_ms < tick_ms + 1000:
                said += navigator.step(entry)
                entry = next(entering, None)
        return said


def of_the_reckoning(said: Iterable[Report]) -> list[str]:
    """Return what satellites must not touch, as it would be published.

    Of advice the sight advised and its words; what would settle a doubt about the satellites hangs on them.
    Of somebody overboard what is adrift with the water; beside it stands what satellites marked.
    """
    kept: list[Report] = []
    advised: AdviceReport | None = None
    for report in said:
        if isinstance(report, AdviceReport):
            if not report.sight and report.text == UNADVISED:
                continue
            if advised is None or (report.text, report.sight) != (advised.text, advised.sight):
                kept.append(replace(report, settles=None))
            advised = report
        elif isinstance(report, OverboardReport):
            water = tuple(replace(each, satellite=None) for each in report.casualties)
            kept.append(replace(report, casualties=water))
        elif isinstance(report, PositionReport | FixReport) or (
            isinstance(report, Answer) and report.kind not in _HANG_ON_SATELLITES
        ):
            kept.append(report)
    return payloads(kept)


def gaps(said: Iterable[Report]) -> list[float]:
    """Return the gaps of the satellite reports: what was there to be blanked."""
    return [
        report.gap_nm for report in said if isinstance(report, SatelliteReport) and report.gap_nm is not None
    ]


# --- any stream ---------------------------------------------------------------------------------------------

START_MS = Instant.parse("2026-05-03T01:00:00Z").ms
_talkers = st.sampled_from(["GP", "GN", "GL", "II", "HC", "VW", "IN"])
_numbers = st.sampled_from(["", "0.0", "3.5", "7.9", "95.0", "271.5", "359.9"])
_latitudes = st.sampled_from(["", "5000.0000", "5003.1234", "4959.9999"])
_deviations = st.sampled_from([",", "2.0,E", "3.0,W"])
_variations = st.sampled_from([",", "13.0,E"])
_longitudes = st.sampled_from(["", "00400.0000", "00352.4321"])


@st.composite
def sentences(draw: st.DrawFn) -> str:
    """Draw the body of any sentence we read, satellite or not, with fields as instruments fill them."""
    talker, number, other = draw(_talkers), draw(_numbers), draw(_numbers)
    latitude, longitude = draw(_latitudes), draw(_longitudes)
    word = draw(st.sampled_from(["A", "D", "E", "N", ""]))
    return talker + draw(
        st.sampled_from(
            [
                f"HDG,{number},{draw(_deviations)},{draw(_variations)}",
                f"HDM,{number},M",
                f"HDT,{number},T",
                f"THS,{number},A",
                f"VHW,{other},T,{number},M,{draw(st.sampled_from(['', '4.4', '6.1']))},N,,K",
                f"VBW,{draw(st.sampled_from(['', '5.0']))},0.1,A,9.9,0.4,A",
                f"VLW,{draw(st.sampled_from(['100.0', '100.4']))},N,1.0,N,777.0,N,8.0,N",
                f"MWV,{number},R,14.0,N,A",
                f"MWV,{number},T,14.0,N,A",
                f"MWD,{number},T,{number},M,14.0,N,7.2,M",
                f"ROT,{number},A",
                f"RMC,010000.00,{draw(st.sampled_from('AV'))},{latitude},N,{longitude},W,{number},{other},030526,13.0,E,{word}",
                f"GGA,010000.00,{latitude},N,{longitude},W,{draw(st.sampled_from('0126'))},08,1.0,,M,,M,,",
                f"GLL,{latitude},N,{longitude},W,010000.00,A,{word}",
                f"GNS,010000.00,{latitude},N,{longitude},W,AA,12,0.9,,,,",
                f"VTG,{number},T,{other},M,5.5,N,10.2,K,{word}",
                "ZDA,010000.00,03,05,2026,00,00",
            ]
        )
    )


_ENTRIES = [
    {"kind": "departure", "latitude_deg": 50.0, "longitude_deg": -4.0},
    {"kind": "departure", "mark": "Bolt Head", "bearing_deg": 248, "distance_nm": 2},
    {"kind": "bearing", "mark": "Start Point", "bearing_deg": 342},
    {"kind": "bearing", "mark": "Stoke Point", "bearing_deg": 48, "reference": "relative"},
    {"kind": "range", "mark": "Bolt Head", "distance_nm": 8},
    {"kind": "position", "latitude_deg": 50.02, "longitude_deg": -4.1, "sd_nm": 0.01, "source": "satellite"},
    {"kind": "passing", "mark": "Gammon Beacon", "side": "port", "distance_m": 300},
    {"kind": "by_hand", "speed_kn": 5},
    {"kind": "stream", "set_deg": 90, "drift_kn": 1},
    {"kind": "withdraw", "entry": "last"},
    {"kind": "adopt", "fix": "f-n3"},
    {"kind": "acknowledge", "alert": "satellite"},
    {"kind": "silence", "alert": "satellite"},
    {"kind": "quiet"},
    {"kind": "overboard"},
    {"kind": "overboard", "ago_s": 5},
    {"kind": "recovered"},
]
_SIGHTINGS = ("bearing", "range", "position", "passing")


def entry(number: int, body: dict[str, object], at_ms: int) -> Entry:
    """Return an entry as it would be heard, with an id of its own."""
    channel = "sighting" if body["kind"] in _SIGHTINGS else "order"
    return Entry(
        at_ms, "sighting" if channel == "sighting" else "order", json.dumps({"id": f"n{number}", **body})
    )


@settings(max_examples=150, deadline=None)
@given(
    bodies=st.lists(st.tuples(st.integers(0, 89_999), sentences()), min_size=5, max_size=120),
    said=st.lists(st.tuples(st.integers(1, 89), st.sampled_from(_ENTRIES)), max_size=10),
    variation=st.sampled_from(["model", "bus", "chart"]),
)
def test_any_stream_with_and_without_satellites(
    bodies: list[tuple[int, str]], said: list[tuple[int, dict[str, object]]], variation: str
) -> None:
    """Whatever is on the bus, from whichever talker: position, fix and answers are the same."""
    lines = [Line(START_MS + after_ms, sealed(body)) for after_ms, body in sorted(bodies)]
    heard = [
        entry(number, body, START_MS + second * 1000 + 500)
        for number, (second, body) in enumerate(sorted(said, key=lambda each: each[0]))
    ]
    # The one of the three sources of variation that the bus could reach is `bus`.
    choice = VariationChoice(
        "bus" if variation == "bus" else "chart" if variation == "chart" else "model", -5.0, 2026.0
    )
    watch = Watch(START_MS + 1000, START_MS + 90_000, heard, Tuning(variation=choice), MARKS)

    whole = of_the_reckoning(watch.play(lines))

    assert of_the_reckoning(watch.play(without_satellite_fields(lines))) == whole
    assert of_the_reckoning(watch.play(without_satellite_lines(lines))) == whole


# --- a passage ----------------------------------------------------------------------------------------------


def test_the_practice_passage_with_and_without_satellites() -> None:
    """Two and a half hours with entries, a receiver lost, back and drawn away: not a digit differs."""
    passage = demo()
    lines = [Line(each.at_ms, each.text.rstrip(b"\r\n")) for each in passage.lines]
    heard = [Entry(each.at_ms, each.channel, json.dumps(each.body)) for each in passage.entries]
    tuning = Tuning(sensor_card=DEMO_SENSOR_CARD)
    marks = {mark.name: mark for mark in DEMO_MARKS}
    watch = Watch(DEMO_STORY.starts_ms + 1000, DEMO_STORY.ends_ms, heard, tuning, marks)

    said = watch.play(lines)
    whole = of_the_reckoning(said)

    assert max(gaps(said)) > 1.5
    assert sum(isinstance(report, FixReport) for report in said) >= 3
    assert of_the_reckoning(watch.play(without_satellite_fields(lines))) == whole
    assert of_the_reckoning(watch.play(without_satellite_lines(lines))) == whole


# --- real recordings ----------------------------------------------------------------------------------------

_FOLDER = os.environ.get("MIDDLEWATCH_RECORDINGS")
_RECORDINGS = sorted(path for path in Path(_FOLDER).glob("*.nmea*") if path.is_file()) if _FOLDER else []


def recorded(path: Path) -> tuple[list[Line], bool]:
    """Return a recording's lines with their times, and whether those are stamps."""
    raw = gzip.decompress(path.read_bytes()) if path.suffix == ".gz" else path.read_bytes()
    recording = Recording(raw.split(b"\n"))
    lines = [Line(each.at_ms, each.text) for each in recording]
    return lines, recording.summary.stamped


@pytest.mark.skipif(not _RECORDINGS, reason="MIDDLEWATCH_RECORDINGS names no folder of recordings")
@pytest.mark.parametrize("path", _RECORDINGS, ids=lambda path: path.stem)
def test_each_recording_with_and_without_satellites(path: Path) -> None:
    """Blanked, and if it is stamped (its times are not the satellites' own) with the lines removed too."""
    lines, stamped = recorded(path)
    first_ms = lines[0].at_ms // 1000 * 1000 + 1000
    last_ms = lines[-1].at_ms
    heard = [
        entry(1, {"kind": "departure", "latitude_deg": 45.5, "longitude_deg": 13.58}, first_ms + 5500),
        entry(2, {"kind": "bearing", "mark": "Start Point", "bearing_deg": 342}, first_ms + 9500),
        entry(
            3,
            {
                "kind": "position",
                "latitude_deg": 45.5,
                "longitude_deg": 13.6,
                "sd_nm": 0.1,
                "source": "radar",
            },
            first_ms + 12500,
        ),
        entry(4, {"kind": "adopt", "fix": "f-n3"}, first_ms + 20500),
    ]
    watch = Watch(first_ms, last_ms, heard, Tuning(), MARKS)

    said = watch.play(lines)
    whole = of_the_reckoning(said)

    assert gaps(said)
    assert sum(isinstance(report, Answer) and report.accepted for report in said) == len(heard)
    assert of_the_reckoning(watch.play(without_satellite_fields(lines))) == whole
    if stamped:
        assert of_the_reckoning(watch.play(without_satellite_lines(lines))) == whole
