"""The serial line over a real pty pair: what is heard, how it ends, and how it comes back."""

import errno
import termios
from itertools import repeat

import pytest

from links.listening import Ear, Log, fault_of, hail, open_descriptors, running
from links.pty_pair import PtyPair
from middlewatch.links.serial_line import SerialLine
from middlewatch.links.supervisor import keep


async def test_bytes_are_heard_as_they_arrive(pty_pair: PtyPair) -> None:
    """What the instrument sends is handed over without waiting for the rest of its line."""
    ear = Ear()

    async with running(SerialLine(str(pty_pair.path)).run(ear)):
        pty_pair.send(b"$HCHDM,238.0,M")
        assert await ear.until(b"238.0,M") == b"$HCHDM,238.0,M"
        pty_pair.send(b"*20\r\n")
        assert await ear.until(b"\n") == b"$HCHDM,238.0,M*20\r\n"


async def test_no_byte_is_altered_on_the_line(pty_pair: PtyPair) -> None:
    """Control characters, flow control among them, pass as they are: the line is raw."""
    ear = Ear()
    every_byte = bytes(range(256))

    async with running(SerialLine(str(pty_pair.path)).run(ear)):
        pty_pair.send(every_byte)
        assert await ear.until(b"\xff") == every_byte


@pytest.mark.parametrize(("baud", "speed"), [(4800, termios.B4800), (38400, termios.B38400)])
async def test_the_line_is_set_to_its_speed(pty_pair: PtyPair, baud: int, speed: int) -> None:
    """The bus runs at 4800 bits a second, or as set, with eight data bits and no parity."""
    async with running(SerialLine(str(pty_pair.path), baud).run(Ear())):
        _, _, control, _, in_speed, out_speed, _ = termios.tcgetattr(pty_pair.instrument)

    assert (in_speed, out_speed) == (speed, speed)
    assert control & termios.CSIZE == termios.CS8
    assert not control & (termios.PARENB | termios.CSTOPB)


async def test_a_read_before_anything_has_come_is_not_taken_for_the_end(pty_pair: PtyPair) -> None:
    """VMIN is 1: at 0 Linux answers an early read of a terminal with no bytes, as it does of one hung up."""
    async with running(SerialLine(str(pty_pair.path)).run(Ear())):
        characters = termios.tcgetattr(pty_pair.instrument)[6]

    assert characters[termios.VMIN] in (1, b"\x01")


async def test_an_unplugged_line_is_a_fault(pty_pair: PtyPair) -> None:
    """A device that vanishes ends the link with an OSError, not with silence."""
    ear = Ear()

    async with running(fault_of(SerialLine(str(pty_pair.path)).run(ear))) as life:
        await hail(pty_pair.send, ear)
        pty_pair.unplug()
        fault = await life

    # Which of the two depends on whether the kernel has hung up the line by the time it is read.
    assert "hung up" in str(fault) or fault.errno == errno.EIO


async def test_a_line_that_is_not_there_is_a_fault(pty_pair: PtyPair) -> None:
    """A port whose path does not exist yet is an OSError, to be tried again."""
    pty_pair.unplug()

    fault = await fault_of(SerialLine(str(pty_pair.path)).run(Ear()))

    assert isinstance(fault, OSError)
    assert "No such file or directory" in str(fault)


async def test_a_line_is_held_by_one_reader_only(pty_pair: PtyPair) -> None:
    """A second reader would take bytes out of our sentences: it is refused, and told why."""
    async with running(SerialLine(str(pty_pair.path)).run(Ear())):
        fault = await fault_of(SerialLine(str(pty_pair.path)).run(Ear()))

    assert str(fault) == "held by another program"


async def test_a_speed_the_device_cannot_do_is_its_fault(
    pty_pair: PtyPair, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A driver's refusal of an odd speed is a fault of the device and does not stop the daemon."""

    def refuse(*_: object) -> None:
        raise ValueError("Failed to set custom baud rate (4801)")

    monkeypatch.setattr("serial.Serial._set_special_baudrate", refuse)

    fault = await fault_of(SerialLine(str(pty_pair.path), 4801).run(Ear()))

    assert str(fault) == "Failed to set custom baud rate (4801)"


async def test_unplug_and_replug_at_the_same_path(pty_pair: PtyPair) -> None:
    """The line is taken up again by itself; the outage is said once as it begins and once as bytes flow."""
    ear, log = Ear(), Log()
    line = SerialLine(str(pty_pair.path))

    async with running(keep(line, ear, note=log, delays=repeat(0.005))):
        pty_pair.send(b"$HCHDM,238.0,M*20\r\n")
        await ear.until(b"*20\r\n")
        pty_pair.unplug()
        await log.until(1)
        pty_pair.plug()
        await hail(pty_pair.send, ear)
        pty_pair.send(b"$HCHDM,239.0,M*21\r\n")
        assert (await ear.until(b"*21\r\n")).startswith(b"$HCHDM,238.0,M*20\r\nhail\r\n")

    (failed, why), (failed_then, back) = log.notes
    assert (failed, failed_then) == (True, False)
    assert why.startswith(f"serial line {pty_pair.path}: ")
    assert back == f"serial line {pty_pair.path}: heard again"


async def test_a_line_torn_by_unplugging_is_not_finished_by_the_next(pty_pair: PtyPair) -> None:
    """Half a heading and the rest of a later one never read as one: 2 and 8.0 are not 28.0."""
    ear, log = Ear(), Log()

    async with running(keep(SerialLine(str(pty_pair.path)), ear, note=log, delays=repeat(0.005))):
        pty_pair.send(b"$HCHDM,2")
        await ear.until(b"$HCHDM,2")
        pty_pair.unplug()
        await log.until(1)

    assert ear.heard == b"$HCHDM,2\x18\n"


async def test_cancelling_closes_the_line(pty_pair: PtyPair) -> None:
    """A link stopped by the daemon leaves no descriptor open."""
    before = open_descriptors()

    async with running(SerialLine(str(pty_pair.path)).run(Ear())):
        slave = str(pty_pair.path.readlink())
        assert list(open_descriptors().values()).count(slave) == 2

    assert open_descriptors() == before
