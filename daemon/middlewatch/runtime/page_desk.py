"""The page's desk: what the navigator says goes to the page, with the notes of the deck log and the sheet."""

from collections.abc import Iterator
from contextlib import suppress
from socket import socket
from threading import Lock

from middlewatch import __version__
from middlewatch.links.page import PageServer, SheetImage, SheetView, open_socket
from middlewatch.navigator.navigator import Navigator
from middlewatch.plotting.conventions import CONVENTIONS
from middlewatch.plotting.drawing import drawn_sheet
from middlewatch.plotting.palette import PALETTES
from middlewatch.plotting.paper import DoesNotFitError, Look, Sheet, fitted, screen_about
from middlewatch.plotting.plot import Charted, Plot
from middlewatch.plotting.plotter import Plotter
from middlewatch.plotting.series import screen_series
from middlewatch.quantities.instants import Instant
from middlewatch.reports import Report
from middlewatch.reports.alert import SoundReport
from middlewatch.reports.answer import Answer
from middlewatch.reports.fix import FixReport
from middlewatch.runtime.narration import Narrator
from middlewatch.runtime.sheet import charted, words
from middlewatch.settings import PageSettings, Settings
from middlewatch.wire.page_messages import Keys, Ship, note_message, report_message, told

_OF_THE_PAST = (Answer, FixReport)
"""Told to whoever comes late, each one; of everything else only the newest."""


class SheetDesk:
    """The plotting sheet as it grows. Drawn in one thread while another plots: each waits for the other."""

    def __init__(self, settings: Settings) -> None:
        self._settings = settings
        self._plotter = Plotter()
        self._plotting = Lock()

    def take(self, report: Report) -> None:
        """Plot a report."""
        with self._plotting:
            self._plotter.take(report)

    def image(self, view: SheetView) -> SheetImage:
        """Return the sheet as it stands."""
        plot = self._plot()
        bears = charted(self._settings, plot)
        sheet = _sheet(
            view, plot, bears, Look(PALETTES[view.look], CONVENTIONS[self._settings.sheet.symbols])
        )
        number, of = (1, 1) if sheet.leaf is None else (sheet.leaf.number, sheet.leaf.of)
        flat = sheet.projection
        return SheetImage(drawn_sheet(plot, bears, sheet), flat.centre, flat.scale, number, of)

    def pencil(self) -> tuple[str, ...]:
        """Return what to pencil on the chart, a line each."""
        return words(self._settings, self._plot())

    def _plot(self) -> Plot:
        with self._plotting:
            return self._plotter.plot()


def _sheet(view: SheetView, plot: Plot, bears: Charted, look: Look) -> Sheet:
    """Return the sheet a page asks for: about a place, one of several, or all that is plotted on one."""
    sides = view.width_mm, view.height_mm
    if view.scale is not None and view.centre is not None:
        return screen_about(view.centre, view.scale, *sides, look)
    if view.scale is not None and view.number is not None:
        with suppress(DoesNotFitError):
            sheets = screen_series(plot, view.scale, *sides, look)
            return sheets[min(view.number, len(sheets)) - 1]
    centre, scale = fitted(plot, bears, *sides)
    return screen_about(centre, scale, *sides, look)


class PageDesk:
    """Hands reports to the page's server as they are said, in the event loop's thread."""

    def __init__(self, server: PageServer, sheet: SheetDesk) -> None:
        self.server = server
        self._sheet = sheet
        self._narrator = Narrator()

    def hear(self, at: Instant, report: Report, topic: str, text: str) -> None:
        """Take a report, its topic, and its JSON."""
        self._sheet.take(report)
        self._tell(report, topic, told(topic, at, text))
        self._note(at, report)

    @staticmethod
    def opened(settings: PageSettings) -> socket:
        """Return the socket it is served on, bound; OSError where it cannot be."""
        return open_socket(settings)

    def begin(self, navigator: Navigator) -> None:
        """Take what a journal has brought back, so that log and sheet go on from there."""
        for at, report in _of_the_journal(navigator):
            self._sheet.take(report)
            self.server.listeners.remember("", report_message(at, report))
            self._note(at, report)

    def status(self, at: Instant, text: str) -> None:
        """Take the daemon's own state, as JSON."""
        self.server.listeners.retain("status", told("status", at, text))

    def _tell(self, report: Report, topic: str, message: str) -> None:
        listeners = self.server.listeners
        if isinstance(report, SoundReport):
            listeners.tell(topic, message)
        elif isinstance(report, _OF_THE_PAST):
            listeners.remember(topic, message)
        else:
            listeners.retain(topic, message)

    def _note(self, at: Instant, report: Report) -> None:
        for note in self._narrator.notes(at, report):
            message = note_message(note.at, note.voice, note.sentences)
            self.server.listeners.remember("note", message)


def ship_of(settings: Settings) -> Ship:
    """Return what the page is told of the boat."""
    page = settings.page
    keys = Keys(page.sight_key, page.acknowledge_key, page.repeat_key, page.overboard_key)
    return Ship(settings.boat.name, __version__, page.zone, keys, tuple(settings.marks.values()))


def _of_the_journal(navigator: Navigator) -> Iterator[tuple[Instant, Report]]:
    """Yield the answers and the fixes that stand in the journal, in order of their time."""
    room = navigator.room
    answers: list[tuple[Instant, Report]] = [
        (navigator.utc(logged.heard_ms), logged.answer)
        for logged in room.ledger.entries.values()
        if logged.answer is not None
    ]
    fixes: list[tuple[Instant, Report]] = [
        (published.report.at, published.report) for published in room.plot.every.values()
    ]
    yield from sorted([*answers, *fixes], key=lambda told_: told_[0])
