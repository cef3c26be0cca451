"""What goes over MQTT as an AsyncAPI 3.0 document: every topic, its direction and delivery, every message.

Told from the tables that the daemon itself goes by: topics and delivery from `topics`, what is said from
`said_schemas`, what is entered from `entry_schemas`. The standard, and version 0.2.0 of its bindings for
MQTT, are written from memory.
"""

import re
from collections.abc import Iterable, Mapping
from typing import Any, get_args

from middlewatch.readings.entries import Channel
from middlewatch.reports.alert import AlertName
from middlewatch.reports.answer import Answer
from middlewatch.reports.status import StatusReport
from middlewatch.wire.entry_fields import EntryFields
from middlewatch.wire.entry_schemas import entry_schemas, name_of
from middlewatch.wire.orders import ORDERS
from middlewatch.wire.payloads import payload
from middlewatch.wire.said_schemas import SaidSchemas, Schema, ref
from middlewatch.wire.sightings import SIGHTINGS
from middlewatch.wire.topics import ENTRY_TOPICS, OUTLETS, Outlet, full

Json = dict[str, Any]
Examples = Mapping[str, Iterable[Any]]
"""Payloads of a real run, by the name of their message."""

_KINDS: dict[Channel, dict[str, type[EntryFields]]] = {"sighting": SIGHTINGS, "order": ORDERS}
_BINDINGS = {"bindingVersion": "0.2.0"}
_ENTRY_QOS = 1

_ABOUT = """
Middlewatch keeps a small boat's reckoning without satellites. It is an aid: chart, lookout, local rules and
licensed practice come first; it sees no other vessel, no floating thing, nothing that was not entered, and
no chart.

Every payload is one JSON object on one line, in UTF-8, its keys in the order in which they stand here. A
key carries its unit: _deg, _nm (1852 m), _kn, _s, _m, _min (minutes of arc). Latitude is north +,
longitude, variation and deviation east +; directions are clockwise and true unless the key says
_magnetic_deg or _compass_deg. A figure is rounded to `x-decimals` places. Times are UTC, always with ms and
Z. What is not known is null; what is not required is left out where it does not apply. Unknown keys must be
passed over: fields are added as the program grows, though this version sends none that is not listed.

A new subscriber is given the newest of each topic that is retained. What is not retained (answers, sounds)
is for those who listen then. A `fix` replaces the one retained before it: earlier fixes are not kept by the
broker.

An entry is answered on its answer topic once it is committed to the journal, and not before; nothing is
queued for a daemon that is away, so a sender gives each entry an id and sends it again, the same to the
letter, until it is answered. A retained entry is refused. Over MQTT 5 the answer also goes to the entry's
response topic, with its correlation data, unless that topic begins with $, holds + or #, or lies among the
boat's own without lying below the entry's own answer topic. MQTT 5 is never required.
"""


def document(version: str, server: str, examples: Examples) -> Json:
    """Return the document as a JSON object; `server` is host:port as the settings have it by default."""
    said = SaidSchemas()
    outgoing = {name: _sent(said, kind, channel) for name, kind, channel in _said_messages()}
    incoming = {
        _entry_message(channel, kind): _taken(kind) for channel, kinds in _KINDS.items() for kind in kinds
    }
    messages = {name: message | _shown(name, examples) for name, message in {**outgoing, **incoming}.items()}
    schemas = said.named | {
        name: schema for kinds in _KINDS.values() for name, schema in entry_schemas(kinds).items()
    }
    return {
        "asyncapi": "3.0.0",
        "info": {
            "title": "Middlewatch over MQTT",
            "version": version,
            "description": _paragraphs(_ABOUT),
            "license": {"name": "MIT"},
        },
        "defaultContentType": "application/json",
        "servers": {"broker": _server(version, server)},
        "channels": _channels(),
        "operations": _operations(),
        "components": {
            "messages": messages,
            "schemas": schemas,
            "parameters": {
                "boat": {"description": "the boat's name, as [boat] name of the settings has it"},
                "name": {"description": "what the alert is about", "enum": list(get_args(AlertName))},
            },
        },
    }


def message_of(topic: str) -> str:
    """Return the name of the message that goes out on a topic below the boat: `alert/log` is of `alert`."""
    if topic.startswith("alert/"):
        return "alert"
    return _camel(topic)


def _paragraphs(text: str) -> str:
    """Return a text with its lines as long as they like, its paragraphs kept."""
    return "\n\n".join(" ".join(each.split()) for each in text.strip().split("\n\n"))


def _server(version: str, server: str) -> Json:
    will = OUTLETS[StatusReport]
    return {
        "host": server,
        "protocol": "mqtt",
        "protocolVersion": "3.1.1",
        "description": "The broker on board; 3.1.1, or 5 by setting; with user, password and TLS by setting.",
        "bindings": {
            "mqtt": {
                "cleanSession": True,
                "lastWill": {
                    "topic": full("{boat}", will.topic),
                    "qos": will.qos,
                    "message": payload(StatusReport("offline", version, None, ())),
                    "retain": will.retained,
                },
                **_BINDINGS,
            }
        },
    }


# --- messages ----------------------------------------------------------------------------------------------


def _said_messages() -> Iterable[tuple[str, type, Channel | None]]:
    """Return each message that goes out: its name, its class, and the channel of an answer."""
    for kind, outlet in OUTLETS.items():
        if kind is Answer:
            for channel in ENTRY_TOPICS.values():
                yield _answer_name(channel), kind, channel
        else:
            yield _outlet_name(outlet), kind, None


def _sent(said: SaidSchemas, kind: type, channel: Channel | None) -> Json:
    if channel is not None:
        return {"title": f"answer to a {channel}", "payload": said.answer(channel)}
    reference = said.report(kind)
    return {"title": _outlet_name(OUTLETS[kind]), "payload": reference}


def _taken(kind: str) -> Json:
    return {
        "title": kind.replace("_", " "),
        "payload": ref(name_of(kind)),
        "bindings": {
            "mqtt": {
                "responseTopic": {"type": "string", "description": "MQTT 5, where wanted"},
                "correlationData": {"type": "string", "description": "MQTT 5, goes back with the answer"},
                **_BINDINGS,
            }
        },
    }


def _shown(name: str, examples: Examples) -> Json:
    shown = [{"payload": example} for example in examples.get(name, ())]
    return {"examples": shown} if shown else {}


# --- channels and operations -------------------------------------------------------------------------------


def _channels() -> Json:
    channels: Json = {}
    for topic, channel in ENTRY_TOPICS.items():
        names = [_entry_message(channel, kind) for kind in _KINDS[channel]]
        channels[topic] = _channel(topic, names, "Entries come in; one that is retained is refused.")
    for name, kind, entered in _said_messages():
        topic = OUTLETS[kind].topic.replace("{channel}", entered or "")
        channels[name] = _channel(topic, [name], _delivery(OUTLETS[kind]))
    answers = [_answer_name(channel) for channel in ENTRY_TOPICS.values()]
    channels["responseTopic"] = {
        **_channel("", answers, "The response topic of an entry that came over MQTT 5."),
        "address": None,
    }
    del channels["responseTopic"]["parameters"]
    return channels


def _channel(topic: str, messages: Iterable[str], description: str) -> Json:
    names = ["boat", *re.findall(r"\{(\w+)\}", topic)]
    return {
        "address": full("{boat}", topic),
        "description": description,
        "messages": {name: {"$ref": f"#/components/messages/{name}"} for name in messages},
        "parameters": {name: {"$ref": f"#/components/parameters/{name}"} for name in names},
    }


def _delivery(outlet: Outlet) -> str:
    kept = "retained" if outlet.retained else "not retained"
    return f"Published {outlet.when}; {kept}, QoS {outlet.qos}."


def _operations() -> Json:
    operations: Json = {}
    for topic, channel in ENTRY_TOPICS.items():
        operations[f"take{topic.capitalize()}"] = {
            **_operation("receive", topic, [_entry_message(channel, kind) for kind in _KINDS[channel]]),
            "bindings": {"mqtt": {"qos": _ENTRY_QOS, "retain": False, **_BINDINGS}},
            "reply": {
                "channel": {"$ref": f"#/channels/{_answer_name(channel)}"},
                "messages": _messages(_answer_name(channel), [_answer_name(channel)]),
            },
        }
    for name, kind, _ in _said_messages():
        operations[f"tell{name[0].upper()}{name[1:]}"] = _telling(name, [name], OUTLETS[kind])
    answers = [_answer_name(channel) for channel in ENTRY_TOPICS.values()]
    operations["answerWhereAsked"] = _telling("responseTopic", answers, OUTLETS[Answer])
    return operations


def _telling(channel: str, messages: Iterable[str], outlet: Outlet) -> Json:
    return {
        **_operation("send", channel, messages),
        "summary": _delivery(outlet),
        "bindings": {"mqtt": {"qos": outlet.qos, "retain": outlet.retained, **_BINDINGS}},
    }


def _operation(action: str, channel: str, messages: Iterable[str]) -> Json:
    return {
        "action": action,
        "channel": {"$ref": f"#/channels/{channel}"},
        "messages": _messages(channel, messages),
    }


def _messages(channel: str, names: Iterable[str]) -> list[Schema]:
    return [{"$ref": f"#/channels/{channel}/messages/{name}"} for name in names]


# --- names -------------------------------------------------------------------------------------------------


def _entry_message(channel: Channel, kind: str) -> str:
    """Return the name of an entry's message: `sightingPosition`, for `position` is a report."""
    return _camel(f"{channel}/{kind}")


def _outlet_name(outlet: Outlet) -> str:
    return _camel(re.sub(r"/?\{\w+\}/?", "", outlet.topic))


def _answer_name(channel: Channel) -> str:
    return _camel(OUTLETS[Answer].topic.replace("{channel}", channel))


def _camel(words: str) -> str:
    first, *more = re.split(r"[/_-]", words)
    return first + "".join(word.capitalize() for word in more)
