"""The forms: one for every kind, asking what the model asks; what a form gives is what the decoder takes."""

import json
from typing import Any

import pytest

from middlewatch.quantities.positions import Position
from middlewatch.readings.entries import Said
from middlewatch.readings.marks import Mark
from middlewatch.wire.entries import decode
from middlewatch.wire.entry_forms import forms
from middlewatch.wire.orders import ORDERS
from middlewatch.wire.page_messages import Keys, Ship, hello
from middlewatch.wire.sightings import SIGHTINGS

FORMS = {form["kind"]: form for form in forms()}

GIVEN = {
    "number": 1.0,
    "whole number": 1,
    "text": "words",
    "yes or no": True,
    "time": "2026-05-03T01:42:07Z",
    "mark": "Thrane Light",
    "list": ["e1", "e2"],
    "changes": {"bearing_deg": 248},
}

ENOUGH: dict[str, dict[str, Any]] = {
    "bearing": {"mark": "Thrane Light"},
    "departure": {"latitude_deg": 50.0, "longitude_deg": -4.2},
    "transit": {"rear_mark": "Corran Mill"},
    "horizontal_angle": {"second_mark": "Corran Mill"},
    "by_hand": {"speed_kn": 5.0},
    "leeway": {"leeway_deg": 5.0, "pushed_to": "port"},
    "log_factor": {"factor": 0.97},
    "deviation": {"card": ["0:-2", "90:1.5"]},
    "clock": {"utc": GIVEN["time"]},
}
"""What a kind wants besides what it requires of every entry of it."""


def test_every_kind_has_a_form_on_its_channel() -> None:
    """Nothing that can be entered over the broker is missing on the page."""
    by_channel = {
        channel: [kind for kind, form in FORMS.items() if form["channel"] == channel]
        for channel in ("sighting", "order")
    }

    assert by_channel == {"sighting": list(SIGHTINGS), "order": list(ORDERS)}


@pytest.mark.parametrize("kind", FORMS)
def test_what_a_form_asks_is_what_is_taken(kind: str) -> None:
    """Every required field filled in, as the form asks for it, makes an entry that is read."""
    form = FORMS[kind]
    required = {
        field["name"]: field["choices"][0] if field["asks"] == "choice" else GIVEN[field["asks"]]
        for field in form["fields"]
        if field["required"]
    }
    said = decode(form["channel"], json.dumps({"kind": kind, **required, **ENOUGH.get(kind, {})}))

    assert isinstance(said, Said), said


@pytest.mark.parametrize("kind", FORMS)
def test_every_field_of_the_model_is_asked(kind: str) -> None:
    """Each field stands in its form under the name it has on the wire, with the words of what is wanted."""
    model = {**SIGHTINGS, **ORDERS}[kind]
    names = {told.alias or name for name, told in model.model_fields.items()}
    asked = [field["name"] for field in FORMS[kind]["fields"]]

    assert set(asked) == names - {"id", "kind", "at", "ago_s"}
    assert len(asked) == len(set(asked))
    assert all(field["wanted"] for field in FORMS[kind]["fields"])


def test_where_null_says_something_the_form_can_say_it() -> None:
    """A sensor is given back, leeway and calibrations are cancelled by null, and by nothing else."""
    by_null = {
        (kind, field["name"]) for kind, form in FORMS.items() for field in form["fields"] if field["null"]
    }

    assert by_null == {
        ("by_hand", "heading_deg"),
        ("by_hand", "speed_kn"),
        ("by_hand", "log_nm"),
        ("leeway", "leeway_deg"),
        ("leeway", "pushed_to"),
        ("log_factor", "factor"),
        ("deviation", "deviation_deg"),
    }


def test_what_a_page_is_told_as_it_begins() -> None:
    """The boat, the role, the marks with what is charted of them, and the forms, in one JSON object."""
    mark = Mark("Thrane Light", Position(50.05, -4.25), 30.0, 15.0, "Fl 5s 30m 15M")
    told = json.loads(hello(Ship("kittiwake", "0.1.0", "+01:00", Keys("s", "a", "r"), (mark,)), "crew"))

    assert (told["boat"], told["role"], told["zone"]) == ("kittiwake", "crew", "+01:00")
    assert told["marks"] == [
        {
            "name": "Thrane Light",
            "latitude_deg": 50.05,
            "longitude_deg": -4.25,
            "height_m": 30.0,
            "range_nm": 15.0,
            "character": "Fl 5s 30m 15M",
        }
    ]
    assert told["forms"] == forms()
