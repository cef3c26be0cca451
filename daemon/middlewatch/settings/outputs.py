"""The outputs: on which links the reckoning is told in sentences, and in which of them. None unless set."""

from typing import Annotated, Literal

from pydantic import AfterValidator, Field, model_validator

from middlewatch.settings.inputs import Baud, InputSettings, LinkName, LinkPort
from middlewatch.settings.refusal import wrong
from middlewatch.settings.table import Table
from middlewatch.wire.nmea_bulletin import SentenceName

REGISTERED_PORT = 10110
"""The port registered for NMEA 0183 over TCP and UDP."""

_HERE = "127.0.0.1"


def _each_once(names: tuple[SentenceName, ...]) -> tuple[SentenceName, ...]:
    for place, name in enumerate(names, start=1):
        if name in names[: place - 1]:
            raise wrong(f"#{place}", name, "each sentence once")
    if not names:
        raise wrong("", list(names), "one sentence or more")
    return names


class OutputSettings(Table):
    """One output.

    `tcp` serves whoever connects to `host` (an address of ours; loopback unless set) and `port`; `udp` sends
    to `host` (one address, a broadcast address, a multicast group) and `port`; `serial` writes to the device
    `port`. `position`: which of the reckoning's two positions is told. VTG, HDT and THS have to be asked for:
    VTG and HDT have no status by which a listener could know what they are worth.
    """

    name: LinkName
    link: Literal["serial", "tcp", "udp"]
    port: LinkPort = None
    host: str | None = None
    baud: Baud = 4800
    position: Literal["ep", "dr"] = "ep"
    sentences: Annotated[tuple[SentenceName, ...], Field(strict=False), AfterValidator(_each_once)] = (
        "RMC", "GLL", "VDR", "NSR", "TXT", "ALERTS",
    )  # fmt: skip
    tag: bool = True

    @model_validator(mode="after")
    def _what_the_link_needs(self) -> "OutputSettings":
        """Refuse a link without its address, and an address that the link has no use for."""
        if self.link == "serial":
            if not isinstance(self.port, str) or not self.port:
                raise wrong("port", self.port, 'a device path such as "/dev/serial/by-id/..."')
            if self.host is not None:
                raise wrong("host", self.host, "no host for a serial link")
            return self
        if isinstance(self.port, str) or (self.port is not None and not 1 <= self.port <= 65535):
            raise wrong("port", self.port, f"a port number 1-65535 (not set: {REGISTERED_PORT})")
        if self.link == "udp" and not self.host:
            raise wrong("host", self.host, "where to send: an address, a broadcast or a multicast one")
        if self.host == "":
            raise wrong("host", self.host, f"an address of ours (not set: {_HERE}; 0.0.0.0: every one)")
        if "baud" in self.model_fields_set:
            raise wrong("baud", self.baud, f"no baud for a {self.link} link")
        return self

    @property
    def place(self) -> tuple[str, int]:
        """Host and port of a tcp or udp link."""
        port = self.port if isinstance(self.port, int) else REGISTERED_PORT
        return self.host or _HERE, port

    @property
    def leads_to(self) -> tuple[object, ...]:
        """By which way this output goes out; two on one way would be in each other's."""
        return (self.link, self.port) if self.link == "serial" else (self.link, *self.place)


def one_name_one_way(outputs: tuple[OutputSettings, ...]) -> tuple[OutputSettings, ...]:
    """Check that no two outputs have one name, or one way out."""
    names: set[str] = set()
    ways: dict[tuple[object, ...], str] = {}
    for place, each in enumerate(outputs, start=1):
        if each.name in names:
            raise wrong(f"#{place}.name", each.name, "a name that no other output has")
        if each.leads_to in ways:
            taken = ways[each.leads_to]
            raise wrong(f"#{place}", each.name, f"a way out of its own: {taken} has the same")
        names.add(each.name)
        ways[each.leads_to] = each.name
    return outputs


def no_line_both_ways(inputs: tuple[InputSettings, ...], outputs: tuple[OutputSettings, ...]) -> None:
    """Check that no serial line is heard and spoken on: whichever opens it first would hold it alone."""
    heard = {each.port: each.name for each in inputs if each.link == "serial"}
    for place, each in enumerate(outputs, start=1):
        if each.link == "serial" and each.port in heard:
            wanted = f"a line of its own: input {heard[each.port]} reads this one"
            raise wrong(f"outputs.#{place}.port", each.port, wanted)
