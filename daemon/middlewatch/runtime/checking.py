"""Check: hears the bus for a while and says what would steer the reckoning, and what is missing for the job."""

import asyncio
import random
from collections.abc import Callable, Iterator

from middlewatch.links.broker_connection import BrokerAwayError, BrokerRefusedError, connection, place
from middlewatch.links.delays import Delays
from middlewatch.links.opening import link_for
from middlewatch.links.supervisor import keep
from middlewatch.navigator.navigator import Navigator
from middlewatch.quantities.instants import MS_PER_SECOND
from middlewatch.runtime.clock import BoardClock
from middlewatch.runtime.deck import Deck
from middlewatch.runtime.inputs import Ear, decoders_of
from middlewatch.runtime.stamping import ByArrival, ByTag, Stamping
from middlewatch.settings import InputSettings, Settings
from middlewatch.wire import entries as entry_reader

LISTEN_S = 10.0


async def check(settings: Settings, say: Callable[[str], None], *, listen_s: float = LISTEN_S) -> bool:
    """Listen, and say sentence by sentence what was found; return whether heading, speed and broker are there."""
    navigator = Navigator(settings.tuning(), settings.marks, entry_reader)
    ears = {name: Ear(decoder) for name, decoder in decoders_of(settings).items()}
    say(f"listening to {len(ears)} input{'' if len(ears) == 1 else 's'} for {listen_s:.0f} s")
    faults: list[str] = []
    await _listen(settings, navigator, ears, faults, listen_s)
    for sentence in (*faults, *_inputs(ears), *_steering(navigator), *_variation(settings, navigator)):
        say(sentence)
    reached = await _broker(settings, say)
    heading, speed = navigator.steering()
    missing = [
        name for name, source in (("heading", heading), ("speed through the water", speed)) if source is None
    ]
    if missing:
        say(
            f"missing for the job: {' and '.join(missing)}; the skipper can give them by hand (order by_hand)"
        )
    if not settings.marks:
        say("no marks file: bearings need a mark by its position")
    say("this is an aid: chart, lookout, local rules and licensed practice come first")
    return not missing and reached


async def _listen(
    settings: Settings, navigator: Navigator, ears: dict[str, Ear], faults: list[str], listen_s: float
) -> None:
    clock = BoardClock()
    by_tag = any(each.stamp == "tag" for each in settings.inputs)
    stamping: Stamping = ByTag() if by_tag else ByArrival(clock)
    deck = Deck(navigator, {name: ear.decoder for name, ear in ears.items()}, None, lambda *_: None)

    async def hear(each: InputSettings) -> None:
        ear = ears[each.name]

        def heard(chunk: bytes) -> None:
            for text in ear.splitter.feed(chunk):
                stamp, line = stamping.line(text)
                if stamp is not None:
                    deck.line(each.name, line, stamp.at_ms)
                    ear.heard_ms = stamp.at_ms

        def note(failed: bool, text: str) -> None:  # noqa: FBT001 -- the supervisor's callback
            if failed:
                faults.append(f"input {each.name}: {text}")

        await keep(link_for(each), heard, note=note, delays=Delays(random.SystemRandom()))

    try:
        async with asyncio.timeout(listen_s), asyncio.TaskGroup() as group:
            for each in settings.inputs:
                group.create_task(hear(each))
            # Inputs that end (a file) do not end the listening: a tick more is wanted for the choice of sources.
            await asyncio.Event().wait()
    except TimeoutError:
        pass
    if (now := stamping.tick()) is not None:
        deck.time(now.at_ms)
    elif isinstance(stamping, ByTag) and stamping.last is not None:
        deck.time(stamping.last.at_ms + MS_PER_SECOND)


def _inputs(ears: dict[str, Ear]) -> Iterator[str]:
    for name, ear in ears.items():
        decoder = ear.decoder
        words = f"input {name}: {decoder.sentences} sentences"
        for reasons, verb in ((decoder.rejected, "rejected"), (decoder.passed_over, "passed over")):
            if reasons:
                most = ", ".join(f"{count} {reason}" for reason, count in reasons.most_common(3))
                words += f"; {verb}: {most}"
        yield words if ear.heard_ms is not None else f"input {name}: nothing heard"


def _steering(navigator: Navigator) -> Iterator[str]:
    room = navigator.room
    for choice in (room.instruments.heading, room.instruments.speed):
        others = sorted(set(choice.heard) - {choice.chosen})
        if choice.chosen is None:
            yield f"{choice.quantity}: not heard"
        else:
            rest = f"; also heard: {', '.join(others)}" if others else ""
            yield f"{choice.quantity} would be steered by {choice.chosen} ({choice.why}){rest}"


def _variation(settings: Settings, navigator: Navigator) -> Iterator[str]:
    choice = settings.compass.variation.choice()
    found = navigator.room.reckoning.now.variation
    date = navigator.utc(navigator.now_ms)
    if found is not None:
        east = "E" if found.value_deg >= 0 else "W"
        yield f"variation {abs(found.value_deg):.1f} {east} by {found.source}, for {date.decimal_year:.1f}"
    elif choice.source == "model":
        yield "variation unknown: the model needs a reckoned position; order a departure (never taken from satellites)"
    else:
        yield f"variation unknown: source {choice.source}, nothing heard"


async def _broker(settings: Settings, say: Callable[[str], None]) -> bool:
    if settings.mqtt.embedded:
        say("broker: our own, started with the daemon")
        return True
    try:
        async with connection(settings.mqtt, "middlewatch-check"):
            say(f"broker: {place(settings.mqtt)} reached")
            return True
    except (BrokerAwayError, BrokerRefusedError) as fault:
        say(f"broker: {fault}")
        return False
