"""The alarm report: what was raised on a passage, by what it was acknowledged, how long it stood."""

import gzip
from pathlib import Path

import pytest
from typer.testing import CliRunner

from middlewatch.cli import app
from middlewatch.quantities.instants import Instant
from middlewatch.reports.alert import AlertReport, AlertState, Pattern, Priority, SoundReport
from middlewatch.runtime.alarm_report import aggregated, lines, read_alerts
from middlewatch.runtime.reports_told import BadReports
from middlewatch.wire.topics import reports_line

START = Instant.parse("2026-05-03T01:42:00Z")


def after(seconds: int) -> Instant:
    """Return a moment."""
    return Instant(START.ms + 1000 * seconds)


def log(
    seconds: int, state: AlertState, priority: Priority = "warning", by: str | None = None, since: int = 0
) -> AlertReport:
    """Return what is said of the log."""
    return AlertReport("log", after(seconds), priority, state, "log 0, check wheel", after(since), 1, by)


def sound(seconds: int, pattern: Pattern = "warning") -> SoundReport:
    """Return that the log is heard."""
    return SoundReport(after(seconds), "log", 1, pattern, "log 0, check wheel")


def test_a_warning_acknowledged_and_over() -> None:
    """Raised, heard twice, acknowledged from the bus after 64 s, over after ten minutes."""
    story = (
        log(0, "active-unacknowledged"),
        sound(0),
        sound(60),
        log(64, "active-acknowledged", by="CAACN@bridge"),
        log(600, "normal", by="CAACN@bridge", since=600),
    )

    told, summed_up = lines(story)
    assert told == (
        "2026-05-03T01:42:00.000Z log warning: log 0, check wheel; heard 2 times; "
        "acknowledged at 01:43:04 by CAACN@bridge, after 64 s; over at 01:52:00, it stood 10 min"
    )
    assert summed_up == "1 alert, heard 2 times, 0 never acknowledged"


def test_what_nobody_acknowledged() -> None:
    """Over, and waiting still; a second one that stands at the end."""
    rectified = log(90, "rectified-unacknowledged", since=90)
    story = (log(0, "active-unacknowledged"), sound(0), rectified)

    told = list(lines(story))
    assert told[0].endswith("heard 1 time; never acknowledged; over at 01:43:30, it stood 90 s")
    assert told[-1] == "1 alert, heard 1 time, 1 never acknowledged"
    standing = list(lines((log(0, "active-unacknowledged"), sound(0))))
    assert standing[0].endswith("never acknowledged; it still stood at 01:42:00, when it was last told")


def test_a_caution_that_became_a_warning() -> None:
    """One line, with when it became graver; a caution alone wants no acknowledging."""
    story = (log(0, "active", "caution"), sound(0, "note"), log(30, "active-unacknowledged"), sound(30))

    assert next(lines(story)).startswith("2026-05-03T01:42:00.000Z log caution, warning at 01:42:30: ")
    alone = next(lines((log(0, "active", "caution"), log(30, "normal", "caution", since=30))))
    assert alone.endswith("heard 0 times; nothing to acknowledge; over at 01:42:30, it stood 30 s")


def test_something_new_has_to_be_acknowledged_anew() -> None:
    """Acknowledged, then another condition of the same subject: the acknowledgement was not for that."""
    story = (
        log(0, "active-unacknowledged"),
        log(10, "active-acknowledged", by="order"),
        log(20, "active-unacknowledged"),
    )

    assert "never acknowledged" in next(lines(story))


def test_what_was_over_before_the_passage_is_no_alert_of_it() -> None:
    """A restart says again that all is well."""
    assert list(lines((log(0, "normal"),))) == ["0 alerts, heard 0 times, 0 never acknowledged"]


def test_in_short_alike_alerts_are_one_line() -> None:
    """As a replay ends: two warnings, one acknowledged, and a caution that stands, then the sum."""
    story = (
        log(0, "active-unacknowledged"),
        sound(0),
        sound(60),
        log(64, "active-acknowledged", by="order"),
        log(100, "normal", by="order", since=100),
        log(300, "active-unacknowledged", since=300),
        sound(300),
        log(380, "rectified-unacknowledged", since=380),
        log(390, "normal", since=380),
        log(500, "active", "caution", since=500),
        log(530, "active", "caution", since=500),
    )

    warnings, caution, summed_up = aggregated(story)
    assert warnings == (
        "alert log, warning, 2 times from 01:42:00: stood 3 min in all, heard 3 times; acknowledged by order "
        "at 01:43:04; 1 never acknowledged; the newest: log 0, check wheel"
    )
    assert caution == (
        "alert log, caution, 01:50:20: stood 30 s until it was last told, and stands, heard 0 times; "
        "nothing to acknowledge; the newest: log 0, check wheel"
    )
    assert summed_up == "3 alerts, heard 3 times, 1 never acknowledged"


def test_in_short_nothing_raised_is_nothing_said() -> None:
    """A replay without an alert ends without a word of them."""
    assert list(aggregated((log(0, "normal"),))) == []


@pytest.mark.parametrize("suffix", ["", ".gz"])
def test_out_of_a_file_by_command(tmp_path: Path, suffix: str) -> None:
    """`middlewatch alerts REPORTS` prints what the reports say, written as `run --reports` writes them."""
    story = (log(0, "active-unacknowledged"), sound(0), log(64, "active-acknowledged", by="order"))
    text = "".join(f"{reports_line(each.at, each)}\n" for each in story)
    file = tmp_path / f"reports.jsonl{suffix}"
    file.write_bytes(gzip.compress(text.encode()) if suffix else text.encode())

    assert tuple(read_alerts(str(file))) == story
    done = CliRunner().invoke(app, ["alerts", str(file)])
    assert (done.exit_code, done.stdout) == (0, "".join(f"{line}\n" for line in lines(story)))


@pytest.mark.parametrize(
    "line", ['{"topic":"alert/log","report":{"at":1}}', '{"topic":"sound","report":7}', '"topic":"sound"']
)
def test_what_is_no_alert(tmp_path: Path, line: str) -> None:
    """Told in one line, with its number, and exit 2."""
    file = tmp_path / "reports.jsonl"
    position = '{"topic":"position","report":{"at":"2026-05-03T01:42:07.000Z"}}'
    file.write_text(f"{position}\n{line}\n{position}\n")

    with pytest.raises(BadReports, match=r"line 2: found .* as --reports writes it"):
        list(read_alerts(str(file)))
    assert CliRunner().invoke(app, ["alerts", str(file)]).exit_code == 2
