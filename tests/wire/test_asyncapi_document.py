"""The AsyncAPI document: whole in itself, true to the code's own tables, and the copy beside the settings."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft7Validator
from typer.testing import CliRunner

from middlewatch.cli import app
from middlewatch.readings.entries import Channel, Said
from middlewatch.runtime.described import described
from middlewatch.wire.entries import decode
from middlewatch.wire.orders import ORDERS
from middlewatch.wire.sightings import SIGHTINGS
from middlewatch.wire.topics import AT_MOST_ONCE, ENTRY_TOPICS, OUTLETS
from wire.as_described import judge
from wire.test_entries_laws import KEYS, VALUES

COPY = Path(__file__).parents[2] / "configs" / "asyncapi.json"
DOCUMENT: dict[str, Any] = json.loads(described())
CHANNELS, OPERATIONS = DOCUMENT["channels"], DOCUMENT["operations"]
COMPONENTS = DOCUMENT["components"]
KINDS: dict[Channel, tuple[str, ...]] = {"sighting": tuple(SIGHTINGS), "order": tuple(ORDERS)}


def _references(value: Any) -> Iterator[str]:
    if isinstance(value, dict):
        if "$ref" in value:
            yield value["$ref"]
        for key, inner in value.items():
            if key != "examples":
                yield from _references(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from _references(inner)


def _found(reference: str) -> Any:
    assert reference.startswith("#/")
    place: Any = DOCUMENT
    for step in reference[2:].split("/"):
        place = place[step]
    return place


def test_the_copy_is_as_the_command_prints_it() -> None:
    """An old copy fails here: `middlewatch asyncapi > configs/asyncapi.json`."""
    printed = CliRunner().invoke(app, ["asyncapi"])

    assert printed.exit_code == 0
    assert COPY.read_text(encoding="utf-8") == printed.stdout


def test_every_reference_leads_somewhere() -> None:
    """No `$ref` of the document hangs in the air."""
    for reference in set(_references(DOCUMENT)):
        assert _found(reference)


def test_nothing_stands_there_that_nothing_uses() -> None:
    """Every message, schema and parameter is referred to."""
    used = set(_references(DOCUMENT))
    for kind in ("messages", "schemas", "parameters"):
        for name in COMPONENTS[kind]:
            assert f"#/components/{kind}/{name}" in used


def test_operations_channels_and_messages_agree() -> None:
    """Each channel has an operation, whose messages are messages of that channel; a reply's likewise."""
    for operation in OPERATIONS.values():
        assert operation["action"] in {"send", "receive"}
        for each in (operation, operation.get("reply")):
            if each is not None:
                channel = each["channel"]["$ref"]
                for message in each["messages"]:
                    assert message["$ref"].startswith(f"{channel}/messages/")
    served = {operation["channel"]["$ref"] for operation in OPERATIONS.values()}
    assert served == {f"#/channels/{name}" for name in CHANNELS}


def test_the_braces_of_an_address_are_its_parameters() -> None:
    """AsyncAPI 3.0, Channel Object (from memory): every expression of the address has its parameter."""
    for channel in CHANNELS.values():
        address = channel["address"] or ""
        for name in channel.get("parameters", ()):
            assert f"{{{name}}}" in address
        assert address.count("{") == len(channel.get("parameters", ()))


def test_the_topics_are_the_daemons_own() -> None:
    """Addresses, QoS and retention are those by which reports go out and entries come in."""
    outgoing = {}
    for operation in OPERATIONS.values():
        address = _found(operation["channel"]["$ref"])["address"]
        if operation["action"] == "send" and address is not None:
            outgoing[address] = (
                operation["bindings"]["mqtt"]["qos"],
                operation["bindings"]["mqtt"]["retain"],
            )
    expected = {}
    for outlet in OUTLETS.values():
        for channel in ENTRY_TOPICS if "{channel}" in outlet.topic else ("",):
            topic = outlet.topic.replace("{channel}", channel)
            expected[f"middlewatch/{{boat}}/{topic}"] = (0 if topic in AT_MOST_ONCE else 1, outlet.retained)
    assert outgoing == expected
    incoming = {_found(each["channel"]["$ref"])["address"] for each in OPERATIONS.values() if "reply" in each}
    assert incoming == {f"middlewatch/{{boat}}/{topic}" for topic in ENTRY_TOPICS}


@pytest.mark.parametrize("name", COMPONENTS["schemas"])
def test_each_schema_is_one(name: str) -> None:
    """Each schema is one of draft 07, whose words AsyncAPI 3.0 takes over."""
    Draft7Validator.check_schema(COMPONENTS["schemas"][name])


@pytest.mark.parametrize("name", COMPONENTS["messages"])
def test_each_message_has_examples_that_fit(name: str) -> None:
    """Each example fits the schema of its message, and an entry's example is taken by the decoder."""
    examples = COMPONENTS["messages"][name].get("examples", [])
    assert examples
    for example in examples:
        text = json.dumps(example["payload"])
        judge().check_message(name, text)
        for channel in KINDS:
            if f"#/components/messages/{name}" in _references(CHANNELS[channel]):
                assert isinstance(decode(channel, text), Said)


# --- entries -----------------------------------------------------------------------------------------------


def _message(channel: Channel, kind: str) -> str:
    return channel + "".join(word.capitalize() for word in kind.split("_"))


_entries = st.one_of(
    [
        st.tuples(
            st.just(channel),
            st.fixed_dictionaries({"kind": st.sampled_from(kinds)}),
            st.dictionaries(
                KEYS, VALUES | st.floats(0, 60) | st.sampled_from(["true", "port", "b1"]), max_size=5
            ),
        )
        for channel, kinds in KINDS.items()
    ]
)


@settings(deadline=None)
@given(_entries)
def test_what_the_decoder_takes_fits_its_schema(
    entry: tuple[Channel, dict[str, Any], dict[str, Any]],
) -> None:
    """Whatever is no entry by the document is refused by the daemon."""
    channel, kind, fields = entry
    said = fields | kind
    fits = judge().wrong_with(_message(channel, kind["kind"]), said) is None
    assert fits or not isinstance(decode(channel, json.dumps(said)), Said)


@pytest.mark.parametrize(
    ("channel", "kind"), [(channel, kind) for channel in KINDS for kind in KINDS[channel]]
)
def test_each_slip_in_an_example_is_refused_by_both(channel: Channel, kind: str) -> None:
    """An example with an unknown key, without its kind, of another, or with both times fits nowhere."""
    name = _message(channel, kind)
    good = COMPONENTS["messages"][name]["examples"][0]["payload"]
    both = {**good, "at": "2026-05-03T01:42:07Z", "ago_s": 3}
    kindless = {key: value for key, value in good.items() if key != "kind"}
    for bad in ({**good, "bearnig": 3}, kindless, {**good, "kind": "guess"}, both, {**good, "note": None}):
        assert judge().wrong_with(name, bad) is not None
        assert not isinstance(decode(channel, json.dumps(bad)), Said)
