"""A picture of the terminal: how the demo begins, how it ends, and its table, as SVG."""

from collections.abc import Sequence
from io import StringIO

from rich.console import Console
from rich.table import Table
from rich.terminal_theme import TerminalTheme
from rich.text import Text

from middlewatch.runtime.deck_log import WIDTH

_FIRST, _LAST = 10, 45
_MARGIN = 2

# Near-black ground and dim ink, as on board at night: (red, green, blue) of both and of the eight colours.
_NIGHT = TerminalTheme(
    (14, 17, 22),
    (196, 198, 194),
    [
        (14, 17, 22),
        (196, 110, 96),
        (140, 170, 120),
        (214, 176, 98),
        (120, 150, 190),
        (170, 140, 180),
        (134, 178, 190),
        (196, 198, 194),
    ],
)

# rich draws a window with buttons round the text and has its typeface fetched; a terminal needs neither.
_FORMAT = """\
<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}">
<style>
.{unique_id}-matrix {{ font-family: "DejaVu Sans Mono", Menlo, Consolas, monospace; \
font-size: {char_height}px; line-height: {line_height}px; }}
{styles}
</style>
<defs><clipPath id="{unique_id}-clip-terminal">
<rect x="0" y="0" width="{terminal_width}" height="{terminal_height}"/></clipPath>
{lines}
</defs>
<rect width="{width}" height="{height}" fill="#0e1116"/>
<g transform="translate({terminal_x}, {terminal_y})" clip-path="url(#{unique_id}-clip-terminal)">
{backgrounds}
<g class="{unique_id}-matrix">
{matrix}
</g></g></svg>
"""


def drawn_terminal(lines: Sequence[Text], table: Table) -> str:
    """Return the SVG of a terminal that shows the first lines, the last ones, and the table."""
    console = Console(
        record=True,
        file=StringIO(),
        width=WIDTH + _MARGIN,
        force_terminal=True,
        color_system="truecolor",
        legacy_windows=False,
    )
    console.print(Text("$ middlewatch demo", "bold"))
    for line in _shortened(lines):
        console.print(line, soft_wrap=True)
    console.print()
    console.print(table, width=WIDTH)
    return console.export_svg(code_format=_FORMAT, theme=_NIGHT, unique_id="demo")


def _shortened(lines: Sequence[Text]) -> Sequence[Text]:
    """Leave out the middle, from the end of one note to the beginning of another."""
    if len(lines) <= _FIRST + _LAST:
        return lines
    first = next(n for n in range(_FIRST, len(lines)) if _begins_a_note(lines[n]))
    last = next(n for n in range(len(lines) - _LAST, len(lines)) if _begins_a_note(lines[n]))
    return [*lines[:first], Text("          ..."), *lines[last:]]


def _begins_a_note(line: Text) -> bool:
    return line.plain[:1].isdigit()
