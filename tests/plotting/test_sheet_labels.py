"""Labels kept apart, measured by a real browser's own boxes; and how bright a night sheet is."""

import json
import subprocess
from pathlib import Path

import pytest

from middlewatch.plotting.conventions import CONVENTIONS
from middlewatch.plotting.drawing import drawn_sheet
from middlewatch.plotting.labels import Box, Ground, Label
from middlewatch.plotting.lettering import width_mm
from middlewatch.plotting.palette import DAY, NIGHT
from middlewatch.plotting.paper import Look, Sheet, laid_out, sheet_about
from middlewatch.plotting.pen import Hand
from middlewatch.plotting.plot import Charted, Plot
from middlewatch.quantities.positions import Position
from page.helm import CHROMIUM, chromium
from page.luminance import MOST_AT_NIGHT, brightest
from plotting.conftest import Sailed
from plotting.everything import CHARTED, PLOT

needs_chromium = pytest.mark.skipif(CHROMIUM is None, reason="chromium is missing: apt install chromium")

# Each text's four corners on the screen, as the browser draws it: its own box, turned as it is turned.
_MEASURE = """
<script>
const quads = [...document.querySelectorAll("text")].map(text => {
  const box = text.getBBox(), turn = text.getScreenCTM();
  const at = (x, y) => { const p = new DOMPoint(x, y).matrixTransform(turn); return [p.x, p.y]; };
  return [text.textContent, [at(box.x, box.y), at(box.x + box.width, box.y),
    at(box.x + box.width, box.y + box.height), at(box.x, box.y + box.height)]];
});
const natural = [...document.querySelectorAll("text")].map(text => {
  const drawn = text.getComputedTextLength();
  text.removeAttribute("textLength");
  return [text.textContent, drawn, text.getComputedTextLength()];
});
const said = JSON.stringify({quads, natural}).replace(/&/g, "&amp;").replace(/</g, "&lt;");
document.body.innerHTML = "<pre>" + said + "</pre>";
</script>
"""

Quad = list[list[float]]


def measured(svg: str, folder: Path) -> dict[str, list[list[object]]]:
    """Return what the browser says of each text of a sheet."""
    page = folder / "sheet.html"
    page.write_text(f"<!doctype html><meta charset=utf-8><body>{svg.split('?>', 1)[1]}{_MEASURE}", "utf-8")
    said = _chromium(folder, "--dump-dom", page.as_uri())
    inside = said.split("<pre>")[1].split("</pre>")[0]
    found: dict[str, list[list[object]]] = json.loads(
        inside.replace("&lt;", "<").replace("&gt;", ">").replace("&amp;", "&")
    )
    return found


def _chromium(folder: Path, *arguments: str) -> str:
    assert CHROMIUM is not None
    command = [
        CHROMIUM, "--headless", "--no-sandbox", "--disable-gpu", "--hide-scrollbars",
        f"--user-data-dir={folder / 'profile'}", *arguments,
    ]  # fmt: skip
    return subprocess.run(command, capture_output=True, text=True, check=True, timeout=120).stdout


def overlap(one: Quad, other: Quad, least: float = 0.4) -> bool:
    """Say whether two rectangles, turned any way, overlap by more than a hair (px), by separating axes."""
    for quad in (one, other):
        for n in range(2):
            axis = quad[n + 1][0] - quad[n][0], quad[n + 1][1] - quad[n][1]
            length = (axis[0] ** 2 + axis[1] ** 2) ** 0.5 or 1.0
            spans = [
                sorted((x * axis[0] + y * axis[1]) / length for x, y in corners) for corners in (one, other)
            ]
            if spans[0][-1] - spans[1][0] < least or spans[1][-1] - spans[0][0] < least:
                return False
    return True


def sheets(sailed: Sailed) -> list[tuple[str, Plot, Charted, Sheet]]:
    """Return sheets of the demo at three scales, each in a convention of its own, and the crowded one."""
    plot, bears = sailed.plot, sailed.charted
    looks = {name: Look(DAY, convention) for name, convention in CONVENTIONS.items()}
    return [
        ("75000", plot, bears, laid_out(plot, bears, looks["us"], paper="a3", scale=75_000.0)),
        ("150000", plot, bears, laid_out(plot, bears, looks["uk"], scale=150_000.0)),
        ("400000", plot, bears, laid_out(plot, bears, looks["imo"], scale=400_000.0)),
        ("crowded", PLOT, CHARTED, sheet_about(Position(46.97, -34.0), 150_000.0, 297.0, 210.0)),
        ("narrow", plot, bears, sheet_about(Position(47.0, -34.3), 100_000.0, 120.0, 200.0)),
    ]


@needs_chromium
@pytest.mark.parametrize("which", range(5))
def test_no_words_lie_over_others(which: int, sailed: Sailed, tmp_path: Path) -> None:
    """At three scales of the demo's passage, a crowded and a narrow sheet, no two texts overlap."""
    _, plot, bears, sheet = sheets(sailed)[which]
    quads = measured(drawn_sheet(plot, bears, sheet), tmp_path)["quads"]
    over = [
        (one[0], other[0])
        for n, one in enumerate(quads)
        for other in quads[:n]
        if overlap(one[1], other[1])  # type: ignore[arg-type]  # JSON
    ]

    assert len(quads) > 30
    assert over == []


@needs_chromium
def test_letters_are_as_wide_as_the_table_says(tmp_path: Path) -> None:
    """The browser's own width of each text, before it is fitted, is within 3 % of the table's."""
    svg = drawn_sheet(PLOT, CHARTED, sheet_about(Position(46.97, -34.0), 75_000.0, 297.0, 210.0))
    for words, drawn, natural in measured(svg, tmp_path)["natural"]:
        assert isinstance(drawn, float | int)
        assert isinstance(natural, float | int)
        assert natural == pytest.approx(drawn, rel=0.03), words


@needs_chromium
async def test_a_night_sheet_has_no_bright_pixel(sailed: Sailed, tmp_path: Path) -> None:
    """No pixel of a night sheet, as the browser paints it, has over a quarter of white's luminance."""
    sheet = laid_out(sailed.plot, sailed.charted, Look(NIGHT, CONVENTIONS["uk"]))
    svg = tmp_path / "night.svg"
    svg.write_text(drawn_sheet(sailed.plot, sailed.charted, sheet), "utf-8")

    async with chromium() as browser:
        page = await browser.new_page(viewport={"width": 1120, "height": 790})
        await page.goto(svg.as_uri())
        most = await brightest(await browser.new_page(), await page.screenshot())

    assert 0.1 < most <= MOST_AT_NIGHT


def test_labels_keep_apart_and_off_what_is_taken() -> None:
    """Forty labels of one place lie apart, in the window, off a box that is taken; the rest is counted."""
    ground = Ground(Box(0.0, 0.0, 80.0, 60.0))
    ground.take(Box(30.0, 20.0, 50.0, 28.0))
    hand = Hand("#000", 2.5)
    labels = [Label((f"{n:04d} DR",), (40.0, 30.0), hand, n, "dr-time", 2.0) for n in range(40)]

    placed, left_out = ground.set_down(labels)
    boxes = [each.box for each in placed]

    assert len(placed) + left_out == 40
    assert len(placed) > 15
    assert not any(one.meets(other) for n, one in enumerate(boxes) for other in boxes[:n])
    assert not any(box.meets(Box(30.0, 20.0, 50.0, 28.0)) for box in boxes)
    assert all(box.within(ground.window) for box in boxes)
    assert [each.label.rank for each in placed] == sorted(each.label.rank for each in placed)


def test_a_label_far_off_has_a_leader() -> None:
    """A label that finds room only far from its thing is joined to it by a line."""
    ground = Ground(Box(0.0, 0.0, 100.0, 100.0))
    ground.take(Box(38.0, 38.0, 62.0, 62.0))

    (placed,), _ = ground.set_down([Label(("2200",), (50.0, 50.0), Hand("#000"), 1, "dr-time")])

    assert placed.leader is not None
    assert placed.leader[0] == (50.0, 50.0)


def test_widths_are_those_of_the_typeface() -> None:
    """A figure is 0.556 of the size of type, a space 0.278 (Helvetica's metrics, from memory)."""
    assert width_mm("0123 4", 10.0) == pytest.approx(5 * 5.56 + 2.78)


def test_a_table_of_ink_counts_what_lies_under_a_box() -> None:
    """Of two lines through a window as many strokes are under a box as cells of 1.5 mm it has of them."""
    ground = Ground(Box(0.0, 0.0, 150.0, 150.0))
    ground.ink(((0.75, 75.75), (149.25, 75.75)))
    ground.ink(((75.75, 0.75), (75.75, 149.25)))
    table = ground.ink_table()

    assert table.under(Box(15.0, 15.0, 30.0, 30.0)) == 0
    assert table.under(Box(15.0, 60.0, 45.0, 90.0)) == 20
    assert table.under(Box(60.0, 60.0, 90.0, 90.0)) == 40
    assert table.under(Box(-50.0, -50.0, 500.0, 500.0)) == table.under(ground.window) == 198
