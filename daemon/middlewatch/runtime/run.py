"""Run: the daemon on the boat's bus and broker, until it is told to stop."""

import asyncio
import math
import random
from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import dataclass
from functools import partial
from itertools import count
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from middlewatch import __version__
from middlewatch.journal import Journal
from middlewatch.links.broker import Broker, Reply
from middlewatch.links.delays import Delays
from middlewatch.links.embedded import EmbeddedBroker
from middlewatch.links.hook import Hook
from middlewatch.links.opening import link_for
from middlewatch.links.overboard_key import PRESSED, OverboardKey
from middlewatch.links.reports_file import LineFile
from middlewatch.links.supervisor import keep
from middlewatch.navigator.navigator import Navigator
from middlewatch.quantities.instants import MS_PER_SECOND, Instant
from middlewatch.readings.entries import Channel, Entry
from middlewatch.readings.watch import Fault
from middlewatch.reports import Report
from middlewatch.reports.alert import SoundReport
from middlewatch.reports.answer import Answer
from middlewatch.reports.status import StatusReport
from middlewatch.runtime.clock import BoardClock, Stamp, boot, utc_ms
from middlewatch.runtime.deck import Deck, Keeper
from middlewatch.runtime.flood import WAITING_LINES, Flood
from middlewatch.runtime.inputs import Ear, decoders_of
from middlewatch.runtime.keeper import NO_BOARD, Board, JournalKeeper, take_up
from middlewatch.runtime.outputs import Outputs, Teller
from middlewatch.runtime.stamping import ByArrival, ByTag, Stamping
from middlewatch.runtime.starting import starting
from middlewatch.runtime.tape import Tape, TapingKeeper, journal_beside
from middlewatch.runtime.watch_thread import Came, Heard, TimeIs, WatchThread
from middlewatch.settings import InputSettings, Settings
from middlewatch.wire import entries as entry_reader
from middlewatch.wire.nmea_alert_list import AlertList
from middlewatch.wire.nmea_own import OwnSentences
from middlewatch.wire.payloads import payload
from middlewatch.wire.topics import reports_line, retained, topic_of

Subject = Literal["input", "broker", "journal", "output"]
STATUS_EVERY_S = 10
REWORKING_AFTER_S = 0.3
"""An entry not worked by then is said to be: what is shown is from before it, and the ticks wait."""

Listener = Callable[[Instant, Report], None]
"""Takes each report as it is said, in the event loop's thread."""


@dataclass(slots=True)
class Files:
    """Where `run` writes besides the journal."""

    record: Path | None = None
    reports: Path | None = None


if TYPE_CHECKING:
    from middlewatch.links.page import Answered
    from middlewatch.runtime.page_desk import PageDesk


class Daemon:
    """One run. `listen` gets every report, in the event loop's thread; `stop` ends it in order.

    `lines_heard` counts the lines handed to the navigator so far.
    """

    def __init__(self, settings: Settings, files: Files, listen: Listener) -> None:
        self._settings = settings
        self._files = files
        self._listen = listen
        self._loop = asyncio.get_running_loop()
        self._stopped = asyncio.Event()
        self._bug: BaseException | None = None
        self._clock = BoardClock()
        by_tag = any(each.stamp == "tag" for each in settings.inputs)
        self._stamping: Stamping = ByTag() if by_tag else ByArrival(self._clock)
        # A stamped stream is played, not heard: it may come as fast as it likes, and nothing of it grows old.
        capacity = math.inf if by_tag else WAITING_LINES
        self._floods = {
            each.name: Flood(each.name, capacity, partial(self._fault, "input", each.name))
            for each in settings.inputs
        }
        self._early: list[Callable[[Stamp], Heard | Came]] = []
        self._answered: dict[int, Answered] = {}
        self._tokens = count(1)
        self._reworking = False
        self.lines_heard = 0
        self.navigator = Navigator(settings.tuning(), settings.marks, entry_reader)
        own = OwnSentences()
        self._decoders = decoders_of(settings, own)
        alert_list = AlertList(legacy=settings.alerts.legacy)
        self._teller = Teller(settings.outputs, self.navigator, own, alert_list)
        self._outputs = Outputs(settings.outputs, partial(self._fault, "output"))
        hook = settings.alerts.hook
        self._hook = Hook(hook, partial(self._fault, "output", "hook command")) if hook else None
        self._broker = Broker(
            settings.mqtt,
            settings.boat.name,
            entry=self._entry,
            note=partial(self._fault, "broker", ""),
            version=__version__,
        )
        self._page = self._page_desk() if settings.page.port else None

    @property
    def connected(self) -> asyncio.Event:
        """Set while the broker is there and hears us."""
        return self._broker.connected

    def stop(self) -> None:
        """End the run: commit, say offline, leave."""
        self._stopped.set()

    async def run(self) -> None:
        """Run until stopped; JournalError and OSError at the start, and any bug, propagate."""
        with ExitStack() as stack:
            self._open(stack)
            self._thread.start()
            stack.callback(lambda: self._thread.stop(self._latest()))
            await self._serve()
        if self._bug is not None:
            raise self._bug

    def _page_desk(self) -> "PageDesk":
        # A boat without a page does without its web server, which takes a tenth of a second to load.
        from middlewatch.links.page import PageServer  # noqa: PLC0415 -- as above
        from middlewatch.runtime.page_desk import PageDesk, SheetDesk, ship_of  # noqa: PLC0415 -- as above

        settings = self._settings
        sheet = SheetDesk(settings)
        server = PageServer(
            settings.page,
            ship_of(settings),
            door=self._enter,
            sheet=sheet,
            now=self._now,
            broker_up=self.connected.is_set,
        )
        return PageDesk(server, sheet)

    def _now(self) -> Instant | None:
        """Return the boat's UTC, None before the first line where only lines tell the time."""
        at_ms = self._latest().at_ms
        return self.navigator.utc(at_ms) if at_ms else None

    # --- opening and serving --------------------------------------------------------------------------

    def _open(self, stack: ExitStack) -> None:
        settings, files = self._settings, self._files
        if settings.mqtt.embedded:
            stack.enter_context(EmbeddedBroker(settings.mqtt.port))
        journal = stack.enter_context(Journal.open(settings.journal.file))
        if files.record is not None:
            copy = journal_beside(files.record)
            copy.unlink(missing_ok=True)
            journal.copy_to(copy)
        self._reports = None if files.reports is None else stack.enter_context(LineFile(files.reports))
        self._ears = {name: Ear(decoder) for name, decoder in self._decoders.items()}
        behind = take_up(journal, self.navigator)
        if self._page is not None:
            self._page_socket = stack.enter_context(self._page.opened(settings.page))
            self._page.begin(self.navigator)
        started, board = None, NO_BOARD
        if isinstance(self._stamping, ByArrival):
            started = starting(self._clock, behind, self.navigator, trusted=settings.clock.trusted)
            board = Board(boot(), self._clock.offset_ms, lambda: self._clock.utc_offset_ms)
        keeper: Keeper = JournalKeeper(journal, board, 0 if behind is None else behind.events)
        tape = None if files.record is None else Tape(files.record, self.navigator.utc, self._recording_lost)
        if tape is not None:
            keeper = TapingKeeper(keeper, tape, board.scale_offset_ms)
        deck = Deck(self.navigator, self._decoders, keeper, self._said)
        self._thread = WatchThread(deck, tape, self._thread_failed)
        if started is not None:
            self._thread.put(Came(started, Stamp(started.at_ms, started.at_ms - board.scale_offset_ms)))
        elif behind is not None:
            deck.go_on_from(behind.tick_ms)
        self._begin_without_faults()
        self._since = Instant(utc_ms())

    def _begin_without_faults(self) -> None:
        """Let the faults of the run before be over: links and files are new, and tell of their own."""
        subjects: tuple[Subject, ...] = ("input", "broker", "journal", "output")
        standing = self.navigator.room.alerts.standing
        for subject in subjects:
            if subject in standing:
                for name in standing[subject].conditions:
                    self._fault(subject, name, False, "begun anew")  # noqa: FBT003 -- as _fault has it

    async def _serve(self) -> None:
        async with asyncio.TaskGroup() as group:
            broker = group.create_task(self._broker.run(), name="broker")
            if self._page is not None:
                group.create_task(self._page.server.run(self._page_socket), name="page")
            serving = [group.create_task(self._hear(each), name=each.name) for each in self._settings.inputs]
            serving += self._outputs.tasks(group)
            if self._settings.overboard.device:
                serving.append(group.create_task(self._hear_key(), name="overboard"))
            if self._hook is not None:
                serving.append(group.create_task(self._hook.run(), name="hook"))
            serving.append(group.create_task(self._tell_time(), name="time"))
            serving.append(group.create_task(self._publish_status(), name="status"))
            await self._stopped.wait()
            for task in serving:
                task.cancel()
            # What the thread still says comes to the loop before it is done.
            await asyncio.to_thread(self._thread.stop, self._latest())
            offline = payload(self._status("offline"))
            if self._page is not None:
                self._page.status(Instant(utc_ms()), offline)
                self._page.server.stop()
            await self._broker.farewell(offline)
            broker.cancel()

    def _latest(self) -> Stamp:
        return self._stamping.tick() or self._stamping.entry() or Stamp(0, 0)

    # --- what comes in --------------------------------------------------------------------------------

    async def _hear(self, each: InputSettings) -> None:
        ear, flood = self._ears[each.name], self._floods[each.name]

        def heard(chunk: bytes) -> None:
            for text in ear.splitter.feed(chunk):
                stamp, line = self._stamping.line(text)
                if stamp is None:
                    self._early.append(partial(Heard, each.name, line))
                    continue
                self._hand_over_early(stamp)
                self._clock_may_have_been_set()
                ear.heard_ms = stamp.at_ms
                if flood.leaves_room(self._thread.waiting(each.name), stamp.at_ms):
                    self._thread.put(Heard(each.name, line, stamp))
                    self.lines_heard += 1

        note = partial(self._fault, "input", each.name)
        await keep(link_for(each), heard, note=note, delays=Delays(random.SystemRandom()))

    async def _hear_key(self) -> None:
        def pressed(line: bytes) -> None:
            if line == PRESSED:
                self._enter("order", b'{"kind":"overboard"}', None)

        link = OverboardKey(self._settings.overboard.device, self._settings.overboard.key)
        note = partial(self._fault, "input", "overboard key")
        await keep(link, pressed, note=note, delays=Delays(random.SystemRandom()))

    def _entry(self, channel: Channel, body: bytes, retained_: bool, reply: Reply | None) -> None:  # noqa: FBT001 -- the broker link's callback
        answered = None if reply is None else partial(self._broker.answer, reply)
        self._enter(channel, body, answered, retained_=retained_)

    def _enter(
        self, channel: Channel, body: bytes, answered: "Answered | None", *, retained_: bool = False
    ) -> None:
        """Take an entry, from the broker or from the page, and remember whom else to answer."""
        token = next(self._tokens)
        if answered is not None:
            self._answered[token] = answered
        text = body.decode("utf-8", "replace")
        self._come(lambda stamp: Came(Entry(stamp.at_ms, channel, text, retained_, token), stamp))
        self._loop.call_later(REWORKING_AFTER_S, self._look_at_entry, token)

    def _fault(self, subject: Subject, name: str, failed: bool, text: str) -> None:  # noqa: FBT001 -- the links' callback
        self._come(lambda stamp: Came(Fault(stamp.at_ms, subject, name, failed, text), stamp))

    def _come(self, came: Callable[[Stamp], Came]) -> None:
        """Stamp something rare and hand it over; where only lines tell the time it waits for the first."""
        stamp = self._stamping.entry()
        if stamp is None:
            self._early.append(came)
        else:
            self._thread.put(came(stamp))

    def _hand_over_early(self, stamp: Stamp) -> None:
        """Let what came before the first stamp come now: lines first, as in a replay."""
        if self._early:
            early, self._early = [each(stamp) for each in self._early], []
            for item in sorted(early, key=lambda each: isinstance(each, Came)):
                self._thread.put(item)

    def _clock_may_have_been_set(self) -> None:
        if (changed := self._stamping.clock_change()) is not None:
            self._thread.put(Came(*changed))

    async def _tell_time(self) -> None:
        while (stamp := self._stamping.tick()) is not None:
            self._thread.put(TimeIs(stamp))
            self._clock_may_have_been_set()
            for flood in self._floods.values():
                flood.look(stamp.at_ms)
            await asyncio.sleep((MS_PER_SECOND - stamp.at_ms % MS_PER_SECOND) / MS_PER_SECOND)

    # --- what goes out --------------------------------------------------------------------------------

    def _said(self, at: Instant, reports: tuple[Report, ...]) -> None:
        """Write down and pass on what the navigator says; called in its thread."""
        self._write_down(at, reports)
        published = [(report, topic_of(report), payload(report)) for report in reports]
        self._loop.call_soon_threadsafe(self._announce, at, published)
        if told := self._teller.told(reports):
            self._loop.call_soon_threadsafe(self._outputs.send, told)

    def _write_down(self, at: Instant, reports: tuple[Report, ...]) -> None:
        if self._reports is None:
            return
        try:
            for report in reports:
                self._reports.write(reports_line(at, report))
        except OSError as fault:
            self._reports = None
            self._lost("reports", fault)

    def _recording_lost(self, fault: OSError) -> None:
        self._lost("recording", fault)

    def _lost(self, file: str, fault: OSError) -> None:
        """Say, from the navigator's thread, that a file takes no more: no reason for the watch to end."""
        text = f"the file of the {file} takes no more ({fault.strerror}): it ends here, the watch goes on"
        self._loop.call_soon_threadsafe(self._fault, "journal", file, True, text)  # noqa: FBT003 -- as _fault has it

    def _announce(self, at: Instant, published: list[tuple[Report, str, str]]) -> None:
        for report, topic, text in published:
            if isinstance(report, SoundReport):
                self._sound(report, topic, text)
            else:
                self._broker.publish(topic, text, retain=retained(report))
            if isinstance(report, Answer) and report.token in self._answered:
                self._answered.pop(report.token)(text)
            if self._page is not None:
                self._page.hear(at, report, topic, text)
            self._listen(at, report)
        if self._reworking and not self._entries_waiting():
            self._reworking = False
            self._tell_status()

    def _sound(self, report: SoundReport, topic: str, text: str) -> None:
        """Let a sound be heard now or never: what waited for the broker would sound all at once."""
        if self.connected.is_set():
            self._broker.publish(topic, text, retain=False)
        if self._hook is not None:
            self._hook.sound(report)

    def _look_at_entry(self, token: int) -> None:
        """Say that an entry is still being worked, once; that it is done is said after its answer."""
        if not self._reworking and token in self._entries_waiting():
            self._reworking = True
            self._tell_status()

    def _entries_waiting(self) -> set[int]:
        return {came.reading.token for came in self._thread.rare_waiting if isinstance(came.reading, Entry)}

    async def _publish_status(self) -> None:
        while True:
            self._tell_status()
            await asyncio.sleep(STATUS_EVERY_S)

    def _tell_status(self) -> None:
        online = payload(self._status("online"))
        self._broker.publish("status", online, retain=True)
        if self._page is not None:
            self._page.status(Instant(utc_ms()), online)

    def _status(self, state: Literal["online", "offline"]) -> StatusReport:
        inputs = tuple(ear.status(name, self.navigator) for name, ear in self._ears.items())
        outputs = self._outputs.status() or None
        return StatusReport(state, __version__, self._since, inputs, self._reworking, outputs)

    def _thread_failed(self, bug: BaseException) -> None:
        self._bug = bug
        self._loop.call_soon_threadsafe(self.stop)
