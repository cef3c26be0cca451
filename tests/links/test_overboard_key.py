"""The overboard key: real event structs through a FIFO; a real keypad was not tried."""

import os
from itertools import repeat
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from links.listening import Ear, Log, fault_of, running
from middlewatch.links.overboard_key import EVENT, PRESSED, THERE, OverboardKey, Presses
from middlewatch.links.supervisor import keep

ENTER, SPACE = 28, 57


def event(at_s: float, code: int, value: int, kind: int = 1) -> bytes:
    """Return the bytes of an input event."""
    return EVENT.pack(int(at_s), round(at_s % 1 * 1e6), kind, code, value)


def press(at_s: float, code: int = ENTER) -> bytes:
    """Return what a press is to the kernel: scan code, key down, report; held; key up, report."""
    return b"".join(
        (
            event(at_s, 4, 458792, kind=4),
            event(at_s, code, 1),
            event(at_s, 0, 0, kind=0),
            event(at_s + 0.3, code, 2),
            event(at_s + 0.4, code, 0),
            event(at_s + 0.4, 0, 0, kind=0),
        )
    )


@pytest.fixture
def device(tmp_path: Path) -> Path:
    """Give a FIFO in a device's place."""
    path = tmp_path / "event3"
    os.mkfifo(path)
    return path


def test_an_event_is_24_bytes() -> None:
    """As on every 64-bit kernel."""
    assert EVENT.size == 24


async def test_a_press_is_one_line_and_other_keys_are_none(device: Path) -> None:
    """Held and let go it is still one press; another key is nobody's business."""
    ear = Ear()
    async with running(OverboardKey(str(device), ENTER).run(ear)):
        writer = os.open(device, os.O_WRONLY)
        os.write(writer, press(100.0, SPACE) + press(101.0))
        heard = await ear.until(PRESSED)
        os.write(writer, press(120.0))
        heard = await ear.until(PRESSED + PRESSED)
        os.close(writer)

    assert heard == THERE + PRESSED + PRESSED


async def test_unplugged_it_is_noted_and_taken_up_again(device: Path) -> None:
    """The device goes and comes back under its supervisor: said at each change, and it works again."""
    ear, log = Ear(), Log()
    link = OverboardKey(str(device), ENTER)
    async with running(keep(link, ear, note=log, delays=repeat(0.01))):
        writer = os.open(device, os.O_WRONLY)
        os.write(writer, press(100.0))
        await ear.until(PRESSED)
        os.close(writer)
        os.unlink(device)  # noqa: PTH108 -- as os.mkfifo below
        await log.until(1)
        os.mkfifo(device)
        await log.until(2)
        writer = os.open(device, os.O_WRONLY)
        os.write(writer, press(200.0))
        await ear.until(PRESSED + THERE * (ear.chunks.count(THERE) - 1) + PRESSED)
        os.close(writer)

    assert [failed for failed, _ in log.notes[:2]] == [True, False]


async def test_a_device_that_is_not_there_is_a_fault(tmp_path: Path) -> None:
    """It is no bug, and the supervisor tries again."""
    assert isinstance(
        await fault_of(OverboardKey(str(tmp_path / "none"), ENTER).run(Ear())), FileNotFoundError
    )


def test_a_hand_that_hammers_presses_once() -> None:
    """Three presses in five seconds are one; eleven seconds later it is another."""
    presses = Presses(ENTER)
    counts = [presses.in_(press(at_s)) for at_s in (100.0, 102.0, 105.0, 111.0)]

    assert counts == [1, 0, 0, 1]


def test_a_clock_set_back_hides_no_press() -> None:
    """A press of an earlier time is a press."""
    presses = Presses(ENTER)

    assert [presses.in_(press(at_s)) for at_s in (100.0, 50.0)] == [1, 1]


@given(sizes=st.lists(st.integers(1, 60), max_size=40))
def test_any_cutting_counts_the_same(sizes: list[int]) -> None:
    """However the bytes are cut, the presses are the same."""
    presses, whole, place, count = Presses(ENTER), press(100.0) + press(130.0), 0, 0
    for size in [*sizes, len(whole)]:
        count += presses.in_(whole[place : place + size])
        place += size

    assert count == 2
