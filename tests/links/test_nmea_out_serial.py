"""Sentences out by a serial line: whole, to a slow listener too, through unplugging and plugging again."""

import asyncio
import os
from itertools import repeat

import pytest

from links.listening import PATIENCE_S, Log, fault_of, open_descriptors, running
from links.pty_pair import PtyPair
from middlewatch.links import nmea_out, nmea_out_serial
from middlewatch.links.nmea_out import Waiting, keep_open
from middlewatch.links.nmea_out_serial import SerialSender

SECOND = (b"$INGLL,5008.4300,N,00518.2600,W,142536.00,V,E*7D\r\n", b"$INVDR,110.0,T,112.1,M,0.7,N*3A\r\n")
WHOLE = b"".join(SECOND)


@pytest.fixture(autouse=True)
def _fast(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let seconds pass a hundred times faster."""
    monkeypatch.setattr(nmea_out_serial, "PACE_S", nmea_out.PACE_S / 100)


async def heard(pair: PtyPair, count: int) -> bytes:
    """Return so many bytes as the display at the other end gets them."""
    loop, ready, got = asyncio.get_running_loop(), asyncio.Event(), b""
    os.set_blocking(pair.instrument, False)
    loop.add_reader(pair.instrument, ready.set)
    try:
        async with asyncio.timeout(PATIENCE_S):
            while len(got) < count:
                await ready.wait()
                ready.clear()
                try:
                    got += os.read(pair.instrument, count - len(got))
                except BlockingIOError:
                    continue
    finally:
        loop.remove_reader(pair.instrument)
    return got


async def test_a_display_hears_each_second_whole(pty_pair: PtyPair) -> None:
    """Bytes go out as they are, carriage returns and all."""
    waiting = Waiting()

    async with running(SerialSender(str(pty_pair.path)).run(waiting, lambda: None)):
        for _ in range(3):
            waiting.put(SECOND)
            assert await heard(pty_pair, len(WHOLE)) == WHOLE


async def test_a_slow_line_is_told_fewer_seconds_each_whole(pty_pair: PtyPair) -> None:
    """While nobody takes the bytes the newest second waits; no line is ever cut, and the loop never waits."""
    waiting = Waiting()
    second = [(b"$%04d," % number + b"x" * 70 + b"\r\n",) for number in range(2000)]

    async with running(SerialSender(str(pty_pair.path)).run(waiting, lambda: None)):
        for each in second:
            waiting.put(each)
            await asyncio.sleep(0.0005)
        left_out = waiting.left_out
        assert left_out > 100
        length = len(second[0][0])
        lines = [await heard(pty_pair, length) for _ in range(len(second) - left_out)]

    numbers = [int(line[1:5]) for line in lines]
    assert all(line == second[number][0] for line, number in zip(lines, numbers, strict=True))
    assert numbers == sorted(set(numbers))
    assert numbers[-1] == len(second) - 1


async def test_unplugged_and_plugged_again_it_goes_on(pty_pair: PtyPair) -> None:
    """Said once as it goes and once as it is back; what was told meanwhile is not sent late."""
    log, waiting = Log(), Waiting()
    line = SerialSender(str(pty_pair.path))

    async with running(keep_open(line, waiting, note=log, delays=repeat(0.005))):
        waiting.put((b"$1\r\n",))
        assert await heard(pty_pair, 4) == b"$1\r\n"
        pty_pair.unplug()
        waiting.put((b"$2\r\n",))
        await log.until(1)
        waiting.put((b"$3\r\n",))
        waiting.put((b"$4\r\n",))
        pty_pair.plug()
        assert await heard(pty_pair, 4) == b"$4\r\n"
        await log.until(2)

    (failed, why), (failed_then, back) = log.notes
    assert (failed, failed_then) == (True, False)
    assert why.startswith(f"serial line {pty_pair.path}: ")
    assert back == f"serial line {pty_pair.path}: there again"


async def test_a_line_that_another_program_holds_is_a_fault(pty_pair: PtyPair) -> None:
    """Two that write on one line would be in each other's sentences."""
    async with running(SerialSender(str(pty_pair.path)).run(Waiting(), lambda: None)):
        fault = await fault_of(SerialSender(str(pty_pair.path)).run(Waiting(), lambda: None))

    assert str(fault) == "held by another program"


async def test_cancelling_closes_the_way_out(pty_pair: PtyPair) -> None:
    """Stopped by the daemon, also in the middle of a write that finds no room, it leaves nothing open."""
    before, waiting = open_descriptors(), Waiting()

    async with running(SerialSender(str(pty_pair.path)).run(waiting, lambda: None)):
        waiting.put((b"x" * 200_000,))
        await heard(pty_pair, 1)

    assert open_descriptors() == before
