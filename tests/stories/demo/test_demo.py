"""The demo as a newcomer sees it: the same at every speed, readable, true to its simulation, honest."""

import re
import subprocess
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from typer.testing import CliRunner, Result

from middlewatch.cli import app
from middlewatch.practice.demo_passage import DEMO_STORY, demo
from middlewatch.practice.passage import Passage
from middlewatch.quantities.instants import MS_PER_MINUTE, MS_PER_SECOND, Instant
from middlewatch.quantities.positions import Position
from middlewatch.runtime.demo_table import Seen, demo_table
from stories.story import PROGRAM

SPEEDS = ("2000", "400")
LASTS_AT_MOST_S = 600
_PLACE = r"(\d\d) (\d\d\.\d\d) N (\d\d\d) (\d\d\.\d\d) W"


@pytest.fixture(scope="module")
def shown() -> list[str]:
    """Play the demo at two speeds, side by side, and return what each showed."""
    playing = [
        subprocess.Popen(
            [str(PROGRAM), "demo", "--speed", speed],
            text=True,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
        )
        for speed in SPEEDS
    ]
    try:
        ended = [one.communicate(timeout=LASTS_AT_MOST_S) for one in playing]
    finally:
        for one in playing:
            one.kill()
    assert [one.returncode for one in playing] == [0, 0], ended
    assert [complaints for _, complaints in ended] == ["", ""]
    return [said for said, _ in ended]


def log_of(text: str) -> list[str]:
    """Return the lines of the log, between the introduction and the table."""
    log, _ = text.split("\nWhat the passage came to")
    lines = log.splitlines()
    return lines[next(n for n, line in enumerate(lines) if line[:1].isdigit()) :]


def table_of(text: str) -> list[str]:
    """Return the rows of the table."""
    _, table = text.split("\nWhat the passage came to")
    return [line.strip() for line in table.splitlines() if re.match(r"\s+\d{4}  ", line)]


@pytest.mark.slow
class TestWhatIsShown:
    """One demo at two speeds, looked at from all sides."""

    def test_every_speed_shows_the_same(self, shown: list[str]) -> None:
        """Narration and table are the same but for the line that names the speed."""
        fast, slow = (text.splitlines() for text in shown)
        apart = [pair for pair in zip(fast, slow, strict=True) if pair[0] != pair[1]]

        assert apart == [tuple(f"Played {speed} times faster than life." for speed in SPEEDS)]

    def test_the_table_holds_what_is_promised(self, shown: list[str]) -> None:
        """Departure, bearings, the slip refused, running fixes, what befell the satellites, and the end."""
        rows = table_of(shown[0])
        subjects = [row.split("  ")[1].strip() for row in (re.sub(r"\s{2,}", "  ", row) for row in rows)]

        for subject in (
            "departure",
            "bearing carrow-2128",
            "R Fix f-carrow-2200",
            "bearing slip-2200",
            "satellites lost",
            "satellites back",
            "satellites drawn off",
            "likeliest wrong",
            "satellites astray",
            "satellites return",
            "order trust-2320",
            "order trust-2330",
            "EP at the end",
            "satellites at the end",
        ):
            assert subject in subjects
        assert [row[:4] for row in rows] == sorted(row[:4] for row in rows)

    def test_the_errors_in_the_table_are_those_of_the_log(self, shown: list[str]) -> None:
        """Each fix as noted, held against the simulated truth, is off by what the table says."""
        passage, text = demo(), " ".join(shown[0].split())
        fixes = re.findall(rf"Fix (?:\[[^]]*\] )?(f-\S+) of (\d\d)(\d\d): {_PLACE}", text)
        rows = {re.findall(r"f-\S+", row)[0]: row for row in table_of(shown[0]) if " Fix f-" in row}

        assert len(fixes) == len(rows) == 7
        for id_, hours, minutes, *figures in fixes:
            at_ms = Instant.parse(
                f"2026-05-02T{hours}:{minutes}:{'30' if id_ == 'f-senrow-2325' else '00'}Z"
            ).ms
            latitude, north, longitude, west = map(float, figures)
            place = Position(latitude + north / 60, -(longitude + west / 60))
            said_nm = float(rows[id_].split()[-2])
            # The place is noted to a hundredth of a minute, half of which is 0.005 nm; so is the error.
            assert passage.error_nm(at_ms, place) == pytest.approx(said_nm, abs=0.0125)

    def test_the_pull_is_noticed_after_it_began(self, shown: list[str]) -> None:
        """The minutes in the table are those between the pull and the time of the caution in the log."""
        cautions = [line for line in log_of(shown[0]) if re.match(r"[\d:]{8}  CAUTION: satellite", line)]
        noticed = [Instant.parse(f"2026-05-02T{line[:8]}Z").ms for line in cautions]
        first = min(at_ms for at_ms in noticed if at_ms >= DEMO_STORY.pulled_ms)
        row = next(row for row in table_of(shown[0]) if "drawn off" in row)

        assert f"caution after {(first - DEMO_STORY.pulled_ms) / MS_PER_MINUTE:.1f} min" in row

    def test_it_fits_a_hundred_columns(self, shown: list[str]) -> None:
        """No line is longer, and the table fits one screen."""
        assert max(len(line.rstrip()) for line in shown[0].splitlines()) <= 100
        assert len(shown[0].split("\nWhat the passage came to")[1].splitlines()) <= 28

    def test_no_alert_is_noted_twice_in_the_same_words(self, shown: list[str]) -> None:
        """What an alert has said stands in the log: no note of one is a repetition of another."""
        notes = re.split(r"\n(?=\d\d:\d\d:\d\d  )", "\n".join(log_of(shown[0])))
        alerts = [
            words
            for note in notes
            for words in re.findall(r"((?:CAUTION|WARNING)\b.*?)(?=\n {10}[A-Z][a-z]|\Z)", note, re.DOTALL)
        ]

        assert len(alerts) >= 10
        assert len(set(alerts)) == len(alerts)

    def test_the_last_hour_stands_in_the_log_in_order(self, shown: list[str]) -> None:
        """Caution, causes, the sight asked for, taken, the other, warning, return, refused, trusted."""
        text = " ".join("\n".join(log_of(shown[0])).split())
        stages = (
            "CAUTION: satellites parting (GP@bow): an apparent stream of 3.0 kn",
            "likeliest the compass (",
            "To settle it: a bearing of Senrow Ledge now.",
            "Skipper: bearing of Senrow Ledge",
            "bearing senrow-2255 made of the causes: the satellites",
            "To settle it: a bearing of Carrow Head now.",
            "(carrow-2258). ",
            "two lines exclude the satellite position (GP@bow)",
            "Skipper: acknowledged, the satellite alert (heard-2259).",
            "satellites jumped (GP@bow): 1.50 nm between two positions",
            "Satellite position returning: ",
            "Refused: the satellites are in quarantine",
            "Skipper: trust the satellites again (trust-2330). The satellites count again",
            "Satellite position in step with the reckoning again",
        )
        places = [text.index(stage, text.index("22:45:00")) for stage in stages]

        assert places == sorted(places)

    def test_time_goes_forward_in_the_margin(self, shown: list[str]) -> None:
        """Each line begins with its time or hangs under the line above; no time is before the last."""
        lines = log_of(shown[0])
        times = [line[:8] for line in lines if line[:1].isdigit()]

        assert all(re.match(r"\d\d:\d\d:\d\d  \S| {10}\S", line) for line in lines if line)
        assert times == sorted(set(times))

    def test_no_sentence_is_said_twice_in_a_note(self, shown: list[str]) -> None:
        """A note has each of its sentences once."""
        for note in re.split(r"\n(?=\d\d:)", "\n".join(log_of(shown[0]))):
            sentences = re.split(r"(?<=\.)\s+", note)
            assert len(sentences) == len(set(sentences)), note

    def test_each_term_is_explained_where_it_first_stands(self, shown: list[str]) -> None:
        """DR, EP and R Fix are known to who has learnt them: the first of each brings its meaning."""
        text = " ".join("\n".join(log_of(shown[0])).split())
        for term in ("DR", "EP", "R Fix"):
            first = re.search(rf"\b{term}\b( \[)?", text)
            assert first is not None
            assert first[1] == " [", term

    def test_what_the_skipper_said_stands_before_what_came_of_it(self, shown: list[str]) -> None:
        """The bearing that makes the running fix, then its line, then the fix."""
        text = "\n".join(log_of(shown[0]))
        said = text.index("Skipper: bearing of Carrow Head 001 M, taken 40 s ago (carrow-2200).")
        drawn = text.index("Pencil 2200: from Carrow Head draw")

        assert said < drawn < text.index("f-carrow-2200")

    def test_it_says_that_it_is_an_invention_and_an_aid(self, shown: list[str]) -> None:
        """Before anything else."""
        first, second = shown[0].splitlines()[:2]

        assert "our own invention" in first
        assert second == "An aid only: chart, lookout, local rules and licensed practice come first."
        assert re.search(r"\bsafe\b", shown[0], re.IGNORECASE) is None


# --- what is missing --------------------------------------------------------------------------------------


def shortened(minutes: int) -> Passage:
    """Return the first minutes of the demo's passage."""
    whole = demo()
    ends_ms = whole.starts_ms + minutes * MS_PER_MINUTE
    return Passage(
        tuple(truth for truth in whole.truths if truth.at_ms <= ends_ms),
        tuple(line for line in whole.lines if line.at_ms < ends_ms + MS_PER_SECOND),
        tuple(entry for entry in whole.entries if entry.at_ms < ends_ms),
    )


def played(monkeypatch: pytest.MonkeyPatch, passage: Passage, *options: str) -> Result:
    """Play another passage than the demo's own."""
    monkeypatch.setattr("middlewatch.runtime.demo.demo", lambda: passage)
    return CliRunner().invoke(app, ["demo", "--speed", "5000", *options])


def test_a_demo_that_misses_something_ends_with_1(monkeypatch: pytest.MonkeyPatch) -> None:
    """Cut off after four minutes it has its departure, and names everything else that it promises."""
    result = played(monkeypatch, shortened(4))

    assert result.exit_code == 1
    assert "departure" in "".join(table_of(result.stdout))
    assert result.stderr == (
        "the demo misses: a bearing, a running fix, a word on satellites lost, a word on satellites back,"
        " a warning of satellites drawn off, a word on what is likeliest wrong, satellites drawn off to the"
        " last, satellites in quarantine, satellites trusted again, set and drift\n"
    )


def test_a_demo_without_a_departure_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    """No departure, no reckoning to the end: both are named."""
    result = played(monkeypatch, replace(shortened(4), entries=()))

    assert result.exit_code == 1
    assert "a departure" in result.stderr
    assert "the reckoning to the end" in result.stderr


def test_an_entry_nobody_answered_is_missed() -> None:
    """Its id stands first among what is missing."""
    assert demo_table(shortened(4), Seen(), ["carrow-2200"]).missing[0] == "an answer to carrow-2200"


def test_the_picture_is_whole_and_fetches_nothing(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """What is drawn is the terminal's text as SVG, with no address in it but that of SVG itself."""
    file = tmp_path / "demo.svg"
    result = played(monkeypatch, shortened(4), "--picture", str(file))
    drawn = ET.fromstring(file.read_text(encoding="utf-8"))  # noqa: S314 - it is our own
    text = "".join(drawn.itertext()).replace("\xa0", " ")

    assert "$ middlewatch demo" in text
    assert "Skipper: departure, Orran Perch" in text
    assert "What the passage came to" in text
    assert re.findall(r"https?://[^\"\s]+", file.read_text(encoding="utf-8")) == [
        "http://www.w3.org/2000/svg"
    ]
    assert result.stdout.count("What the passage came to") == 1
