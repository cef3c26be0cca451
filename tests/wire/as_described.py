"""What is really published, held against the AsyncAPI document: schemas, order of keys, decimals."""

import json
from collections import defaultdict
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

from jsonschema import Draft7Validator
from jsonschema.exceptions import ValidationError, best_match
from jsonschema.validators import extend

from middlewatch.quantities.instants import Instant
from middlewatch.runtime.described import described
from middlewatch.wire.asyncapi import message_of
from middlewatch.wire.payloads import Published, payload
from middlewatch.wire.topics import AT_MOST_ONCE, topic_of

SCHEMAS = "#/components/schemas/"
SECONDS_HELD = 300


class AsDescribed:
    """The document as a judge of messages; `met` are the schemas that some valid message has used."""

    def __init__(self) -> None:
        self.document: dict[str, Any] = json.loads(described())
        self.met: set[str] = set()
        self._using: set[str] = set()
        judge = extend(  # type: ignore[no-untyped-call] # types-jsonschema leaves it so
            Draft7Validator,
            {"$ref": self._referred, "properties": _in_order, "x-decimals": _rounded, "format": _format},
        )
        self._judge = judge(self.document)

    def check(self, topic: str, text: str) -> None:
        """Hold what goes out on a topic below the boat against its schema; AssertionError if unfit."""
        assert "\n" not in text
        self.check_message(message_of(topic), text)

    def check_message(self, name: str, text: str) -> None:
        """Hold a payload against the schema of a message by name."""
        wrong = self.wrong_with(name, json.loads(text))
        assert wrong is None, f"{name}: {wrong}: {text[:2000]}"

    def wrong_with(self, name: str, value: Any) -> str | None:
        """Return what is wrong with a value as the payload of a message, None where nothing is."""
        schema = self.document["components"]["messages"][name]["payload"]
        self._using = set()
        error = best_match(self._judge.evolve(schema=schema).iter_errors(value))
        if error is None:
            self.met |= self._using
            return None
        return f"{error.json_path} {error.message[:300]}"

    def check_report(self, report: Published) -> None:
        """Hold a report, as it would be published, against its schema."""
        self.check(topic_of(report), payload(report))

    def _referred(self, validator: Any, name: str, value: Any, _: object) -> Iterator[ValidationError]:
        """Follow a reference into the document; the one that fits is counted as met."""
        short = name.removeprefix(SCHEMAS)
        before = set(self._using)
        errors = list(validator.descend(value, self.document["components"]["schemas"][short]))
        self._using = before if errors else self._using | {short}
        yield from errors


@cache
def judge() -> AsDescribed:
    """Return the judge of all tests."""
    return AsDescribed()


def check_reports_file(file: Path) -> None:
    """Hold what `--reports` wrote against the document: every line, but of a long file not each second's.

    A line takes a millisecond: of a topic that is told each second some `SECONDS_HELD` are taken, evenly.
    """
    by_topic: defaultdict[str, list[str]] = defaultdict(list)
    for line in file.read_text().splitlines():
        topic, rest = line.removeprefix('{"topic":"').split('","at":', 1)
        _, report = rest.split(',"report":', 1)
        by_topic[topic].append(report.removesuffix("}"))
    for topic, reports in by_topic.items():
        step = len(reports) // SECONDS_HELD + 1 if topic in AT_MOST_ONCE else 1
        for report in reports[::step]:
            judge().check(topic, report)


def _in_order(validator: Any, properties: Any, value: Any, schema: Any) -> Iterator[ValidationError]:
    """Judge the properties, and their order, which is part of what is promised of what goes out."""
    if not validator.is_type(value, "object"):
        return
    yield from Draft7Validator.VALIDATORS["properties"](validator, properties, value, schema)
    wanted = [key for key in properties if key in value]
    said = [key for key in value if key in properties]
    if schema.get("x-ordered") and said != wanted:
        yield ValidationError(f"keys stand as {said}, not as {wanted}")


def _rounded(_: Any, places: int, value: Any, __: Any) -> Iterator[ValidationError]:
    if isinstance(value, float) and round(value, places) != value:
        yield ValidationError(f"{value} has more than {places} decimals")


def _format(_: Any, name: str, value: Any, __: Any) -> Iterator[ValidationError]:
    """Judge a date and time as the entries' own reader does: RFC 3339 with an offset."""
    assert name == "date-time"
    if isinstance(value, str):
        try:
            Instant.parse(value)
        except ValueError as error:
            yield ValidationError(f"{value!r} is no date and time: {error}")
