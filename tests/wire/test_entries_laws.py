"""Laws of the decoder: it never raises, it alters nothing, and equal entries have equal bodies."""

import json
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from middlewatch.quantities.positions import Position
from middlewatch.readings.entries import Bearing, Channel, Departure, Said, Unread
from middlewatch.wire.entries import _KINDS, amended, decode
from middlewatch.wire.refusals import SHOWN_AT_MOST

CHANNELS: st.SearchStrategy[Channel] = st.sampled_from(("sighting", "order"))
KEYS = st.sampled_from(sorted({field for model in _KINDS.values() for field in model.model_fields}))
SCALARS = st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20)
VALUES = st.recursive(
    SCALARS,
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5) | KEYS, inner, max_size=3)
    ),
)
ODD_TEXT = st.text(st.characters(exclude_categories=()))
ENTRY_IDS = st.text("abcXYZ019._-", min_size=1, max_size=64).filter(lambda entry_id: entry_id != "last")
DIRECTIONS = st.floats(0, 360)
NAMES = st.text(st.characters(categories=("L", "N", "P")), min_size=1, max_size=30)


def _held_to_its_word(decoded: Said | Unread) -> None:
    """Hold whatever the decoder returns to what its readers rely on."""
    if isinstance(decoded, Unread):
        assert len(decoded.field) <= SHOWN_AT_MOST
        assert len(decoded.found) <= SHOWN_AT_MOST
        assert decoded.wanted
        assert decoded.reason
        for text in (decoded.field, decoded.found, decoded.wanted, decoded.reason):
            text.encode("utf-8")
    else:
        assert decoded.at is None or decoded.ago_s is None
        assert "id" not in json.loads(decoded.body)


@given(CHANNELS, ODD_TEXT)
def test_no_text_makes_the_decoder_raise(channel: Channel, text: str) -> None:
    """Any text at all, halves of characters included, gets an answer that can be sent."""
    _held_to_its_word(decode(channel, text))


@given(CHANNELS, VALUES)
def test_no_json_makes_the_decoder_raise(channel: Channel, value: Any) -> None:
    """Any JSON gets an answer."""
    _held_to_its_word(decode(channel, json.dumps(value)))


@given(
    CHANNELS,
    st.sampled_from(sorted(_KINDS)),
    st.dictionaries(KEYS | st.text(max_size=10), VALUES, max_size=5),
)
def test_no_fields_make_the_decoder_raise(channel: Channel, kind: str, fields: dict[str, Any]) -> None:
    """A known kind with any fields at all, right and wrong, gets an answer."""
    _held_to_its_word(decode(channel, json.dumps(fields | {"kind": kind})))


@given(ENTRY_IDS, NAMES, DIRECTIONS, st.sampled_from(("magnetic", "true", "compass", "relative")))
def test_a_bearing_comes_back_as_it_was_said(
    entry_id: str, mark: str, bearing: float, reference: Any
) -> None:
    """A bearing keeps its id, mark and reference, and every digit; 360 is 0."""
    entry = {"id": entry_id, "kind": "bearing", "mark": mark, "bearing_deg": bearing, "reference": reference}
    said = decode("sighting", json.dumps(entry))
    assert isinstance(said, Said)
    assert said.id == entry_id
    assert said.request == Bearing(mark, bearing % 360.0, reference)


@given(st.floats(-90, 90), st.floats(-180, 180, exclude_max=True), st.floats(0.001, 10))
def test_a_departure_comes_back_as_it_was_said(latitude: float, longitude: float, sd_nm: float) -> None:
    """A departure keeps every digit of its position."""
    entry = {"kind": "departure", "latitude_deg": latitude, "longitude_deg": longitude, "sd_nm": sd_nm}
    said = decode("order", json.dumps(entry))
    assert isinstance(said, Said)
    assert said.request == Departure(Position(latitude, longitude), sd_nm)


@given(NAMES, DIRECTIONS, st.none() | st.floats(0.1, 10), st.none() | NAMES)
def test_a_body_says_the_same_when_it_is_read_again(
    mark: str, bearing: float, sd: float | None, note: str | None
) -> None:
    """A body is an entry with the same meaning and the same body: what the journal and amendments rely on."""
    entry: dict[str, Any] = {"kind": "bearing", "mark": mark, "bearing_deg": bearing}
    entry |= {key: value for key, value in (("sd_deg", sd), ("note", note)) if value is not None}
    said = decode("sighting", json.dumps(entry))
    assert isinstance(said, Said)
    assert decode("sighting", said.body) == said
    assert amended(said.body, "{}") == said.body


@given(st.permutations(["kind", "mark", "bearing_deg", "sd_deg", "note"]), st.integers(0, 359))
def test_the_order_of_keys_and_the_spelling_of_numbers_change_nothing(keys: list[str], bearing: int) -> None:
    """The same entry with its keys shuffled and its whole numbers written as floats has the same body."""
    entry = {"kind": "bearing", "mark": "M", "bearing_deg": bearing, "sd_deg": 2, "note": "n"}
    shuffled = {key: float(value) if isinstance(value := entry[key], int) else value for key in keys}
    one, other = decode("sighting", json.dumps(entry)), decode("sighting", json.dumps(shuffled, indent=2))
    assert isinstance(one, Said)
    assert one == other
