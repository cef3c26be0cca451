"""Entries understood: each kind becomes its reading, its body says the same, and a change is laid over it."""

import json
from typing import Any

import pytest

from middlewatch.quantities.instants import Instant
from middlewatch.quantities.positions import Position
from middlewatch.readings.entries import (
    Acknowledge,
    Adopt,
    Amend,
    Bearing,
    ByHand,
    ClockOrder,
    Confirm,
    CourseOrder,
    Departure,
    DeviationOrder,
    FixOrder,
    FromMark,
    HorizontalAngle,
    LeewayOrder,
    LightRange,
    LogFactorOrder,
    Order,
    Overboard,
    Passing,
    PositionSight,
    Quiet,
    Range,
    Recovered,
    Remark,
    Said,
    SectorSeen,
    Sighting,
    Silence,
    Sounding,
    StreamOrder,
    Transit,
    TrustSatellites,
    Unread,
    VerticalAngle,
    Visibility,
    WayOrder,
    Withdraw,
)
from middlewatch.wire import entries
from middlewatch.wire.entries import amended, channel_of_kind, decode

TWO_AM = Instant.parse("2026-05-03T02:00:00Z")
A_BEARING: dict[str, Any] = {"kind": "bearing", "mark": "Mouse Light", "bearing_deg": 248}

UNDERSTOOD: list[tuple[dict[str, Any], Sighting | Order]] = [
    (A_BEARING, Bearing("Mouse Light", 248.0, "magnetic")),
    (A_BEARING | {"bearing_deg": 360}, Bearing("Mouse Light", 0.0, "magnetic")),
    (
        A_BEARING
        | {"reference": "relative", "sd_deg": 3, "mark": {"latitude_deg": 50.1, "longitude_deg": 180}},
        Bearing(Position(50.1, -180.0), 248.0, "relative", 3.0),
    ),
    (
        {"kind": "bearing", "bearing_deg": 0, "note": "Fl(2) 10s, white"},
        Bearing(None, 0.0, "magnetic"),
    ),
    (
        {"kind": "range", "mark": "Mouse Light", "distance_nm": 4.5, "sd_nm": 0.2},
        Range("Mouse Light", 4.5, 0.2),
    ),
    (
        {"kind": "transit", "mark": "Church", "rear_mark": "Mill", "sd_min": 2},
        Transit("Church", "Mill", 2.0),
    ),
    (
        {"kind": "vertical_angle", "mark": "Tower", "angle_min": 33.5, "index_error_min": -0.5, "tide_m": 0},
        VerticalAngle("Tower", 33.5, -0.5, tide_m=0.0),
    ),
    (
        {"kind": "vertical_angle", "mark": "Tower", "angle_min": 33.5, "eye_m": 3, "height_m": 41},
        VerticalAngle("Tower", 33.5, eye_m=3.0, height_m=41.0),
    ),
    (
        {"kind": "horizontal_angle", "mark": "Church", "second_mark": "Mill", "angle_deg": 61.5},
        HorizontalAngle("Church", "Mill", 61.5),
    ),
    ({"kind": "raised", "mark": "Mouse Light"}, LightRange("Mouse Light", "raised")),
    (
        {"kind": "dipped", "mark": "Mouse Light", "visibility_nm": 8, "bobbed": True},
        LightRange("Mouse Light", "dipped", 8.0, bobbed=True),
    ),
    ({"kind": "sector", "mark": "Mouse Light", "colour": "dark"}, SectorSeen("Mouse Light", "dark")),
    (
        {"kind": "depth", "depth_m": 11.5, "below": "keel", "contour": "ten metres", "tide_m": 3},
        Sounding(11.5, "keel", "ten metres", 3.0),
    ),
    ({"kind": "depth", "depth_m": 11.5, "below": "transducer"}, Sounding(11.5, "transducer")),
    (
        {"kind": "passing", "mark": "Outer Buoy", "side": "port", "distance_m": 30},
        Passing("Outer Buoy", "port", 30.0),
    ),
    (
        {"kind": "position", "latitude_deg": -33, "longitude_deg": 18.5, "sd_nm": 0.5, "source": "radar"},
        PositionSight(Position(-33.0, 18.5), 0.5, "radar"),
    ),
    (
        {"kind": "departure", "latitude_deg": 50.1, "longitude_deg": -4.2},
        Departure(Position(50.1, -4.2), 0.05),
    ),
    (
        {"kind": "departure", "mark": "Pier", "bearing_deg": 10, "distance_nm": 0.3, "sd_nm": 0.1},
        Departure(FromMark("Pier", 10.0, "magnetic", 0.3), 0.1),
    ),
    ({"kind": "departure", "from": "satellite"}, Departure("satellite", 0.05)),
    (
        {"kind": "way", "way": "anchored", "radius_m": 40, "until": "2026-05-03T04:00:00+02:00"},
        WayOrder("anchored", radius_m=40.0, until=TWO_AM),
    ),
    (
        {"kind": "way", "way": "drifting", "drift_towards_deg": 90, "drift_kn": 0.5},
        WayOrder("drifting", drift_towards_deg=90.0, drift_kn=0.5),
    ),
    ({"kind": "course", "heading_deg": 92}, CourseOrder(92.0, "compass")),
    (
        {"kind": "by_hand", "heading_deg": 360, "reference": "true", "speed_kn": -0.5},
        ByHand(frozenset({"heading", "speed"}), 0.0, "true", -0.5),
    ),
    (
        {"kind": "by_hand", "heading_deg": None, "log_nm": 12.5},
        ByHand(frozenset({"heading", "log"}), log_nm=12.5),
    ),
    ({"kind": "leeway", "leeway_deg": 5, "pushed_to": "starboard"}, LeewayOrder(5.0, "starboard")),
    ({"kind": "leeway", "leeway_deg": None}, LeewayOrder(None, None)),
    ({"kind": "log_factor", "factor": 0.97, "sd": 0.02}, LogFactorOrder(0.97, 0.02)),
    ({"kind": "log_factor", "factor": None}, LogFactorOrder(None)),
    ({"kind": "log_factor", "from": "satellite"}, LogFactorOrder("satellite")),
    ({"kind": "deviation", "deviation_deg": 0}, DeviationOrder(0.0)),
    ({"kind": "deviation", "deviation_deg": None}, DeviationOrder(None)),
    (
        {"kind": "deviation", "card": ["0:-2", "90.5:+1.5"], "sd_deg": 2},
        DeviationOrder(((0.0, -2.0), (90.5, 1.5)), 2.0),
    ),
    ({"kind": "deviation", "from": "satellite"}, DeviationOrder("satellite")),
    (
        {"kind": "stream", "set_deg": 200, "drift_kn": 1.2, "sd_kn": 0.3, "until": "2026-05-03T02:00:00Z"},
        StreamOrder(200.0, 1.2, 0.3, TWO_AM),
    ),
    ({"kind": "adopt", "fix": "f-b2.2"}, Adopt("f-b2.2")),
    ({"kind": "fix", "using": ["b1", "b2"]}, FixOrder(("b1", "b2"))),
    ({"kind": "withdraw", "entry": "last"}, Withdraw("last")),
    (
        {"kind": "amend", "entry": "b1", "change": {"note": None, "bearing_deg": 249.0}},
        Amend("b1", '{"bearing_deg":249,"note":null}'),
    ),
    ({"kind": "confirm", "entry": "b1"}, Confirm("b1")),
    ({"kind": "trust_satellites"}, TrustSatellites(anyway=False)),
    ({"kind": "trust_satellites", "anyway": True}, TrustSatellites(anyway=True)),
    ({"kind": "overboard"}, Overboard()),
    ({"kind": "recovered"}, Recovered()),
    ({"kind": "recovered", "entry": "e7"}, Recovered("e7")),
    ({"kind": "acknowledge", "alert": "clearing-bearing", "revision": 3}, Acknowledge("clearing-bearing", 3)),
    ({"kind": "silence", "alert": "position"}, Silence("position", None)),
    ({"kind": "quiet"}, Quiet()),
    ({"kind": "visibility", "visibility_nm": 0}, Visibility(0.0)),
    ({"kind": "clock", "utc": "2026-05-03T02:00:00Z"}, ClockOrder(TWO_AM)),
    ({"kind": "clock", "from": "satellite"}, ClockOrder("satellite")),
    ({"kind": "remark", "text": "Île d'Ouessant abeam,\nrain"}, Remark("Île d'Ouessant abeam,\nrain")),
]


def _understood(text: str) -> Said:
    said = decode(channel_of_kind(json.loads(text)["kind"]) or "order", text)
    assert isinstance(said, Said), said
    return said


@pytest.mark.parametrize(("entry", "request_wanted"), UNDERSTOOD, ids=lambda value: str(value)[:50])
def test_each_kind_becomes_its_reading(entry: dict[str, Any], request_wanted: Sighting | Order) -> None:
    """Each kind of entry, with INTERFACE's defaults, becomes the reading the navigator works with."""
    said = _understood(json.dumps(entry | {"id": "a-1", "ago_s": 40}))
    assert said.request == request_wanted
    assert (said.id, said.kind, said.at, said.ago_s) == ("a-1", entry["kind"], None, 40.0)
    assert json.loads(said.body) == entry | {"ago_s": 40}


def test_every_kind_of_the_interface_is_known() -> None:
    """No kind that is built lacks an example here."""
    assert {entry["kind"] for entry, _ in UNDERSTOOD} == set(entries._KINDS)


def test_a_name_with_deep_brackets_in_it_is_no_nesting() -> None:
    """Brackets and quotes inside a text are text."""
    text = '\\"[[[[[[[[[[[[{{{{{{ a very odd buoy'
    assert _understood('{"kind": "remark", "text": "' + text + '"}').kind == "remark"


def test_at_is_read_with_its_offset() -> None:
    """A time with an offset is the same moment in UTC; digits below the millisecond are cut off."""
    said = _understood(json.dumps(A_BEARING | {"at": "2026-05-03T04:00:00.0009+02:00"}))
    assert said.at == TWO_AM


def test_bodies_are_equal_when_the_entries_are() -> None:
    """Order of keys, blanks, spelling of numbers and the id make no other entry; another value does."""
    one = _understood('{"id": "a", "kind": "bearing", "mark": "M", "bearing_deg": 248, "sd_deg": 2.5}')
    same = _understood('{"sd_deg":25e-1,"bearing_deg":248.0,"mark":"\\u004d","kind":"bearing","id":"b"}')
    other = _understood('{"id": "a", "kind": "bearing", "mark": "M", "bearing_deg": 248.1, "sd_deg": 2.5}')
    assert one.body == same.body == '{"bearing_deg":248,"kind":"bearing","mark":"M","sd_deg":2.5}'
    assert one.body != other.body


def test_the_longest_note_can_be_amended() -> None:
    """A body is no longer than its entry, whatever the letters: what was heard can be read again."""
    said = _understood(json.dumps(A_BEARING | {"note": "é" * 8000}, ensure_ascii=False))
    assert _understood(amended(said.body, "{}")) == said


def test_a_change_is_laid_over_a_body() -> None:
    """An amended body has the changed fields, not those changed to null, and keeps the rest, nulls too."""
    body = _understood(
        '{"id": "a", "kind": "by_hand", "speed_kn": null, "heading_deg": 90, "note": "x"}'
    ).body
    change = _understood(
        '{"kind": "amend", "entry": "a", "change": {"note": null, "heading_deg": 95.0}}'
    ).request
    assert isinstance(change, Amend)
    text = amended(body, change.change)
    assert text == '{"heading_deg":95,"kind":"by_hand","speed_kn":null}'
    assert _understood(text).request == ByHand(frozenset({"heading", "speed"}), heading_deg=95.0)


def test_an_open_bearing_is_amended_with_its_mark() -> None:
    """A light not yet known gets its name later, and the note stays."""
    body = _understood('{"kind": "bearing", "bearing_deg": 40, "note": "Fl 5s"}').body
    said = _understood(amended(body, '{"mark": "Mouse Light"}'))
    assert (said.request, said.note) == (Bearing("Mouse Light", 40.0, "magnetic"), "Fl 5s")


def test_a_bad_change_is_refused_when_the_amended_entry_is_read() -> None:
    """What a change makes of an entry is checked like any entry."""
    body = _understood(json.dumps(A_BEARING)).body
    refused = decode("sighting", amended(body, '{"bearing_deg": 361}'))
    assert isinstance(refused, Unread)
    assert (refused.field, refused.found) == ("bearing_deg", "361")


@pytest.mark.parametrize("change", ['{"kind": "range"}', '{"id": "b"}'])
def test_id_and_kind_cannot_be_amended(change: str) -> None:
    """A change of id or kind that never went through the decoder is an error of ours."""
    with pytest.raises(ValueError, match="cannot be amended"):
        amended('{"kind":"bearing"}', change)


def test_kinds_know_their_topic() -> None:
    """Each kind belongs on one topic, an unknown kind on none."""
    assert (channel_of_kind("depth"), channel_of_kind("remark"), channel_of_kind("x")) == (
        "sighting",
        "order",
        None,
    )
