"""What the practice bus says: well-formed sentences, and errors of the size and sign that were asked for."""

from collections import Counter
from dataclasses import replace
from itertools import pairwise
from math import sqrt
from statistics import fmean

import numpy as np
import pynmea2
import pytest

from middlewatch.navigator.reckoning.card import Card
from middlewatch.practice.instruments import BusLine, Compass, Instruments, Log, Wind, bus_lines
from middlewatch.practice.satellites import Lost, Pull, Receiver
from middlewatch.practice.sentences import latitude_fields, longitude_fields
from middlewatch.practice.truth import Leg, Plan, SteadyStream, Truth, sail
from middlewatch.quantities.angles import turn
from middlewatch.quantities.instants import Instant
from middlewatch.quantities.positions import Position
from middlewatch.wire.tag import split_tag

START_MS = Instant.parse("2026-05-02T21:00:00Z").ms
VARIATION_DEG = -11.0
CARD = ((0.0, -1.5), (90.0, 2.0), (180.0, 1.5), (270.0, -2.0))
CALM = Wind(0.0, 0.0, 0.0, 0.0)
SLACK = SteadyStream(0.0, 0.0)
LONGEST_SENTENCE = 82  # IEC 61162-1: characters from $ to line feed


def exact(log_factor: float = 1.0, wind: Wind = CALM) -> Instruments:
    """Return instruments without noise."""
    return Instruments(
        compass=Compass(Card(CARD), noise_deg=0.0),
        log=Log(log_factor, noise_kn=0.0, total_nm=100.0),
        wind=wind,
        depth_m=lambda position: 30.0,  # noqa: ARG005 - a level bottom
        receiver=Receiver(sd_m=0.0, jitter_m=0.0),
    )


def boat(*legs: Leg, stream: SteadyStream = SLACK, yaw_deg: float = 0.0) -> tuple[Truth, ...]:
    """Sail legs from 47 N 34 W without wandering speed."""
    plan = Plan(
        START_MS, Position(47.0, -34.0), legs, stream, VARIATION_DEG, yaw_deg=yaw_deg, speed_wander_kn=0.0
    )
    return sail(plan, seed=1)


def heard(lines: tuple[BusLine, ...], formatter: str) -> list[pynmea2.NMEASentence]:
    """Return the sentences of one formatter, parsed with their checksums wanted."""
    parsed = [pynmea2.parse(split_tag(line.text)[1].decode(), check=True) for line in lines]
    return [sentence for sentence in parsed if sentence.sentence_type == formatter]


def talk(truths: tuple[Truth, ...], instruments: Instruments, seed: int = 1) -> tuple[BusLine, ...]:
    """Return the bus of that boat."""
    return bus_lines(truths, instruments, VARIATION_DEG, seed)


def test_every_line_is_well_formed_and_stamped_when_it_came() -> None:
    """Checksums hold, nothing is longer than the standard allows, and stamps only go on."""
    lines = talk(boat(Leg(600, 350.0, 6.0), Leg(600, 20.0, 6.0), yaw_deg=3.0), exact())

    for line in lines:
        tag, sentence = split_tag(line.text)
        assert tag is not None
        assert (tag.source, tag.utc_ms, tag.monotonic_ms) == ("bow", line.at_ms, line.at_ms - START_MS)
        assert len(sentence) <= LONGEST_SENTENCE
        assert sentence.endswith(b"\r\n")
        pynmea2.parse(sentence.decode(), check=True)
    assert all(before.at_ms < after.at_ms for before, after in pairwise(lines))


def test_each_sentence_has_its_rate() -> None:
    """Heading comes twice a second, depth every tenth, log total every fifth, the rest each second."""
    lines = talk(boat(Leg(19, 0.0, 6.0)), exact())

    counts = Counter(split_tag(line.text)[1][1:6].decode() for line in lines)
    assert counts == {
        "HCHDG": 40,
        "VWVHW": 20,
        "WIMWV": 20,
        "GPRMC": 20,
        "GPGGA": 20,
        "VWVLW": 4,
        "SDDPT": 2,
    }


@pytest.mark.parametrize("heading_true_deg", [0.0, 44.0, 133.0, 222.0, 300.0, 348.9, 359.99])
def test_sensor_reading_with_its_deviation_is_the_magnetic_heading(heading_true_deg: float) -> None:
    """Reading + deviation (numpy's own interpolation of the card) + variation is the true heading."""
    headings = heard(talk(boat(Leg(2, heading_true_deg, 5.0)), exact()), "HDG")

    for hdg in headings:
        assert hdg.data[1:] == ["", "", "", ""]
        reading_deg = float(hdg.data[0])
        assert 0.0 <= reading_deg < 360.0
        points, deviations = zip(*CARD, strict=True)
        deviation_deg = float(np.interp(reading_deg, points, deviations, period=360.0))
        true_deg = reading_deg + deviation_deg + VARIATION_DEG
        # A tenth of a degree as written, and what the card's slope makes of it.
        assert turn(heading_true_deg, true_deg) == pytest.approx(0.0, abs=0.055)


def test_log_shows_its_factor_and_sums_what_it_shows() -> None:
    """A log 3 % fast shows 6.18 for 6 knots, and its total grows by what it showed."""
    lines = talk(boat(Leg(3600, 0.0, 6.0)), exact(log_factor=1.03))

    assert {float(vhw.data[4]) for vhw in heard(lines, "VHW")} == {6.18}
    totals = heard(lines, "VLW")
    assert float(totals[0].data[0]) == 100.0
    assert float(totals[-1].data[0]) == pytest.approx(106.18, abs=0.005)
    assert float(totals[-1].data[2]) == pytest.approx(6.18, abs=0.005)


@pytest.mark.parametrize(
    ("from_true_deg", "wind_kn", "angle_deg", "felt_kn"),
    [
        (0.0, 10.0, 0.0, 15.0),  # ahead: wind and way add
        (180.0, 10.0, 180.0, 5.0),  # astern: they subtract
        (
            90.0,
            5.0,
            45.0,
            5.0 * sqrt(2.0),
        ),  # abeam to starboard, as strong as the way: four points on the bow
        (270.0, 5.0, 315.0, 5.0 * sqrt(2.0)),
    ],
)
def test_wind_is_felt_with_the_boats_own_way(
    from_true_deg: float, wind_kn: float, angle_deg: float, felt_kn: float
) -> None:
    """At 5 knots to the north the felt wind is the vector sum (by hand)."""
    lines = talk(boat(Leg(5, 0.0, 5.0)), exact(wind=Wind(from_true_deg, wind_kn, 0.0, 0.0)))

    for mwv in heard(lines, "MWV"):
        assert mwv.data[1] == "R"
        assert turn(angle_deg, float(mwv.data[0])) == pytest.approx(0.0, abs=0.05)
        assert float(mwv.data[2]) == pytest.approx(felt_kn, abs=0.05)


def test_receiver_without_noise_gives_the_truth() -> None:
    """RMC and GGA carry the true position to some centimetres, and course and speed made good."""
    truths = boat(Leg(60, 90.0, 4.0), stream=SteadyStream(0.0, 3.0))

    lines = talk(truths, exact())

    for truth, rmc, gga in zip(truths, heard(lines, "RMC"), heard(lines, "GGA"), strict=True):
        seen = Position(rmc.latitude, rmc.longitude)
        north_m, east_m = truth.position.offset_to(seen)
        assert (north_m, east_m) == pytest.approx((0.0, 0.0), abs=0.02)
        assert (gga.latitude, gga.longitude) == (rmc.latitude, rmc.longitude)
        assert float(rmc.data[6]) == 5.0  # 3 north and 4 east: 5 knots along 053.1
        assert float(rmc.data[7]) == 53.1
        assert (rmc.data[1], rmc.data[11], gga.data[5]) == ("A", "A", "1")
        assert rmc.datetime.timestamp() * 1000 == truth.at_ms


def test_lost_satellites_leave_empty_fields() -> None:
    """From the moment they are lost until they are back there is no position, and the receiver says so."""
    lost = Lost(START_MS + 10_000, START_MS + 20_000)
    lines = talk(boat(Leg(30, 0.0, 5.0)), replace(exact(), receiver=Receiver(lost=(lost,))))

    for second, (rmc, gga) in enumerate(zip(heard(lines, "RMC"), heard(lines, "GGA"), strict=True)):
        if 10 <= second < 20:
            assert rmc.data[2:8] == [""] * 6
            assert (rmc.data[1], rmc.data[11]) == ("V", "N")
            assert gga.data[1:5] == [""] * 4
            assert gga.data[5] == "0"
        else:
            assert rmc.data[1] == "A"
            assert gga.data[5] == "1"


def test_pull_grows_as_stated_and_the_receiver_says_good() -> None:
    """Drawn at 6 knots towards 165 from the 60th second to the 660th: a mile by the end, which then stays."""
    truths = boat(Leg(700, 0.0, 5.0))
    pull = Pull(START_MS + 60_000, START_MS + 660_000, 165.0, 6.0)
    lines = talk(truths, replace(exact(), receiver=Receiver(pulls=(pull,), sd_m=0.0, jitter_m=0.0)))

    gaps = []
    for truth, rmc in zip(truths, heard(lines, "RMC"), strict=True):
        assert (rmc.data[1], rmc.data[11]) == ("A", "A")
        gaps.append(truth.position.to(Position(rmc.latitude, rmc.longitude)))
    assert all(distance_nm < 2e-5 for _, distance_nm in gaps[:61])
    for second in (120, 360, 659):
        bearing_deg, distance_nm = gaps[second]
        assert distance_nm == pytest.approx(6.0 * (second - 60) / 3600, abs=2e-5)
        assert bearing_deg == pytest.approx(165.0, abs=0.02)
    assert [distance_nm for _, distance_nm in gaps[660:]] == pytest.approx([1.0] * 41, abs=2e-5)


def test_a_receiver_that_is_let_go_is_true_again_at_a_bound() -> None:
    """Drawn at 6 knots for a minute and let go half a minute after it: a tenth of a mile off, then none."""
    truths = boat(Leg(120, 0.0, 5.0))
    pull = Pull(START_MS, START_MS + 60_000, 165.0, 6.0, let_go_ms=START_MS + 90_000)
    lines = talk(truths, replace(exact(), receiver=Receiver(pulls=(pull,), sd_m=0.0, jitter_m=0.0)))

    gaps = [
        truth.position.to(Position(rmc.latitude, rmc.longitude))[1]
        for truth, rmc in zip(truths, heard(lines, "RMC"), strict=True)
    ]
    assert gaps[60:90] == pytest.approx([0.1] * 30, abs=2e-5)
    assert gaps[90:] == pytest.approx([0.0] * 31, abs=2e-5)


def test_pulled_receiver_says_the_speed_it_was_made_to_believe() -> None:
    """At 5 knots north and drawn at 6 knots to the south, course and speed are 180 and 1.0."""
    pull = Pull(START_MS, START_MS + 60_000, 180.0, 6.0)
    lines = talk(
        boat(Leg(30, 0.0, 5.0)), replace(exact(), receiver=Receiver(pulls=(pull,), sd_m=0.0, jitter_m=0.0))
    )

    assert {(rmc.data[6], rmc.data[7]) for rmc in heard(lines, "RMC")} == {("1.0", "180.0")}


def test_satellite_noise_is_metres() -> None:
    """Over two hours the error of the position has no bias and the standard deviation asked for."""
    truths = boat(Leg(7200, 0.0, 5.0))
    receiver = Receiver(sd_m=2.0, memory_s=20.0, jitter_m=0.3)
    lines = talk(truths, replace(exact(), receiver=receiver))

    norths = [
        truth.position.offset_to(Position(rmc.latitude, rmc.longitude))[0]
        for truth, rmc in zip(truths, heard(lines, "RMC"), strict=True)
    ]

    # A memory of 20 s leaves 7200 / 40 = 180 independent errors: 4 sigma of mean and of deviation.
    assert fmean(norths) == pytest.approx(0.0, abs=4 * 2.0 / sqrt(180))
    assert sqrt(fmean([north * north for north in norths])) == pytest.approx(2.0, abs=4 * 2.0 / sqrt(360))


def test_what_befalls_the_satellites_changes_no_other_sentence() -> None:
    """Lost or pulled, the rest of the bus is the same to the byte: each error has its own chance."""
    truths = boat(Leg(120, 40.0, 5.0), yaw_deg=2.0)
    noisy = Instruments(Compass(Card(CARD)), Log(), Wind(200.0, 12.0), lambda _: 20.0)
    harassed = replace(
        noisy,
        receiver=Receiver(
            lost=(Lost(START_MS, START_MS + 30_000),),
            pulls=(Pull(START_MS + 40_000, START_MS + 90_000, 90.0, 3.0),),
        ),
    )

    quiet, troubled = (
        [line for line in talk(truths, instruments) if b"$GP" not in line.text]
        for instruments in (noisy, harassed)
    )
    assert quiet == troubled
    assert talk(truths, noisy) != talk(truths, harassed)


def test_minutes_never_print_as_sixty() -> None:
    """A hair under a whole degree is written as that degree, and signs become letters."""
    place = Position(-12.999999999, 9.999999999)

    assert latitude_fields(place) == ("1300.00000", "S")
    assert longitude_fields(place) == ("01000.00000", "E")
