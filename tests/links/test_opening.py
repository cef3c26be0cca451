"""Each input of the settings becomes the link it names."""

from pathlib import Path

import pytest

from middlewatch.links.bytelink import ByteLink
from middlewatch.links.file import FileLink
from middlewatch.links.opening import link_for
from middlewatch.links.serial_line import SerialLine
from middlewatch.links.stdin import StdinLink
from middlewatch.links.tcp import TcpLink
from middlewatch.links.udp import UdpLink
from middlewatch.settings import InputSettings


@pytest.mark.parametrize(
    ("settings", "link"),
    [
        (InputSettings(name="bow", link="serial", port="/dev/ttyUSB0"), SerialLine("/dev/ttyUSB0", 4800)),
        (
            InputSettings(name="bow", link="serial", port="/dev/ttyS1", baud=38400),
            SerialLine("/dev/ttyS1", 38400),
        ),
        (InputSettings(name="mast", link="tcp", host="10.0.0.2", port=10110), TcpLink("10.0.0.2", 10110)),
        (
            InputSettings(name="hub", link="udp", host="239.1.0.1", port=10110),
            UdpLink("239.1.0.1", 10110),
        ),
        (InputSettings(name="old", link="file", path=Path("passage.nmea")), FileLink(Path("passage.nmea"))),
    ],
)
def test_the_settings_of_an_input_make_its_link(settings: InputSettings, link: ByteLink) -> None:
    """Port, host, baud and path go where the link wants them; the registered speed is 4800."""
    assert link_for(settings) == link


def test_standard_input_needs_nothing_more() -> None:
    """A `stdin` input is standard input."""
    assert isinstance(link_for(InputSettings(name="pipe", link="stdin")), StdinLink)


def test_settings_that_nobody_checked_are_refused() -> None:
    """A link is never opened at an address that is missing."""
    unchecked = InputSettings.model_construct(name="mast", link="tcp", host=None, port=None)

    with pytest.raises(ValueError, match="input mast: a tcp link without its address"):
        link_for(unchecked)
