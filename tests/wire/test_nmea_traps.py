"""pynmea2's traps, each on a line where its own reading of it would mislead a navigator."""

import pynmea2
import pytest

from middlewatch.readings.sentences import Heading, HeadingKind, LogTotal, Satellite, WaterSpeed, Word
from middlewatch.wire.nmea import Decoder
from wire.sealing import sealed


def heard(line: bytes) -> object:
    """Return the one reading of a line."""
    (reading,) = Decoder("bow", checksum_required=True, satellite_talkers=frozenset()).read(line, 0)
    return reading


def rejected(line: bytes) -> list[str]:
    """Return the reasons for which a line is rejected."""
    gate = Decoder("bow", checksum_required=True, satellite_talkers=frozenset())
    assert gate.read(line, 0) == ()
    return list(gate.rejected)


def misread(line: bytes) -> pynmea2.TalkerSentence:
    """Return what pynmea2 makes of a line."""
    return pynmea2.parse(line.decode("ascii"))


def test_trap_navigational_status_v_is_no_bad_fix() -> None:
    """An RMC with navigational status V, as most receivers send it, is a good fix; `is_valid` says no."""
    line = sealed("GPRMC,114055.22,A,4529.9912,N,01334.6180,E,2.64,8.2,161022,,,A,V")
    reading = heard(line)

    assert misread(line).is_valid is False
    assert isinstance(reading, Satellite)
    assert (reading.word, reading.caution) == (Word.GOOD, False)


def test_trap_an_estimated_position_is_no_good_fix() -> None:
    """Status A, mode E, navigational status S is a receiver's own reckoning; `is_valid` says yes."""
    line = sealed("GPRMC,114055.22,A,4529.9912,N,01334.6180,E,2.64,8.2,161022,,,E,S")
    reading = heard(line)

    assert misread(line).is_valid is True
    assert isinstance(reading, Satellite)
    assert reading.word is Word.ESTIMATED


def test_trap_an_empty_latitude_is_not_nought() -> None:
    """`latitude` of an empty field is 0.0, a place off Ghana; here it is None."""
    line = sealed("GPRMC,114055.22,V,,,,,,,161022,,,N")
    reading = heard(line)

    assert misread(line).latitude == 0.0
    assert isinstance(reading, Satellite)
    assert (reading.latitude_deg, reading.longitude_deg) == (None, None)


def test_trap_a_missing_checksum_passes() -> None:
    """`parse` takes a sentence without checksum; here the input's setting decides."""
    assert misread(b"$HCHDM,172.5,M").heading == pytest.approx(172.5)
    assert rejected(b"$HCHDM,172.5,M") == ["no checksum"]


@pytest.mark.parametrize("text", ["nonsense", "1_7", "nan", "inf", " 17"])
def test_trap_a_number_that_is_none(text: str) -> None:
    """A field that fails to convert comes back as text, and some convert that should not."""
    assert rejected(sealed(f"HCHDM,{text},M")) == ["heading is no number"]


def test_trap_long_forms_of_vlw_and_vbw() -> None:
    """It knows 4 of VLW's 8 fields and 6 of VBW's 10: by place the first ones are right in both."""
    assert heard(sealed("VDVLW,10.5,N,2.0,N,99.0,N,98.0,N")) == LogTotal(0, "VDVLW@bow", 10.5)
    assert heard(sealed("VDVBW,4.5,0.1,A,9.9,0.2,A,0.3,A,0.4,A")) == WaterSpeed(0, "VDVBW@bow", 4.5)


def test_trap_gns_navigational_status() -> None:
    """It has no name for GNS's last field, the receiver's own caution."""
    reading = heard(sealed("GNGNS,114055.22,4529.9912,N,01334.6180,E,AA,12,0.9,0.0,0.0,,,U"))

    assert isinstance(reading, Satellite)
    assert reading.caution is True


def test_trap_no_ths_of_its_own() -> None:
    """It refuses THS, which replaced HDT; the class registered here reads it, mode V meaning not valid."""
    assert heard(sealed("HETHS,91.8,A")) == Heading(0, "HETHS@bow", HeadingKind.TRUE, 91.8, None, None)


def test_trap_tag_blocks() -> None:
    """It cannot read a line with a TAG block; the gate takes it off and checks it."""
    line = sealed("HCHDM,172.5,M", tag="c:1665920455220")

    with pytest.raises(pynmea2.ParseError):
        misread(line)
    assert heard(line) == Heading(0, "HCHDM@bow", HeadingKind.MAGNETIC, 172.5, None, None)


def test_trap_years_before_1980() -> None:
    """Two digits from 69 on are 19xx to it; satellites have kept time since 1980."""
    reading = heard(sealed("GPRMC,000000,V,,,,,,,010175,,,N"))

    assert isinstance(reading, Satellite)
    assert reading.utc_ms is not None
    assert reading.utc_ms > 3e12


def test_trap_a_hdt_that_claims_true_is_handed_on_with_its_kind() -> None:
    """An HDT made with a variation of 0.0 is 13 degrees wrong: its kind goes on, to choose sources by."""
    hdt, hdg = heard(sealed("APHDT,340.5,T")), heard(sealed("APHDG,340.6,,,0.0,W"))

    assert hdt == Heading(0, "APHDT@bow", HeadingKind.TRUE, 340.5, None, None)
    assert hdg == Heading(0, "APHDG@bow", HeadingKind.SENSOR, 340.6, None, 0.0)
