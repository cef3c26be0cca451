"""The inputs: by which link each comes in, and what its sentences are worth."""

from typing import Annotated, Literal

from pydantic import AfterValidator, BeforeValidator, Field, model_validator

from middlewatch.settings.refusal import wrong
from middlewatch.settings.table import OptionalFile, Table

Link = Literal["serial", "tcp", "udp", "file", "stdin"]
Baud = Literal[1200, 2400, 4800, 9600, 19200, 38400, 57600, 115200, 230400, 460800, 921600]

# What each link cannot do without.
_NEEDED: dict[Link, dict[str, str]] = {
    "serial": {"port": 'a device path such as "/dev/serial/by-id/..."'},
    "tcp": {"host": "a host name or address", "port": "a port number 1-65535 (registered: 10110)"},
    "udp": {
        "host": "the address to listen on (0.0.0.0: every interface) or a multicast group",
        "port": "a port number 1-65535 (registered: 10110)",
    },
    "file": {"path": "the name of a file"},
    "stdin": {},
}


def _port(value: object) -> object:
    if value is not None and (isinstance(value, bool) or not isinstance(value, str | int)):
        raise wrong("", value, "a device path (serial) or a port number (tcp, udp)")
    return value


def _input_name(name: str) -> str:
    # A TAG block's source has 15 characters at most, and the name stands in `HCHDG@bow`.
    if not (1 <= len(name) <= 15 and name.isascii() and all(c.isalnum() or c in "_-" for c in name)):
        raise wrong("", name, "1 to 15 of the letters A-Z a-z 0-9 _ -")
    return name


LinkName = Annotated[str, AfterValidator(_input_name)]
LinkPort = Annotated[str | int | None, BeforeValidator(_port)]


def _talker(talker: str) -> str:
    if not (len(talker) == 2 and talker.isascii() and talker.isalnum() and talker == talker.upper()):
        raise wrong("", talker, 'a talker of two capitals such as "II"')
    return talker


class InputSettings(Table):
    """One input.

    `port` is the device path of a serial link and the port number of tcp and udp. `host`, `path` and `port`
    are None where the link has no use for them, and giving one that it has no use for is refused.
    `satellite` lists talkers on this input that are satellite-derived whatever they say.
    """

    name: LinkName
    link: Link
    port: LinkPort = None
    host: str | None = None
    baud: Baud = 4800
    path: OptionalFile = None
    checksum: Literal["required", "if present"] = "required"
    stamp: Literal["arrival", "tag"] = "arrival"
    satellite: Annotated[tuple[Annotated[str, AfterValidator(_talker)], ...], Field(strict=False)] = ()

    @model_validator(mode="after")
    def _what_the_link_needs(self) -> "InputSettings":
        """Refuse a link without its address, and an address that the link has no use for."""
        needed = _NEEDED[self.link]
        for key, wanted in needed.items():
            if not self._usable(key):
                raise wrong(key, getattr(self, key), wanted)
        useful = {*needed, "baud"} if self.link == "serial" else set(needed)
        for key in ("port", "host", "baud", "path"):
            given = key in self.model_fields_set and getattr(self, key) is not None
            if given and key not in useful:
                raise wrong(key, getattr(self, key), f"no {key} for a {self.link} link")
        return self

    def _usable(self, key: str) -> bool:
        value = getattr(self, key)
        if key == "port" and self.link in ("tcp", "udp"):
            return isinstance(value, int) and 1 <= value <= 65535
        if key in ("port", "host"):
            return isinstance(value, str) and value != ""
        return value is not None

    @property
    def opens(self) -> tuple[object, ...]:
        """What this input reads from; two inputs on one source would share its bytes or double them."""
        return self.link, self.host, self.port, self.path


def one_name_one_source(inputs: tuple[InputSettings, ...]) -> tuple[InputSettings, ...]:
    """Refuse two inputs of one name, and two that read one source."""
    for place, later in enumerate(inputs):
        for earlier in inputs[:place]:
            if later.name == earlier.name:
                raise wrong(f"#{place + 1}.name", later.name, "a name that no other input has")
            if later.opens == earlier.opens:
                raise wrong(
                    f"#{place + 1}", later.name, f"a source of its own: {earlier.name} reads the same"
                )
    return inputs
