"""From an output's settings to the link that carries it."""

from middlewatch.links.nmea_out import OutLink
from middlewatch.links.nmea_out_serial import SerialSender
from middlewatch.links.nmea_out_tcp import TcpServer
from middlewatch.links.nmea_out_udp import UdpSender
from middlewatch.settings import OutputSettings


def out_link_for(settings: OutputSettings) -> OutLink:
    """Return the link an output asks for, not yet open; ValueError for settings that nobody checked."""
    match settings:
        case OutputSettings(link="serial", port=str(port), baud=baud):
            return SerialSender(port, baud)
        case OutputSettings(link="tcp"):
            return TcpServer(*settings.place)
        case OutputSettings(link="udp"):
            return UdpSender(*settings.place)
    raise ValueError(f"output {settings.name}: a {settings.link} link without its address")
