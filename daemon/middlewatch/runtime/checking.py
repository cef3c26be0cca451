"""Check: hears the bus for a while, and says what would steer the reckoning and what is missing."""

import asyncio
import random
from collections.abc import Callable, Iterator

from middlewatch.journal import Journal, JournalError
from middlewatch.links.broker_connection import BrokerAwayError, BrokerRefusedError, connection, place
from middlewatch.links.delays import Delays
from middlewatch.links.opening import link_for
from middlewatch.links.supervisor import keep
from middlewatch.navigator.navigator import Navigator
from middlewatch.navigator.reckoning.variation import Found
from middlewatch.quantities.instants import MS_PER_SECOND
from middlewatch.runtime.clock import BoardClock
from middlewatch.runtime.deck import Deck
from middlewatch.runtime.inputs import Ear, decoders_of
from middlewatch.runtime.keeper import take_up
from middlewatch.runtime.stamping import ByArrival, ByTag, Stamping
from middlewatch.settings import InputSettings, Settings
from middlewatch.wire import entries as entry_reader

LISTEN_S = 10.0


async def check(settings: Settings, say: Callable[[str], None], *, listen_s: float = LISTEN_S) -> bool:
    """Listen, and say what was found; return whether heading, speed and broker are there.

    Listening ends before its time where every input comes to its end.
    """
    listening = Listening(settings)
    count = len(settings.inputs)
    say(f"Listening to {count} input{'' if count == 1 else 's'} for up to {listen_s:.0f} s.")
    await listening.listen(listen_s)
    navigator = listening.navigator
    for sentence in (*listening.heard(), *_steering(navigator), *_variation(settings, navigator)):
        say(sentence)
    reached = await _broker(settings, say)
    heading, speed = navigator.steering()
    sources = ("heading", heading), ("speed through the water", speed)
    missing = [name for name, source in sources if source is None]
    if missing:
        lacks = " and ".join(missing)
        say(f"Missing for the job: {lacks}. The skipper can give them by hand: order by_hand.")
    if not settings.marks:
        say("No marks are known: a bearing has to give its mark's position.")
    say("This is an aid: chart, lookout, local rules and licensed practice come first.")
    return not missing and reached


class Listening:
    """The inputs of the settings, heard by a navigator that nobody else hears."""

    def __init__(self, settings: Settings) -> None:
        self.navigator = Navigator(settings.tuning(), settings.marks, entry_reader)
        self._inputs = settings.inputs
        self._ears = {name: Ear(decoder) for name, decoder in decoders_of(settings).items()}
        self._faults: dict[str, str] = {}
        by_tag = any(each.stamp == "tag" for each in settings.inputs)
        self._stamping: Stamping = ByTag() if by_tag else ByArrival(BoardClock())
        decoders = {name: ear.decoder for name, ear in self._ears.items()}
        self._deck = Deck(self.navigator, decoders, None, lambda *_: None)

    async def listen(self, listen_s: float) -> None:
        """Hear every input for so long, or to its end."""
        hearing = [asyncio.create_task(self._hear(each)) for each in self._inputs]
        if hearing:
            done, still = await asyncio.wait(hearing, timeout=listen_s)
            for task in still:
                task.cancel()
            await asyncio.gather(*still, return_exceptions=True)
            for task in done:
                task.result()
        stamp = self._stamping.tick() or self._stamping.entry()
        if stamp is not None:
            # Sources are chosen at whole seconds: the one in which the last was heard has to end.
            self._deck.time(stamp.at_ms + MS_PER_SECOND)

    async def _hear(self, each: InputSettings) -> None:
        ear = self._ears[each.name]

        def heard(chunk: bytes) -> None:
            for text in ear.splitter.feed(chunk):
                stamp, line = self._stamping.line(text)
                if stamp is not None:
                    self._deck.line(each.name, line, stamp.at_ms)
                    ear.heard_ms = stamp.at_ms

        def note(failed: bool, text: str) -> None:  # noqa: FBT001 -- the supervisor's callback
            if failed:
                self._faults[each.name] = text
            else:
                self._faults.pop(each.name, None)

        await keep(link_for(each), heard, note=note, delays=Delays(random.SystemRandom()))

    def heard(self) -> Iterator[str]:
        """Yield for each input what came, what of it was of no use, and what is wrong with it."""
        for name, ear in self._ears.items():
            decoder = ear.decoder
            words = f"Input {name}: "
            words += "nothing heard" if ear.heard_ms is None else f"{decoder.sentences} sentences taken"
            for reasons, verb in ((decoder.passed_over, "passed over"), (decoder.rejected, "rejected")):
                if reasons:
                    most = ", ".join(f"{count} {reason}" for reason, count in reasons.most_common(3))
                    words += f"; {verb}: {most}"
            fault = self._faults.get(name)
            yield f"{words}." if fault is None else f"{words}; {fault}."


def _steering(navigator: Navigator) -> Iterator[str]:
    instruments = navigator.room.instruments
    for choice, name in ((instruments.heading, "Heading"), (instruments.speed, "Speed through the water")):
        others = sorted(set(choice.heard) - {choice.chosen})
        if choice.chosen is None:
            yield f"{name}: not heard."
        else:
            rest = f"; also heard: {', '.join(others)}" if others else ""
            yield f"{name} would be steered by {choice.chosen}: {choice.why}{rest}."


def _variation(settings: Settings, navigator: Navigator) -> Iterator[str]:
    found, where = navigator.room.reckoning.now.variation, ""
    if found is None:
        try:
            found, where = _variation_in_journal(settings), ", the last position in the journal"
        except JournalError as fault:
            yield f"Journal: {fault}."
    source = settings.compass.variation.source
    if found is not None:
        east = "E" if found.value_deg >= 0 else "W"
        yield f"Variation {abs(found.value_deg):.1f} {east} by {found.source}{where}."
    elif source == "model":
        yield (
            "Variation unknown: the World Magnetic Model wants a reckoned position, and there is none before"
            " a departure; it is never taken at the satellite position."
        )
    else:
        yield f"Variation unknown: it is to come by the {source}, and nothing of it is heard."


def _variation_in_journal(settings: Settings) -> Found | None:
    """Return the variation with which a run would begin that goes on from the journal; None without one."""
    if not settings.journal.file.exists():
        return None
    navigator = Navigator(settings.tuning(), settings.marks, entry_reader)
    with Journal.open(settings.journal.file) as journal:
        take_up(journal, navigator)
    return navigator.room.reckoning.now.variation


async def _broker(settings: Settings, say: Callable[[str], None]) -> bool:
    if settings.mqtt.embedded:
        say("Broker: our own, started with the daemon.")
        return True
    try:
        async with connection(settings.mqtt, "middlewatch-check"):
            say(f"Broker: {place(settings.mqtt)} reached.")
            return True
    except (BrokerAwayError, BrokerRefusedError) as fault:
        say(f"Broker: {fault}.")
        return False
