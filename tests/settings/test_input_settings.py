"""Inputs: what each link needs, and that no two are mistaken for each other."""

from collections.abc import Callable
from pathlib import Path

import pytest

from middlewatch.settings import load


def test_each_link_takes_its_own_address(settings_file: Callable[[str], Path]) -> None:
    """A serial line has a device, a network link host and port, a file its path, standard input nothing."""
    file = settings_file("""
        inputs = [
            {name = "bow", link = "serial", port = "/dev/ttyUSB0", baud = 38400, satellite = ["II", "U0"]},
            {name = "mast", link = "tcp", host = "10.0.0.2", port = 10110, checksum = "if present"},
            {name = "air", link = "udp", host = "239.192.0.1", port = 60001, stamp = "tag"},
            {name = "old", link = "file", path = "/var/log/deck.nmea"},
            {name = "pipe", link = "stdin"},
        ]
    """)

    bow, mast, air, old, pipe = load(file).inputs

    assert (bow.port, bow.baud, bow.satellite) == ("/dev/ttyUSB0", 38400, ("II", "U0"))
    assert (bow.checksum, bow.stamp) == ("required", "arrival")
    assert (mast.host, mast.port, mast.checksum) == ("10.0.0.2", 10110, "if present")
    assert (air.host, air.port, air.stamp) == ("239.192.0.1", 60001, "tag")
    assert old.path == Path("/var/log/deck.nmea")
    assert (pipe.port, pipe.host, pipe.path) == (None, None, None)


DEVICE = 'wanted a device path such as "/dev/serial/by-id/..."'
NUMBER = "wanted a port number 1-65535 (registered: 10110)"
RATES = "1200, 2400, 4800, 9600, 19200, 38400, 57600, 115200, 230400, 460800 or 921600"


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        ('link = "serial"', f".port: found nothing, {DEVICE}"),
        ('link = "serial", port = 10110', f".port: found 10110, {DEVICE}"),
        ('link = "serial", port = "/dev/a", baud = 480', f".baud: found 480, wanted {RATES}"),
        ('link = "tcp", port = 10110', ".host: found nothing, wanted a host name or address"),
        ('link = "tcp", host = "h", port = "10110"', f'.port: found "10110", {NUMBER}'),
        ('link = "udp", host = "h", port = 0', f".port: found 0, {NUMBER}"),
        ('link = "udp", host = "h", port = 1.0',
         ".port: found 1.0, wanted a device path (serial) or a port number (tcp, udp)"),
        ('link = "tcp", host = "h", port = 1, baud = 4800',
         ".baud: found 4800, wanted no baud for a tcp link"),
        ('link = "file"', ".path: found nothing, wanted the name of a file"),
        ('link = "file", path = "a", host = "h"', '.host: found "h", wanted no host for a file link'),
        ('link = "stdin", path = "a"', '.path: found "a", wanted no path for a stdin link'),
        ('link = "can"', ".link: found \"can\", wanted 'serial', 'tcp', 'udp', 'file' or 'stdin'"),
        ('link = "stdin", satellite = ["gp"]',
         '.satellite.#1: found "gp", wanted a talker of two capitals such as "II"'),
        ('link = "stdin", checksum = "no"', ".checksum: found \"no\", wanted 'required' or 'if present'"),
        ('prot = 1', ".prot: found an unknown key, wanted port (did you mean that?)"),
    ],
)  # fmt: skip
def test_a_link_is_refused_without_what_it_needs_or_with_what_it_has_no_use_for(
    refusal: Callable[[str], str], keys: str, said: str, tmp_path: Path
) -> None:
    """An input is refused by its name, its key, what was found and what was wanted."""
    assert refusal(f'inputs = [{{name = "bow", {keys}}}]').replace(f"{tmp_path}/", "") == f"inputs.bow{said}"


@pytest.mark.parametrize("name", ["", "sixteen-letters-", "fore deck", "bow@", "b\u00f6w"])
def test_a_name_is_one_that_a_tag_block_can_carry(refusal: Callable[[str], str], name: str) -> None:
    """An input's name fits a TAG block's source (IEC 61162-1: 15 characters at most) and our `HCHDG@name`."""
    assert refusal(f'inputs = [{{name = "{name}", link = "stdin"}}]').endswith(
        f'.name: found "{name}", wanted 1 to 15 of the letters A-Z a-z 0-9 _ -'
    )


def test_two_inputs_of_one_name_are_refused(refusal: Callable[[str], str]) -> None:
    """Two inputs of one name could not be told apart in anything said of them."""
    said = refusal("""
        inputs = [{name = "bow", link = "stdin"}, {name = "bow", link = "file", path = "a"}]
    """)

    assert said == 'inputs.#2.name: found "bow", wanted a name that no other input has'


def test_two_inputs_of_one_source_are_refused(refusal: Callable[[str], str]) -> None:
    """Two inputs on one serial line would share its bytes between them."""
    said = refusal("""
        inputs = [
            {name = "bow", link = "serial", port = "/dev/a"},
            {name = "mast", link = "serial", port = "/dev/a", baud = 38400},
        ]
    """)

    assert said == 'inputs.#2: found "mast", wanted a source of its own: bow reads the same'
