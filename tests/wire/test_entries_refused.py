"""Entries refused: each by the field, what was found there, and what is wanted."""

import json
from typing import Any, get_args

import pytest

from middlewatch.readings.entries import Channel, Unread
from middlewatch.reports.alert import AlertName
from middlewatch.wire.entries import _KINDS, channel_of_kind, decode, id_in
from middlewatch.wire.refusals import _wanted

A_CLOCK = "date and time with Z or an offset, as 2026-05-03T01:42:07Z"

# What a bearing of a mark says beside the mark, and the field, the found and the wanted of its refusal.
BAD_BEARINGS: list[tuple[str, str, str, str]] = [
    ('"bearing_deg": 361', "bearing_deg", "361", "degrees clockwise, 0 to 360"),
    ('"bearing_deg": -1', "bearing_deg", "-1", "degrees clockwise, 0 to 360"),
    ('"bearing_deg": NaN', "bearing_deg", "NaN", "a finite number"),
    ('"bearing_deg": Infinity', "bearing_deg", "Infinity", "a finite number"),
    ('"bearing_deg": -1e999', "bearing_deg", "-Infinity", "a finite number"),
    ('"bearing_deg": 1' + "0" * 5000, "bearing_deg", "Infinity", "a finite number"),
    ('"bearing_deg": "248"', "bearing_deg", '"248"', "degrees clockwise, 0 to 360"),
    ('"bearing_deg": true', "bearing_deg", "true", "degrees clockwise, 0 to 360"),
    ('"bearing_deg": null', "bearing_deg", "null", "degrees clockwise, 0 to 360"),
    ('"bearing_deg": [248]', "bearing_deg", "[248]", "degrees clockwise, 0 to 360"),
    ('"bearing_deg": 1, "bering_deg": 2', "bering_deg", "bering_deg", "did you mean bearing_deg?"),
    ('"bering_deg": 248', "bering_deg", "bering_deg", "did you mean bearing_deg?"),
    ('"bearing_deg": 248, "bearing_deg": 249', "bearing_deg", "248 and 249", "each key once"),
    ('"sd_deg": 0, "bearing_deg": 1', "sd_deg", "0", "degrees, over 0, up to 180"),
    ('"sd_deg": null, "bearing_deg": 1', "sd_deg", "null", "a value, or no sd_deg"),
    (
        '"reference": "magnetc", "bearing_deg": 1',
        "reference",
        '"magnetc"',
        "one of magnetic, true, compass, relative",
    ),
    ('"at": "2026-05-03T01:42:07", "bearing_deg": 1', "at", '"2026-05-03T01:42:07"', A_CLOCK),
    ('"at": "01:42:07Z", "bearing_deg": 1', "at", '"01:42:07Z"', A_CLOCK),
    ('"at": "2026-02-30T01:42:07Z", "bearing_deg": 1', "at", '"2026-02-30T01:42:07Z"', A_CLOCK),
    ('"at": "1969-12-31T23:59:59Z", "bearing_deg": 1', "at", '"1969-12-31T23:59:59Z"', A_CLOCK),
    ('"at": "9999-12-31T23:59:59-14:00", "bearing_deg": 1', "at", '"9999-12-31T23:59:59-14:00"', A_CLOCK),
    ('"at": 1777772527, "bearing_deg": 1', "at", "1777772527", A_CLOCK),
    ('"ago_s": -1, "bearing_deg": 1', "ago_s", "-1", "seconds back from now, 0 to 31536000"),
    (
        '"at": "2026-05-03T01:42:07Z", "ago_s": 3, "bearing_deg": 1',
        "ago_s",
        "at 2026-05-03T01:42:07Z and ago_s 3",
        "at or ago_s, not both",
    ),
    ('"id": "a b", "bearing_deg": 1', "id", '"a b"', "1 to 64 of letters, digits, dot, underscore, dash"),
    ('"id": "", "bearing_deg": 1', "id", '""', "1 to 64 of letters, digits, dot, underscore, dash"),
    ('"id": 7, "bearing_deg": 1', "id", "7", "1 to 64 of letters, digits, dot, underscore, dash"),
    ('"id": "last", "bearing_deg": 1', "id", "last", "another id"),
    ('"note": "\\u001b[2J", "bearing_deg": 1', "note", "the character U+001B", "characters that print"),
    ('"note": "\\u007f", "bearing_deg": 1', "note", "the character U+007F", "characters that print"),
    ('"note": "\\ud800", "bearing_deg": 1', "note", "the character U+D800", "characters that print"),
]

A_MARK = "a mark's name, or an object of its latitude_deg and longitude_deg"
A_DEPARTURE = "latitude_deg and longitude_deg, or mark, bearing_deg and distance_nm, or from"

# An entry, and the field, the found and the wanted of its refusal.
BAD_ENTRIES: list[tuple[dict[str, Any], str, str, str]] = [
    ({"kind": "bearing", "bearing_deg": 1}, "mark", "nothing", "mark, or a note that says what was seen"),
    ({"kind": "bearing", "bearing_deg": 1, "note": "  "}, "note", '"  "', "some words, in quotes"),
    (
        {"kind": "bearing", "mark": "M", "sd_deg": "x"},
        "bearing_deg",
        "nothing",
        "degrees clockwise, 0 to 360",
    ),
    ({"kind": "bearing", "mark": 3, "bearing_deg": 1}, "mark", "3", A_MARK),
    ({"kind": "bearing", "mark": "", "bearing_deg": 1}, "mark", '""', A_MARK),
    (
        {"kind": "range", "mark": {"latitude_deg": 91, "longitude_deg": 0}, "distance_nm": 1},
        "mark.latitude_deg",
        "91",
        "degrees, north +, -90 to 90",
    ),
    (
        {"kind": "range", "mark": {"latitude_deg": 50}, "distance_nm": 1},
        "mark.longitude_deg",
        "nothing",
        "degrees, east +, -180 to 180",
    ),
    (
        {"kind": "range", "mark": {"latitude": 50, "longitude_deg": 0}, "distance_nm": 1},
        "mark.latitude",
        "latitude",
        "did you mean latitude_deg?",
    ),
    (
        {"kind": "range", "mark": "M", "distance_nm": 0},
        "distance_nm",
        "0",
        "nautical miles, over 0, up to 10800",
    ),
    ({"kind": "transit", "mark": "M", "rear_mark": "M"}, "rear_mark", "M", "another mark than the front one"),
    (
        {"kind": "passing", "mark": "M", "side": "larboard", "distance_m": 5},
        "side",
        '"larboard"',
        "one of port, starboard",
    ),
    (
        {"kind": "position", "latitude_deg": 50, "longitude_deg": 181, "sd_nm": 1, "source": "other"},
        "longitude_deg",
        "181",
        "degrees, east +, -180 to 180",
    ),
    (
        {"kind": "position", "latitude_deg": 50, "longitude_deg": 1, "sd_nm": 1, "source": "moon"},
        "source",
        '"moon"',
        "one of visual, radar, other, satellite",
    ),
    ({"kind": "departure"}, "departure", "nothing", A_DEPARTURE),
    (
        {"kind": "departure", "latitude_deg": 1, "longitude_deg": 2, "from": "satellite"},
        "departure",
        "latitude_deg and longitude_deg beside from",
        A_DEPARTURE,
    ),
    (
        {"kind": "departure", "latitude_deg": 1, "longitude_deg": 2, "reference": "true"},
        "departure",
        "latitude_deg and longitude_deg beside reference",
        A_DEPARTURE,
    ),
    ({"kind": "departure", "latitude_deg": 1}, "longitude_deg", "nothing", "latitude_deg and longitude_deg"),
    (
        {"kind": "departure", "mark": "M", "bearing_deg": 1},
        "distance_nm",
        "nothing",
        "mark and bearing_deg and distance_nm",
    ),
    ({"kind": "departure", "from": "satelite"}, "from", '"satelite"', "satellite, last_agreed"),
    (
        {"kind": "way", "way": "sailing"},
        "way",
        '"sailing"',
        "one of under_way, manoeuvring, hove_to, drifting, anchored, made_fast, aground",
    ),
    ({"kind": "way", "way": "aground", "radius_m": 5}, "radius_m", "aground", "a radius with anchored"),
    (
        {"kind": "way", "way": "anchored", "drift_kn": 1},
        "drift_kn",
        "anchored",
        "a drift with hove_to or drifting",
    ),
    (
        {"kind": "way", "way": "drifting", "drift_kn": 1},
        "drift_kn",
        "drift_kn",
        "drift_towards_deg and drift_kn",
    ),
    (
        {"kind": "course", "heading_deg": 5, "reference": "relative"},
        "reference",
        '"relative"',
        "one of magnetic, true, compass",
    ),
    ({"kind": "by_hand"}, "heading_deg", "nothing", "heading_deg, speed_kn or log_nm"),
    (
        {"kind": "by_hand", "speed_kn": 5, "reference": "true"},
        "reference",
        "true",
        "heading_deg beside it",
    ),
    ({"kind": "by_hand", "reference": None}, "reference", "null", "one of magnetic, true, compass"),
    (
        {"kind": "leeway", "leeway_deg": 31, "pushed_to": "port"},
        "leeway_deg",
        "31",
        "degrees, 0 to 30, or null to cancel",
    ),
    ({"kind": "leeway", "leeway_deg": 5}, "pushed_to", "nothing", "one of port, starboard"),
    (
        {"kind": "leeway", "leeway_deg": None, "pushed_to": "port"},
        "pushed_to",
        "port",
        "leeway_deg beside it",
    ),
    ({"kind": "leeway"}, "leeway_deg", "nothing", "degrees, 0 to 30, or null to cancel"),
    ({"kind": "log_factor"}, "factor", "nothing", 'factor, or from: "satellite"'),
    (
        {"kind": "log_factor", "factor": 0.9, "from": "satellite"},
        "factor",
        "factor beside from",
        'factor, or from: "satellite"',
    ),
    ({"kind": "log_factor", "from": "satellite", "sd": 0.1}, "sd", "0.1", "factor beside it"),
    (
        {"kind": "deviation", "deviation_deg": 1, "card": ["0:1"]},
        "deviation_deg",
        "deviation_deg beside card",
        'deviation_deg, card, or from: "satellite"',
    ),
    (
        {"kind": "deviation", "from": "satellite", "sd_deg": 1},
        "sd_deg",
        "1",
        "deviation_deg or card beside it",
    ),
    ({"kind": "deviation", "card": ["400:1"]}, "card", "400", "headings from 0 to 360"),
    (
        {"kind": "deviation", "card": ["0;1"]},
        "card[0]",
        '"0;1"',
        "heading:deviation, degrees, east +, as 0:-2, 90:1.5, for one heading after the other",
    ),
    ({"kind": "stream", "set_deg": 1, "drift_kn": -1}, "drift_kn", "-1", "knots, 0 to 30"),
    ({"kind": "adopt"}, "fix", "nothing", "a fix's id, as f-<id>"),
    ({"kind": "fix", "using": []}, "using", "[]", "a list of entry ids, one at least"),
    ({"kind": "fix", "using": ["a", "b c"]}, "using[1]", '"b c"', "a list of entry ids, one at least"),
    ({"kind": "fix", "using": ["a", "a"]}, "using", '["a", "a"]', "each entry once"),
    ({"kind": "amend", "entry": "a"}, "change", "nothing", "an object of the fields to change, one at least"),
    (
        {"kind": "amend", "entry": "a", "change": {}},
        "change",
        "{}",
        "an object of the fields to change, one at least",
    ),
    (
        {"kind": "amend", "entry": "a", "change": {"kind": "range"}},
        "change.kind",
        '"range"',
        "withdraw, and enter anew",
    ),
    ({"kind": "amend", "entry": "a", "change": {"id": "b"}}, "change.id", '"b"', "other fields"),
    ({"kind": "trust_satellites", "anyway": 1}, "anyway", "1", "true or false"),
    (
        {"kind": "acknowledge", "alert": "positon"},
        "alert",
        '"positon"',
        "one of " + ", ".join(get_args(AlertName)),
    ),
    (
        {"kind": "silence", "alert": "log", "revision": 1.5},
        "revision",
        "1.5",
        "the alert's revision, a whole number",
    ),
    ({"kind": "visibility", "visibility_nm": -1}, "visibility_nm", "-1", "nautical miles, 0 to 100"),
    ({"kind": "clock"}, "utc", "nothing", 'utc, or from: "satellite"'),
    (
        {"kind": "clock", "utc": "2026-05-03T02:00:00Z", "from": "satellite"},
        "utc",
        "utc beside from",
        'utc, or from: "satellite"',
    ),
    ({"kind": "remark"}, "text", "nothing", "some words, in quotes"),
    ({"kind": "quiet", "minutes": 10}, "minutes", "minutes", "one of id, kind, at, ago_s, note"),
]

# A text, and the field, the found and the wanted of its refusal.
RUBBISH: list[tuple[str, str, str, str]] = [
    ("x" * 65_536, "payload", "65536 bytes", "16384 bytes at most"),
    ("é" * 8193, "payload", "16386 bytes", "16384 bytes at most"),
    ("[" * 9, "payload", "9 levels", "8 levels at most"),
    ('{"a":' * 3000, "payload", "3000 levels", "8 levels at most"),
    ("not json", "payload", "not json", 'a JSON object, as {"kind": "bearing", ...}'),
    ("", "payload", "", 'a JSON object, as {"kind": "bearing", ...}'),
    ('{"kind": "quiet"} {}', "payload", '{"kind": "quiet"} {}', 'a JSON object, as {"kind": "bearing", ...}'),
    ("y" * 100, "payload", "y" * 77 + "...", 'a JSON object, as {"kind": "bearing", ...}'),
    ("\ud800", "payload", "\\ud800", 'a JSON object, as {"kind": "bearing", ...}'),
    ("[1, 2]", "payload", "[1, 2]", "a JSON object in braces"),
    ('"bearing"', "payload", '"bearing"', "a JSON object in braces"),
    ("null", "payload", "null", "a JSON object in braces"),
    ('{"kind": "bearng"}', "kind", "bearng", "did you mean bearing?"),
]


def _refused(channel: Channel, text: str) -> Unread:
    refused = decode(channel, text)
    assert isinstance(refused, Unread)
    # Every refusal is a sentence short enough for an answer.
    assert refused.reason
    assert len(refused.reason) < 300
    return refused


@pytest.mark.parametrize(("fields", "field", "found", "wanted"), BAD_BEARINGS, ids=lambda value: value[:40])
def test_a_bad_bearing_is_refused_by_name(fields: str, field: str, found: str, wanted: str) -> None:
    """A bearing with one thing wrong is refused with the field, what was found there, and what is wanted."""
    refused = _refused("sighting", f'{{"kind": "bearing", "mark": "Mouse Light", {fields}}}')
    assert (refused.field, refused.found, refused.wanted) == (field, found, wanted)
    assert refused.kind == "bearing"


@pytest.mark.parametrize(
    ("entry", "field", "found", "wanted"), BAD_ENTRIES, ids=lambda value: str(value)[:50]
)
def test_a_bad_entry_is_refused_by_name(entry: dict[str, Any], field: str, found: str, wanted: str) -> None:
    """An entry with one thing wrong is refused with the field, what was found there, and what is wanted."""
    refused = _refused(channel_of_kind(entry["kind"]) or "order", json.dumps(entry | {"id": "x-1"}))
    assert (refused.field, refused.found, refused.wanted) == (field, found, wanted)
    assert (refused.id, refused.kind) == ("x-1", entry["kind"])


@pytest.mark.parametrize("kind", sorted(_KINDS))
def test_every_field_of_a_kind_says_what_it_takes(kind: str) -> None:
    """No refusal is without words for what is wanted: each field of each kind has them."""
    model = _KINDS[kind]
    for name, field in model.model_fields.items():
        assert _wanted(model, (field.alias or name,))


@pytest.mark.parametrize(("text", "field", "found", "wanted"), RUBBISH, ids=lambda value: ascii(value[:30]))
def test_rubbish_is_refused_in_words(text: str, field: str, found: str, wanted: str) -> None:
    """What is no entry at all is refused in the same four words, the found one shortened."""
    refused = _refused("sighting", text)
    assert (refused.field, refused.found, refused.wanted) == (field, found, wanted)


@pytest.mark.parametrize(
    ("entry", "field"),
    [
        ({"kind": "vertical_angle", "mark": "M", "angle_min": 2, "index_error_min": 2}, "angle_min"),
        ({"kind": "vertical_angle", "mark": "M", "angle_min": 0}, "angle_min"),
        ({"kind": "horizontal_angle", "mark": "M", "second_mark": "M", "angle_deg": 40}, "second_mark"),
        ({"kind": "horizontal_angle", "mark": "M", "second_mark": "N", "angle_deg": 180}, "angle_deg"),
        ({"kind": "raised", "mark": "M", "bobbed": "yes"}, "bobbed"),
        ({"kind": "dipped", "mark": "M", "visibility_nm": -1}, "visibility_nm"),
        ({"kind": "sector", "mark": "M", "colour": "blue"}, "colour"),
        ({"kind": "depth", "depth_m": 12}, "below"),
        ({"kind": "depth", "depth_m": 12, "below": "keel", "tide_m": 40}, "tide_m"),
    ],
    ids=str,
)
def test_angles_lights_and_soundings_are_refused_by_field(entry: dict[str, object], field: str) -> None:
    """What cannot be meant is refused by the field it stands in."""
    assert _refused("sighting", json.dumps(entry)).field == field


def test_an_entry_on_the_wrong_topic_is_told_the_right_one() -> None:
    """A sighting sent as an order, and the other way round, are refused with the topic that is wanted."""
    sighting = _refused("order", '{"kind": "bearing", "mark": "M", "bearing_deg": 1}')
    assert (sighting.field, sighting.found, sighting.wanted) == (
        "kind",
        "bearing",
        "bearing on the topic sighting",
    )
    order = _refused("sighting", '{"kind": "quiet"}')
    assert (order.field, order.found, order.wanted) == ("kind", "quiet", "quiet on the topic order")


def test_a_missing_or_strange_kind_lists_the_kinds() -> None:
    """Without a kind that could be meant, the refusal lists every kind."""
    for text, found in (("{}", "nothing"), ('{"kind": 5}', "5"), ('{"kind": "zzz"}', "zzz")):
        refused = _refused("order", text)
        assert (refused.field, refused.found) == ("kind", found)
        assert refused.wanted.startswith("one of bearing, range, transit")
        assert refused.kind == (found if found == "zzz" else None)


@pytest.mark.parametrize(
    ("text", "entry_id"),
    [
        ('{"id": "b-7", "kind": "bearing", "bearing_deg": NaN}', "b-7"),
        ('{"kind": "bearing", "bearing_deg": 1, "bearing_deg": 2, "id": "b-7"}', "b-7"),
        ('{"id": "b-7", "id": "b-8"}', None),
        ('{"id": "b 7"}', None),
        ('{"id": "b-7\\n"}', None),
        ('{"id": 7}', None),
        ('[["id", "b-7"]]', None),
        ('{"mark": {"id": "b-7"}}', None),
        ('{"id": "b-7"', None),
        ('{"id": "b-7", "note": "' + "n" * 16_384 + '"}', None),
    ],
    ids=lambda value: str(value)[:40],
)
def test_the_id_of_a_refused_entry_is_found_where_it_can_be(text: str, entry_id: str | None) -> None:
    """A refusal carries the entry's id wherever there is just one, so that its sender can be answered."""
    assert id_in(text) == entry_id
    assert _refused("sighting", text).id == entry_id
