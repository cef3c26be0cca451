"""From an input's settings to the link that reads it."""

from pathlib import Path

from middlewatch.links.bytelink import ByteLink
from middlewatch.links.file import FileLink
from middlewatch.links.serial_line import SerialLine
from middlewatch.links.stdin import StdinLink
from middlewatch.links.tcp import TcpLink
from middlewatch.links.udp import UdpLink
from middlewatch.settings import InputSettings


def link_for(settings: InputSettings) -> ByteLink:
    """Return the link an input asks for, not yet open; ValueError for settings that nobody checked."""
    match settings:
        case InputSettings(link="serial", port=str(port), baud=baud):
            return SerialLine(port, baud)
        case InputSettings(link="tcp", host=str(host), port=int(port)):
            return TcpLink(host, port)
        case InputSettings(link="udp", host=str(host), port=int(port)):
            return UdpLink(host, port)
        case InputSettings(link="file", path=Path() as path):
            return FileLink(path)
        case InputSettings(link="stdin"):
            return StdinLink()
    raise ValueError(f"input {settings.name}: a {settings.link} link without its address")
