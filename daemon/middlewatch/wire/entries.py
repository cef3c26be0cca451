"""What an entry says: from its text to a sighting or an order, or to the refusal that names what is amiss."""

import json
import re
from typing import Any

from pydantic import ValidationError

from middlewatch.readings.entries import Channel, Said, Unread
from middlewatch.wire.entry_fields import EntryFields
from middlewatch.wire.orders import ORDERS
from middlewatch.wire.plain_json import canonical, read_object, said_once
from middlewatch.wire.refusals import RefusedError, did_you_mean, shown, unfit
from middlewatch.wire.sightings import SIGHTINGS

_KINDS: dict[str, type[EntryFields]] = {**SIGHTINGS, **ORDERS}
_ID = re.compile(r"[A-Za-z0-9._-]{1,64}")
_KIND = re.compile(r"[a-z_]{1,40}")
# `withdraw last` means the newest entry, whatever its id.
RESERVED_ID = "last"


def decode(channel: Channel, text: str) -> Said | Unread:
    """Return what an entry says, or why it says nothing; never raises."""
    try:
        entry = read_object(text)
        kind = _kind_of(entry)
        _check_channel(kind, channel)
        fields = _fields(_KINDS[kind], entry)
        body = canonical({key: value for key, value in entry.items() if key != "id"})
        return Said(fields.id, kind, fields.at, fields.ago_s, fields.note, body, fields.request())
    except RefusedError as refused:
        return Unread(
            id_in(text), _kind_in(text), refused.field, refused.found, refused.wanted, refused.reason
        )


def amended(body: str, change: str) -> str:
    """Return the body of a `Said` with the change of an `Amend` laid over it: text to decode again.

    Each key of the change replaces the body's, whole; null takes it out (so it gives back no sensor in a
    `by_hand`: that wants an order of its own). ValueError for a change of id or kind, which `decode` lets no
    `Amend` carry.
    """
    entry, changes = json.loads(body), json.loads(change)
    for fixed in ("id", "kind"):
        if fixed in changes:
            raise ValueError(f"the {fixed} of an entry cannot be amended")
    kept = {key: value for key, value in entry.items() if key not in changes}
    return canonical(kept | {key: value for key, value in changes.items() if value is not None})


def id_in(text: str) -> str | None:
    """Return the id an entry carries, even a refused one; None where there is none, or no telling."""
    entry_id = said_once(text, "id")
    return entry_id if entry_id is not None and _ID.fullmatch(entry_id) else None


def channel_of_kind(kind: str) -> Channel | None:
    """Return on which topic entries of this kind belong; None for a kind unknown."""
    if kind in SIGHTINGS:
        return "sighting"
    return "order" if kind in ORDERS else None


def _kind_in(text: str) -> str | None:
    kind = said_once(text, "kind")
    return kind if kind is not None and _KIND.fullmatch(kind) else None


def _kind_of(entry: dict[str, Any]) -> str:
    known = list(_KINDS)
    if "kind" not in entry:
        raise RefusedError("kind", "nothing", "one of " + ", ".join(known), "an entry says its kind")
    kind = entry["kind"]
    if not isinstance(kind, str):
        raise RefusedError("kind", shown(kind), "one of " + ", ".join(known), "a kind is a word in quotes")
    if kind not in known:
        raise RefusedError("kind", kind, did_you_mean(kind, known), "there is no such kind of entry")
    return kind


def _check_channel(kind: str, channel: Channel) -> None:
    belongs = channel_of_kind(kind)
    if belongs != channel:
        wanted = f"{kind} on the topic {belongs}"
        raise RefusedError("kind", kind, wanted, f"{kind} came on the topic {channel}")


def _fields(model: type[EntryFields], entry: dict[str, Any]) -> EntryFields:
    """Check an entry against the fields of its kind; RefusedError for what does not fit."""
    try:
        fields = model.model_validate(entry)
    except ValidationError as error:
        raise unfit(entry["kind"], model, error) from None
    for key, value in entry.items():
        if value is None and key not in model.may_be_null:
            raise RefusedError(key, "null", f"a value, or no {key}", f"null says nothing of {key}")
    if fields.id == RESERVED_ID:
        raise RefusedError("id", RESERVED_ID, "another id", "last always means the newest entry")
    if fields.at is not None and fields.ago_s is not None:
        found = f"at {entry['at']} and ago_s {entry['ago_s']}"
        raise RefusedError("ago_s", found, "at or ago_s, not both", "the time is given twice")
    return fields
