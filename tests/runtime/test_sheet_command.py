"""The command `sheet`: from a file of reports to a sheet and words, and what it refuses."""

import gzip
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from typer.testing import CliRunner, Result

from middlewatch.cli import app
from middlewatch.links.page import SheetView
from middlewatch.plotting.plot import Plot
from middlewatch.plotting.plotter import Plotter
from middlewatch.quantities.instants import Instant
from middlewatch.quantities.positions import Position
from middlewatch.reports import Report
from middlewatch.runtime.page_desk import SheetDesk
from middlewatch.runtime.sheet import plotted
from middlewatch.settings import defaults
from middlewatch.wire.topics import reports_line
from plotting.everything import PLOT, POSITION, SATELLITE

AT = Instant.parse("2026-05-02T22:30:00Z")
TOLD: tuple[Report, ...] = (POSITION, *PLOT.fixes, SATELLITE)


@pytest.fixture
def reports(tmp_path: Path) -> Path:
    """Write a file of reports as the daemon writes it."""
    file = tmp_path / "reports.jsonl"
    file.write_text("".join(reports_line(AT, report) + "\n" for report in TOLD), "utf-8")
    return file


@pytest.fixture
def settings(tmp_path: Path) -> Path:
    """Write settings with a convention of their own."""
    file = tmp_path / "boat.toml"
    file.write_text('[sheet]\nsymbols = "imo"\n', "utf-8")
    return file


def sheet(*arguments: object) -> Result:
    """Run the command."""
    return CliRunner().invoke(app, ["sheet", *map(str, arguments)])


def test_the_file_gives_the_plot_that_the_reports_gave(reports: Path) -> None:
    """Read from the file, places are those of the reports themselves to the published rounding."""
    plotter = Plotter()
    for report in TOLD:
        plotter.take(report)
    live, read = plotter.plot(), plotted(str(reports))

    assert _places(read) == pytest.approx(_places(live), abs=1e-6)
    assert [fix.id for fix in read.fixes] == [fix.id for fix in live.fixes]
    assert read.satellite is not None
    assert read.satellite.state == "apart"


def _places(plot: Plot) -> list[float]:
    """Return all the degrees of a plot, one after the other."""
    assert plot.position is not None
    assert plot.position.area is not None
    places = [Position(*corner) for part in plot.position.area.outline.corners_deg() for corner in part]
    places += [place for dr in plot.drs for place in dr.path]
    places += [Position(line.latitude_deg, line.longitude_deg) for fix in plot.fixes for line in fix.lines]
    return [degrees for place in places for degrees in (place.latitude_deg, place.longitude_deg)]


def test_a_sheet_is_drawn_true_to_paper_and_scale(reports: Path, settings: Path, tmp_path: Path) -> None:
    """--paper, --scale and --night are kept, the convention is that of the settings, packed is taken too."""
    out, packed = tmp_path / "sheet.svg", tmp_path / "reports.jsonl.gz"
    packed.write_bytes(gzip.compress(reports.read_bytes()))

    done = sheet(packed, "--settings", settings, "--out", out, "--paper", "a3", "--scale", 75_000, "--night")

    assert (done.exit_code, done.output) == (0, "")
    root = ET.fromstring(out.read_text("utf-8"))  # noqa: S314 -- our own document
    assert {root.get("width"), root.get("height")} == {"420mm", "297mm"}
    words = {text.text for text in root.iter("{http://www.w3.org/2000/svg}text")}
    assert any(each and "1:75000" in each for each in words)
    assert "TPL 2130-2200" in words


def test_words_say_what_to_pencil(reports: Path) -> None:
    """Without --out, or with --words, the lines to pencil are printed."""
    done = sheet(reports)

    assert done.exit_code == 0
    assert "2200 R Fix at 46 57.9 N 034 00.6 W; label 2200 R Fix" in done.output
    assert done.output == sheet(reports, "--words").output


def test_what_does_not_fit_is_refused_in_a_line(reports: Path, tmp_path: Path) -> None:
    """Exit 2, one line, which names the scale that would do; no file is left behind."""
    out = tmp_path / "sheet.svg"
    done = sheet(reports, "--out", out, "--scale", 1000)

    assert done.exit_code == 2
    assert done.output.startswith("the plot does not fit A4 at 1:1000; 1:")
    assert done.output.count("\n") == 1
    assert not out.exists()


def test_a_file_that_holds_no_reports_is_refused(tmp_path: Path, reports: Path) -> None:
    """What is no report is refused with its line's number; a last line cut short by an outage is not."""
    broken = tmp_path / "broken.jsonl"
    broken.write_bytes(b"{}\n" + reports.read_bytes())
    refused = sheet(broken)
    broken.write_bytes(reports.read_bytes()[:-40])

    assert refused.exit_code == 2
    assert "line 1: found {}, wanted a report" in refused.output
    assert refused.output.count("\n") == 1
    assert sheet(broken).exit_code == 0
    assert sheet(tmp_path / "nowhere.jsonl").exit_code == 2


def test_what_is_too_long_for_one_sheet_goes_on_numbered_ones(reports: Path, tmp_path: Path) -> None:
    """At a scale that does not fit one sheet several files are written, each true, and told of in a line."""
    out = tmp_path / "sheet.svg"
    done = sheet(reports, "--out", out, "--scale", 10_000, "--sun")
    files = sorted(tmp_path.glob("sheet-*.svg"))

    assert (done.exit_code, done.stdout) == (0, "")
    assert done.stderr == f"{len(files)} sheets: {files[0]} to {files[-1]}\n"
    assert len(files) > 1
    assert not out.exists()
    for n, file in enumerate(files, 1):
        text = file.read_text("utf-8")
        assert f"plotting sheet {n} of {len(files)}," in text
        assert "1:10000" in text
        assert 'fill="#ffffff" class="paper"' in text


def test_the_page_steps_through_the_sheets_of_a_passage() -> None:
    """The desk draws the sheet of that number at that scale, the last for one beyond it, and says which."""
    desk = SheetDesk(defaults())
    for report in TOLD:
        desk.take(report)
    first, third, beyond = (desk.image(SheetView("sun", 90.0, 120.0, None, 20_000.0, n)) for n in (1, 3, 999))

    assert (first.number, third.number, beyond.number) == (1, 3, beyond.of)
    assert first.of == third.of > 3
    assert f"sheet 3 of {third.of}, 1:20000" in third.svg
    assert first.centre != third.centre
    whole = desk.image(SheetView("day", 90.0, 120.0))
    assert (whole.number, whole.of) == (1, 1)
