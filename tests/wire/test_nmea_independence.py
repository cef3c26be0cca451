"""Law 1: nothing a satellite has touched comes out as anything but `Satellite`."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from middlewatch.readings.sentences import Heading, LogTotal, Satellite, WaterSpeed, Word
from middlewatch.wire.nmea import SATELLITE_TALKERS, Decoder
from middlewatch.wire.sentences import READERS
from reference.nmea_sentences import RECKONED_OUTPUT
from wire.sealing import sealed

FROM_SATELLITES = "satellite talker"
RECKONED = "our own or another reckoning's output"
NOT_POSITION_BODIES = (
    "HDG,98.3,0.0,E,12.6,W",
    "HDM,172.5,M",
    "HDT,91.8,T",
    "THS,91.8,A",
    "ROT,2.0,A",
    "VHW,45.0,T,40.4,M,6.2,N,11.5,K",
    "VLW,2.8,N,2.8,N",
    "VBW,5.0,0.1,A,5.2,0.0,A",
    "DPT,5.0,0.5",
    "DBT,16.5,f,5.0,M,2.8,F",
    "MWV,38.0,R,1.6,N,A",
    "MWV,38.0,T,1.6,N,A",
    "MWD,100.0,T,98.0,M,5.0,N,2.6,M",
    "XDR,A,2.0,D,HEEL",
    "ACN,142602.00,,10241,1,A,C",
    "ACK,241",
)
POSITION_BODIES = (
    "RMC,114055.22,A,4529.9912,N,01334.6180,E,2.64,8.2,161022,3.8,E,A",
    "GGA,114055.22,4529.9912,N,01334.6180,E,1,08,1.0,0.0,M,0.0,M,,",
    "GLL,4529.9912,N,01334.6180,E,114055.22,A,A",
    "GNS,114055.22,4529.9912,N,01334.6180,E,AA,12,0.9,0.0,0.0,,,S",
    "VTG,8.2,T,4.4,M,2.64,N,4.89,K,A",
    "ZDA,114055.22,16,10,2022,00,00",
    "GST,114055.22,0.006,0.023,0.020,273.6,0.023,0.120,0.031",
    "GBS,114055.22,23.43,13.91,34.01,19,0.07,-85.4,12.3",
)


def decoder(*listed: str, own: str = "") -> Decoder:
    """Make a decoder of the input `bow`, with these talkers listed as satellite-derived."""
    return Decoder("bow", checksum_required=True, satellite_talkers=frozenset(listed), own_source=own)


def test_the_bodies_cover_every_sentence_read() -> None:
    """A sentence added to the readers must be added to the doors proved here."""
    assert {body[:3] for body in NOT_POSITION_BODIES + POSITION_BODIES} == set(READERS)


@pytest.mark.parametrize("talker", sorted(SATELLITE_TALKERS))
@pytest.mark.parametrize("body", NOT_POSITION_BODIES)
def test_of_a_satellite_talker_only_position_is_heard(talker: str, body: str) -> None:
    """Heading, log, depth and wind from a satellite receiver (a satellite compass!) are passed over."""
    gate = decoder()

    assert gate.read(sealed(talker + body), 7) == ()
    assert gate.passed_over == {FROM_SATELLITES: 1}


def test_the_satellite_talkers_are_the_design_s() -> None:
    """GP GN GA GB GI GL GQ BD QZ, as the standard and older receivers name them."""
    assert frozenset(["GP", "GN", "GA", "GB", "GI", "GL", "GQ", "BD", "QZ"]) == SATELLITE_TALKERS


def test_a_satellite_talker_in_small_letters_is_no_way_round() -> None:
    """pynmea2 reads `gpHDG` and `GPhdg` as if they were large: here neither gives a heading."""
    gate = decoder()

    for address in ("gpHDG", "gPHDG", "GpHDG", "GPhdg", "GPHdG"):
        assert gate.read(sealed(f"{address},98.3,0.0,E,12.6,W"), 7) == ()


@pytest.mark.parametrize("body", NOT_POSITION_BODIES)
def test_a_talker_listed_as_satellite_derived_is_one(body: str) -> None:
    """A gateway that says II while it repeats a satellite compass is listed, and then heard no more."""
    gate = decoder("II")

    assert gate.read(sealed("II" + body), 7) == ()
    assert gate.passed_over == {FROM_SATELLITES: 1}


@pytest.mark.parametrize("body", POSITION_BODIES)
@pytest.mark.parametrize("talker", ["GP", "II", "SN", "EC", "HC"])
def test_position_sentences_are_satellite_whoever_sends_them(talker: str, body: str) -> None:
    """All of a receiver's sentences, relayed by whatever talker, become a `Satellite` each, no more."""
    readings = decoder().read(sealed(talker + body), 7)

    assert [type(reading) for reading in readings] == [Satellite]


@given(st.sampled_from(POSITION_BODIES), st.sampled_from(["GP", "II", "HC"]), st.data())
def test_whatever_a_position_sentence_holds_no_other_reading_comes(
    body: str, talker: str, data: st.DataObject
) -> None:
    """With any of its fields changed, a position sentence still gives a `Satellite` or nothing."""
    fields = body.split(",")
    place = data.draw(st.integers(1, len(fields) - 1))
    fields[place] = data.draw(st.sampled_from(["", "0", "1.5", "A", "V", "E", "T", "360"]))

    readings = decoder().read(sealed(talker + ",".join(fields)), 7)

    assert all(type(reading) is Satellite for reading in readings)


def test_rmc_s_variation_never_leaves() -> None:
    """Two RMC that differ in nothing but the variation give equal readings."""
    with_, without = (
        f"GPRMC,114055.22,A,4529.9912,N,01334.6180,E,2.64,8.2,161022,{variation},A"
        for variation in ("3.8,E", ",")
    )

    assert decoder().read(sealed(with_), 7) == decoder().read(sealed(without), 7)
    assert not hasattr(Satellite, "variation_deg")


def test_ground_fields_of_vlw_and_vbw_change_nothing() -> None:
    """Edition 6's long forms carry totals and speeds over ground beside the water's: not looked at."""
    short, long = decoder(), decoder()

    assert long.read(sealed("VWVLW,2.8,N,2.8,N,9.9,N,9.9,N"), 7) == short.read(sealed("VWVLW,2.8,N,2.8,N"), 7)
    assert short.read(sealed("VWVLW,2.8,N,2.8,N"), 7) == (LogTotal(7, "VWVLW@bow", 2.8),)
    assert long.read(sealed("VWVLW,,N,,N,9.9,N,9.9,N"), 7) == ()
    assert long.read(sealed("VMVBW,5.0,0.1,A,6.2,0.0,A,1.0,A,2.0,A"), 7) == (WaterSpeed(7, "VMVBW@bow", 5.0),)
    assert long.read(sealed("VMVBW,,,V,6.2,0.0,A,,V,2.0,A"), 7) == ()
    assert long.read(sealed("VMVBW,,,A,6.2,0.0,A,,V,2.0,A"), 7) == ()


@pytest.mark.parametrize("body", ["WIMWD,100.0,T,98.0,M,5.0,N,2.6,M", "WIMWV,38.0,T,1.6,N,A", "IIMWV,,T,,,V"])
def test_wind_made_with_ground_speed_is_recognised_and_left(body: str) -> None:
    """MWD and MWV-T need the speed over ground to be made; only the apparent wind comes in."""
    gate = decoder()

    assert gate.read(sealed(body), 7) == ()
    assert gate.passed_over == {"made with ground speed": 1}


@pytest.mark.parametrize("line", RECKONED_OUTPUT)
def test_a_reckoning_s_output_is_never_heard(line: bytes) -> None:
    """Every line an estimated-position source sends with talker IN gives nothing: no position, no heading."""
    gate = decoder()

    assert gate.read(line, 7) == ()
    assert not gate.rejected
    assert gate.passed_over.total() == 1


@pytest.mark.parametrize("body", NOT_POSITION_BODIES + POSITION_BODIES)
def test_talker_in_is_dropped_wholly(body: str) -> None:
    """Each sentence we read is dropped from talker IN, and counted as a reckoning's output."""
    gate = decoder()

    assert gate.read(sealed("IN" + body), 7) == ()
    assert gate.passed_over == {RECKONED: 1}


def test_our_own_tag_source_is_dropped_whatever_the_talker() -> None:
    """A gateway may give our output back under another talker: the TAG source still says that it is ours."""
    gate = decoder(own="MW0001")
    body = "ECRMC,114055.22,A,4529.9912,N,01334.6180,E,2.64,8.2,161022,,,A"

    assert gate.read(sealed(body, tag="s:MW0001,c:1665920455"), 7) == ()
    assert gate.read(sealed(body, tag="c:1665920455,s:MW0001"), 7) == ()
    assert gate.passed_over == {RECKONED: 2}
    assert len(gate.read(sealed(body, tag="s:MW00010,c:1665920455"), 7)) == 1
    assert len(decoder().read(sealed(body, tag="s:,c:1665920455"), 7)) == 1


@pytest.mark.parametrize(
    "body",
    [
        "ECGLL,5008.4300,N,00518.2600,W,142536.00,V,E",
        "ECRMC,142536.00,V,5008.4300,N,00518.2600,W,4.8,078.5,250626,2.1,W,E,V",
        "ECGGA,142536.00,5008.4300,N,00518.2600,W,6,00,,,M,,M,,",
    ],
)
def test_a_relayed_reckoning_is_at_most_estimated(body: str) -> None:
    """Relayed under another talker, without TAG: mode E and quality 6 still say that it is no fix."""
    (reading,) = decoder().read(sealed(body), 7)

    assert isinstance(reading, Satellite)
    assert reading.word is Word.ESTIMATED


def test_variation_comes_only_from_a_talker_that_is_no_satellite_source() -> None:
    """HDG's variation and VHW's T - M are the bus's word; the same sentences from GP are not heard at all."""
    (hdg,) = decoder().read(sealed("HCHDG,98.3,0.0,E,12.6,W"), 7)
    vhw, _ = decoder().read(sealed("VWVHW,45.0,T,40.4,M,6.2,N,11.5,K"), 7)

    assert isinstance(hdg, Heading)
    assert hdg.variation_deg == -12.6
    assert isinstance(vhw, Heading)
    assert vhw.variation_deg == pytest.approx(4.6)
    assert decoder().read(sealed("GPVHW,45.0,T,40.4,M,6.2,N,11.5,K"), 7) == ()
