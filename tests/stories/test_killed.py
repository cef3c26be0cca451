"""Killed two hundred times at random moments while it is fed entries, a run loses and doubles nothing."""

import asyncio
import json
import os
import signal
import sys
from asyncio.subprocess import PIPE
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager, suppress
from pathlib import Path
from random import Random

import pytest

from broker.aboard import BOAT, onlooker
from middlewatch.journal import Journal
from middlewatch.links.sender import Skipper
from middlewatch.navigator.navigator import Navigator
from middlewatch.readings.entries import Channel
from middlewatch.runtime.keeper import take_up
from middlewatch.settings import MqttSettings, load
from middlewatch.wire import entries as entry_reader
from middlewatch.wire.payloads import payload
from stories.story import (
    DEPARTURE,
    LIGHT,
    PATIENCE_S,
    Bus,
    Json,
    settings_file,
    stamped_second,
    whole_second,
)

KILLS, AT_MOST = 200, 1000
"""So many kills, and more where too little was answered between them, up to so many."""
OF_A_LIFE = 1.5
"""A life lasts at most so many times as long as a run needs to its first answer, however busy the machine."""
LOOKED_AT_EACH = 20
"""After so many kills that is measured anew where little was answered: what else runs comes and goes."""
OTHER_LIGHT = {"latitude_deg": 50.02, "longitude_deg": -4.1}


class Nursery:
    """Starts one `middlewatch run` after another, and kills it."""

    def __init__(self, process: asyncio.subprocess.Process, settings: Path) -> None:
        self._process = process
        self._settings = settings
        self._child = 0

    async def start(self) -> None:
        """Start a run."""
        assert self._process.stdin is not None
        self._process.stdin.write(json.dumps(["run", "--settings", str(self._settings)]).encode() + b"\n")
        self._child = await self._said()

    def kill(self) -> None:
        """Kill it; what has ended before is told by `ended`."""
        with suppress(ProcessLookupError):
            os.kill(self._child, signal.SIGKILL)

    async def ended(self) -> None:
        """Wait for its end, and check that nothing but the kill ended it."""
        assert os.WTERMSIG(await self._said()) == signal.SIGKILL

    async def _said(self) -> int:
        assert self._process.stdout is not None
        async with asyncio.timeout(PATIENCE_S):
            return int(await self._process.stdout.readline())


@asynccontextmanager
async def nursery(settings: Path) -> AsyncIterator[Nursery]:
    """Start a nursery."""
    script = Path(__file__).with_name("nursery.py")
    process = await asyncio.create_subprocess_exec(sys.executable, str(script), stdin=PIPE, stdout=PIPE)
    try:
        yield Nursery(process, settings)
    finally:
        process.kill()
        await process.wait()


class Follower:
    """Hears what the boat publishes: when its newest position is of, and every fix as it was said."""

    def __init__(self) -> None:
        self.fixes: dict[str, str] = {}
        self.told = asyncio.Event()

    async def follow(self, broker: MqttSettings) -> None:
        """Listen until cancelled."""
        async with onlooker(broker) as one:
            async for message in one.client.messages:
                topic, text = message.topic.value.rpartition("/")[2], bytes(message.payload).decode()
                if topic == "position":
                    self.told.set()
                elif topic == "fix" and not message.retain:
                    self._fix(text)

    def _fix(self, text: str) -> None:
        fix = str(json.loads(text)["id"])
        assert self.fixes.setdefault(fix, text) == text, f"{fix} was published twice, and not the same"


def entry(number: int) -> tuple[Channel, Json]:
    """Return the entries in turn: a departure, then bearings of two lights, an order for every fourth."""
    id_ = f"n{number}"
    if number == 0:
        return "order", {"id": id_, **DEPARTURE}
    if number % 4 == 3:
        return "order", {"id": id_, "kind": "leeway", "leeway_deg": number % 9, "pushed_to": "port"}
    mark, bearing = (LIGHT, 330) if number % 2 else (OTHER_LIGHT, 70)
    return "sighting", {"id": id_, "kind": "bearing", "mark": mark, "bearing_deg": bearing + number % 5}


class Passage:
    """A bus that goes on whoever listens, and a skipper who enters one thing after another until answered."""

    def __init__(self, bus: Bus, skipper: Skipper, follower: Follower) -> None:
        self._bus = bus
        self._skipper = skipper
        self._follower = follower
        self.second = 0
        self.answers: dict[str, Json] = {}
        self.began = asyncio.Event()

    async def feed(self) -> None:
        """Let a run listen, and say a second whenever it has told one."""
        await self._bus.listener()
        with suppress(ConnectionError):
            while True:
                self._follower.told.clear()
                await self._bus.send(stamped_second(self.second))
                self.second += 1
                await self._bus.send(whole_second(self.second))
                await self._follower.told.wait()

    async def enter(self) -> None:
        """Enter one thing after another, each until it is answered; each fourth is entered once more."""
        while True:
            number = len(self.answers)
            answer = await self.answered(number)
            assert answer["accepted"] is True, answer
            self.answers[str(answer["id"])] = answer
            self.began.set()
            if number % 4 == 0:
                await self.check_again(Random(number).randrange(number + 1))  # noqa: S311  # not a secret

    async def check_again(self, number: int) -> None:
        """Enter something anew that has been answered: it is a repeat, and the answer is the same."""
        again = await self.answered(number)
        assert again == {**self.answers[f"n{number}"], "repeat": True}

    async def answered(self, number: int) -> Json:
        """Send an entry, the same to the letter, until it is answered."""
        channel, body = entry(number)
        answer = await self._skipper.send(channel, body, tries=2000, wait_s=0.1)
        assert answer is not None
        return answer


def check_journal(settings: Path, passage: Passage, follower: Follower) -> None:
    """Check what stands in the journal: each entry answered, once, and each fix as it was published."""
    chosen = load(settings)
    with Journal.open(chosen.journal.file) as journal:
        ids = [json.loads(kept.text)["id"] for kept in journal.load().entries]
        navigator = Navigator(chosen.tuning(), chosen.marks, entry_reader)
        take_up(journal, navigator)
    expected = [f"n{number}" for number in range(len(ids))]
    assert ids == expected
    assert len(passage.answers) <= len(ids) <= len(passage.answers) + 1
    plot = navigator.room.plot
    for fix, text in follower.fixes.items():
        assert payload(plot.every[fix].report) == text


async def life_s(nurse: Nursery, passage: Passage, group: asyncio.TaskGroup) -> float:
    """Let a run live until it answers something, and kill it; return how long that took, seconds."""
    loop = asyncio.get_running_loop()
    passage.began.clear()
    began_s = loop.time()
    await nurse.start()
    feeding = group.create_task(passage.feed())
    async with asyncio.timeout(PATIENCE_S):
        await passage.began.wait()
    took_s = loop.time() - began_s
    nurse.kill()
    await nurse.ended()
    feeding.cancel()
    return took_s


def enough(passage: Passage, follower: Follower) -> bool:
    """Say whether so much was answered and fixed that kills have met every stage of it."""
    return len(passage.answers) > KILLS / 2 and len(follower.fixes) > KILLS / 4


@pytest.mark.slow
async def test_two_hundred_kills_lose_and_double_nothing(tmp_path: Path, plain: MqttSettings) -> None:
    """Killed at random moments, a run keeps every entry it answered, once, and every fix as answered."""
    chance = Random(20260503)  # noqa: S311  # moments of death, not secrets
    follower = Follower()
    async with Bus() as bus, Skipper(plain, BOAT) as skipper, asyncio.TaskGroup() as group:
        # Lives are short: a cloud of fewer samples leaves more of each for entries.
        settings = settings_file(tmp_path, plain, bus.link, more="[area]\nsamples = 1000")
        async with nursery(settings) as nurse:
            passage = Passage(bus, skipper, follower)
            following = group.create_task(follower.follow(plain))
            entering = group.create_task(passage.enter())
            longest_s = 0.0
            for kill in range(AT_MOST):
                if kill >= KILLS and enough(passage, follower):
                    break
                if kill % LOOKED_AT_EACH == 0 and len(passage.answers) <= kill / 2:
                    longest_s = OF_A_LIFE * await life_s(nurse, passage, group)
                    bus.drop()
                await nurse.start()
                feeding = group.create_task(passage.feed())
                await asyncio.sleep(chance.uniform(0.0, longest_s))
                nurse.kill()
                await nurse.ended()
                feeding.cancel()
                bus.drop()
                if kill % 10 == 9:
                    check_journal(settings, passage, follower)
            entering.cancel()
            await nurse.start()
            feeding = group.create_task(passage.feed())
            for number in range(len(passage.answers)):
                await passage.check_again(number)
            nurse.kill()
            await nurse.ended()
            feeding.cancel()
            following.cancel()
            check_journal(settings, passage, follower)
    assert enough(passage, follower)
