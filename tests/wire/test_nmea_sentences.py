"""What each sentence gives, field by field."""

import pytest

from middlewatch.quantities.instants import Instant
from middlewatch.readings.sentences import (
    ApparentWind,
    Attitude,
    Depth,
    Heading,
    HeadingKind,
    LogTotal,
    Satellite,
    SentenceReading,
    TurnRate,
    WaterSpeed,
    Word,
)
from middlewatch.wire.nmea import Decoder
from wire.sealing import sealed

AT = 7
NOT_VALID = "its sender says not valid"


def heard(body: str) -> tuple[SentenceReading, ...]:
    """Return what a sentence gives; it must not be rejected."""
    gate = Decoder("bow", checksum_required=True, satellite_talkers=frozenset())
    readings = gate.read(sealed(body), AT)
    assert not gate.rejected
    return readings


def satellite(body: str) -> Satellite:
    """Return the one `Satellite` of a sentence."""
    (reading,) = heard(body)
    assert isinstance(reading, Satellite)
    return reading


def rejection(body: str) -> str:
    """Return the reason for which a sentence is rejected."""
    gate = Decoder("bow", checksum_required=True, satellite_talkers=frozenset())
    assert gate.read(sealed(body), AT) == ()
    (reason,) = gate.rejected
    return reason


def passed_over(body: str) -> str:
    """Return the reason for which a sentence is passed over."""
    gate = Decoder("bow", checksum_required=True, satellite_talkers=frozenset())
    assert gate.read(sealed(body), AT) == ()
    (reason,) = gate.passed_over
    return reason


@pytest.mark.parametrize(
    ("body", "heading", "deviation", "variation"),
    [
        ("HCHDG,98.3,0.0,E,12.6,W", 98.3, 0.0, -12.6),
        ("HCHDG,101.1,,,7.1,W", 101.1, None, -7.1),
        ("HCHDG,355.3,,,,", 355.3, None, None),
        ("HCHDG,355.3", 355.3, None, None),
        ("HCHDG,355.3,2.5,W,3.8,E", 355.3, -2.5, 3.8),
        ("HCHDG,360.0,,E,,W", 0.0, None, None),
        ("HCHDG,0,0.0,W,0.0,", 0.0, 0.0, 0.0),
    ],
)
def test_hdg(body: str, heading: float, deviation: float | None, variation: float | None) -> None:
    """HDG: what the sensor reads, deviation and variation E+, each None where its field is empty."""
    expected = Heading(AT, "HCHDG@bow", HeadingKind.SENSOR, heading, deviation, variation)

    assert heard(body) == (expected,)


def test_hdm_hdt_ths() -> None:
    """HDM is magnetic; HDT and THS with mode A are true."""
    assert heard("HCHDM,172.5,M") == (Heading(AT, "HCHDM@bow", HeadingKind.MAGNETIC, 172.5, None, None),)
    assert heard("IIHDT,91.8,T") == (Heading(AT, "IIHDT@bow", HeadingKind.TRUE, 91.8, None, None),)
    assert heard("HETHS,91.8,A") == (Heading(AT, "HETHS@bow", HeadingKind.TRUE, 91.8, None, None),)


@pytest.mark.parametrize("mode", ["E", "M", "S", "V", "", "N"])
def test_ths_that_is_not_measured_is_passed_over(mode: str) -> None:
    """Estimated, by hand, simulated or void: no measurement of where the bow points (V here, not N)."""
    assert passed_over(f"HETHS,91.8,{mode}") == NOT_VALID


@pytest.mark.parametrize(
    ("body", "expected"),
    [
        (
            "VWVHW,45.0,T,40.4,M,6.2,N,11.5,K",
            [("magnetic", 40.4, pytest.approx(4.6)), 6.2],
        ),
        ("IIVHW,,,355.3,M,1.83,N,3.38,K", [("magnetic", 355.3, None), 1.83]),
        ("VWVHW,,T,130.90,M,0.00,N,0.00,K", [("magnetic", 130.9, None), 0.0]),
        ("VWVHW,2.0,T,358.0,M,1.0,N,,K", [("magnetic", 358.0, 4.0), 1.0]),
        ("VWVHW,358.0,T,2.0,M,1.0,N,,K", [("magnetic", 2.0, -4.0), 1.0]),
        ("VWVHW,45.0,T,,M,,N,,K", [("true", 45.0, None)]),
        ("VWVHW,,,,,1.92,N,3.56,K", [1.92]),
        ("VWVHW,,,,,,,18.52,K", [pytest.approx(10.0)]),
        ("VWVHW,,,,,5.0", [5.0]),
    ],
)
def test_vhw(body: str, expected: list[object]) -> None:
    """VHW: magnetic heading for choice, variation T - M where both are there, knots for choice."""
    said: list[object] = []
    for reading in heard(body):
        if isinstance(reading, Heading):
            assert reading.deviation_deg is None
            said.append((reading.kind.value, reading.heading_deg, reading.variation_deg))
        else:
            assert isinstance(reading, WaterSpeed)
            said.append(reading.speed_kn)

    assert said == expected


def test_vbw_only_a_valid_speed_along_the_keel() -> None:
    """VBW: + ahead, only with status A and a number; empty speeds flagged valid say nothing."""
    assert heard("VMVBW,5.0,0.1,A,5.2,0.0,A") == (WaterSpeed(AT, "VMVBW@bow", 5.0),)
    assert heard("VMVBW,-0.8,,A") == (WaterSpeed(AT, "VMVBW@bow", -0.8),)
    assert passed_over("VMVBW,,,A,,,A") == "no value in it"
    assert passed_over("VMVBW,5.0,0.1,V,5.2,0.0,A") == NOT_VALID
    assert passed_over("VMVBW,5.0,0.1") == NOT_VALID


def test_vlw_the_water_total() -> None:
    """VLW: of four or eight fields the first; a trip that is set back by hand is not looked at."""
    assert heard("IIVLW,4019.274,N,0.000,N") == (LogTotal(AT, "IIVLW@bow", 4019.274),)
    assert heard("IIVLW,4019.274,N,,,4100.0,N,1.0,N") == (LogTotal(AT, "IIVLW@bow", 4019.274),)
    assert passed_over("IIVLW,,N,0.000,N") == "no value in it"
    assert rejection("IIVLW,4019.274,K,0.000,N") == "unit letter"


def test_depth() -> None:
    """DPT with and without its offset; DBT in metres, else feet, else fathoms (0.3048 m, six of them)."""
    assert heard("SDDPT,1.95,-1.70,") == (Depth(AT, "SDDPT@bow", 1.95, -1.7),)
    assert heard("SDDPT,2.5,") == (Depth(AT, "SDDPT@bow", 2.5, None),)
    assert heard("SDDPT,12.1,0.4,100.0") == (Depth(AT, "SDDPT@bow", 12.1, 0.4),)
    assert heard("SDDBT,8.4,f,2.5,M,1.4,F") == (Depth(AT, "SDDBT@bow", 2.5, None),)
    assert heard("SDDBT,10.0,f,,M,,F") == (Depth(AT, "SDDBT@bow", 10 * 0.3048, None),)
    assert heard("SDDBT,,f,,M,10.0,F") == (Depth(AT, "SDDBT@bow", 10 * (6 * 0.3048), None),)
    assert passed_over("SDDPT,,0.4") == passed_over("SDDBT,,f,,M,,F") == "no value in it"


@pytest.mark.parametrize(
    ("unit", "knots"),
    [("N", 10.0), ("K", 10 / 1.852), ("M", 10 * 3600 / 1852), ("S", 10 * 1609.344 / 1852)],
)
def test_apparent_wind_in_its_four_units(unit: str, knots: float) -> None:
    """MWV-R: knots, km/h, m/s or statute miles an hour, all in knots here."""
    (wind,) = heard(f"WIMWV,38.0,R,10.0,{unit},A")

    assert isinstance(wind, ApparentWind)
    assert (wind.at_ms, wind.source, wind.angle_deg) == (AT, "WIMWV@bow", 38.0)
    assert wind.speed_kn == pytest.approx(knots)


def test_wind_that_does_not_say_enough() -> None:
    """Void, empty, without reference or unit: nothing, and the reason says which."""
    assert passed_over("WIMWV,38.0,R,10.0,N,V") == NOT_VALID
    assert passed_over("WIMWV,,R,10.0,N,A") == "no value in it"
    assert rejection("WIMWV,38.0,,10.0,N,A") == "wind reference letter"
    assert rejection("WIMWV,38.0,R,10.0,,A") == "unit letter"


def test_rate_of_turn() -> None:
    """ROT: degrees a minute, + to starboard, only with status A."""
    assert heard("TIROT,-11.16,A") == (TurnRate(AT, "TIROT@bow", -11.16),)
    assert passed_over("TIROT,-11.16,V") == passed_over("TIROT,-11.16") == NOT_VALID
    assert passed_over("TIROT,,A") == "no value in it"


def test_xdr_angles_among_other_transducers() -> None:
    """XDR: each group of type A is a reading of its own; pressure, temperature and empty angles are left."""
    assert heard("YXXDR,A,3.2,D,PITCH,P,1.02,B,BARO,A,-12.5,D,HEEL,A,,D,TRIM") == (
        Attitude(AT, "YXXDR@bow", "PITCH", 3.2),
        Attitude(AT, "YXXDR@bow", "HEEL", -12.5),
    )
    assert passed_over("YXXDR,C,19.5,C,AIR") == "no value in it"
    assert rejection("YXXDR,A,3.2,R,PITCH") == "unit letter"


def test_rmc() -> None:
    """RMC: position, course, speed, full UTC."""
    rmc = satellite("GPRMC,225446,A,4916.45,N,12311.12,W,000.5,054.7,191194,020.3,E")

    assert rmc == Satellite(
        AT,
        "GPRMC@bow",
        gives_position=True,
        word=Word.UNSAID,
        latitude_deg=49 + 16.45 / 60,
        longitude_deg=-(123 + 11.12 / 60),
        course_deg=54.7,
        speed_kn=0.5,
        utc_ms=Instant.parse("1994-11-19T22:54:46Z").ms,
    )


def test_gll_gga_gns() -> None:
    """GLL, GGA and GNS: position and time of day; satellites and dilution where they stand."""
    gll = satellite("GPGLL,3746.848,S,12223.253,E,193430.5,A,D")
    gga = satellite("GPGGA,195328.40,3747.151,N,12216.058,W,2,09,1.0,6553.10,M,6551.10,M,0.10,0")
    gns = satellite("GNGNS,193430.00,3746.848,N,12223.253,W,AAN,19,0.7,21.0,-25.7,,,S")

    assert gll.latitude_deg == pytest.approx(-37.7808)
    assert gll.longitude_deg == pytest.approx(122.38755)
    assert (gll.utc_ms, gll.time_of_day_ms) == (None, ((19 * 60 + 34) * 60 + 30) * 1000 + 500)
    assert (gga.satellites, gga.hdop, gga.word) == (9, 1.0, Word.GOOD)
    assert (gns.satellites, gns.hdop, gns.word) == (19, 0.7, Word.GOOD)


def test_gst_gbs() -> None:
    """GST: the larger of its deviations; GBS: the satellite it suspects, else nothing. Fields from memory."""
    gst = satellite("GPGST,172814.0,0.006,0.023,0.020,273.6,0.023,0.120,0.031")
    gbs = satellite("GPGBS,125027,23.43,13.91,34.01,19,0.07,-85.4,12.3")

    assert (gst.sd_m, gst.gives_position, gst.latitude_deg) == (0.12, False, None)
    assert (gbs.suspects, gbs.gives_position) == ("19, by 85 m", False)
    assert heard("GPGBS,125027,23.43,13.91,34.01,,,,") == ()
    assert heard("GPGST,172814.0,,,,,,,") == ()


def test_vtg_and_zda_give_no_position() -> None:
    """VTG: course and speed over ground, km/h where knots are empty; ZDA: full UTC."""
    vtg = satellite("GPVTG,218.0,T,205.0,M,5.1,N,,K,A")
    zda = satellite("GPZDA,063158.133,25,04,2017,,")

    assert (vtg.course_deg, vtg.speed_kn, vtg.word, vtg.gives_position) == (218.0, 5.1, Word.GOOD, False)
    assert satellite("GPVTG,218.0,T,,M,,N,18.52,K").speed_kn == pytest.approx(10.0)
    assert zda.utc_ms == Instant.parse("2017-04-25T06:31:58.133Z").ms
    assert (zda.gives_position, zda.word) == (False, Word.UNSAID)


def test_old_vtg_without_letters_is_not_misread() -> None:
    """Four bare numbers, as before version 2.0: the places mean something else, so it is rejected."""
    assert rejection("GPVTG,054.7,034.4,005.5,010.2") == "unit letter"


@pytest.mark.parametrize(
    "fields",
    [",,,", "4529.9912,N,,", ",,01334.6180,E", "4529.9912,,01334.6180,E", ",N,,E", "4529.9912,N,01334.6180,"],
)
def test_an_empty_latitude_is_none_not_the_null_island(fields: str) -> None:
    """A position with any of its four fields empty is no position: both None, never 0.0."""
    for body in (
        f"GPRMC,114055.22,V,{fields},,,161022,,,N",
        f"GPGGA,114055.22,{fields},0,00,,,M,,M,,",
        f"GPGLL,{fields},114055.22,V,N",
        f"GNGNS,114055.22,{fields},NN,00,,,,,,V",
    ):
        reading = satellite(body)
        assert (reading.latitude_deg, reading.longitude_deg) == (None, None)
        assert reading.word is Word.NONE


def test_zero_that_was_sent_stays_zero() -> None:
    """Nought north, nought east is a place in the Gulf of Guinea when a receiver says so, without a minus."""
    reading = satellite("GPGLL,0000.000,S,00000.000,W,114055,A,A")

    assert str((reading.latitude_deg, reading.longitude_deg)) == "(0.0, 0.0)"


@pytest.mark.parametrize(
    ("position", "reason"),
    [
        ("9000.0001,N,01334.6180,E", "latitude out of range"),
        ("4560.0000,N,01334.6180,E", "latitude out of range"),
        ("4529.9912,N,18000.0001,W", "longitude out of range"),
        ("4529.9912,N,1334.6180,E", "longitude is no angle"),
        ("529.9912,N,01334.6180,E", "latitude is no angle"),
        ("-4529.9912,N,01334.6180,E", "latitude is no angle"),
        ("4529.99.12,N,01334.6180,E", "latitude is no angle"),
        ("45 9.9912,N,01334.6180,E", "latitude is no angle"),
        ("4529.9_12,N,01334.6180,E", "latitude is no angle"),
        ("nan,N,01334.6180,E", "latitude is no angle"),
        ("4529.9912,X,01334.6180,E", "direction letter"),
        ("4529.9912,N,01334.6180,N", "direction letter"),
    ],
)
def test_a_position_out_of_range_is_rejected(position: str, reason: str) -> None:
    """What cannot be a latitude or longitude refuses the sentence, with the field named."""
    assert rejection(f"GPGLL,{position},114055.22,A,A") == reason


def test_the_poles_and_the_180th_meridian_are_places() -> None:
    """90 N, 90 S and 180 E are the ends of the ranges and belong to them."""
    north, south = satellite("GPGLL,9000.0,N,18000.0,E,,A,A"), satellite("GPGLL,9000.0,S,18000.0,W,,A,A")

    assert (north.latitude_deg, north.longitude_deg) == (90.0, 180.0)
    assert (south.latitude_deg, south.longitude_deg) == (-90.0, -180.0)


NO_NUMBERS = ["1_0", "nan", "inf", "-inf", "1e1", " 10", "10 ", "+10", "-10", ".", "-", "1.2.3", "0x1"]
NUMBER_PLACES = [
    "HCHDG,{}",
    "HCHDM,{},M",
    "VWVHW,,,,,{},N,,",
    "VWVLW,{},N,,",
    "SDDPT,{},",
    "WIMWV,{},R,1.0,N,A",
    "GPVTG,{},T,,M,1,N,,K",
]


@pytest.mark.parametrize("text", NO_NUMBERS)
@pytest.mark.parametrize("body", NUMBER_PLACES)
def test_one_strict_reader_of_numbers(body: str, text: str) -> None:
    """Underscore, nan, inf, exponent, blank or a sign where none is allowed: rejected as no number."""
    assert rejection(body.format(text)).endswith("is no number")


@pytest.mark.parametrize(("text", "value"), [("5", 5.0), ("5.", 5.0), (".5", 0.5), ("005.50", 5.5)])
def test_numbers_as_instruments_write_them(text: str, value: float) -> None:
    """Leading zeros, no decimals, a bare point at either end."""
    assert heard(f"VWVHW,,,,,{text},N,,") == (WaterSpeed(AT, "VWVHW@bow", value),)


@pytest.mark.parametrize(
    ("body", "reason"),
    [
        ("HCHDG,360.1,,,,", "heading out of range"),
        ("HCHDG,98.3,1.0,,12.6,W", "direction letter"),
        ("HCHDG,98.3,,,12.6,N", "direction letter"),
        ("HCHDG,98.3,,,-12.6,W", "deviation or variation is no number"),
        ("HCHDG,98.3,,,180.5,W", "deviation or variation out of range"),
        ("HCHDM,172.5,T", "unit letter"),
        ("IIHDT,91.8,M", "unit letter"),
        ("VWVHW,45.0,M,40.4,T,6.2,N,11.5,K", "unit letter"),
        ("VWVHW,,,,,100.5,N,,", "water speed out of range"),
        ("VWVHW,,,,,-1.0,N,,", "water speed is no number"),
        ("TIROT,--1,A", "rate of turn is no number"),
        ("GPRMC,114055.22,A,4529.9912,N,01334.6180,E,2.64,360.5,161022,,,A", "course out of range"),
        ("GPRMC,114055.22,A,4529.9912,N,01334.6180,E,2.64,8.2,16102022,,,A", "date is no date"),
        ("GPRMC,114055.22,A,4529.9912,N,01334.6180,E,2.64,8.2,310223,,,A", "date is no date"),
        ("GPRMC,114055.22,A,4529.9912,N,01334.6180,E,2.64,8.2,1610 2,,,A", "date is no date"),
        ("GPZDA,063158,25,04,17,,", "date is no date"),
        ("GPZDA,063158,25,13,2017,,", "date is no date"),
        ("GPZDA,240000,25,04,2017,,", "time is no time"),
        ("GPZDA,236000,25,04,2017,,", "time is no time"),
        ("GPZDA,235961,25,04,2017,,", "time is no time"),
        ("GPZDA,63158,25,04,2017,,", "time is no time"),
        ("GPZDA,06:158,25,04,2017,,", "time is no time"),
    ],
)
def test_fields_that_cannot_be_meant(body: str, reason: str) -> None:
    """Out of range, a wrong letter or a date that never was: rejected, and the field named."""
    assert rejection(body) == reason


@pytest.mark.parametrize(
    ("digits", "year"), [("80", 1980), ("99", 1999), ("00", 2000), ("22", 2022), ("79", 2079)]
)
def test_years_of_two_digits(digits: str, year: int) -> None:
    """80 to 99 are the 1900s, the others the 2000s; GPS time began in 1980."""
    reading = satellite(f"GPRMC,000000,V,,,,,,,0101{digits},,,N")

    assert reading.utc_ms == Instant.parse(f"{year}-01-01T00:00:00Z").ms


def test_a_leap_second_is_tolerated() -> None:
    """Seconds up to 60.99 count into the minute that follows, over midnight too."""
    with_date = satellite("GPZDA,235960.99,31,12,2016,,")
    without = satellite("GPGLL,,,,,235960.99,V,N")

    assert with_date.utc_ms == Instant.parse("2017-01-01T00:00:00.990Z").ms
    assert without.time_of_day_ms == 990


def test_a_date_without_time_and_a_time_without_date() -> None:
    """The time of day alone is kept as such; a date alone says no time."""
    assert satellite("GPRMC,114055.22,V,,,,,,,,,,N").time_of_day_ms == 42_055_220
    assert satellite("GPRMC,114055.22,V,,,,,,,,,,N").utc_ms is None
    assert satellite("GPRMC,,V,,,,,,,161022,,,N").utc_ms is None
    assert passed_over("GPZDA,,25,04,2017,,") == "no value in it"


def test_week_rollover_is_handed_on_as_sent() -> None:
    """A date 1024 weeks early is the receiver's word: nothing here adds to it (2026-06-25 as 2006-11-09)."""
    assert satellite("GPRMC,000000,V,,,,,,,091106,,,N").utc_ms == Instant.parse("2006-11-09T00:00:00Z").ms


def test_time_that_stands_still_gives_every_position() -> None:
    """UTC in RMC may repeat while the position moves: each sentence is a reading with its own arrival."""
    gate = Decoder("bow", checksum_required=True, satellite_talkers=frozenset())
    positions = [
        gate.read(sealed(f"GPRMC,193430,A,3746.8{tail},N,12223.253,W,5.0,358.0,291219,,,A"), 1000 * tail)
        for tail in (40, 41, 42)
    ]

    assert [reading.at_ms for (reading,) in positions] == [40_000, 41_000, 42_000]
    assert len({reading.latitude_deg for (reading,) in positions if isinstance(reading, Satellite)}) == 3
