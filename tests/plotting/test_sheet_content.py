"""What stands on the sheet: each thing by its class and id, in each convention, by day and night."""

from dataclasses import replace
from resource import RUSAGE_SELF, getrusage
from statistics import median

import pytest

from middlewatch.plotting.conventions import CONVENTIONS, Symbols
from middlewatch.plotting.drawing import drawn_sheet
from middlewatch.plotting.palette import DAY, PALETTES, SUN, LightName
from middlewatch.plotting.paper import Look, laid_out, sheet_about
from middlewatch.plotting.plot import Charted, Plot
from middlewatch.plotting.titling import CAUTION
from middlewatch.quantities.positions import Position
from plotting.conftest import Sailed
from plotting.everything import CHARTED, PLOT
from plotting.paperwork import Drawing

MIDDLE = Position(46.97, -34.0)
SYMBOLS: tuple[Symbols, ...] = ("us", "uk", "imo")


def drawn(plot: Plot = PLOT, charted: Charted = CHARTED, look: Look | None = None) -> Drawing:
    """Draw a plot on A4 lengthwise at 1:75 000."""
    return Drawing.of(drawn_sheet(plot, charted, sheet_about(MIDDLE, 75_000.0, 297.0, 210.0, look or Look())))


@pytest.mark.parametrize("light", list(PALETTES))
@pytest.mark.parametrize("symbols", SYMBOLS)
def test_everything_is_there(symbols: Symbols, light: LightName) -> None:
    """Every kind of thing is on the sheet, once for each that the plot has."""
    look = Look(PALETTES[light], CONVENTIONS[symbols])
    drawing = drawn(look=look)
    wanted = {
        ("graticule",): 1, ("latitude-scale",): 1, ("longitude-scale",): 1, ("scale-bar",): 1,
        ("rose", "true"): 1, ("rose", "magnetic"): 1, ("mark",): 2, ("mark", "light"): 1, ("sector",): 3,
        ("danger", "point"): 1, ("danger", "line"): 1, ("danger", "area"): 1, ("contour",): 1,
        ("dr",): 2, ("dr", "replaced"): 1, ("dr-point", "departure"): 1, ("dr-point", "hour"): 1,
        ("dr-point", "course"): 1, ("dr-point", "now"): 1, ("ep",): 1, ("carried",): 1, ("area-outline",): 1,
        ("fix",): 3, ("fix", "running"): 1, ("fix", "withdrawn"): 1, ("set-and-drift",): 1,
        ("lop", "transferred"): 1, ("lop", "ray"): 5, ("lop", "circle"): 1, ("lop", "point"): 1,
        ("lop", "withdrawn"): 1, ("lop", "open"): 1, ("satellite",): 1, ("title",): 1,
    }  # fmt: skip

    assert {kinds: len(drawing.groups(*kinds)) for kinds in wanted} == wanted
    assert len([each for each in drawing.root.iter() if each.get("class") == "cocked-hat"]) == 1
    assert len([each for each in drawing.root.iter() if each.get("class") == "rival"]) == 1


@pytest.mark.parametrize("ink", ["chart", "pencil", "area", "danger", "red", "green", "white"])
def test_in_the_sun_every_ink_stands_out(ink: str) -> None:
    """Seven to one against the paper, as WCAG 2 has it (1.4.6); what is only ruled, 4.5 (1.4.3)."""
    assert contrast(getattr(SUN, ink), SUN.paper) >= 7.0
    assert contrast(SUN.print, SUN.paper) >= 4.5


def contrast(one: str, other: str) -> float:
    """Return the contrast of two colours by WCAG 2's formula (from memory)."""
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def luminance(colour: str) -> float:
    """Return the relative luminance of `#rrggbb`, by the same."""
    parts = [int(colour[n : n + 2], 16) / 255 for n in (1, 3, 5)]
    lit = [part / 12.92 if part <= 0.03928 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * lit[0] + 0.7152 * lit[1] + 0.0722 * lit[2]


def test_the_caution_and_the_time_are_printed() -> None:
    """The sheet says that it is an aid, what it does not see, of when it is, and to what scale."""
    words = drawn().words()

    assert set(CAUTION) <= set(words)
    assert "kittiwake, plotting sheet as of 2026-05-02 22:30:00 UTC" in words
    assert any("1:75000 at 47.0° N" in each and "WGS 84" in each for each in words)


def test_times_and_courses_are_written() -> None:
    """Fix, running fix, transferred line with both times, DR, EP, course, speed, set and drift are there."""
    words = set(drawn().words())
    late = next(sight.line.bearing_deg for sight in PLOT.sights if sight.id == "late")

    assert {
        "2200 R Fix", "2201 Fix", "2130-2200", "2100 departure", "2150", "2230 DR", "2230 EP",
        "set 350 T, drift 0.9 kn", f"2200 {late:03.0f} T", "DR of 2100, replaced 2205 2026-05-02",
    } <= words  # fmt: skip
    assert any(each.endswith("° T") for each in words)


@pytest.mark.parametrize(
    ("symbols", "label"),
    [
        ("us", "2200 R FIX"),
        ("us", "2150 DR"),
        ("uk", "2200 R Fix"),
        ("imo", "TPL 2130-2200"),
        ("imo", "2150 DR"),
    ],
)
def test_each_convention_has_its_words(symbols: Symbols, label: str) -> None:
    """The labels are those of the convention that is set."""
    assert label in drawn(look=Look(DAY, CONVENTIONS[symbols])).words()


def test_conventions_draw_differently() -> None:
    """Three conventions, three different sheets; the same convention twice, the same bytes."""
    sheets = [sheet_about(MIDDLE, 75_000.0, 297.0, 210.0, Look(DAY, CONVENTIONS[each])) for each in SYMBOLS]
    svgs = [drawn_sheet(PLOT, CHARTED, sheet) for sheet in sheets]

    assert len(set(svgs)) == 3
    assert drawn_sheet(PLOT, CHARTED, sheets[0]) == svgs[0]


def test_withdrawn_is_struck_through_and_not_left_out() -> None:
    """A withdrawn sight keeps its line, struck through, and its label is struck through and says so."""
    drawing = drawn()
    gone = drawing.group("lop-gone")

    assert [path.get("class") for path in gone if path.get("class") == "struck"] == ["struck"]
    struck = [text.text for text in drawing.root.iter() if text.get("text-decoration") == "line-through"]
    assert "withdrawn" in struck


def test_what_is_older_is_fainter() -> None:
    """Lines of the last hour have all their ink, older ones less."""
    later = replace(PLOT, at=PLOT.at and replace(PLOT.at, ms=PLOT.at.ms + 2 * 3_600_000))

    assert drawn().group("lop-late").get("opacity") == "1"
    assert drawn(later).group("lop-late").get("opacity") == "0.6"


def test_a_satellite_position_off_the_sheet_is_pointed_to() -> None:
    """Where the satellite position is far off the sheet an arrow says which way and how far."""
    assert PLOT.satellite is not None
    drawing = drawn(replace(PLOT, satellite=replace(PLOT.satellite, gap_nm=40.0)))

    assert len(drawing.groups("satellite", "off-sheet")) == 1
    assert any("40.0 nm 200 T of the EP" in each for each in drawing.words())


def test_a_sheet_is_drawn_in_time(sailed: Sailed) -> None:
    """A live sheet of the demo's passage takes under 50 ms of the processor, by the middle one of nine."""
    spent = []
    for _ in range(9):
        before = getrusage(RUSAGE_SELF).ru_utime
        drawn_sheet(sailed.plot, sailed.charted, laid_out(sailed.plot, sailed.charted))
        spent.append(getrusage(RUSAGE_SELF).ru_utime - before)

    assert median(spent) < 0.050


def test_an_empty_plot_is_a_sheet_that_says_so() -> None:
    """Before anything was heard there is a sheet with its graticule, and it says that nothing is plotted."""
    drawing = drawn(Plot(), Charted("kittiwake"))

    assert len(drawing.groups("graticule")) == 1
    assert any("nothing is plotted yet" in each for each in drawing.words())
    assert any("not known" in each for each in drawing.words())


def test_names_that_would_break_the_document_are_harmless() -> None:
    """A mark's name with signs of XML in it is written as it is, and the document stays well formed."""
    assert "Carrow <Head> & light" in drawn().words()


def test_the_drawing_is_as_large_as_the_paper() -> None:
    """Width and height are those of the paper in mm, and the user unit is a millimetre."""
    root = drawn().root

    assert (root.get("width"), root.get("height"), root.get("viewBox")) == ("297mm", "210mm", "0 0 297 210")
