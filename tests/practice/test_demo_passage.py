"""The demo's story: it happens as it is told, and what the navigator could know agrees with the truth."""

import json
from collections import Counter
from itertools import pairwise
from math import sqrt

import pytest

from middlewatch.navigator.reckoning.card import Card
from middlewatch.practice.demo_passage import (
    CARROW_HEAD,
    DEMO_MARKS,
    DEMO_SENSOR_CARD,
    DEMO_STORY,
    ORRAN_PERCH,
    SENROW_LEDGE,
    demo,
)
from middlewatch.practice.passage import Passage
from middlewatch.practice.skipper import SkipperEntry
from middlewatch.quantities.angles import turn, unit
from middlewatch.quantities.instants import MS_PER_MINUTE, MS_PER_SECOND, Instant
from middlewatch.quantities.lengths import METRES_PER_SECOND_PER_KNOT
from middlewatch.quantities.positions import Position
from middlewatch.readings.entries import Adopt, Bearing, Departure, FromMark, Said, StreamOrder, Unread
from middlewatch.readings.marks import Mark
from middlewatch.readings.sentences import Heading, LogTotal, Satellite, WaterSpeed, Word
from middlewatch.settings import defaults
from middlewatch.wire.entries import decode
from middlewatch.wire.nmea import Decoder

VARIATION_DEG = -10.93  # WMM2025 at 47 N 34 W on the day, as pygeomag 1.1 has it
HAND_BEARING_SD_DEG = 1.5


@pytest.fixture(scope="module")
def passage() -> Passage:
    """Return the demo's passage."""
    return demo()


def said(entry: SkipperEntry) -> Said | Unread:
    """Return what the daemon makes of an entry."""
    return decode(entry.channel, json.dumps(entry.body))


def taken_ms(entry: SkipperEntry, words: Said) -> int:
    """Return when a sight was taken."""
    if words.at is not None:
        return words.at.ms
    return entry.at_ms - round((words.ago_s or 0.0) * MS_PER_SECOND)


def bearings(passage: Passage, mark: Mark | None = None) -> list[tuple[int, Bearing]]:
    """Return the bearings understood, of one mark or of all, each with when it was taken."""
    return [
        (taken_ms(entry, words), words.request)
        for entry in passage.entries
        if isinstance(words := said(entry), Said)
        and isinstance(words.request, Bearing)
        and (mark is None or words.request.mark == mark.name)
    ]


def satellite_gap(passage: Passage, at_ms: int) -> tuple[float, float]:
    """Return (bearing true, distance in nm) from the true boat to the satellite position of that second."""
    decoder = Decoder("bow", checksum_required=True, satellite_talkers=frozenset())
    for line in passage.lines:
        if at_ms <= line.at_ms < at_ms + MS_PER_SECOND and b"$GPRMC" in line.text:
            (reading,) = decoder.read(line.text.rstrip(b"\r\n"), line.at_ms)
            assert isinstance(reading, Satellite)
            assert reading.word is Word.GOOD
            assert reading.latitude_deg is not None
            assert reading.longitude_deg is not None
            seen = Position(reading.latitude_deg, reading.longitude_deg)
            return passage.truth_at(at_ms).position.to(seen)
    raise AssertionError(f"no RMC at {Instant(at_ms)}")


def test_same_bytes_each_time(passage: Passage) -> None:
    """Two makings are the same to the byte."""
    assert demo() == passage


def test_plays_in_about_two_minutes(passage: Passage) -> None:
    """A little over two hours and a half, under 60,000 lines."""
    assert (passage.ends_ms - passage.starts_ms) / MS_PER_MINUTE == 155
    assert (passage.starts_ms, passage.ends_ms) == (DEMO_STORY.starts_ms, DEMO_STORY.ends_ms)
    assert 50_000 < len(passage.lines) < 60_000


def test_the_daemon_reads_every_line(passage: Passage) -> None:
    """The decoder of the bus takes each line, rejects none and passes over none."""
    decoder = Decoder("bow", checksum_required=True, satellite_talkers=frozenset())
    counts = Counter(
        type(reading)
        for line in passage.lines
        for reading in decoder.read(line.text.rstrip(b"\r\n"), line.at_ms)
    )

    assert decoder.rejected == {}
    assert decoder.passed_over == {}
    assert counts[Heading] == 2 * len(passage.truths)
    assert counts[WaterSpeed] == len(passage.truths)
    assert counts[Satellite] == 2 * len(passage.truths)


def test_entries_have_ids_of_their_own_and_one_is_refused(passage: Passage) -> None:
    """All entries are understood but the slip, a bearing of 361, which is refused by its field."""
    refused = [words for entry in passage.entries if isinstance(words := said(entry), Unread)]

    assert [(unread.id, unread.field, unread.found) for unread in refused] == [
        ("slip-2200", "bearing_deg", "361")
    ]
    ids = [entry.body["id"] for entry in passage.entries]
    assert len(set(ids)) == len(ids)


def test_slip_is_put_right_within_a_minute(passage: Passage) -> None:
    """The bearing typed 361 was 001; the right one follows, of the same sight."""
    slip = next(entry for entry in passage.entries if entry.body["id"] == "slip-2200")
    right = next(entry for entry in passage.entries if entry.body["id"] == "carrow-2200")

    assert right.body["bearing_deg"] == 1
    assert 0 < right.at_ms - slip.at_ms < MS_PER_MINUTE


def test_bearings_agree_with_the_truth(passage: Passage) -> None:
    """Each lies within four sigma, and half a degree for rounding, of the geodesic from the true boat."""
    sights = bearings(passage)
    marks = {mark.name: mark for mark in DEMO_MARKS}

    assert len(sights) == 8
    for at_ms, sight in sights:
        assert isinstance(sight.mark, str)
        true_deg, _ = passage.truth_at(at_ms).position.to(marks[sight.mark].position)
        error_deg = turn(true_deg, sight.bearing_deg + VARIATION_DEG)
        assert abs(error_deg) <= 4 * HAND_BEARING_SD_DEG + 0.5
    # Errors there are: a passage without them would show nothing.
    assert {sight.reference for _, sight in sights} == {"magnetic"}
    assert len({sight.bearing_deg for _, sight in sights}) == 8


def test_departure_is_the_true_place(passage: Passage) -> None:
    """Laid off from Orran Perch the departure lies within 0.05 nm, its own sigma, of the truth."""
    order = said(passage.entries[0])

    assert isinstance(order, Said)
    assert isinstance(order.request, Departure)
    place = order.request.place
    assert isinstance(place, FromMark)
    boat = ORRAN_PERCH.position.along(place.bearing_deg + VARIATION_DEG + 180.0, place.distance_nm)
    assert order.request.sd_nm == 0.05
    assert passage.error_nm(passage.entries[0].at_ms, boat) < 0.05


def test_running_fixes_are_cut_by_thirty_degrees_or_more(passage: Passage) -> None:
    """The bearings of 2128, 2200 and 2231 cut each other by 30 or more (common practice, no source)."""
    first, second, third = (sight.bearing_deg for _, sight in bearings(passage, CARROW_HEAD)[:3])

    for one, other in ((first, second), (second, third)):
        assert 30.0 <= abs(turn(one, other)) <= 150.0


def test_runs_between_bearings(passage: Passage) -> None:
    """Half an hour and more at five and a half knots: about three miles, with the alteration in the first."""
    (first_ms, _), (second_ms, _), (third_ms, _) = bearings(passage, CARROW_HEAD)[:3]

    assert run_nm(passage, first_ms, second_ms) == pytest.approx(2.9, abs=0.15)
    assert run_nm(passage, second_ms, third_ms) == pytest.approx(2.9, abs=0.15)
    altered_deg = turn(
        mean_heading(passage, first_ms, first_ms + 15 * MS_PER_MINUTE),
        mean_heading(passage, second_ms - 10 * MS_PER_MINUTE, second_ms),
    )
    assert altered_deg == pytest.approx(18.0, abs=1.0)


def run_nm(passage: Passage, from_ms: int, until_ms: int) -> float:
    """Return the true run through the water along the keel, in nm."""
    return sum(truth.speed_water_kn / 3600 for truth in passage.truths if from_ms <= truth.at_ms < until_ms)


def mean_heading(passage: Passage, from_ms: int, until_ms: int) -> float:
    """Return the mean true heading; the headings must not lie across north."""
    headings = [truth.heading_true_deg for truth in passage.truths if from_ms <= truth.at_ms < until_ms]
    return sum(headings) / len(headings)


def test_heading_and_log_from_the_bus_explain_the_truth(passage: Passage) -> None:
    """A plain reckoning by HDG and VHW, the true leeway and stream added, ends where the boat does.

    What is left is the log's 3 %, and the compass's constant error: 0.42 and 0.17 nm on a run of 14 miles.
    """
    reckoned = passage.truths[0].position
    heading_true_deg = 0.0
    decoder = Decoder("bow", checksum_required=True, satellite_talkers=frozenset())
    for line in passage.lines:
        for reading in decoder.read(line.text.rstrip(b"\r\n"), line.at_ms):
            if isinstance(reading, Heading):
                magnetic_deg = Card(DEMO_SENSOR_CARD).magnetic(reading.heading_deg)
                heading_true_deg = magnetic_deg + VARIATION_DEG
            elif isinstance(reading, WaterSpeed):
                north, east = unit(heading_true_deg)
                run_m = reading.speed_kn * METRES_PER_SECOND_PER_KNOT
                reckoned = reckoned.moved(run_m * north, run_m * east)

    unexplained_north_m, unexplained_east_m = reckoned.offset_to(passage.truths[-1].position)
    for truth in passage.truths[:-1]:
        keel_north, keel_east = unit(truth.heading_true_deg)
        over_north_kn, over_east_kn = truth.over_ground_kn
        beside_north_kn = over_north_kn - truth.speed_water_kn * keel_north
        beside_east_kn = over_east_kn - truth.speed_water_kn * keel_east
        unexplained_north_m -= beside_north_kn * METRES_PER_SECOND_PER_KNOT
        unexplained_east_m -= beside_east_kn * METRES_PER_SECOND_PER_KNOT
    left_nm = sqrt(unexplained_north_m**2 + unexplained_east_m**2) / 1852.0
    gap_nm = passage.error_nm(passage.ends_ms, reckoned)
    assert left_nm == pytest.approx(sqrt(0.42**2 + 0.17**2), abs=0.05)
    # The stream and the leeway it knows nothing of are what parts it from the truth.
    assert gap_nm > 2.0


def test_log_total_grows_with_the_run(passage: Passage) -> None:
    """The log's total grows by the true run and its 3 %."""
    decoder = Decoder("bow", checksum_required=True, satellite_talkers=frozenset())
    totals = [
        reading.total_nm
        for line in passage.lines
        for reading in decoder.read(line.text.rstrip(b"\r\n"), line.at_ms)
        if isinstance(reading, LogTotal)
    ]

    true_nm = run_nm(passage, passage.starts_ms, passage.ends_ms)
    assert all(before <= after for before, after in pairwise(totals))
    assert totals[-1] - totals[0] == pytest.approx(1.03 * true_nm, abs=0.02)


def test_stream_is_some_eight_tenths_across_and_ordered_only_later(passage: Passage) -> None:
    """The stream runs about 0.8 kn to the northward; the skipper orders one after the first running fix."""
    rates = [sqrt(truth.stream_north_kn**2 + truth.stream_east_kn**2) for truth in passage.truths]
    order = next(
        (entry.at_ms, words.request)
        for entry in passage.entries
        if isinstance(words := said(entry), Said) and isinstance(words.request, StreamOrder)
    )

    assert 0.6 < min(rates) <= max(rates) <= 0.85
    assert order[0] > Instant.parse("2026-05-02T22:00:40Z").ms
    assert abs(turn(350.0, order[1].set_deg)) <= 15.0


def test_satellites_are_lost_and_come_back(passage: Passage) -> None:
    """For twelve minutes there is no position; a second before and from then on there is."""
    assert DEMO_STORY.back_ms - DEMO_STORY.lost_ms == 12 * MS_PER_MINUTE
    empty = [line.at_ms for line in passage.lines if b"$GPRMC" in line.text and b",V,,,,," in line.text]

    assert len(empty) == 12 * 60
    assert DEMO_STORY.lost_ms <= min(empty) <= max(empty) < DEMO_STORY.back_ms
    for at_ms in (DEMO_STORY.lost_ms - MS_PER_SECOND, DEMO_STORY.back_ms):
        assert satellite_gap(passage, at_ms)[1] < 0.01


@pytest.mark.parametrize("minutes", [1, 10, 20, 29])
def test_pull_grows_as_the_story_says(passage: Passage, minutes: int) -> None:
    """The satellite position, good by its own word, stands off along 165 by half a cable each minute."""
    bearing_deg, distance_nm = satellite_gap(passage, DEMO_STORY.pulled_ms + minutes * MS_PER_MINUTE)

    # Ten metres: five sigma of the receiver's own noise.
    assert distance_nm == pytest.approx(0.05 * minutes, abs=10 / 1852)
    assert abs(turn(165.0, bearing_deg)) < 57.3 * (10 / 1852) / (0.05 * minutes)


def test_pull_goes_far_beyond_the_limit(passage: Passage) -> None:
    """At its last second it is a mile and a half off: three times the limit, from a fix adopted before it."""
    _, pulled_nm = satellite_gap(passage, DEMO_STORY.let_go_ms - MS_PER_SECOND)
    adopted = next(
        (entry.at_ms, words.request.fix)
        for entry in passage.entries
        if isinstance(words := said(entry), Said) and isinstance(words.request, Adopt)
    )

    assert pulled_nm == pytest.approx(1.5, abs=10 / 1852)
    assert pulled_nm > 2.9 * defaults().satellite_watch.limit_nm
    assert adopted[1] == "f-carrow-2231"
    assert adopted[0] < DEMO_STORY.pulled_ms


@pytest.mark.parametrize("seconds", [0, 1, 60, 600])
def test_let_go_it_is_true_at_once(passage: Passage, seconds: int) -> None:
    """From the second at which it is let go the satellite position is where she is, and stays there."""
    _, distance_nm = satellite_gap(passage, DEMO_STORY.let_go_ms + seconds * MS_PER_SECOND)

    assert distance_nm < 10 / 1852


def test_two_lights_cut_well_while_she_is_drawn_away_and_after(passage: Passage) -> None:
    """Senrow Ledge and Carrow Head, within three minutes, cut at 30 or more; the lesser light is in reach."""
    pairs = [
        (senrow, carrow)
        for senrow in bearings(passage, SENROW_LEDGE)
        for carrow in bearings(passage, CARROW_HEAD)
        if 0 < carrow[0] - senrow[0] <= 3 * MS_PER_MINUTE
    ]

    assert len(pairs) == 2
    for (at_ms, senrow), (_, carrow) in pairs:
        cut_deg = abs(turn(senrow.bearing_deg, carrow.bearing_deg))
        assert min(cut_deg, 180.0 - cut_deg) >= 30.0
        assert SENROW_LEDGE.range_nm is not None
        assert passage.truth_at(at_ms).position.to(SENROW_LEDGE.position)[1] < SENROW_LEDGE.range_nm


def test_one_entry_is_ten_minutes_late(passage: Passage) -> None:
    """The bearing of 2234 is heard at 2244, after others had been heard, and says its own time."""
    late = next(entry for entry in passage.entries if "at" in entry.body)

    assert late.body["at"] == "2026-05-02T22:34:00.000Z"
    assert Instant(late.at_ms).clock == "2244"


def test_light_is_in_sight_and_never_close(passage: Passage) -> None:
    """She keeps within the light's range by eye and never comes within two miles of it."""
    distances = [truth.position.to(CARROW_HEAD.position)[1] for truth in passage.truths]
    assert CARROW_HEAD.height_m is not None
    # Geographic range with the eye at 2 m: 2.08 (sqrt H + sqrt h), common practice, no source.
    geographic_nm = 2.08 * (sqrt(CARROW_HEAD.height_m) + sqrt(2.0))

    assert max(distances) < geographic_nm
    assert min(distances) > 1.9


def test_marks_say_that_they_are_invented() -> None:
    """Nobody shall take the demo's coast for a real one."""
    assert {mark.name for mark in DEMO_MARKS} == {"Carrow Head", "Orran Perch", "Senrow Ledge"}
    assert all(mark.source is not None and "invented" in mark.source for mark in DEMO_MARKS)
