"""The page: where it is served, who may see it, who may enter, how it tells the time. Off unless set."""

import re
from ipaddress import ip_address
from typing import Annotated

from pydantic import AfterValidator, Field, model_validator

from middlewatch.settings.refusal import wrong
from middlewatch.settings.table import OptionalFileThere, Table

LEAST_TOKEN = 12
"""Characters of a token at least: with one guess in ten seconds none of these is found by trying."""

_ZONE = re.compile(r"([+-])(\d\d):([0-5]\d)")
_NAME = re.compile(r"[A-Za-z0-9]([A-Za-z0-9.-]{0,251}[A-Za-z0-9])?")


def _address(host: str) -> str:
    if host != "localhost":
        try:
            ip_address(host)
        except ValueError:
            wanted = "an address of ours, as 127.0.0.1, or 0.0.0.0 for every one"
            raise wrong("", host, wanted) from None
    return host


def _zone(zone: str) -> str:
    told = _ZONE.fullmatch(zone)
    if told is None or int(told[2]) > 14:
        raise wrong("", zone, "an offset from UT up to 14 hours, as +01:00")
    return zone


def _names(names: tuple[str, ...]) -> tuple[str, ...]:
    for place, name in enumerate(names, start=1):
        if not _NAME.fullmatch(name):
            raise wrong(f"#{place}", name, "a host's name, as helm.local")
    return tuple(name.lower() for name in names)


def _key(key: str) -> str:
    if not key or key != key.strip() or not key.isprintable() or len(key) > 32:
        raise wrong("", key, "a key as browsers name it, as s, F13 or AudioVolumeUp")
    return key


Key = Annotated[str, AfterValidator(_key)]


class PageSettings(Table):
    """The page: `port` 0 serves none.

    `host`: an address of ours to serve at; any but loopback needs `token_file`, whose token opens page and
    orders; `crew_token_file`: one that opens the page to be read. `names`: by which names, besides addresses
    and localhost, the page may be called. `zone`: the boat's time beside UT. The keys are those
    of a remote, and overboard's.
    """

    host: Annotated[str, AfterValidator(_address)] = "127.0.0.1"
    port: Annotated[int, Field(ge=0, le=65535)] = 0
    names: Annotated[tuple[str, ...], Field(strict=False), AfterValidator(_names)] = ()
    token_file: OptionalFileThere = None
    crew_token_file: OptionalFileThere = None
    zone: Annotated[str, AfterValidator(_zone)] = "+00:00"
    sight_key: Key = "s"
    acknowledge_key: Key = "a"
    repeat_key: Key = "r"
    overboard_key: Key = "o"

    @property
    def on_loopback(self) -> bool:
        """Whether nobody outside this board reaches it."""
        return self.host == "localhost" or ip_address(self.host).is_loopback

    def tokens(self) -> tuple[str | None, str | None]:
        """Return the skipper's token and the crew's, None where there is none; OSError for a lost file."""
        files = (self.token_file, self.crew_token_file)
        skipper, crew = (None if file is None else file.read_text(encoding="utf-8").strip() for file in files)
        return skipper, crew

    @model_validator(mode="after")
    def _fits_together(self) -> "PageSettings":
        """Refuse a page open to everybody, tokens too short or the same, and a key with two meanings."""
        if self.port and not self.on_loopback and self.token_file is None:
            raise wrong("token_file", "", f"the file of a token, for {self.host} is open to the whole net")
        if self.crew_token_file is not None and self.token_file is None:
            raise wrong("token_file", "", "the file of a token to go with crew_token_file")
        skipper, crew = self.tokens()
        for name, token in (("token_file", skipper), ("crew_token_file", crew)):
            if token is not None and len(token) < LEAST_TOKEN:
                found = f"{len(token)} characters"
                raise wrong(name, found, f"a file that holds a token of {LEAST_TOKEN} characters or more")
        if skipper is not None and skipper == crew:
            raise wrong("crew_token_file", "the token of token_file", "a token of its own")
        keys = (self.sight_key, self.acknowledge_key, self.repeat_key, self.overboard_key)
        if len(set(keys)) < len(keys):
            raise wrong("repeat_key", ", ".join(keys), "keys that differ")
        return self
