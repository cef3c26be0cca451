"""Stopped at any moment and taken up again, the navigator says what it would have said, to the last byte."""

import json
from functools import cache
from math import inf

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from middlewatch.navigator.freezing import frozen, thawed
from middlewatch.navigator.keeping import Kept, KeptEvent, Standing
from middlewatch.navigator.navigator import Navigator
from middlewatch.navigator.reckoning.orders import CrossGap, Laid, SteerByHand
from middlewatch.navigator.tuning import Tuning
from middlewatch.navigator.watch.conditions import Condition
from middlewatch.quantities.positions import Position
from middlewatch.readings import Reading
from middlewatch.readings.entries import ByHand, Channel, Entry
from middlewatch.readings.marks import Mark
from middlewatch.readings.sentences import ApparentWind, LogTotal, Satellite, WaterSpeed, Word
from middlewatch.readings.watch import ClockChange, Fault, Started, Tick
from middlewatch.wire import entries
from middlewatch.wire.payloads import payload
from navigator.navigating import LOG, START, after, magnetic, taken_up

LIGHT = Mark("the light", Position(50.05, -4.15))
TUNING = Tuning(steering_card=((0.0, 2.0), (180.0, -3.0)))
PASSAGE_S = 900

Said = tuple[str, ...]

# When heard, on which topic, and what: of every kind that leaves a trace in the state.
ENTRIES: tuple[tuple[int, Channel, dict[str, object]], ...] = (
    (5, "sighting", {"id": "b0", "kind": "bearing", "mark": "the light", "bearing_deg": 50}),
    (20, "order", {"id": "d", "kind": "departure", "latitude_deg": 50.0, "longitude_deg": -4.2, "sd_nm":
    0.3}), (40, "order", {"kind": "leeway", "leeway_deg": 6, "pushed_to": "port"}), (60, "sighting", {"id":
    "b1", "kind": "bearing", "mark": "the light", "bearing_deg": 30}), (90, "order", {"id": "s", "kind":
    "stream", "set_deg": 200, "drift_kn": 1.3, "until": after(540)}), (100, "sighting", {"id": "open", "kind":
    "bearing", "bearing_deg": 80, "note": "fl 5s, low"}), (130, "order", {"kind": "by_hand", "log_nm": 12.0}),
    (200, "order", {"id": "h", "kind": "by_hand", "heading_deg": 70, "reference": "compass"}), (220, "order",
    {"kind": "way", "way": "hove_to", "drift_towards_deg": 100, "drift_kn": 1, "until": after(260)}), (300,
    "order", {"kind": "leeway", "leeway_deg": 9, "pushed_to": "port", "at": after(303)}), (320, "order",
    {"kind": "amend", "entry": "s", "change": {"drift_kn": 0.4}}), (330, "order", {"kind": "by_hand",
    "log_nm": 12.3}), (350, "order", {"kind": "withdraw", "entry": "h"}), (400, "sighting", {"id": "r",
    "kind": "range", "mark": "the light", "distance_nm": 3.1, "ago_s": 30}), (410, "order", {"kind": "adopt",
    "fix": "f-r"}), (430, "order", {"kind": "amend", "entry": "open", "change": {"mark": "the light"}}), (450,
    "order", {"kind": "acknowledge", "alert": "log"}), (460, "order", {"kind": "course", "heading_deg": 90,
    "reference": "true"}), (480, "order", {"kind": "quiet"}), (500, "order", {"kind": "way", "way":
    "nonsense"}), (520, "order", {"kind": "remark", "text": "rain"}), (640, "order", {"kind": "stream",
    "set_deg": 10, "drift_kn": 1, "ago_s": 12}), (700, "order", {"kind": "clock", "utc": after(8000)}), (760,
    "order", {"kind": "leeway", "leeway_deg": None}),
)  # fmt: skip


@cache
def passage() -> tuple[Reading, ...]:
    """Return a quarter of an hour of readings: silences, satellites, an unknown gap, entries."""
    readings: list[Reading] = [Started(START.ms - 500, "boot", gap_known=True, clock_doubt=None)]
    waiting = list(ENTRIES)
    for s in range(PASSAGE_S):
        at_ms = START.ms + s * 1000
        if not 600 <= s < 610:
            readings.append(Tick(at_ms))
        if s == 610:
            readings.insert(
                -1, Started(at_ms - 400, "another boot", gap_known=False, clock_doubt="another boot")
            )
        if not 600 <= s < 610:
            readings += _heard(s, at_ms)
        while waiting and waiting[0][0] <= s:
            _, channel, fields = waiting.pop(0)
            readings.append(Entry(at_ms + 700, channel, json.dumps(fields), token=s))
        if s == 550:
            readings.append(ClockChange(at_ms + 800, 2_000, "network time"))
            readings.append(Fault(at_ms + 800, "input", "bow", failed=True, text="input bow: unplugged"))
    return tuple(readings)


def _heard(s: int, at_ms: int) -> list[Reading]:
    heard: list[Reading] = []
    if not 360 <= s < 420:
        heard.append(magnetic(at_ms + 100, (60 + s / 10) % 360, variation_deg=-3.0))
    if s % 3 and not 260 <= s < 290:
        heard.append(WaterSpeed(at_ms + 200, LOG, 5 + s % 7 / 10))
    if s % 4 == 0:
        heard.append(LogTotal(at_ms + 250, "VWVLW@bow", round(100 + s / 600, 2)))
    if s % 2 == 0:
        heard.append(ApparentWind(at_ms + 300, "WIMWV@mast", 45.0, 14.0))
    if not 500 <= s < 580:
        north = 0.3 if s > 400 else 0.0
        heard.append(
            Satellite(at_ms + 400, "GPRMC@gps", gives_position=True, word=Word.GOOD,
                latitude_deg=50.0 + north + s * 1e-5, longitude_deg=-4.2 + s * 2e-5, utc_ms=at_ms)
        )  # fmt: skip
    return heard


def said(navigator: Navigator, readings: tuple[Reading, ...]) -> list[Said]:
    """Hand over readings; return what is published at each."""
    return [tuple(payload(report) for report in navigator.step(reading)) for reading in readings]


def fresh() -> Navigator:
    """Return a navigator that has heard nothing."""
    return Navigator(TUNING, {LIGHT.name: LIGHT}, entries)


@cache
def whole() -> tuple[list[Said], str]:
    """Return what is said over the whole passage without a stop, and the state at its end."""
    navigator = fresh()
    return said(navigator, passage()), navigator.freeze()


def test_the_passage_holds_what_it_should() -> None:
    """The passage that is cut below has fixes, alerts, a held heading, a gap and refusals in it."""
    texts = "\n".join(text for texts in whole()[0] for text in texts)

    for part in ('"id":"f-r"', '"held"', '"bridged"', '"state":"active"', "the DR waits", '"accepted":false',
            '"state":"jumped"', "stream ran out", '"way":"hove_to"', '"former"'):  # fmt: skip
        assert part in texts, part


@given(st.lists(st.integers(0, len(passage())), min_size=1, max_size=3).map(sorted))
@settings(max_examples=40, deadline=None)
def test_taken_up_at_any_moment(cuts: list[int]) -> None:
    """Stopped up to three times anywhere: the same reports, byte for byte, and the same state at the end."""
    navigator, kept, spoken = fresh(), Kept(), list[Said]()
    readings, began = passage(), 0
    for cut in cuts:
        spoken += said(navigator, readings[began:cut])
        news = navigator.drain()
        kept.entries += news.entries
        kept.events += news.events
        kept.rows += news.rows
        snapshot = navigator.freeze()
        navigator = taken_up(navigator, snapshot, kept)
        assert navigator.freeze() == snapshot
        began = cut
    spoken += said(navigator, readings[began:])

    assert spoken == whole()[0]
    assert navigator.freeze() == whole()[1]


def test_an_entry_that_waits_for_its_second_is_not_forgotten() -> None:
    """Stopped between an entry a few seconds ahead and its own second: it is worked and answered then."""
    ahead = next(
        index for index, each in enumerate(passage()) if isinstance(each, Entry) and after(303) in each.text
    )
    navigator = fresh()
    spoken = said(navigator, passage()[: ahead + 1])
    navigator = taken_up(navigator, navigator.freeze(), navigator.drain())
    spoken += said(navigator, passage()[ahead + 1 :])

    assert spoken[ahead] == ()
    assert spoken == whole()[0]


def test_equal_histories_give_equal_states() -> None:
    """Two navigators that heard the same freeze to the same text; every row and entry is kept once."""
    one, other = fresh(), fresh()
    said(one, passage())
    for reading in passage():
        other.step(reading)
        other.freeze()

    assert one.freeze() == other.freeze()
    kept = one.drain()
    assert len(kept.rows) == PASSAGE_S - 10
    assert [entry.seq for entry in kept.entries] == list(range(1, len(kept.entries) + 1))
    again = one.drain()
    assert (again.entries, again.events, again.rows) == ([], [], [])


def test_kept_in_parts_is_kept_whole() -> None:
    """Asked every second or once at the end, what is to be kept is the same."""
    one, other = fresh(), fresh()
    said(one, passage())
    at_once, parts = one.drain(), Kept()
    for reading in passage():
        other.step(reading)
        news = other.drain()
        parts.entries += news.entries
        parts.events += news.events
        parts.rows += news.rows

    assert (parts.entries, parts.events, parts.rows) == (at_once.entries, at_once.events, at_once.rows)


def test_the_small_state_is_small() -> None:
    """A snapshot is some 25 kB and does not grow with the passage."""
    navigator = fresh()
    readings = passage()
    said(navigator, readings[:-300])
    before = len(navigator.freeze())
    said(navigator, readings[-300:])

    assert before < 25_000
    assert len(navigator.freeze()) < 25_000


# --- values -------------------------------------------------------------------------------------------------


@given(st.floats(allow_nan=False, allow_infinity=False), st.floats(allow_nan=False, allow_infinity=False))
def test_numbers_come_back_to_the_last_digit(one: float, other: float) -> None:
    """A float is its shortest exact decimal, minus nought included."""
    laid = Laid(1, "o", CrossGap(one, None))
    back = thawed(Laid, frozen(laid))

    assert back == laid
    assert isinstance(back.act, CrossGap)
    assert str(back.act.run_nm) == str(one)
    assert thawed(tuple[float, float], frozen((one, other))) == (one, other)


def test_an_act_comes_back_as_what_it_was() -> None:
    """Which of the acts was frozen is told by its name, with sets and None inside."""
    laid = Laid(1, "o", SteerByHand(ByHand(frozenset({"log", "speed"}), None, "true", None, 12.0), 4.5))

    assert thawed(Laid, frozen(laid)) == laid


def test_nothing_said_is_nothing_kept() -> None:
    """None, true and false are left out where a field has them by itself, and written where it has not."""
    silent, acknowledged = (Condition("caution", "fog", 0, acknowledged=each) for each in (False, True))

    assert "acknowledged" not in frozen(silent)
    assert '"acknowledged":true' in frozen(acknowledged)
    assert [thawed(Condition, frozen(each)) for each in (silent, acknowledged)] == [silent, acknowledged]


def test_what_cannot_be_kept_is_refused() -> None:
    """No infinity, no unknown type, and no text that is another's."""
    with pytest.raises(ValueError, match="JSON"):
        frozen(inf)
    with pytest.raises(TypeError, match="cannot be frozen"):
        frozen(object())
    with pytest.raises(ValueError, match="no frozen Standing"):
        thawed(Standing, frozen(KeptEvent(1, "fix", "")))
