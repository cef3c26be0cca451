"""What goes over MQTT, described for other programs: the AsyncAPI document with its examples, as JSON."""

import json
from collections import defaultdict
from importlib import resources
from typing import Any

from middlewatch import __version__
from middlewatch.settings import defaults
from middlewatch.wire.asyncapi import document

_EXAMPLES = "mqtt_examples.jsonl"
"""Messages of real runs, one a line: `{"message", "payload"}`."""


def described() -> str:
    """Return the document, indented, with the end of its last line."""
    mqtt = defaults().mqtt
    told = document(__version__, f"{mqtt.host}:{mqtt.port}", _examples())
    return json.dumps(told, indent=2, ensure_ascii=False) + "\n"


def _examples() -> dict[str, list[Any]]:
    examples = defaultdict(list)
    lines = resources.files("middlewatch.runtime").joinpath(_EXAMPLES).read_text(encoding="utf-8")
    for example in map(json.loads, lines.splitlines()):
        examples[example["message"]].append(example["payload"])
    return examples
