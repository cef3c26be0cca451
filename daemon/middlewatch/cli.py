"""The command line: `middlewatch run | demo | replay | check | sight | order`."""

import asyncio
import signal
import sys
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console
from rich.progress import Progress, TextColumn, TimeElapsedColumn

from middlewatch import __version__
from middlewatch.journal import Journal, JournalError
from middlewatch.links.embedded import MissingExtraError
from middlewatch.links.reports_file import LineFile
from middlewatch.navigator.navigator import Navigator
from middlewatch.plotting.palette import LightName
from middlewatch.plotting.paper import DoesNotFitError, PaperName
from middlewatch.quantities.instants import Instant
from middlewatch.reports import Report
from middlewatch.runtime import sheet as sheet_of_passage
from middlewatch.runtime.alarm_report import lines, read_alerts
from middlewatch.runtime.checking import check as check_boat
from middlewatch.runtime.deck_log import DeckLog, width_of
from middlewatch.runtime.demo import run_demo
from middlewatch.runtime.described import described
from middlewatch.runtime.keeper import NO_BOARD, JournalKeeper, take_up
from middlewatch.runtime.narration import Narrator
from middlewatch.runtime.order_commands import order
from middlewatch.runtime.passage import TRACK_EVERY_S, read_passage
from middlewatch.runtime.passage_geojson import geojson as as_geojson
from middlewatch.runtime.passage_gpx import gpx as as_gpx
from middlewatch.runtime.picture import drawn_terminal
from middlewatch.runtime.replay import BadSightings, Replay, read_lines, read_sightings
from middlewatch.runtime.reports_told import BadReports
from middlewatch.runtime.run import Daemon, Files
from middlewatch.runtime.sending import OneLineGroup
from middlewatch.runtime.sight_commands import sight
from middlewatch.runtime.summary import Summary
from middlewatch.runtime.tape import BadTape, read_tape
from middlewatch.settings import Settings, SettingsError, defaults, load
from middlewatch.wire import entries as entry_reader
from middlewatch.wire.recording import NoTime, Recording
from middlewatch.wire.topics import reports_line

AID = "an aid only; chart, lookout, local rules and licensed practice come first"

app = typer.Typer(
    cls=OneLineGroup,
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    help=f"A watch-mate that keeps the reckoning going without satellites. {AID.capitalize()}.",
)

app.add_typer(sight, name="sight")
app.add_typer(order, name="order")

DONE, NOT_DONE, UNUSABLE = 0, 1, 2

SettingsFile = Annotated[Path, typer.Option("--settings", help="the settings file (TOML)")]
MaybeSettingsFile = Annotated[Path | None, typer.Option("--settings", help="the settings file (TOML)")]
ReportsFile = Annotated[
    str, typer.Argument(metavar="REPORTS", help="what --reports wrote; a .gz, or - for standard input")
]


@app.callback(invoke_without_command=True)
def middlewatch(
    version: Annotated[bool, typer.Option("--version", help="say which version this is")] = False,
) -> None:
    """Take the options that stand before a command."""
    if version:
        print(__version__)
        raise typer.Exit(DONE)


@app.command()
def run(
    settings: SettingsFile,
    record: Annotated[
        Path | None, typer.Option(help="write everything that comes in, for an exact replay")
    ] = None,
    reports: Annotated[Path | None, typer.Option(help="write every report that is published")] = None,
) -> None:
    """Keep the watch on the boat's bus and broker until told to stop."""
    with _one_line():
        asyncio.run(_run(load(settings), Files(record, reports)))


async def _run(settings: Settings, files: Files) -> None:
    narrator = Narrator()
    console = Console(highlight=False)
    log = DeckLog(console, width_of(console) if console.is_terminal else None)

    def listen(at: Instant, report: Report) -> None:
        for note in narrator.notes(at, report):
            log.note(note)

    daemon = Daemon(settings, files, listen)
    loop = asyncio.get_running_loop()
    for number in (signal.SIGTERM, signal.SIGINT):
        loop.add_signal_handler(number, daemon.stop)
    log.say(f"middlewatch {__version__}, boat {settings.boat.name}: {AID}")
    await daemon.run()
    for note in narrator.last():
        log.note(note)


@app.command()
def demo(
    speed: Annotated[
        float | None, typer.Option(min=0.1, help="passage time over real time; changes only the waiting")
    ] = None,
    picture: Annotated[
        Path | None, typer.Option(help="draw the terminal, shortened, into this SVG file")
    ] = None,
    page: Annotated[bool, typer.Option("--page", help="serve the page meanwhile, on loopback")] = False,
) -> None:
    """Sail an invented night passage with a simulated bus and skipper, in about two minutes."""
    console = Console(highlight=False)
    log = DeckLog(console, width_of(console))
    with _one_line():
        if picture is not None:
            picture.touch()  # where it cannot be written, that is said now and not after two minutes
        table = asyncio.run(run_demo(log, speed=speed, page=page))
        console.print()
        Console(width=width_of(console), highlight=False).print(table.drawn())
        if picture is not None:
            picture.write_text(drawn_terminal(log.lines, table.drawn()), encoding="utf-8")
    if table.missing:
        _complain(f"the demo misses: {', '.join(table.missing)}")
        raise typer.Exit(NOT_DONE)


def _say(sentence: str) -> None:
    print(sentence, flush=True)


@app.command()
def replay(
    recording: Annotated[str, typer.Argument(help="a file, a .gz, or - for standard input")],
    settings: MaybeSettingsFile = None,
    sightings: Annotated[
        Path | None, typer.Option(help="sightings and orders to be heard on the way (JSON lines)")
    ] = None,
    reports: Annotated[Path | None, typer.Option(help="write every report")] = None,
    journal: Annotated[
        Path | None, typer.Option(help="go on from this journal (a copy: it is written to)")
    ] = None,
) -> None:
    """Play a recording through the reckoning as fast as it goes."""
    with _one_line(), ExitStack() as stack:
        chosen = defaults() if settings is None else load(settings)
        entries = [] if sightings is None else read_sightings(sightings)
        tape = () if recording == "-" or sightings is not None else read_tape(Path(recording))
        source = Recording(read_lines(recording))
        out = None if reports is None else stack.enter_context(LineFile(reports))
        navigator = Navigator(chosen.tuning(), chosen.marks, entry_reader)
        playing = Replay(chosen, navigator)
        if journal is not None:
            kept = stack.enter_context(Journal.open(journal))
            behind = take_up(kept, navigator)
            playing.keeper = JournalKeeper(kept, NO_BOARD, 0 if behind is None else behind.events)
        summary = Summary()

        def said(at: Instant, told: tuple[Report, ...]) -> None:
            for report in told:
                summary.take(report)
                if out is not None:
                    out.write(reports_line(at, report))

        playing.run(source, said, entries, tape, stack.enter_context(_progress()))
    for sentence in summary.sentences(playing, source.summary):
        _complain(sentence)


@contextmanager
def _progress() -> Iterator[Callable[[int], None]]:
    """Show on standard error how many lines have been played, where somebody can see it."""
    columns = TextColumn("{task.completed:.0f} lines"), TimeElapsedColumn()
    with Progress(*columns, console=Console(stderr=True), transient=True) as progress:
        task = progress.add_task("replaying", total=None)
        yield lambda lines: progress.update(task, completed=lines)


@app.command()
def passage(
    reports: ReportsFile,
    settings: MaybeSettingsFile = None,
    geojson: Annotated[
        Path | None, typer.Option(help="tracks, fixes, lines, areas, marks as GeoJSON into this file")
    ] = None,
    gpx: Annotated[Path | None, typer.Option(help="the EP and the fixes as GPX 1.1 into this file")] = None,
    every: Annotated[int, typer.Option(min=1, help="seconds between two places of a track")] = TRACK_EVERY_S,
) -> None:
    """Write a passage down for other programs: an estimate, and not a survey of where the boat was."""
    with _one_line():
        if geojson is None and gpx is None:
            raise typer.BadParameter("found neither --geojson nor --gpx, wanted one of them or both")
        chosen = defaults() if settings is None else load(settings)
        sailed = read_passage(reports, track_every_s=every)
        if geojson is not None:
            geojson.write_text(as_geojson(sailed, chosen.marks), encoding="utf-8")
        if gpx is not None:
            gpx.write_text(as_gpx(sailed, chosen.boat.name), encoding="utf-8")


@app.command()
def sheet(
    reports: ReportsFile,
    *,
    settings: MaybeSettingsFile = None,
    out: Annotated[
        Path | None, typer.Option(help="draw the sheet into this SVG file, several into numbered ones")
    ] = None,
    paper: Annotated[PaperName, typer.Option(help="the paper it is printed on")] = "a4",
    scale: Annotated[
        float | None,
        typer.Option(
            min=100, help="1 : so many, on as many sheets as it takes; without, the largest that fits one"
        ),
    ] = None,
    night: Annotated[bool, typer.Option("--night", help="dim ink on a near-black ground")] = False,
    sun: Annotated[bool, typer.Option("--sun", help="black on white, for a screen in the sun")] = False,
    words: Annotated[bool, typer.Option("--words", help="print what to pencil on the chart")] = False,
) -> None:
    """Draw the plotting sheet of a passage, true to scale, or say what to pencil on the chart."""
    with _one_line():
        chosen = defaults() if settings is None else load(settings)
        plot = sheet_of_passage.plotted(reports)
        if out is not None:
            light: LightName = "night" if night else "sun" if sun else "day"
            svgs = sheet_of_passage.drawn(chosen, plot, paper=paper, scale=scale, light=light)
            files = sheet_of_passage.write_sheets(svgs, out)
            if len(files) > 1:
                _complain(f"{len(files)} sheets: {files[0]} to {files[-1]}")
    if words or out is None:
        for line in sheet_of_passage.words(chosen, plot):
            print(line)


@app.command()
def alerts(reports: ReportsFile) -> None:
    """Report the alerts of a passage: when each was raised, by what acknowledged, how long it stood."""
    with _one_line():
        for line in lines(read_alerts(reports)):
            print(line)


@app.command()
def asyncapi() -> None:
    """Print what goes over MQTT as an AsyncAPI 3.0 document (JSON), for programs that read or write it."""
    print(described(), end="")


@app.command()
def check(settings: SettingsFile) -> None:
    """Listen for ten seconds and say what would steer the reckoning, and what is missing for the job."""
    with _one_line():
        good = asyncio.run(check_boat(load(settings), _say))
    if not good:
        raise typer.Exit(NOT_DONE)


@contextmanager
def _one_line() -> Iterator[None]:
    """Say in one line what is unusable, and exit with 2."""
    try:
        yield
    except (
        SettingsError, BadSightings, BadReports, BadTape, NoTime, JournalError, MissingExtraError, OSError,
        DoesNotFitError,
    ) as fault:  # fmt: skip
        _complain(_in_words(fault))
        raise typer.Exit(UNUSABLE) from None


def _in_words(fault: Exception) -> str:
    """Say a fault in one line, the system's ones without their number: `file: No such file or directory`."""
    if isinstance(fault, OSError) and fault.strerror:
        return f"{fault.filename}: {fault.strerror}" if fault.filename else fault.strerror
    return " ".join(str(fault).split())


def _complain(sentence: str) -> None:
    print(sentence, file=sys.stderr, flush=True)


def main() -> None:
    """Run the command line."""
    app()
